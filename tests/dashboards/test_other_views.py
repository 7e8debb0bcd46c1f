"""Years, Hillslope and Uploads: what is drawn agrees with the frames, and what cannot be drawn is said."""

from __future__ import annotations

import datetime as dt
import io
from dataclasses import replace
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest

from dashboards.choices import Choices
from dashboards.figures import marks
from dashboards.figures.taking import TABLE_KINDS
from dashboards.store import Store
from dashboards.views import years_view
from dashboards.views.catalog import VIEWS


def test_the_chosen_semester_is_in_colour_and_the_others_grey(store: Store, chosen: Choices) -> None:
    answer = VIEWS["years"].draw(store, chosen)
    for panel in answer.panels[:5]:
        layer = panel.layers["marks"]
        coloured = [x for x, colour in zip(layer["x"], layer["colour"], strict=True) if colour in marks.POSITION_COLOURS.values()]
        assert len(coloured) == 3
        assert min(coloured) > max(x for x in layer["x"] if x not in coloured)


def test_dry_seasons_are_named_by_the_rain_before_them(store: Store, chosen: Choices) -> None:
    seasons, rain = store.seasons(chosen), store.rain_months(chosen)
    assert years_view.dry_semesters(seasons, rain) == {"2022-fall": -1.6}
    answer = VIEWS["years"].draw(store, chosen)
    assert answer.title.endswith("dry before Fall 2022")
    assert all(panel.layers["words"]["text"] == ["dry"] for panel in answer.panels[:5])


def test_dates_are_those_of_the_readings(store: Store, stores: dict[str, Store], chosen: Choices) -> None:
    read = store.seasons(chosen).set_index("semester")["date"]
    assert pd.Timestamp(read["2024-fall"].iloc[0]).date() == dt.date(2024, 9, 24)
    middle = stores["reviewer"].seasons(chosen).set_index("semester")["date"]
    assert pd.Timestamp(middle["2024-fall"].iloc[0]).date() == dt.date(2024, 10, 9)


def test_a_taxon_holds_the_kinds_still(store: Store, chosen: Choices) -> None:
    whole = VIEWS["years"].draw(store, replace(chosen, group="shrub"))
    one = VIEWS["years"].draw(store, replace(chosen, group="shrub", taxon="cordru"))
    assert any("choose a taxon" in caveat for caveat in whole.fair)
    assert not any("choose a taxon" in caveat for caveat in one.fair)
    assert sum(one.tables[0].frame["n_plants"]) < sum(whole.tables[0].frame["n_plants"])


def test_a_season_without_contrast_is_a_cross_with_its_reason(store: Store, chosen: Choices) -> None:
    contrasts = store.contrasts(chosen, every_semester=True)
    without = contrasts[contrasts["difference_mpa"].isna()]
    assert len(without) > 0
    answer = VIEWS["hillslope"].draw(store, chosen)
    crosses = [
        says
        for panel in answer.panels
        for shape, says in zip(panel.layers["ink_marks"]["shape"], panel.layers["ink_marks"]["says"], strict=True)
        if shape == "x"
    ]
    assert len(crosses) == len(without)
    assert all("Fewer than three plants on one side, or bounds." in says for says in crosses)
    assert "are not compared. Fewer than three plants, or bounds." in answer.tables_html()


def test_differences_are_drawn_as_they_are_published(store: Store, chosen: Choices) -> None:
    contrasts = store.contrasts(chosen, every_semester=True)
    for panel in VIEWS["hillslope"].draw(store, chosen).panels[:-1]:  # the last is the hill
        mine = contrasts[(contrasts["functional_group"] == panel.name) & contrasts["difference_mpa"].notna()]
        layer = panel.layers["ink_marks"]
        drawn = [y for y, shape in zip(layer["y"], layer["shape"], strict=True) if shape == "circle"]
        assert sorted(drawn) == pytest.approx(sorted(mine["difference_mpa"]))
        low, high = panel.y_range
        assert low < contrasts["ci_low_mpa"].min() <= contrasts["ci_high_mpa"].max() < high


def test_uploads_account_for_every_row(store: Store, chosen: Choices) -> None:
    answer = VIEWS["uploads"].draw(store, chosen)
    assert "430\u00a0rows: 405\u00a0accepted, 7\u00a0flagged, 18\u00a0set aside" in answer.reading
    assert "taxon unknown (1) and unit missing (1)" in answer.counts
    assert "17\u00a0more rows set aside" in answer.counts
    assert [table.caption for table in answer.tables] == ["Receipts, the latest first", "Problems", "Rows set aside"]


def test_no_upload_is_a_sentence_with_the_next_step(store: Store, chosen: Choices) -> None:
    answer = VIEWS["uploads"].draw(store, replace(chosen, semester="1999-fall"))
    assert answer.is_empty
    assert "tautleaf load" in answer.reading


@pytest.mark.parametrize("view", sorted(VIEWS))
def test_no_name_becomes_html(store: Store, chosen: Choices, view: str) -> None:
    answer = VIEWS[view].draw(store, replace(chosen, table="observations", sql="SELECT DISTINCT site_name FROM observations"))
    html = answer.side_html() + answer.tables_html() + answer.key
    assert "<script" not in html
    assert "window.stung" in html or view in ("hillslope", "rain", "compare")  # these name no site and no plant


_LOOKED_AT = ["class", "years", "hillslope", "rain", "compare"]


@pytest.mark.parametrize(
    ("role", "views"),
    [
        ("instructor", [*_LOOKED_AT, "cohorts", "learning", "ask", "uploads"]),
        ("student", [*_LOOKED_AT, "ask"]),
        ("reviewer", ["years", "learning"]),
    ],
)
def test_each_role_can_draw_its_views(stores: dict[str, Store], chosen: Choices, role: str, views: list[str]) -> None:
    from dashboards.views.catalog import views_of

    assert [view.name for view in views_of(role)] == views
    for view in views_of(role):
        answer = view.draw(stores[role], chosen)
        assert not answer.is_empty, view.name


def test_long_tables_are_cut_and_say_so(store: Store, invented: Any) -> None:
    from dashboards.answer import LINES_ON_PAPER, ROWS_IN_A_TABLE, Table

    html = Table("Many", pd.DataFrame({"n": range(ROWS_IN_A_TABLE + 5)}), {"n": "N"}).html()
    assert html.count("<tr") == ROWS_IN_A_TABLE + 1
    assert f"The first {ROWS_IN_A_TABLE} of {ROWS_IN_A_TABLE + 5} rows" in html
    n_printed = int(LINES_ON_PAPER / 1.5)
    assert html.count('<tr class="unprinted">') == ROWS_IN_A_TABLE - n_printed
    assert f'<p class="on-paper">The first {n_printed} of {ROWS_IN_A_TABLE + 5} rows are printed' in html
    assert "printed" not in Table("Few", pd.DataFrame({"n": range(n_printed)}), {"n": "N"}).html()
    told = pd.DataFrame({"n": ["word " * 100] * n_printed})
    assert 1 <= Table("Told", told, {"n": "In words"}, wordy=frozenset({"n"})).html().count("<tr>") - 1 < 10


def test_what_a_reviewer_may_not_see_is_counted_and_not_drawn(stores: dict[str, Store], chosen: Choices) -> None:
    seasons = stores["reviewer"].seasons(replace(chosen, group="tree"))
    hidden = seasons["n_plants"].isna()
    assert hidden.any()
    answer = VIEWS["years"].draw(stores["reviewer"], chosen)
    everything = stores["reviewer"].seasons(chosen)
    assert f"{int(everything['n_plants'].isna().sum())}\u00a0summaries are hidden" in " ".join(answer.fair)
    assert sum(len(panel.layers["marks"]["x"]) for panel in answer.panels) == int(everything["n_plants"].notna().sum())


def asked(store: Store, question: str, **choices: str) -> Any:
    return VIEWS["ask"].draw(store, replace(Choices(), sql=question, **choices))


def test_a_question_is_answered_as_a_table_and_the_codebook_stands_below(store: Store) -> None:
    answer = asked(store, "SELECT site, count(*) AS n FROM observations GROUP BY site ORDER BY site")
    assert answer.title == "3\u00a0rows"
    assert [table.caption for table in answer.tables] == ["What the question found", "The codebook"]
    assert list(answer.asked["site"]) == ["bench", "crest", "swale"]
    assert "SELECT" not in asked(store, "").reading


def test_a_question_that_cannot_be_answered_says_why_in_the_place_of_the_reading(store: Store) -> None:
    answer = asked(store, "DROP TABLE observations")
    assert answer.title == "That could not be asked"
    assert "can be read, not changed" in answer.reading
    assert answer.asked is None


@pytest.mark.parametrize(
    ("question", "drawn", "says"),
    [
        ("SELECT year, sum(rain_mm) AS rain_mm FROM rain_months GROUP BY year ORDER BY year", "bars", ""),
        ("SELECT rain_30d_mm, mean_mpa, median_mpa FROM site_season", "points", ""),
        ("SELECT year, sum(rain_mm) AS rain_mm FROM rain_months GROUP BY year ORDER BY year", "line", ""),
        ("SELECT site FROM observations", "points", "a second column"),
        ("SELECT site, taxon FROM observations", "points", "holds numbers"),
        ("SELECT range AS a, range AS b FROM range(6000)", "points", "more than a figure shows"),
        ("SELECT 1 AS a, 2 AS b WHERE false", "bars", "needs rows"),
    ],
)
def test_an_answer_is_drawn_or_it_is_said_why_not(store: Store, question: str, drawn: str, says: str) -> None:
    answer = asked(store, question, drawn=drawn)
    assert (answer.chart is None) is bool(says)
    assert says in answer.reading


def test_rows_that_a_question_found_are_taken_as_they_are(store: Store, tmp_path: Path) -> None:
    frame = asked(store, "SELECT site, date, avg(water_potential_mpa) AS mean FROM observations GROUP BY ALL ORDER BY ALL").asked
    csv = pd.read_csv(io.BytesIO(TABLE_KINDS["rows"].make(frame)), encoding="utf-8-sig")
    assert list(csv["mean"]) == list(frame["mean"])
    (tmp_path / "rows.parquet").write_bytes(TABLE_KINDS["parquet"].make(frame))
    with duckdb.connect() as connection:
        kept = connection.read_parquet(str(tmp_path / "rows.parquet")).df()
    pd.testing.assert_frame_equal(kept, frame)

"""Years: rain and drought index under the seasons, any span of the record, one year over the others, and what stands behind a mark."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
from collections import Counter
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.choices import Choices
from dashboards.figures import marks, touch
from dashboards.figures.panel import Panel
from dashboards.figures.taking import csv_of, rows_of
from dashboards.figures.time_axis import SHORTEST_DAYS, span_of
from dashboards.offers import offers, settled
from dashboards.store import Store
from dashboards.views import rain_strips, years_view
from dashboards.views.catalog import VIEWS

DRY = "2022-fall"


def panels(store: Store, choices: Choices) -> dict[str, Panel]:
    return {panel.name: panel for panel in VIEWS["years"].draw(store, choices).panels}


def test_rain_and_index_stand_under_the_seasons_on_the_same_days(store: Store, chosen: Choices) -> None:
    drawn, rain = panels(store, chosen), store.rain_months(chosen)
    assert list(drawn)[-2:] == ["rain", "index"]
    assert len({panel.x_range for panel in drawn.values()}) == 1
    assert all(panel.is_on_time for panel in drawn.values())
    known = rain[rain["rain_mm"].notna() & (rain["year"] >= 2019)]
    assert drawn["rain"].layers["blocks"]["top"] == pytest.approx(list(known["rain_mm"]))
    assert drawn["rain"].y_range[0] > drawn["rain"].y_range[1] == 0
    assert not drawn["rain"].is_in_mpa
    index = drawn["index"].layers["blocks"]
    is_dry = [bottom <= rain_strips.DRY_SPI for bottom in index["bottom"]]
    assert sum(is_dry) == 5  # August to December 2022
    assert [alpha == 1.0 for alpha in index["alpha"]] == is_dry
    assert all("dry" in says for says, dry in zip(index["says"], is_dry, strict=True) if dry)


@pytest.mark.parametrize(("spi", "is_dry"), [(-0.99, False), (-1.0, True), (-2.4, True), (0.5, False)])
def test_a_month_is_dry_from_an_index_of_minus_one(store: Store, chosen: Choices, spi: float, is_dry: bool) -> None:
    """Moderately dry and drier: McKee, Doesken and Kleist 1993."""
    panel = rain_strips.strips(store.rain_months(chosen).assign(spi_3=spi), span_of("", "", 2019, 2024))[1]
    assert {alpha == 1.0 for alpha in panel.layers["blocks"]["alpha"]} == {is_dry}
    assert all(says.endswith(", dry") is is_dry for says in panel.layers["blocks"]["says"])


def test_a_provisional_index_and_missing_days_are_told(store: Store, chosen: Choices) -> None:
    said = " ".join(VIEWS["years"].draw(store, chosen).fair)
    assert "index of 12\u00a0months is provisional" in said
    assert "1\u00a0month of the rain record lacks days" in said


def test_the_estimate_is_drawn_and_a_bound_is_open_with_its_arrow(store: Store, chosen: Choices) -> None:
    choices = replace(chosen, semester=DRY, group="shrub")
    seasons = store.seasons(choices)
    layer = panels(store, choices)["shrub"].layers
    assert sorted(layer["marks"]["y"]) == pytest.approx(sorted(seasons["estimate_mpa"].dropna()))
    n_bounds = int(seasons["estimate_is_bound"].sum())
    assert layer["marks"]["fill_alpha"].count(0.0) == len(layer["arrows"]["xs"]) == n_bounds
    forced = seasons.assign(estimate_is_bound=seasons["semester"] == DRY, method="rank")
    (panel,) = (p for p in years_view.draw(forced, store.rain_months(choices), choices).panels if p.name == "shrub")
    assert panel.layers["marks"]["fill_alpha"].count(0.0) == len(panel.layers["arrows"]["xs"]) == 3
    assert sum("at least as dry as" in says for says in panel.layers["marks"]["says"]) == 3
    assert len(panel.layers["bars"]["x0"]) == int((seasons["ci_low_mpa"].notna() & (seasons["semester"] != DRY)).sum())


def test_days_that_are_chosen_cut_marks_months_counts_and_table_alike(store: Store, chosen: Choices) -> None:
    whole = VIEWS["years"].draw(store, chosen)
    cut = VIEWS["years"].draw(store, replace(chosen, since="2021-01-01", until="2022-12-31"))
    assert {row[:4] for row in cut.tables[0].frame["semester"]} == {"2021", "2022"}
    assert "4\u00a0seasons" in cut.title
    assert "from 1 January 2021 to 31 December 2022" in " ".join(cut.fair)
    assert {panel.x_range for panel in cut.panels} == {(marks.on_time(dt.date(2021, 1, 1)), marks.on_time(dt.date(2023, 1, 1)))}
    assert [panel.y_range for panel in cut.panels[:5]] == [panel.y_range for panel in whole.panels[:5]]
    rows = list(csv.DictReader(io.StringIO(csv_of(rows_of(cut, beside=False)).decode("utf-8-sig"))))
    days = {row["date"] for row in rows if row["layer"] in ("mark", "block", "word")}
    assert min(days) >= "2021-01-01"
    assert max(days) <= "2022-12-31"


def test_days_without_a_season_say_so_and_keep_the_axis(store: Store, chosen: Choices) -> None:
    answer = VIEWS["years"].draw(store, replace(chosen, since="2021-06-01", until="2021-08-10"))
    assert "Nothing was read from 1 June 2021 to 10 August 2021" in answer.reading
    assert answer.panels
    assert not any(panel.layers["marks"]["x"] for panel in answer.panels)


@given(st.dates(dt.date(1900, 1, 1), dt.date(2100, 1, 1)), st.dates(dt.date(1900, 1, 1), dt.date(2100, 1, 1)))
def test_any_two_days_give_a_span_of_the_record(one: dt.date, other: dt.date) -> None:
    span = span_of(one.isoformat(), other.isoformat(), 2016, 2025)
    assert dt.date(2016, 1, 1) <= span.first <= span.last <= dt.date(2025, 12, 31)
    assert (span.last - span.first).days >= SHORTEST_DAYS
    left, right = span.x_range
    assert all(left <= tick < right for tick in span.ticks())
    assert 1 <= len(span.ticks()) <= 10


@pytest.mark.parametrize(("since", "until"), [("", ""), ("yesterday", "2021-02-30"), ("2016-01-01", "2025-12-31")])
def test_no_days_or_none_that_are_days_show_the_whole_record(since: str, until: str) -> None:
    assert span_of(since, until, 2016, 2025).is_whole


def test_the_address_keeps_only_days_within_the_record(store: Store) -> None:
    kept = settled(Choices(since="2020-03-04", until="2100-01-01"), store.holdings)
    assert (kept.since, kept.until) == ("2020-03-04", "")
    assert offers(kept, store.holdings)["since"]["from 4 March 2020"] == "2020-03-04"
    assert settled(replace(kept, laid="over"), store.holdings).since == ""


def test_one_year_lies_over_the_others_and_dry_years_are_named(store: Store, chosen: Choices) -> None:
    choices = replace(chosen, semester=DRY, laid="over", group="c4_grass")
    drawn = panels(store, choices)
    assert list(drawn) == ["over-c4_grass", "over-rain", "over-index"]
    layer = drawn["over-c4_grass"].layers
    coloured = [colour in marks.POSITION_COLOURS.values() for colour in layer["marks"]["colour"]]
    assert sum(coloured) == 6  # three sites, spring and fall of 2022
    assert layer["words"]["text"] == ["dry: 2022"]
    joined = [width for width, x0, x1 in zip(layer["bars"]["width"], layer["bars"]["x0"], layer["bars"]["x1"], strict=True) if x0 != x1]
    assert Counter(joined) == {2.5: 3, 0.6: 15}  # a line per site and year, six years
    assert len(drawn["over-rain"].layers["blocks"]["top"]) == len(drawn["over-rain"].layers["ink_marks"]["y"]) == 12
    assert "2022: " in drawn["over-rain"].layers["blocks"]["says"][0]
    assert "drier than 100 % of its own 9 earlier falls" in VIEWS["years"].draw(store, choices).reading


@pytest.mark.parametrize(("role", "has_receipt", "has_observer"), [("instructor", True, True), ("student", False, False)])
def test_behind_a_mark_stand_its_readings_as_the_role_may_see_them(
    stores: dict[str, Store], chosen: Choices, role: str, has_receipt: bool, has_observer: bool
) -> None:
    choices = replace(chosen, semester=DRY, pick="shrub.crest")
    picked = VIEWS["years"].draw(stores[role], choices).picked
    assert picked is not None
    assert picked.readings is not None
    assert picked.title == "Shrubs, Crest, Fall 2022 at midday"
    observations = stores[role]._published.query("select * from observations", [])
    mine = observations[
        (observations["semester"] == DRY) & (observations["functional_group"] == "shrub") & (observations["site"] == "crest")
    ]
    assert len(picked.readings.frame) == len(mine) > 0
    assert set(picked.readings.frame["as_written"]) == set(mine["reading_as_written"] + " bar")
    assert ("observer" in picked.readings.headings) is has_observer
    assert bool(picked.receipts) is has_receipt
    html = picked.html()
    assert ("obs-7" in html) is has_observer
    assert ("2022-fall class.xlsx" in html) is has_receipt
    assert "Data, G3" in html
    assert "late" in html
    assert "<script" not in html


def test_a_reviewer_is_told_that_only_summaries_are_there(stores: dict[str, Store], chosen: Choices) -> None:
    picked = VIEWS["years"].draw(stores["reviewer"], replace(chosen, pick="shrub.crest")).picked
    assert picked is not None
    assert picked.readings is None
    assert "summaries alone" in picked.says


def test_readings_of_a_mark_are_offered_by_name_and_fall_away_where_there_are_none(store: Store, chosen: Choices) -> None:
    assert offers(chosen, store.holdings)["pick"]["listing shrubs, Crest"] == "shrub.crest"
    assert settled(replace(chosen, pick="shrub.crest"), store.holdings).pick == "shrub.crest"
    assert settled(replace(chosen, pick="shrub.nowhere"), store.holdings).pick == ""
    assert settled(replace(chosen, semester="2021-spring", pick="tree.crest"), store.holdings).pick == ""


def test_the_mark_nearest_to_a_click_is_picked_and_none_is_where_none_is_near(store: Store, chosen: Choices) -> None:
    panel = panels(store, chosen)["shrub"]
    layer, size = panel.layers["marks"], (900.0, 160.0)
    assert len(panel.picks) == len(layer["x"])
    day_px = size[0] / (panel.x_range[1] - panel.x_range[0])
    for i in (0, len(panel.picks) - 1):
        assert touch.nearest(panel, (layer["x"][i] + 1 / day_px, layer["y"][i]), size) == panel.picks[i]
    assert touch.nearest(panel, (layer["x"][0] - 30 / day_px, 0.0), size) == ""


def test_a_range_of_the_axis_is_days_both_included() -> None:
    start, end = span_of("2020-01-01", "2021-12-31", 2016, 2025).x_range
    assert touch.days_of(start, end) == {"since": "2020-01-01", "until": "2021-12-31"}
    assert touch.days_of(start + 3.6e6, end - 3.6e6) == {"since": "2020-01-01", "until": "2021-12-31"}


@pytest.mark.parametrize(
    ("done", "changed"),
    [
        ({"event": "rangesupdate", "x0": 0.0, "x1": 2 * 86_400_000.0}, {"since": "1970-01-01", "until": "1970-01-02"}),
        ({"event": "doubletap"}, {"since": "", "until": ""}),
        ({"event": "tap", "x": 5.0, "y": -1.0, "width": 100, "height": 100}, {"semester": "2024-fall", "pick": "shrub.crest"}),
        ({"event": "tap", "x": 9.0, "y": -1.0, "width": 100, "height": 100}, {}),
        ({"event": "tap", "x": 5.0, "y": -1.0, "width": 0, "height": 0}, {"semester": "2024-fall", "pick": "shrub.crest"}),
        ({"event": "ask", "sql": "select 1"}, {"sql": "select 1"}),
        ({"event": "tap", "panel": "gone", "x": 5.0, "y": -1.0, "width": 1, "height": 1}, {}),
    ],
)
def test_what_is_done_in_a_figure_is_a_choice_like_others(done: dict[str, Any], changed: dict[str, str]) -> None:
    panel = Panel("shrub", "", 100, (0.0, 10.0), (-2.0, 0.0), {}, {}, is_on_time=True, picks=["2024-fall.shrub.crest"])
    panel.add("marks", x=5.0, y=-1.0, shape="triangle", size=8, colour="#000", fill_alpha=1.0, line_alpha=1.0, says="")
    assert touch.chosen([panel], json.dumps({"panel": "shrub", "n": 1} | done)) == changed


@pytest.mark.parametrize(
    "told",
    [
        *("", "no JSON", "[1, 2]", "null", '"tap"', "7", "{}", "[" * 100_000, "9" * 5_000),
        *(
            '{"event": "tap", "panel": "shrub"}',
            '{"event": ["tap"], "panel": {}}',
            '{"event": "swipe", "panel": "shrub", "x0": 0, "x1": 1}',
        ),
        '{"event": "tap", "panel": "shrub", "x": "5", "y": -1, "width": 100, "height": 100}',
        '{"event": "tap", "panel": "shrub", "x": true, "y": -1, "width": 100, "height": 100}',
        '{"event": "rangesupdate", "panel": "shrub", "x0": NaN, "x1": 0}',
        '{"event": "rangesupdate", "panel": "shrub", "x0": 0, "x1": Infinity}',
        '{"event": "rangesupdate", "panel": "shrub", "x0": 0, "x1": 1e999}',
        f'{{"event": "rangesupdate", "panel": "shrub", "x0": 0, "x1": 1{"0" * 400}}}',
        *('{"event": "ask"}', '{"event": "ask", "sql": 1}', '{"event": "ask", "sql": "select \\ud800"}'),
    ],
    ids=lambda told: told[:60],
)
def test_what_no_page_tells_changes_nothing_and_is_logged_in_one_line(told: str, caplog: pytest.LogCaptureFixture) -> None:
    panel = Panel("shrub", "", 100, (0.0, 10.0), (-2.0, 0.0), {}, {}, is_on_time=True, picks=["2024-fall.shrub.crest"])
    assert touch.chosen([panel], told) == {}
    assert [record.getMessage() for record in caplog.records] == [
        "A page told of something that is done in no figure; it was left out of account."
    ]


def test_a_range_beyond_the_calendar_is_the_calendars_own() -> None:
    assert touch.days_of(-1e17, 1e17) == {"since": "0001-01-01", "until": "9999-12-31"}

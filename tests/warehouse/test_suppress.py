"""No small cell can be read, nor reckoned back from what a reviewer sees."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ingest.home import Home
from tests.warehouse.tiny_home import levels, reading, receive, scores, tiny_home, write_outcomes
from warehouse.build import build
from warehouse.published import open_published
from warehouse.reviewed import _shown_counts
from warehouse.suppress import hidden_by_group, hidden_cells, is_small, possible_range


@pytest.mark.parametrize(
    ("cells", "threshold", "hidden"),
    [
        # Three levels 17, 6, 4 with total 27, threshold 5: 4 hidden and at least one of the others (by the definition).
        ({"high": 17, "middle": 6, "low": 4}, 5, {"low", "middle"}),
        ({"a": 20, "b": 30}, 10, set()),
        ({"a": 20, "b": 0}, 10, set()),  # nothing is no small cell
        ({"a": 3, "b": 4, "c": 50}, 10, {"a", "b", "c"}),  # 7 together would still be few
        ({"a": 6, "b": 7, "c": 50}, 10, {"a", "b"}),
        ({"a": 4}, 5, {"a"}),
        ({"a": 4, "b": 0}, 5, {"a", "b"}),
        (dict.fromkeys("abcdefghijkl", 1) | {"m": 40}, 10, set("abcdefghijklm")),  # 12 cells of 1 each would tell all
        ({"a": 4, "b": 6}, 1, set()),
    ],
)
def test_cells_are_hidden_with_what_protects_them(cells: dict[str, int], threshold: int, hidden: set[str]) -> None:
    assert hidden_cells(cells, threshold) == hidden


@given(st.dictionaries(st.text(max_size=3), st.integers(1, 60), min_size=1, max_size=12), st.integers(1, 30))
@settings(max_examples=300)
def test_audit_of_bounds_each_hidden_cell_could_have_been_something_else(cells: dict[str, int], threshold: int) -> None:
    hidden = hidden_cells(cells, threshold)
    assert {key for key, count in cells.items() if is_small(count, threshold)} <= hidden
    shown_total = sum(cells.values())
    if hidden and (len(cells) > 1 and shown_total >= threshold and shown_total > len(cells)):
        least, most = possible_range(cells, hidden, least=1)
        assert least < most
        assert all(least <= cells[key] <= most for key in hidden)


@given(st.lists(st.integers(0, 9), min_size=1, max_size=4), st.integers(2, 6))
@settings(max_examples=100)
def test_the_audit_agrees_with_trying_everything(counts: list[int], threshold: int) -> None:
    cells = dict(enumerate(counts))
    hidden = hidden_cells(cells, threshold)
    if not hidden:
        return
    total = sum(cells[key] for key in hidden)
    tried = [values for values in product(range(total + 1), repeat=len(hidden)) if sum(values) == total]
    assert possible_range(cells, hidden) == (min(values[0] for values in tried), max(values[0] for values in tried))


def test_groups_protect_themselves() -> None:
    cells: dict[tuple[str, ...], int] = {
        ("p", "2024-fall", "a"): 3,
        ("p", "2024-fall", "b"): 30,
        ("p", "2025-fall", "a"): 30,
        ("p", "2025-fall", "b"): 40,
    }
    assert hidden_by_group(cells, 10) == {("p", "2024-fall", "a"), ("p", "2024-fall", "b")}


_COUNTS = {"n_rows": 100, "n_accepted": 80, "n_flagged": 20, "n_set_aside": 0, "n_usable": 60, "n_late": 12, "n_observers": 20}


@pytest.mark.parametrize(
    ("changes", "shown"),
    [
        ({}, _COUNTS),
        ({"n_late": 3}, {**_COUNTS, "n_late": None}),
        # A small part would be rows minus the others, and usable readings bound it.
        (
            {"n_accepted": 77, "n_set_aside": 3},
            {**_COUNTS, "n_accepted": 77, "n_flagged": None, "n_set_aside": None, "n_usable": None},
        ),
        ({"n_observers": 4}, dict.fromkeys(_COUNTS)),
        ({"n_observers": 0}, {**_COUNTS, "n_observers": 0}),  # none were written down
        ({"n_rows": 8, "n_accepted": 8, "n_flagged": 0}, dict.fromkeys(_COUNTS)),
    ],
)
def test_counts_of_a_cohort(changes: dict[str, int], shown: dict[str, int | None]) -> None:
    is_suppressed, *values = _shown_counts({**_COUNTS, **changes}, 10)
    assert dict(zip(_COUNTS, values, strict=True)) == shown
    assert is_suppressed == (None in values)


@pytest.fixture(scope="module")
def reviewed(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """Seven falls at two sites; in the first, one site has a small cell. Twelve observers in all but the last."""
    home = tiny_home(tmp_path_factory.mktemp("reviewed") / "home")
    for year in range(2018, 2025):
        rows = []
        for site, plants in (("ridge", 4 if year == 2018 else 12), ("bottom", 12)):
            for n in range(plants):
                place = {"semester": f"{year}-fall", "date": f"{year}-09-10", "site": site}
                rows.append(reading(-1.0 - n / 100, plant=str(n), observer=f"obs_{n % (3 if year == 2024 else 12):012x}", **place))
        receive(home, f"u-{year}", "readings", rows)
    write_outcomes(home, [{"outcome": "reads", "statement": "Reads it", "levels": 4, "target_level": 3}])
    before = scores("pre", {f"stu_{n:02}": [n % 3 / 2, float(n > 11)] for n in range(3, 24)})
    receive(home, "u-scores", "assessment", before + scores("post", {f"stu_{n:02}": [n % 5 / 4, float(n > 5)] for n in range(1, 24)}))
    receive(home, "u-levels", "rubric", levels("reads", {f"stu_{n:02}": 4.0 if n > 4 else 1.0 for n in range(24)}))
    build(home)
    return home


def test_a_reviewer_sees_no_hidden_cell_and_no_index_that_holds_it(reviewed: Home) -> None:
    published = open_published(reviewed, "reviewer")
    found = published.query("SELECT * FROM site_season ORDER BY semester, site").set_index(["semester", "site"])
    first = found.loc["2018-fall"]
    assert first["is_suppressed"].all()  # the small cell, and the one that protects it
    kept = ["program", "functional_group", "sampling_window", "year", "season", "site_name", "topographic_position", "is_suppressed"]
    assert (first[["reason", "sentence"]] == "too few readings: hidden").all(axis=None)
    assert first.drop(columns=[*kept, "reason", "sentence"]).isna().all(axis=None)
    later = found.loc["2024-fall"]
    assert not later["is_suppressed"].any()
    assert later["mean_mpa"].notna().all()
    # Mean minus anomaly is the mean of the history, and a hidden mean is six times that minus the five that are shown.
    against_history = ["anomaly_mpa", "percentile", "z", "robust_z", "history_mean_mpa", "history_sd_mpa", "index_is_bound"]
    assert later[against_history].isna().all(axis=None)
    assert later["sentence"].str.contains("mean water potential").all()
    full = open_published(reviewed, "instructor").query("SELECT * FROM site_season WHERE semester = '2024-fall'")
    # The falls read so much alike that there is no robust index at all, and at one site no z.
    assert full[[name for name in against_history if not name.endswith("z")]].notna().all(axis=None)
    assert {"driest_mpa", "wettest_mpa", "restricted_at_mpa", "pooled_z", "history_sentence"} & set(found.columns) == set()


def test_a_reviewer_sees_no_counts_of_a_cohort_of_few_observers(reviewed: Home) -> None:
    found = open_published(reviewed, "reviewer").query("SELECT * FROM cohort_quality").set_index("semester")
    assert found.loc["2023-fall", "n_rows"] == 24
    assert found.loc["2023-fall", "share_late"] == 0
    assert not {"observer_share", "icc_2_1", "digit_p", "within_plant_sd_mpa", "sentence"} & set(found.columns)
    assert found.loc["2024-fall"].drop(["program", "is_suppressed"]).isna().all()
    assert "section" not in found.columns


def test_reviewers_and_students_have_no_more_than_their_tables(reviewed: Home) -> None:
    names = "SELECT DISTINCT table_name FROM duckdb_columns() WHERE NOT internal"
    reviewer, student = open_published(reviewed, "reviewer"), open_published(reviewed, "student")
    expected = {"site_season", "cohort_quality", "rain_months", "semesters", "sites", "codebook", "build_info"}
    expected |= {"learning_gains", "learning_outcomes", "learning_items"}
    assert set(reviewer.query(names)["table_name"]) == expected
    tables = set(student.query(names)["table_name"])
    assert not {"uploads", "problems", "set_aside", "cohort_quality", "observer_agreement", "assessment_scores", "rubric_levels"} & tables
    assert not {table for table in tables if table.startswith(("learning", "outcome"))}
    for published in (reviewer, student):
        columns = set(published.query("SELECT DISTINCT column_name FROM duckdb_columns() WHERE NOT internal")["column_name"])
        assert not {"observer", "remark", "file_name", "values_as_written"} & columns


@pytest.mark.parametrize("role", ["student", "reviewer"])
def test_no_pseudonym_lies_in_the_bytes_of_a_file(reviewed: Home, role: str) -> None:
    files = sorted(Path(reviewed.published).glob(f"{role}-*.duckdb"))
    assert files
    assert b"obs_0" not in files[-1].read_bytes()
    assert b"stu_0" not in files[-1].read_bytes()


def test_a_reviewer_sees_learning_without_a_small_number(reviewed: Home) -> None:
    """21 came both times, 2 only after; 19 of 24 reached the level, so that 5 did not."""
    published = open_published(reviewed, "reviewer")
    gain = published.query("SELECT * FROM learning_gains").iloc[0]
    assert (gain["n_matched_at_least"], gain["is_suppressed"]) == (20, False)
    told = published.query("SELECT * FROM learning_outcomes WHERE evidence = 'rubric'").iloc[0]
    assert (told["n_scored"], told["share_at_least"], told["is_suppressed"]) == (24, 0.6, True)
    columns = set(published.query("SELECT column_name FROM duckdb_columns() WHERE table_name LIKE 'learning%'")["column_name"])
    assert (
        not {"n_matched", "n_pre_only", "n_post_only", "n_absent", "n_unscored", "n_complete", "d_av", "gain_median_of_students"} & columns
    )
    full = open_published(reviewed, "instructor").query("SELECT * FROM learning_gains").iloc[0]
    assert (full["n_matched"], full["n_pre_only"], full["n_post_only"]) == (21, 0, 2)

"""The corpus of ugly files: nothing wrong in silence, nothing lost, nobody named, and no file that takes the tool down."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from tests.corpus.corpus import corpus
from tests.corpus.judged import judged_together
from tests.corpus.places import invented_home
from tests.corpus.score import HOSTILE, class_of, score_all, score_file
from tests.corpus.truth import Truth, Ugly, a_class, usual
from tests.corpus.verdicts import Verdict, table, told
from tests.corpus.writing import csv_bytes
from tests.ingest.small_lab import check, small_lab, table_of

SHARE_WANTED = 0.95  # of the readings that a file holds and that could be used, after at most the answers


@pytest.fixture(scope="module")
def verdicts(tmp_path_factory: pytest.TempPathFactory) -> list[Verdict]:
    """What became of every file of the corpus."""
    return score_all(corpus(), tmp_path_factory.mktemp("corpus"))


def _lines(found: list[Verdict]) -> str:
    return "\n".join(line for verdict in found for line in told(verdict))


@pytest.mark.slow
def test_nothing_is_wrong_in_silence_or_lost(verdicts: list[Verdict]) -> None:
    guilty = [verdict for verdict in verdicts if verdict.found["WRONG"] or verdict.found["LOST"]]
    assert not guilty, _lines(guilty)


@pytest.mark.slow
def test_no_file_takes_the_tool_down(verdicts: list[Verdict]) -> None:
    crashed = [verdict for verdict in verdicts if verdict.crash]
    assert not crashed, _lines(crashed)
    assert sum(verdict.ugly.trouble == HOSTILE for verdict in verdicts) >= 50


@pytest.mark.slow
def test_receipts_add_up_say_what_was_hidden_and_name_nobody(verdicts: list[Verdict]) -> None:
    blamed = [verdict for verdict in verdicts if verdict.complaints]
    assert not blamed, _lines(blamed)


@pytest.mark.slow
def test_most_readings_come_through_after_at_most_the_answers(verdicts: list[Verdict]) -> None:
    print(table(verdicts))  # noqa: T201  # the score is meant to be seen
    loadable = sum(verdict.loadable for verdict in verdicts)
    assert loadable > 4000
    assert sum(verdict.loaded for verdict in verdicts) >= SHARE_WANTED * loadable


def _row(truth: Truth, **changes: object) -> dict[str, object]:
    leaf = truth.leaf
    row: dict[str, object] = {
        "status": "accepted", "is_structural": False, "usable": True, "flags": "", "reasons": "", "reading_as_written": "1",
        "date": leaf.day, "site": leaf.site, "taxon": leaf.taxon, "semester": leaf.semester, "section": leaf.section, "plant": leaf.plant,
        "leaf": leaf.leaf, "sampling_window": leaf.window, "time_read": leaf.clock, "time_cut": None, "endpoint": leaf.endpoint,
        "balance_pressure_mpa": leaf.pressure_mpa,
    }  # fmt: skip
    return row | changes


@pytest.mark.parametrize(
    ("changes", "expect", "wanted"),
    [
        ({}, "load", "right"),
        ({"flags": "late_reading", "status": "flagged"}, "load", "flagged"),
        ({"status": "set_aside"}, "load", "set aside"),
        ({"status": "set_aside", "is_structural": True}, "load", "LOST"),
        ({"balance_pressure_mpa": 0.1}, "load", "WRONG"),
        ({"balance_pressure_mpa": 0.1, "flags": "unit_doubt", "usable": False}, "load", "flagged"),
        ({"balance_pressure_mpa": 0.1, "flags": "late_reading", "usable": False}, "load", "WRONG"),
        ({"site": "bench"}, "load", "WRONG"),
        ({"site": "bench", "flags": "unit_doubt", "usable": False}, "load", "WRONG"),
        ({"endpoint": "not_reached"}, "load", "WRONG"),
        ({}, "doubt", "WRONG"),
        ({"usable": False, "flags": "reading_doubtful"}, "doubt", "flagged"),
        ({}, "aside", "WRONG"),
    ],
)
def test_the_score_itself_tells_right_from_wrong(changes: dict[str, object], expect: str, wanted: str) -> None:
    truth = usual(a_class(1)).truth[0].but(expect=expect)
    assert class_of(truth, [_row(truth, **changes)])[0] == wanted


def test_the_score_sees_what_is_lost_doubled_or_made_up(tmp_path: Path) -> None:
    home = invented_home(tmp_path / "home")
    grid = usual(a_class(2))
    truth = tuple(grid.truth)
    assert class_of(truth[0], [])[0] == "LOST"
    assert class_of(truth[0], [_row(truth[0]), _row(truth[0])])[0] == "WRONG"
    one_unknown = Ugly(1, "made up", "Fall 2024 Section A.csv", csv_bytes(grid.rows), truth[1:])
    assert score_file(home, one_unknown).found == Counter({"right": len(truth) - 1, "WRONG": 1})


def test_files_that_are_judged_together_are_answered_as_each_alone(tmp_path: Path) -> None:
    home = small_lab(tmp_path / "home")
    files = [
        table_of(),
        table_of(Site=["ridge", "", "swale"], Date=["2024-09-17", "2024-09-17", ""]),
        table_of(**{"Pressure (bar)": ["12", "41", "99999"]}),
        table_of(Read=["13:20", "13:01"]),
        table_of(**{"Pressure (bar)": "99999"}),
    ]

    def read(data: bytes) -> tuple[str, dict[str, list[Any]]]:
        found = check(home, data)
        return found.receipt.as_text(), dict(found.columns)

    alone = [read(data) for data in files]
    assert judged_together(read, files) == alone
    told = {
        code for _, columns in alone for marks in (columns["flags"], columns["reasons"]) for codes in marks for code in codes.split(";")
    }
    assert {"site_missing", "date_missing", "above_chamber_maximum", "reading_absurd"} <= told

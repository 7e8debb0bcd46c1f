"""A reading as a class wrote it: a number with its sign and unit, a bound, a doubt, words, or nothing; never a guess."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingest.cells.numbers import DecimalMark, Written, decimal_mark, limit_in, parse_reading, says_not_reached
from ingest.files.containers import CellValue

# cell, decimal mark of the column, then value, unit, bound, not reached, doubtful
READ: list[tuple[CellValue, DecimalMark | None, float | None, str | None, str | None, bool, bool]] = [
    ("18.5", "point", 18.5, None, None, False, False),
    (18.5, None, 18.5, None, None, False, False),
    (18, None, 18.0, None, None, False, False),
    ("0", None, 0.0, None, None, False, False),
    (0.0, None, 0.0, None, None, False, False),
    (".5", "point", 0.5, None, None, False, False),
    ("-1.8", "point", -1.8, None, None, False, False),
    ("−1.8", "point", -1.8, None, None, False, False),
    ("– 1.8".replace(" ", ""), "point", -1.8, None, None, False, False),
    ("(1.8)", "point", -1.8, None, None, False, False),
    ("18,5", "comma", 18.5, None, None, False, False),
    ("18,5", None, 18.5, None, None, False, False),
    ("1,250", "point", 1250.0, None, None, False, False),
    ("1,250", "comma", 1.25, None, None, False, False),
    ("1,250.5", None, 1250.5, None, None, False, False),
    ("1.250,5", None, 1250.5, None, None, False, False),
    ("1 250", None, 1250.0, None, None, False, False),
    ("1\u202f250,5", None, 1250.5, None, None, False, False),
    ("18.5 bar", "point", 18.5, "bar", None, False, False),
    ("270 PSI", None, 270.0, "psi", None, False, False),
    ("18.5bars", "point", 18.5, "bar", None, False, False),
    ("-1.85 MPa", "point", -1.85, "MPa", None, False, False),
    ("12 kg/cm²", None, 12.0, "kgf/cm2", None, False, False),
    (">40", None, 40.0, None, "above", False, False),
    ("> 550 psi", None, 550.0, "psi", "above", False, False),
    ("≥40", None, 40.0, None, "above", False, False),
    ("40+", None, 40.0, None, "above", False, False),
    ("over 40", None, 40.0, None, "above", False, False),
    ("<2", None, 2.0, None, "below", False, False),
    ("less than 2", None, 2.0, None, "below", False, False),
    ("~38", None, 38.0, None, None, False, True),
    ("38?", None, 38.0, None, None, False, True),
    ("ca. 38", None, 38.0, None, None, False, True),
    ("no water at 40", None, 40.0, None, "above", True, False),
    ("no water by 550 psi", None, 550.0, "psi", "above", True, False),
    ("40 or more", None, 40.0, None, "above", False, False),
    ("40 (max)", None, 40.0, None, "above", True, False),
    ("beyond -4.0", "point", 4.0, None, "above", True, False),
    ("-4.0 or lower", "point", -4.0, None, "below", False, False),
    ("(−)1.8", "point", -1.8, None, None, False, False),
    ("minus 1.8", "point", -1.8, None, None, False, False),
    ("- 1.8", "point", -1.8, None, None, False, False),
    ("1'850", None, 1850.0, None, None, False, False),
    ("18·5", None, 18.5, None, None, False, False),
    ("max", None, None, None, None, True, False),
    ("never reached", None, None, None, None, True, False),
    ("off scale", None, None, None, None, True, False),
    ("１８.５", "point", 18.5, None, None, False, False),
]  # fmt: skip


@pytest.mark.parametrize(("cell", "mark", "value", "unit", "bound", "not_reached", "doubtful"), READ)
def test_a_reading_is_read_as_written(
    cell: CellValue, mark: DecimalMark | None, value: float | None, unit: str | None, bound: str | None, not_reached: bool, doubtful: bool
) -> None:
    written = parse_reading(cell, mark)
    assert written is not None
    assert (written.value, written.unit, written.bound) == (value, unit, bound)
    assert (written.is_not_reached, written.is_doubtful, written.is_missing) == (not_reached, doubtful, False)


# A letter for the digit that it looks like, or a mark too many: read, and marked.
MISTYPED = [("1O", 10.0), ("l8", 18.0), ("1S.O", 15.0), ("18,.5", 18.5), ("18..5", 18.5), ("18.5.", 18.5)]


@pytest.mark.parametrize(("cell", "value"), MISTYPED)
def test_a_slip_of_the_key_is_read_with_a_mark(cell: str, value: float) -> None:
    written = parse_reading(cell, "point")
    assert written is not None
    assert (written.value, written.is_mistyped) == (value, True)


@pytest.mark.parametrize("cell", [None, "", "  ", "-", "--", "NA", "n/a", "N.A.", "none", "x", "lost leaf", "Not measured"])
def test_blank_and_words_for_nothing_are_missing_and_not_zero(cell: CellValue) -> None:
    written = parse_reading(cell, None)
    assert written is not None
    assert written.is_missing
    assert written.value is None


NO_NUMBER: list[tuple[CellValue, DecimalMark | None]] = [
    *((text, None) for text in ("18 19", "18/19", "18-19", "abc", "12 apples", "(18", "18)", "#DIV/0!", "1e3", "--5", "12 34", "1,250")),
    *((text, "point") for text in ("18.5 bar 270 psi", "1.2.3")),
    *((text, "either") for text in ("1,250", "1.250")),
    *((cell, None) for cell in (True, math.nan, math.inf)),
]


@pytest.mark.parametrize(("cell", "mark"), NO_NUMBER)
def test_what_is_no_one_number_is_not_read(cell: CellValue, mark: DecimalMark | None) -> None:
    assert parse_reading(cell, mark) is None


MARKS: list[tuple[list[CellValue], DecimalMark | None]] = [
    (["18.5", "19"], "point"),
    (["18,5", "19"], "comma"),
    (["18,5", "1.250"], "either"),
    (["18", "19", 20.5, None], None),
    (["1,250"], None),
    (["1,2505"], "comma"),
    (["1,250.5"], "point"),
]


@pytest.mark.parametrize(("cells", "mark"), MARKS)
def test_a_column_shows_its_decimal_mark_or_does_not(cells: list[CellValue], mark: DecimalMark | None) -> None:
    assert decimal_mark(cells) == mark


REMARKS = [
    ("no bubbles by 550 psi", (550.0, "psi")),
    ("No water at 40", (40.0, None)),
    ("read at 40 bar", None),
    (">40", (40.0, None)),
    ("over 550 psi", (550.0, "psi")),
    ("no bubbles until 17.5", None),  # and then there were some
    ("leaf 2: no water by 40 bar", (40.0, "bar")),  # the number of a leaf is no limit
    ("plot 2: no water by 40 bar", None),  # two numbers: which is the limit is not ours to say
    ("no endpoint", None),
    ("", None),
]


@pytest.mark.parametrize(("remark", "limit"), REMARKS)
def test_a_remark_names_a_limit_only_where_it_names_one(remark: str, limit: tuple[float, str | None] | None) -> None:
    assert limit_in(remark) == limit


def test_an_ordinary_remark_does_not_say_that_no_endpoint_was_reached() -> None:
    assert not any(says_not_reached(text) for text in ("bubbles at 20", "water clear", "max leaf size", "reached quickly", "nothing odd"))


@given(st.floats(min_value=0, max_value=900).map(lambda number: round(number, 2)))
def test_a_number_comes_back_from_its_text_with_either_decimal_mark(number: float) -> None:
    assert parse_reading(f"{number:.2f}", "point") == Written(f"{number:.2f}", number)
    comma = f"{number:.2f}".replace(".", ",")
    assert parse_reading(comma, "comma") == Written(comma, number)


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused_without_failing_and_never_as_infinite(text: str) -> None:
    written = parse_reading(text, decimal_mark([text]))
    assert written is None or written.value is None or math.isfinite(written.value)

"""Delimited text and web pages: encodings, quotes and separators as programs and hands leave them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingest.files.delimited import decode, mended, split
from ingest.files.web_tables import tables_of
from ingest.home import Home
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, every_row


@pytest.mark.parametrize(
    ("data", "text"),
    [
        ("Cañada −1.2".encode(), "Cañada −1.2"),
        ("\ufeffCañada".encode(), "Cañada"),
        ("Cañada – 20 °C".encode("cp1252"), "Cañada – 20 °C"),
        ("Cañada ".encode() + "20 °C".encode("cp1252"), "Cañada 20 °C"),
        ("Ψ (MPa), site".encode("utf-16"), "Ψ (MPa), site"),
        ("Date,Site,Ψ".encode("utf-16-be"), "Date,Site,Ψ"),
        (b"Ridge\x00 Top", "Ridge Top"),
    ],
)
def test_bytes_are_decoded(data: bytes, text: str) -> None:
    assert decode(data) == text


@given(st.text(st.characters(codec="utf-8", exclude_characters="\x00")))
def test_what_was_decoded_twice_is_put_right_and_what_was_not_stays(text: str) -> None:
    spoilt = "".join(bytes([byte]).decode("cp1252", errors="ignore") or chr(byte) for byte in text.encode())
    # Two runs of foreign letters beside each other may both be put right; the text that they came from must be among the steps.
    assert mended(spoilt) in (text, mended(text))


@pytest.mark.parametrize("text", ["Cañada", "°", "½ shaded – hot", "Ψ (−MPa)", "naïve Ångström"])
def test_letters_that_are_right_stay(text: str) -> None:
    assert mended(text) == text


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("a,b,c\n1,2,3\n", [["a", "b", "c"], ["1", "2", "3"]]),
        ("a;b;c\n1,5;2;3\n", [["a", "b", "c"], ["1,5", "2", "3"]]),
        ('a,b,c\n1,2,"two\nlines"\n', [["a", "b", "c"], ["1", "2", "two\nlines"]]),
        ('a,b,c\n1,2,"windy\n3,4,"hot\n5,6,x\n', [["a", "b", "c"], ["1", "2", '"windy'], ["3", "4", '"hot'], ["5", "6", "x"]]),
        ('a,b,c\n1,2,"\n3,4,"\n5,6,x\n', [["a", "b", "c"], ["1", "2", '"'], ["3", "4", '"'], ["5", "6", "x"]]),
        ('"a,b,c"\n"1,2,3"\n"4,5,6"\n', [["a", "b", "c"], ["1", "2", "3"], ["4", "5", "6"]]),
        ("| a | b |\n|---|---|\n| 1 | 2 |\n", [[None, "a", "b", None], [None] * 4, [None, "1", "2", None]]),
    ],
)
def test_text_is_split_into_cells(text: str, rows: list[list[str | None]]) -> None:
    assert split(text) == [[cell or None for cell in row] if row != [""] else [] for row in rows]


TITLES = ["", "Fall 2024, section A\n", "Fall 2024, section A, the ridge, read to 0,5\n", "Fall 2024; or so\n", "a|b, c|d\n"]


@pytest.mark.parametrize("title", TITLES)
@pytest.mark.parametrize(("separator", "mark"), [(";", ","), ("\t", ","), ("|", ","), (";", "."), ("\t", "."), ("|", "."), (",", ".")])
@pytest.mark.parametrize(
    "table",
    [
        [["Plant", "Pressure (bar)"], *([str(at), f"{at + 10}{{}}5"] for at in range(1, 6))],
        [["Predawn", "Midday"], *([f"{at}{{}}5", f"{at + 10}{{}}5"] for at in range(1, 6))],
        [["Plant", "Site", "Reading"], *([str(at), "ridge", f"{at + 10}{{}}5"] for at in range(1, 6))],
    ],
)
def test_the_separator_is_found_under_any_title_and_with_any_decimal_mark(
    table: list[list[str]], separator: str, mark: str, title: str
) -> None:
    rows = [[cell.format(mark) for cell in row] for row in table]
    found = split(title + "\n".join(separator.join(row) for row in rows))
    assert [[(cell or "").strip() for cell in row] for row in found[1 if title else 0 :]] == rows


@pytest.mark.parametrize(
    ("remarks", "cells"),
    [(["ok; dry"] * 4, 4), (["ok; dry", "a, b; c", "x; y", "1; 2"], 4), (["a; b; c", "ok", "ok", "a; b; c"], 4), (["1|2"] * 4, 4)],
)
def test_other_separators_within_the_remarks_of_a_comma_file_split_nothing(remarks: list[str], cells: int) -> None:
    rows = split("\n".join(["Plant,Leaf,Pressure,Remark", *(f"{at},1,18.5,{remark}" for at, remark in enumerate(remarks))]))
    assert [len(row) >= cells for row in rows] == [True] * 5
    assert rows[1][:3] == ["0", "1", "18.5"]


def _lines(*readings: str, tail: str = "") -> bytes:
    head = ",".join(HEADERS)
    made = [",".join([*TRUE_ROWS[0][:5], str(at), "1", "Ola Quist", reading]) + tail for at, reading in enumerate(readings, 1)]
    return "\n".join([head, *made]).encode()


def test_a_decimal_comma_that_parts_a_reading_is_joined_and_said(lab: Home) -> None:
    checked = check(lab, _lines("18,5", "19", "20,5", tail=","))
    readings = [row["reading_as_written"] for row in every_row(checked) if not row["is_structural"]]
    assert readings == ["18,5", "19", "20,5"]
    assert any("decimal mark (row 2, 4)" in note for note in checked.receipt.notes)


def test_commas_of_a_remark_belong_to_it_and_others_set_the_row_aside(lab: Home) -> None:
    checked = check(lab, _lines("18.5,windy, and hot", "19,fine", "20.5,3,4,5"))
    rows = [row for row in every_row(checked) if not row["is_structural"]]
    assert [row["reasons"] for row in rows] == ["", "", "row_shifted"]
    assert rows[0]["remark"] == "windy, and hot"


@pytest.mark.parametrize(
    ("page", "tables"),
    [
        ("<table><tr><td>a<td>b</table>", [[["a", "b"]]]),
        ("<table><tr><td colspan=2>a<td>b</table>", [[["a", None, "b"]]]),
        ("<table><tr><td rowspan=2>a<td>1<tr><td>2</table>", [[["a", "1"], ["a", "2"]]]),
        ("<table><tr><td>1<td rowspan=3>a<tr><td>2<tr><td>3</table>", [[["1", "a"], ["2", "a"], ["3", "a"]]]),
        ("<table><tr><td>out<table><tr><td>in</table></table>", [[["out"]], [["in"]]]),
        ("<table><tr><td rowspan=999999999>a</table>", [[["a"]]]),
    ],
)
def test_tables_of_a_page(page: str, tables: list[list[list[str | None]]]) -> None:
    assert tables_of(page) == tables

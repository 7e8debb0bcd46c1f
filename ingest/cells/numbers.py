"""Parse a reading as a class wrote it: a number, a bound, a unit beside it, or words instead of a value."""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass, replace
from typing import Literal

from ingest.cells.leaves_named import without_leaves
from ingest.cells.words import remark_pattern, words_for
from ingest.files.containers import CellValue
from ingest.folding import fold
from ingest.units import units_in, without_units

Bound = Literal["above", "below"]
DecimalMark = Literal["point", "comma", "either"]

_SIGNS = str.maketrans(
    {
        "−": "-",
        "‐": "-",
        "‑": "-",
        "–": "-",
        "—": "-",
        "‒": "-",
        "﹣": "-",
        "＋": "+",
        "≥": ">",
        "≤": "<",
        "⩾": ">",
        "\u00a0": " ",
        "\u202f": " ",
        "≈": "~",
        "·": ".",
        "٫": ".",
        "’": "'",
        **dict.fromkeys(
            "\u200b\u200c\u200d\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2060\u2066\u2067\u2068\u2069\ufeff"
        ),  # seen by nobody
    }
)
_NUMBER = r"[-+]?\s?(?:\d[\d,.' ]*\d|\d|[.,]\d+)"
_BEYOND_WORDS = "beyond|past|exceed(?:s|ed|ing)?"  # in size, whatever the sign
_ABOVE_WORDS = f"(?:more|greater|higher|larger) than|at least|over|above|{_BEYOND_WORDS}"
_BELOW_WORDS = "(?:less|lower|smaller|drier|more negative) than|under|below|up to|at most|before"
_WRITTEN = re.compile(
    rf"(?:(?P<above>>+=?|{_ABOVE_WORDS})|(?P<below><+=?|{_BELOW_WORDS}))?\s*(?P<doubt>~|ca\.?|about|approx\.?|around|roughly|maybe|prob(?:ably|\.)?)?\s*"
    rf"(?P<minus>\(-\)|minus|neg(?:ative|\.)?)?\s*(?P<open>\()?\s*(?P<number>{_NUMBER})\s*(?P<close>\))?\s*(?P<behind>-)?"
    rf"(?:(?P<plus>\++|(?:or|and) (?:more|above|over|up|higher))|(?P<less>(?:or|and) (?:less|below|under|lower)))?\s*(?P<ask>\(?\?+\)?)?!*"
)
# A letter for the digit that it looks like ("l7.5", "2O"), and a point too many: read with a mark.
_LETTERS = str.maketrans({"l": "1", "i": "1", "|": "1", "o": "0", "s": "5"})
_OTHER_UNIT = re.compile(
    r"\s*(?:lbs?|pounds?|kilos?|k?g|hpa|m?bars?|millibars?|torr|mm|cm|inches|hg|g?pa|ksi|b|m)\b"
)  # of which none is known
_FORMULAS = re.compile(r"\b(?:h2o|n2|co2|o2)\b")  # no numbers of theirs
_WITH_WORDS = re.compile(r"(?P<number>\D{0,8}\d[\d.,]*)(?P<words>(?:[\s(\[,;:*†‡#!-]|ish\b)\D*|)")
_MISTYPED = re.compile(r"[-+]?(?=.*\d)(?:[\dlio|]|(?<=\d)s(?=[\d.,]))+(?:[.,]{1,2}[\dlio|]+)?\s?[.,']?")


@dataclass(frozen=True)
class Written:
    """A reading as written.

    Attributes:
        value: the number with its sign, in `unit` where the cell names one, else in the column's unit; None where there is none.
        bound: `above` where the pressure was above the number ("&gt;40"), `below` where it was below.
        is_not_reached: the cell says in words that no endpoint was reached.
        is_doubtful: the writer marked the number as uncertain ("~38", "38?").
        is_mistyped: a letter stands for a digit, or a point is too many: what was meant is likely, not certain.
        is_missing: blank, or a word that stands for no value.
    """

    text: str
    value: float | None = None
    unit: str | None = None
    bound: Bound | None = None
    is_not_reached: bool = False
    is_doubtful: bool = False
    is_mistyped: bool = False
    is_missing: bool = False


def parse_reading(cell: CellValue, decimal: DecimalMark | None) -> Written | None:
    """Parse one cell of a column of readings; None where it cannot be read.

    Args:
        cell: as it came from the file.
        decimal: which mark the column uses for decimals, as `decimal_mark` tells.
    """
    if cell is None:
        return Written("", is_missing=True)
    if isinstance(cell, bool) or not isinstance(cell, (str, int, float)):
        return None
    if not isinstance(cell, str):
        number = float(cell)
        return Written(_shown(number), number) if math.isfinite(number) else None
    text = re.sub(r"^=\s*(?=[-+]?\d)", "", unicodedata.normalize("NFKC", cell.translate(_SIGNS)).strip().lstrip("'").strip('"'))
    words = fold(text)
    if words in words_for("reading") or not text.strip("-./\\"):
        return Written(text, is_missing=True)
    units = {unit for unit, _ in units_in(text)}
    bare = without_units(text).rstrip(" .,;:") if units else text.casefold()
    match = None if re.search(r"[.,]{2}", bare) else _WRITTEN.fullmatch(bare)
    if match and len(units) <= 1:
        return _from_match(match, text, next(iter(units), None), decimal)
    if _MISTYPED.fullmatch(bare) and len(units) <= 1:
        value = _number(re.sub(r"([.,])[.,]+", r"\1", bare.translate(_LETTERS)).rstrip(".,' "), decimal)
        return None if value is None else Written(text, value, next(iter(units), None), is_mistyped=True)
    if says_not_reached(text) or remark_pattern("not_reached_here").search(words):
        return _limit_in_words(text, bare, next(iter(units), None) if len(units) == 1 else None, decimal)
    return None


def number_and_words(cell: CellValue, decimal: DecimalMark | None) -> Written | None:
    """A number with words or a mark behind it, which `parse_reading` cannot read: "19 (dead)", "20ish", "18*"; None where it is none.

    The number is kept and marked as uncertain, unless the words only say yes to it.
    """
    if not isinstance(cell, str) or len(units := {unit for unit, _ in units_in(cell)}) > 1:
        return None
    text = re.sub(r"(±|\+/?-)\s*[\d.,]+\s*$", "", cell.translate(_SIGNS))
    found = _WITH_WORDS.fullmatch(without_units(text).rstrip() if units else text.strip().casefold())
    if found is None:
        return None
    written = parse_reading(found["number"], decimal)
    if written is None or written.value is None or _OTHER_UNIT.match(found["words"]):
        return None
    is_fine = words_for("answer").get(fold(found["words"])) == "yes"
    return replace(written, text=cell.strip(), unit=next(iter(units), None), is_doubtful=written.is_doubtful or not is_fine)


def decimal_mark(cells: list[CellValue]) -> DecimalMark | None:
    """Which decimal mark the texts of a column show: either where both stand in it, None where none shows for certain."""
    has_comma = has_point = False
    for cell in cells:
        if isinstance(cell, str):
            has_point = has_point or re.search(r"\d\.\d", cell) is not None
            has_comma = has_comma or re.search(r"(?<!\d)\d*,(\d{1,2}|\d{4,})(?![\d,.])", cell) is not None
    if has_comma:
        return "either" if has_point else "comma"
    return "point" if has_point else None


def says_not_reached(text: str) -> bool:
    """True where a text says that no endpoint was reached."""
    said = remark_pattern("harmless").sub(" ", fold(text))
    return remark_pattern("not_reached").search(said) is not None


def limit_in(remark: str) -> tuple[float, str | None] | None:
    """The pressure and unit that a remark names as reached without water ("no bubbles by 550 psi", ">40"), or None."""
    written = parse_reading(remark, None)
    if written and written.bound == "above" and written.value is not None:
        # "max 40" says it; "max temp 31" and "nothing until 27" say other things.
        is_said = not written.is_not_reached or says_not_reached(remark) or not remark_pattern("harmless").search(fold(remark))
        return (abs(written.value), written.unit) if is_said else None
    if not says_not_reached(remark):
        return None
    text = unicodedata.normalize("NFKC", without_leaves(remark).translate(_SIGNS)).casefold()
    numbers = re.findall(r"\d+(?:\.\d+)?", _FORMULAS.sub(" ", text))
    units = {unit for unit, _ in units_in(text)}
    if len(numbers) != 1 or len(units) > 1 or not math.isfinite(float(numbers[0])):
        return None
    return float(numbers[0]), next(iter(units), None)


def _from_match(match: re.Match[str], text: str, unit: str | None, decimal: DecimalMark | None) -> Written | None:
    value = _number(match["number"], decimal)
    if value is None or bool(match["open"]) != bool(match["close"]):
        return None
    if match["open"] or match["behind"] or match["minus"]:
        value = -abs(value)  # negative as book-keepers write it: (1.2) or 1.2-
    bound: Bound | None = "above" if match["above"] or match["plus"] else "below" if match["below"] or match["less"] else None
    if match["above"] and re.fullmatch(_BEYOND_WORDS, match["above"]):
        return Written(text, abs(value), unit, "above", is_not_reached=True)
    return Written(text, value, unit, bound, is_doubtful=bool(match["doubt"] or match["ask"]))


def _limit_in_words(text: str, bare: str, unit: str | None, decimal: DecimalMark | None) -> Written:
    numbers = re.findall(_NUMBER, _FORMULAS.sub(" ", bare))
    value = _number(numbers[0].strip(), decimal) if len(numbers) == 1 else None
    written = Written(text, value, unit, "above" if value is not None else None, is_not_reached=True)
    return written if value is None else replace(written, value=abs(value))


def _number(text: str, decimal: DecimalMark | None) -> float | None:
    text = re.sub(r"^([-+])\s", r"\1", text)
    if " " in text and not re.fullmatch(r"[-+]?\d{1,3}( \d{3})+([.,]\d+)?", text):
        return None  # two numbers in a cell, not one with its thousands apart
    digits = re.sub(r"(?<=\d)'(?=\d{3}(?:\D|$))", "", text.replace(" ", ""))
    if "," in digits and "." in digits:
        # The mark that comes last is the decimal one; the other groups thousands.
        group, mark = (",", ".") if digits.rindex(".") > digits.rindex(",") else (".", ",")
        digits = digits.replace(group, "").replace(mark, ".")
    elif "," in digits:
        if re.fullmatch(r"[-+]?\d{1,3}(,\d{3})+", digits) and decimal != "comma":
            if decimal != "point":
                return None  # 1,250 may be one and a quarter or one thousand two hundred and fifty
            digits = digits.replace(",", "")
        elif decimal in ("either", "point") and not re.fullmatch(r"[-+]?\d+,\d", digits):
            return None  # beside decimal points, 17,19 may be two readings; 17,5 is one
        else:
            digits = digits.replace(",", ".")
    elif decimal == "either" and re.fullmatch(r"[-+]?\d{1,3}(\.\d{3})+", digits):
        return None  # in a column of decimal commas, 1.250 may be one thousand two hundred and fifty
    try:
        number = float(digits)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def _shown(number: float) -> str:
    return f"{number:.0f}" if number.is_integer() and abs(number) < 1e15 else repr(number)

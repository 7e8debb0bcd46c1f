"""Parse a reading as a class wrote it: a number, a bound, a unit beside it, or words instead of a value."""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass, replace
from typing import Literal

from ingest.containers import CellValue
from ingest.folding import fold
from ingest.units import units_in, without_units
from ingest.words import remark_pattern, words_for

Bound = Literal["above", "below"]
DecimalMark = Literal["point", "comma", "either"]

_AT_MAXIMUM = re.compile(r"\b(max|maximum)\b")  # in the cell of a reading; in a remark the word may mean anything
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
    }
)
_NUMBER = r"[-+]?(?:\d[\d,. ]*\d|\d|[.,]\d+)"
_WRITTEN = re.compile(
    rf"(?P<bound>>=?|<=?|more than|greater than|at least|over|above|less than|under|below|up to)?\s*(?P<doubt>~|ca\.?|about|approx\.?)?\s*"
    rf"(?P<open>\()?\s*(?P<number>{_NUMBER})\s*(?P<close>\))?\s*(?P<behind>-)?(?P<plus>\+)?\s*(?P<ask>\?+)?"
)
_BELOW = ("<", "<=", "less than", "under", "below", "up to")


@dataclass(frozen=True)
class Written:
    """A reading as written.

    Attributes:
        value: the number with its sign, in `unit` where the cell names one, else in the column's unit; None where there is none.
        bound: `above` where the pressure was above the number ("&gt;40"), `below` where it was below.
        is_not_reached: the cell says in words that no endpoint was reached.
        is_doubtful: the writer marked the number as uncertain ("~38", "38?").
        is_missing: blank, or a word that stands for no value.
    """

    text: str
    value: float | None = None
    unit: str | None = None
    bound: Bound | None = None
    is_not_reached: bool = False
    is_doubtful: bool = False
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
    text = unicodedata.normalize("NFKC", cell.translate(_SIGNS)).strip()
    words = fold(text)
    if words in words_for("reading") or text in ("-", "--", "---", "."):
        return Written(text, is_missing=True)
    units = {unit for unit, _ in units_in(text)}
    bare = without_units(text) if units else text.casefold()
    match = _WRITTEN.fullmatch(bare)
    if match and len(units) <= 1:
        return _from_match(match, text, next(iter(units), None), decimal)
    if says_not_reached(text) or _AT_MAXIMUM.search(text.casefold()):
        return _limit_in_words(text, bare, next(iter(units), None) if len(units) == 1 else None, decimal)
    return None


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
    """The pressure and unit that a remark names as reached without water ("no bubbles by 550 psi"), or None."""
    if not says_not_reached(remark):
        return None
    text = unicodedata.normalize("NFKC", remark.translate(_SIGNS)).casefold()
    numbers = re.findall(r"\d+(?:\.\d+)?", text)
    units = {unit for unit, _ in units_in(text)}
    if len(numbers) != 1 or len(units) > 1:
        return None
    return float(numbers[0]), next(iter(units), None)


def _from_match(match: re.Match[str], text: str, unit: str | None, decimal: DecimalMark | None) -> Written | None:
    value = _number(match["number"], decimal)
    if value is None or bool(match["open"]) != bool(match["close"]):
        return None
    if match["open"] or match["behind"]:
        value = -abs(value)  # negative as book-keepers write it: (1.2) or 1.2-
    bound: Bound | None = None
    if match["bound"] or match["plus"]:
        bound = "below" if match["bound"] in _BELOW else "above"
    return Written(text, value, unit, bound, is_doubtful=bool(match["doubt"] or match["ask"]))


def _limit_in_words(text: str, bare: str, unit: str | None, decimal: DecimalMark | None) -> Written:
    numbers = re.findall(_NUMBER, bare)
    value = _number(numbers[0], decimal) if len(numbers) == 1 else None
    written = Written(text, value, unit, "above" if value is not None else None, is_not_reached=True)
    return written if value is None else replace(written, value=abs(value))


def _number(text: str, decimal: DecimalMark | None) -> float | None:
    if " " in text and not re.fullmatch(r"[-+]?\d{1,3}( \d{3})+([.,]\d+)?", text):
        return None  # two numbers in a cell, not one with its thousands apart
    digits = text.replace(" ", "")
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
        return float(digits)
    except ValueError:
        return None


def _shown(number: float) -> str:
    return f"{number:.0f}" if number.is_integer() and abs(number) < 1e15 else repr(number)

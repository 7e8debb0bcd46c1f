"""Parse the dates of a column; what the column as a whole cannot decide, the order of day and month, is left open."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Literal

from ingest.files.containers import CellValue
from ingest.folding import fold

Order = Literal["day-first", "month-first", "year-first"]
_MONTHS = (
    "jan january januar ene enero", "feb febr february februar", "mar march mrz maerz marzo", "apr april abr abril", "may mai mayo",
    "jun june juni junio", "jul july juli julio", "aug august ago agosto", "sep sept september septiembre",
    "oct october okt oktober octubre",
    "nov november noviembre", "dec december dez dezember dic diciembre",
)  # fmt: skip
MONTH_WORDS = {word: number for number, words in enumerate(_MONTHS, start=1) for word in words.split()}
SHORTEST_MISSPELT, MISSPELT = 6, 80.0  # "Setpember", and no shorter word
_WEEKDAYS = r"(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?"
_EPOCH = date(1899, 12, 30)  # day 0 of spreadsheet serial numbers after February 1900
_SERIALS = (20_000, 60_000)  # 1954 to 2064
JOINED_YEARS = range(2010, 2050)  # digits that run together are a date only of these: other numbers are long too
_PART = r"\s*[/.\-_\\|]{1,2}\s*"
_NUMERIC = re.compile(rf"(\d{{1,2}}){_PART}(\d{{1,2}})(?:{_PART}'?(\d{{4}}|\d{{2}}))?\.?")
_JOINED = re.compile(r"(\d{1,2})(\d{2})(20\d{2}|\d{2})")
_ISO = re.compile(r"(\d{4})(?:[/.\-_](\d{1,2})[/.\-_](\d{1,2})|(\d{2})(\d{2}))")
_CLOCK_BEHIND = re.compile(
    r"(?:T|,?\s+(?:at\s+)?)(\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?\s*(?:[ap]\.?m\.?)?)\s*(Z|[+\-]\d\d:?\d\d|(?:[ECMP][SD]|GM|U)TC?)?$",
    re.IGNORECASE,
)
_WEEKDAY = re.compile(rf"^{_WEEKDAYS}\b\.?,?\s*|[,\s(]*\b{_WEEKDAYS}\.?\)?$", re.IGNORECASE)
_ROMAN = re.compile(r"(\d{1,2})[. /\-]\s*(x|xi|xii|i{1,3}|iv|v|vi{1,3}|ix)[. /\-]\s*(\d{4}|\d{2})", re.IGNORECASE)
_ROMANS = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii")


@dataclass(frozen=True)
class PartialDate:
    """A date as written before the year, or the order of day and month, is known."""

    first: int
    second: int
    year: int | None
    is_ordered: bool  # True: first is the day, second the month
    is_short: bool = False  # the year has two digits: it may be a day, and the first number the year

    def resolve(self, order: Order, year: int | None) -> date | None:
        """The date under an order of day and month, or None where there is no such day."""
        if order == "year-first" and not self.is_ordered:
            return _day(2000 + self.first, self.second, self.year - 2000) if self.is_short and self.year else None
        use_year = self.year or year
        day, month = (self.first, self.second) if self.is_ordered or order == "day-first" else (self.second, self.first)
        return _day(use_year, month, day) if use_year else None

    @property
    def is_possible(self) -> bool:
        """True where some order of day and month makes it a day."""
        return min(self.first, self.second) in range(1, 13) and max(self.first, self.second) <= 31


def parse_date(cell: CellValue) -> date | PartialDate | None:
    """One cell of a column of dates; None where it is no date."""
    if isinstance(cell, datetime):
        return cell.date()
    if isinstance(cell, date):
        return cell
    if isinstance(cell, (int, float)) and not isinstance(cell, bool):
        if _SERIALS[0] <= cell <= _SERIALS[1]:  # a serial number whose format was lost
            return _EPOCH + timedelta(days=int(cell))
        return _joined(str(int(cell))) if float(cell).is_integer() and cell > 0 else None
    return _parse_text(_plain(cell)) if isinstance(cell, str) else None


def _parse_text(text: str) -> date | PartialDate | None:
    text = _WEEKDAY.sub("", _CLOCK_BEHIND.sub("", text).strip()).strip()
    if re.fullmatch(r"[2-5]\d{4}(\.\d+)?", text):
        return parse_date(float(text))
    if match := _ISO.fullmatch(text):
        found = _day(int(match[1]), int(match[2] or match[4]), int(match[3] or match[5]))
        if found or match[2]:
            return found
    if match := _NUMERIC.fullmatch(text):
        return PartialDate(int(match[1]), int(match[2]), _full_year(match[3]), is_ordered=False, is_short=len(match[3] or "") == 2)
    if match := _ROMAN.fullmatch(text):
        return _day(_full_year(match[3]) or 0, _ROMANS.index(match[2].casefold()) + 1, int(match[1]))
    return _joined(text) if text.isdecimal() else _date_in_words(text)


def _plain(text: str) -> str:
    """The text without invisible marks, quotes and brackets around it; dashes are dashes, and O and l between digits are digits."""
    plain = "".join(character for character in unicodedata.normalize("NFKC", text) if unicodedata.category(character) != "Cf")
    plain = re.sub(r"[\u2010-\u2015\u2212]", "-", plain).strip(" \t\r\n'\"`´")
    plain = plain[1:-1] if plain.startswith("(") and plain.endswith(")") else plain
    plain = re.sub(r"(?<=\d)[oO](?=[\d/.\-]|$)|(?<=[\d/.\-])[oO](?=\d)", "0", plain)
    return re.sub(r"(?<=[\d/.\-])[lI](?=\d)|(?<=\d)[lI](?=[/.\-])", "1", plain).strip()


def _joined(digits: str) -> date | PartialDate | None:
    """Digits without a mark between them: 20240917, 09172024, 91724."""
    if (match := _ISO.fullmatch(digits)) and (found := _day(int(match[1]), int(match[4] or 0), int(match[5] or 0))):
        return found
    match = _JOINED.fullmatch(digits)
    year = _full_year(match[3]) if match else None
    if match is None or year not in JOINED_YEARS:
        return None
    partial = PartialDate(int(match[1]), int(match[2]), year, is_ordered=False, is_short=len(match[3]) == 2)
    return partial if partial.is_possible else None


def clock_in(cell: CellValue) -> CellValue:
    """The clock time within a cell of dates, as it stands there; None for midnight, for none, and for the time of another zone."""
    if isinstance(cell, datetime):
        return cell.time() if cell.time() != time(0) else None
    if isinstance(cell, float) and _SERIALS[0] <= cell <= _SERIALS[1]:
        return cell % 1 or None
    found = _CLOCK_BEHIND.search(_plain(cell)) if isinstance(cell, str) else None
    if (
        found is None
        or (found[2] or "").upper() in ("Z", "UTC", "GMT")
        or re.fullmatch(r"0?0:00(:00.*)?|12:00(:00)? ?am", found[1].strip(), re.I)
    ):
        return None
    return found[1].strip()


def date_order(cells: Iterable[date | PartialDate | None], is_plausible: dict[Order, float]) -> Order | None:
    """The order of day and month that the column as a whole shows, or None where it shows neither.

    Args:
        cells: parsed dates.
        is_plausible: for each order the share of the dates that it puts within a semester, from 0 to 1.
    """
    unordered = [cell for cell in cells if isinstance(cell, PartialDate) and not cell.is_ordered and cell.is_possible]
    by_numbers = _order_by_numbers(unordered)
    if is_plausible.get("year-first") == 1.0 and unordered:
        # 24-09-23 is a day of 2024, or of 2023: only where one of the two lies in no semester is it the other.
        others = [is_plausible[by_numbers]] if by_numbers else [is_plausible["day-first"], is_plausible["month-first"]]
        return None if max(others) == 1.0 else "year-first"
    if by_numbers or any(max(cell.first, cell.second) > 12 for cell in unordered):
        return by_numbers
    if all(cell.first == cell.second for cell in unordered):
        return "month-first"  # 9/9 is the same day either way
    fits: list[Order] = [order for order, share in is_plausible.items() if share == 1.0]
    return fits[0] if len(fits) == 1 else None


def _order_by_numbers(unordered: list[PartialDate]) -> Order | None:
    """The order that numbers above 12 show. One flipped date among many does not turn the column; a mixture is nobody's to decide."""
    day_first = sum(cell.first > 12 for cell in unordered)
    month_first = sum(cell.second > 12 for cell in unordered)
    if min(day_first, month_first) * 10 > max(day_first, month_first) or day_first == month_first:
        return None
    return "day-first" if day_first > month_first else "month-first"


def _date_in_words(text: str) -> date | PartialDate | None:
    parted = re.sub(r"(?<=\d)(?=[A-Za-z])(?!st|nd|rd|th)|(?<=[A-Za-z])(?=\d)", " ", text)
    words = [word for word in fold(parted).split() if word not in ("of", "the", "de")]
    if len(words) not in (2, 3):
        return None
    months = [found for word in words if word.isalpha() and (found := _month_named(word))]
    numbers = [re.sub(r"(st|nd|rd|th)$", "", word) for word in words if not word.isalpha()]
    if len(months) != 1 or len(numbers) != len(words) - 1 or not all(number.isdigit() and len(number) <= 4 for number in numbers):
        return None
    if len(numbers) == 1:
        return PartialDate(int(numbers[0]), months[0], None, is_ordered=True)
    day, year = (numbers[1], numbers[0]) if len(numbers[0]) == 4 else (numbers[0], numbers[1])
    return _day(_full_year(year) or 0, months[0], int(day))


def _month_named(word: str) -> int | None:
    if word in MONTH_WORDS or len(word) < SHORTEST_MISSPELT:
        return MONTH_WORDS.get(word)
    from rapidfuzz import fuzz, process

    near = process.extractOne(word, list(MONTH_WORDS), scorer=fuzz.ratio, score_cutoff=MISSPELT)
    return MONTH_WORDS[near[0]] if near else None


def _full_year(text: str | None) -> int | None:
    if text is None:
        return None
    return int(text) if len(text) == 4 else 2000 + int(text)


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None

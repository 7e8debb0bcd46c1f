"""Parse the dates and clock times of a column; what the column as a whole cannot decide is left open."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Literal

from ingest.containers import CellValue
from ingest.folding import fold

Order = Literal["day-first", "month-first"]
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_EPOCH = date(1899, 12, 30)  # day 0 of spreadsheet serial numbers after February 1900
_NUMERIC = re.compile(r"(\d{1,2})\s*[/.\-]\s*(\d{1,2})(?:\s*[/.\-]\s*'?(\d{4}|\d{2}))?\.?")
_ISO = re.compile(r"(\d{4})(?:[/.\-](\d{1,2})[/.\-](\d{1,2})|(\d{2})(\d{2}))")
_CLOCK_BEHIND = re.compile(r"(?:[T ]\s*\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?\s*(?:[ap]\.?m\.?)?Z?)$", re.IGNORECASE)
_WEEKDAY = re.compile(r"^(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+", re.IGNORECASE)
_ROMAN = re.compile(r"(\d{1,2})[. /\-]\s*(x|xi|xii|i{1,3}|iv|v|vi{1,3}|ix)[. /\-]\s*(\d{4}|\d{2})", re.IGNORECASE)
_ROMANS = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii")
_TIME = re.compile(r"(\d{1,2})(?:[:.,;h\-](\d{2}))?(?::(\d{2})(?:\.\d+)?)?\s*(a|p|am|pm)?", re.IGNORECASE)
FEWEST_MINUTES = 4  # fewer minutes tell no clock from hours with decimals
_TIME_JOINED = re.compile(r"(\d{1,2})(\d{2})\s*(a|p|am|pm|h|hrs?)?", re.IGNORECASE)


@dataclass(frozen=True)
class PartialDate:
    """A date as written before the year, or the order of day and month, is known."""

    first: int
    second: int
    year: int | None
    is_ordered: bool  # True: first is the day, second the month

    def resolve(self, order: Order, year: int | None) -> date | None:
        """The date under an order of day and month, or None where there is no such day."""
        use_year = self.year or year
        day, month = (self.first, self.second) if self.is_ordered or order == "day-first" else (self.second, self.first)
        try:
            return date(use_year, month, day) if use_year else None
        except ValueError:
            return None


def parse_date(cell: CellValue) -> date | PartialDate | None:
    """One cell of a column of dates; None where it is no date."""
    if isinstance(cell, datetime):
        return cell.date()
    if isinstance(cell, date):
        return cell
    if isinstance(cell, (int, float)) and not isinstance(cell, bool):
        # A serial number whose format was lost: 20 000 is 1954, 60 000 is 2064.
        return _EPOCH + timedelta(days=int(cell)) if 20_000 <= cell <= 60_000 else None
    if not isinstance(cell, str):
        return None
    text = _CLOCK_BEHIND.sub("", _WEEKDAY.sub("", cell.strip().replace("\u00a0", " "))).strip()
    if re.fullmatch(r"[2-5]\d{4}", text):
        return parse_date(int(text))
    if match := _ISO.fullmatch(text):
        return _day(int(match[1]), int(match[2] or match[4]), int(match[3] or match[5]))
    if match := _NUMERIC.fullmatch(text):
        return PartialDate(int(match[1]), int(match[2]), _full_year(match[3]), is_ordered=False)
    if match := _ROMAN.fullmatch(text):
        return _day(_full_year(match[3]) or 0, _ROMANS.index(match[2].casefold()) + 1, int(match[1]))
    return _date_in_words(re.sub(r"(?<=\d)(?=[A-Za-z])(?!st|nd|rd|th)|(?<=[A-Za-z])(?=\d)", " ", text))


def date_order(cells: Iterable[date | PartialDate | None], is_plausible: dict[Order, float]) -> Order | None:
    """The order of day and month that the column as a whole shows, or None where it shows neither.

    Args:
        cells: parsed dates.
        is_plausible: for each order the share of the dates that it puts within a semester, from 0 to 1.
    """
    unordered = [cell for cell in cells if isinstance(cell, PartialDate) and not cell.is_ordered]
    day_first = sum(cell.first > 12 for cell in unordered)
    month_first = sum(cell.second > 12 for cell in unordered)
    if day_first or month_first:
        # One flipped date among many does not turn the column; an even mixture is nobody's to decide.
        grave = max(day_first, month_first)
        if min(day_first, month_first) * 10 > grave:
            return None
        return "day-first" if day_first > month_first else "month-first"
    if all(cell.first == cell.second for cell in unordered):
        return "month-first"  # 9/9 is the same day either way
    fits: list[Order] = [order for order, share in is_plausible.items() if share == 1.0]
    return fits[0] if len(fits) == 1 else None


def parse_time(cell: CellValue) -> tuple[time, bool] | None:
    """One cell of a column of clock times: (time, whether morning or afternoon is certain), or None.

    Hours 1 to 7 without a.m. or p.m. are uncertain here: the column decides. A leading zero ("06:05") is certain.
    """
    if isinstance(cell, datetime):
        cell = cell.time()
    if isinstance(cell, timedelta):
        cell = cell.total_seconds() / 86_400
    if isinstance(cell, time):
        return cell.replace(second=0, microsecond=0), not 1 <= cell.hour <= 7
    if isinstance(cell, (int, float)) and not isinstance(cell, bool):
        return _time_number(float(cell))
    if not isinstance(cell, str):
        return None
    text = re.sub(r"([ap])\.\s?m\.?", r"\1m", cell.strip().casefold().replace("\u00a0", " ").replace("\u202f", " "))
    text = re.sub(r"^(~|ca\.?|about|around|at)\s*|\s*(local|[ecmp][sd]t|uhr|hrs?|h)\.?$", "", text)
    text = {"noon": "12:00 pm", "midnight": "0:00"}.get(text, text)
    match = _TIME.fullmatch(text)
    if match and (match[2] or match[4]):
        return _clock(int(match[1]), int(match[2] or 0), match[4], text)
    if joined := _TIME_JOINED.fullmatch(text):
        half = joined[3] if joined[3] in ("a", "p", "am", "pm") else None
        return _clock(int(joined[1]), int(joined[2]), half, text)
    return None


def clocks_as_decimals(cells: Sequence[CellValue]) -> bool:
    """True where a column holds clock times typed as numbers, 13.35 for 13:35: hours of the day, and no hundredth reaches 60.

    Hours with their decimals would reach it in two rows of five, and often end in a half or a quarter.
    """
    numbers = [_decimal(cell) for cell in cells if cell is not None]
    if not numbers or any(number is None or not 0 <= number < 24 for number in numbers):
        return False
    hundredths = {round(number % 1 * 100, 6) for number in numbers if number is not None}
    is_clock = all(part.is_integer() and part < 60 for part in hundredths)
    return is_clock and len(hundredths) >= FEWEST_MINUTES and any(part % 25 for part in hundredths)


def clock_of_decimal(cell: CellValue) -> CellValue:
    """13.5 as the text 13.50: ten to two."""
    number = _decimal(cell)
    return cell if number is None else f"{number:.2f}"


def _decimal(cell: CellValue) -> float | None:
    if isinstance(cell, str) and re.fullmatch(r"\d{1,2}[.,]\d{1,2}|\d{1,2}", cell.strip()):
        return float(cell.strip().replace(",", "."))
    return float(cell) if isinstance(cell, (int, float)) and not isinstance(cell, bool) else None


def _time_number(number: float) -> tuple[time, bool] | None:
    if 0 <= number < 1 or 20_000 < number < 60_000:  # part of a day, alone or behind the day's serial number
        minutes = round(number % 1 * 1440) % 1440
        return time(minutes // 60, minutes % 60), not 60 <= minutes < 480
    if number.is_integer() and 100 <= number <= 2359:
        return _clock(int(number) // 100, int(number) % 100, None, f"{number:.0f}")
    return None  # 13.5 may be half past one or ten to two


def _clock(hour: int, minute: int, half: str | None, text: str) -> tuple[time, bool] | None:
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half.startswith("p") else 0)
    if hour > 23 or minute > 59:
        return None
    return time(hour, minute), bool(half) or not 1 <= hour <= 7 or text.startswith("0")


def _date_in_words(text: str) -> date | PartialDate | None:
    words = [
        word
        for word in fold(text).split()
        if word not in ("of", "the") and word[:3] not in ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
    ]
    if len(words) not in (2, 3):
        return None
    month = next((number for number, name in enumerate(MONTHS, 1) for word in words if word.isalpha() and word.startswith(name)), None)
    numbers = [re.sub(r"(st|nd|rd|th)$", "", word) for word in words if not word.isalpha()]
    if month is None or len(numbers) != len(words) - 1 or not all(number.isdigit() for number in numbers):
        return None
    if len(numbers) == 1:
        return PartialDate(int(numbers[0]), month, None, is_ordered=True)
    day, year = (numbers[1], numbers[0]) if len(numbers[0]) == 4 else (numbers[0], numbers[1])
    return _day(_full_year(year) or 0, month, int(day))


def _full_year(text: str | None) -> int | None:
    if text is None:
        return None
    return int(text) if len(text) == 4 else 2000 + int(text)


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None

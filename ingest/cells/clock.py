"""Parse the clock times of a column; what the column as a whole cannot decide, morning or afternoon, is left open."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from datetime import datetime, time, timedelta

from ingest.files.containers import CellValue

_TIME = re.compile(r"(\d{1,2})(?:[:.,;h\-](\d{2}))?(?::(\d{2})(?:\.\d+)?)?\s*(a|p|am|pm)?", re.IGNORECASE)
SMALL_HOURS = 2
_NAMED = dict.fromkeys(("noon", "12 noon", "12:00 noon", "high noon"), "12:00 pm") | {"midnight": "0:00", "12 midnight": "0:00"}
FEWEST_MINUTES = 4  # fewer minutes tell no clock from hours with decimals
_TIME_JOINED = re.compile(r"(\d{1,2})(\d{2})\s*(a|p|am|pm|h|hrs?)?", re.IGNORECASE)


def parse_time(cell: CellValue) -> tuple[time, bool] | None:
    """One cell of a column of clock times: (time, whether morning or afternoon is certain), or None.

    Hours 1 to 7 without a.m. or p.m. are uncertain here: the column decides. A leading zero ("06:05") is certain, but in
    the smallest hours, in which nobody reads a leaf and forms write every hour with two digits.
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
    text = _plain(cell)
    text = _NAMED.get(text, text)
    if re.fullmatch(r"0?[.,]\d{3,}", text):
        return _time_number(float(text.replace(",", ".")))
    match = _TIME.fullmatch(text)
    if match and (match[2] or match[4]):
        return _clock(int(match[1]), int(match[2] or 0), match[4], text)
    if joined := _TIME_JOINED.fullmatch(text):
        half = joined[3] if joined[3] in ("a", "p", "am", "pm") else None
        return _clock(int(joined[1]), int(joined[2]), half, text)
    return None


def _plain(cell: str) -> str:
    """The text without marks that no reader sees, the day before the clock, and words around it."""
    text = "".join(part for part in unicodedata.normalize("NFKC", cell).casefold() if unicodedata.category(part) != "Cf")
    text = re.sub(r"[\u2010-\u2015]", "-", " ".join(text.strip(" '\"`*@().").split()))
    text = re.sub(r"^\d{1,4}[/.\-]\d{1,2}[/.\-]\d{1,4}[t ]+(?=\d)", "", text)
    text = re.sub(r"^\w{3} \w{3} \d\d (?:1899|1904) (\d\d:\d\d):\d\d gmt.*$", r"\1", text)  # a script's way to write a time alone
    text = re.sub(r"([ap])\.\s?m\.?", r"\1m", text)
    text = re.sub(r"^(~|ca\.?|about|around|approx\.?|at)\s*|\s*(local|[ecmp][sd]t|uhr|hrs?|h|ish)\.?$", "", text)
    return re.sub(r"^(\d{1,2})(?: ?h ?| )(\d\d)(?= ?[ap]m?$|$)", r"\1:\2", text)


def clocks_as_decimals(cells: Sequence[CellValue]) -> bool:
    """True where a column holds clock times typed as numbers, 13.35 for 13:35: hours of the day, and no hundredth reaches 60.

    Hours with their decimals would reach it in two rows of five, and often end in a half or a quarter.
    """
    numbers = [_decimal(cell) for cell in cells if cell is not None]
    if not numbers or any(number is None or not 0 <= number < 24 for number in numbers):
        return False
    if all(number is not None and number < 1 for number in numbers):
        return False  # parts of a day
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
        is_later = half.startswith("p")
        if hour > 12 and not is_later:
            return None
        hour = hour if hour > 12 else hour % 12 + (12 if is_later else 0)  # "13:35 pm" says it twice
    if hour > 23 or minute > 59:
        return None
    return time(hour, minute), bool(half) or not 1 <= hour <= 7 or (text.startswith("0") and hour > SMALL_HOURS)

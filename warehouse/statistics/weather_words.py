"""Sentences on rain and on modelled soil water, as a second-year student understands them and a reviewer lets them stand."""

from __future__ import annotations

import datetime as dt

from warehouse.statistics.reasons import reason_text
from warehouse.statistics.wording import counted, number, semester_words

# From memory of McKee et al. 1993 as WMO-No. 1090 has it: the least index of each class, wettest first.
_CLASSES = (
    *((2.0, "extremely wet"), (1.5, "very wet"), (1.0, "moderately wet"), (-0.99, "near normal")),
    *((-1.49, "moderately dry"), (-1.99, "severely dry"), (-99.0, "extremely dry")),
)


def spi_class(spi: float) -> str:
    """The class of a standardized precipitation index, rounded to two decimals as the classes are."""
    return next(name for least, name in _CLASSES if round(spi, 2) >= least)


def rain_index_sentences(
    gauge_name: str,
    month: list[str],
    length_months: list[int],
    rain_mm: list[float | None],
    normal_mm: list[float | None],
    spi: list[float | None],
    n_base_years: list[int],
    base_first_year: list[int | None],
    base_last_year: list[int | None],
    reason_code: list[str | None],
) -> list[str]:
    """What fell in the months that end with each `month` (YYYY-MM-DD), how that compares with its base, and with how long a base."""
    rows = zip(
        month, length_months, rain_mm, normal_mm, spi, n_base_years, base_first_year, base_last_year, reason_code, strict=True
    )  # fmt: skip
    return [_rain_index_sentence(gauge_name, *row) for row in rows]


def _rain_index_sentence(
    gauge_name: str,
    month: str,
    length_months: int,
    rain_mm: float | None,
    normal_mm: float | None,
    spi: float | None,
    n_base_years: int,
    base_first_year: int | None,
    base_last_year: int | None,
    reason_code: str | None,
) -> str:
    rain = "the rain is not known" if rain_mm is None else f"{number(rain_mm, 0)} mm of rain"
    normal = "" if rain_mm is None or not normal_mm else f", {number(100 * rain_mm / normal_mm, 0)} % of normal"
    start = f"{_months(month, length_months)} at {gauge_name}: {rain}{normal}"
    if spi is None:
        return f"{start}. No precipitation index: {_lowered(reason_text(reason_code))}"
    few = "" if n_base_years >= 30 else "; fewer than 30, so take the index as provisional"
    years = f"{counted(n_base_years, 'year')} ({base_first_year} to {base_last_year})"
    return f"{start}; SPI-{length_months} {number(spi)}, {spi_class(spi)}, held against {years}{few}."


def _months(month: str, length_months: int) -> str:
    last = dt.date.fromisoformat(month)
    if length_months == 1:
        return f"{last:%B %Y}"
    first = dt.date(last.year - (length_months > last.month), (last.month - length_months) % 12 + 1, 1)
    return f"{first:%B}{'' if first.year == last.year else f' {first.year}'} to {last:%B %Y}"


def dry_spell_sentence(
    gauge_name: str,
    semester: str,
    longest_days: int,
    spell_first: str | None,
    spell_last: str | None,
    n_days: int,
    n_wet_days: int,
    n_missing_days: int,
) -> str:
    """The longest dry spell of a semester at a gauge, with what is missing from the record."""
    missing = "" if not n_missing_days else f"; {counted(n_missing_days, 'day')} of the semester {_verb(n_missing_days)} missing"
    wet = f"{n_wet_days} of {counted(n_days, 'day')} had 1 mm or more"
    if spell_first is None or spell_last is None:
        return f"In {semester_words(semester)} the record of {gauge_name} has no day under 1 mm; {wet}{missing}."
    least = "at least " if n_missing_days else ""
    spell = f"{least}{counted(longest_days, 'day')} with less than 1 mm each ({_day(spell_first)} to {_day(spell_last)})"
    return f"In {semester_words(semester)} the longest dry spell at {gauge_name} was {spell}; {wet}{missing}."


def soil_season_sentence(
    site_name: str,
    semester: str,
    total_available_water_mm: float | None,
    n_known_days: int,
    n_days_below_30: int,
    lowest_relative_water: float | None,
    lowest_date: str | None,
    n_field_days: int,
    relative_water_at_field: float | None,
    reason_code: str | None,
) -> str:
    """What the soil-water model says of a site's semester; it calls itself a model."""
    if total_available_water_mm is None or lowest_relative_water is None or lowest_date is None:
        return f"No modelled soil water for {site_name} in {semester_words(semester)}: {_lowered(reason_text(reason_code))}"
    known = f"the {counted(n_known_days, 'day')} known to the model"
    low = f"was below 30 % of that on {n_days_below_30} of {known}" if n_days_below_30 else f"was never below 30 % of that on {known}"
    lowest = f"lowest, at {_percent(lowest_relative_water)}, on {_day(lowest_date)}"
    told = "it is not known" if relative_water_at_field is None else f"it was at {_percent(relative_water_at_field)}"
    before = "the field day" if n_field_days == 1 else f"the {n_field_days} field days"
    field = f"; before the readings of {before} {told}" if n_field_days else ""
    return (
        f"By a model, not a measurement, the soil of {site_name} holds {number(total_available_water_mm, 0)} mm for plants; "
        f"in {semester_words(semester)} it {low}, and {lowest}{field}."
    )


def _percent(share: float) -> str:
    return f"{number(100 * share, 0)} %"


def _day(date: str) -> str:
    day = dt.date.fromisoformat(date)
    return f"{day.day} {day:%B %Y}"


def _verb(n: int) -> str:
    return "is" if n == 1 else "are"


def _lowered(sentence: str | None) -> str:
    return sentence[:1].lower() + sentence[1:] if sentence else "it is not known why."

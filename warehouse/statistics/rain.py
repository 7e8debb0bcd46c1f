"""Rain and drought from a daily record, by definition: the models reckon the same in SQL, for every day of every gauge.

A record is a list of consecutive days, mm; None is a day without a known amount, 0 a dry day, and a trace counts 0.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, sqrt
from typing import NamedTuple

from scipy.special import gammainc, ndtri

from warehouse.statistics.reasons import reason

Record = Sequence[float | None]

DRY_DAY_MM = 1.0  # a day with less is dry (ETCCDI; Zhang et al. 2011, WIREs Climate Change 2:851)
ANTECEDENT_DAYS = 90  # what is older is left out of the antecedent index, so that a missing day is forgotten again
STANDARD_BASE = range(1991, 2021)  # WMO's current standard normal period
FIRM_YEARS, LEAST_YEARS, LEAST_YEARS_OF_NORMAL, LEAST_WET_YEARS = 30, 20, 24, 10
CLIPPED_AT = 3.09


class SeveralDays(NamedTuple):
    """Rain of several days measured as one: the place of its last day in the record, its number of days, its amount, mm."""

    last: int
    days: int
    mm: float


class RainSum(NamedTuple):
    """Rain of a window, mm, None where a day is missing; and how many are."""

    mm: float | None
    missing_days: int


class DaysSince(NamedTuple):
    """Days since the last effective rain, None where a missing day or the record's start comes first; and at least how many."""

    days: int | None
    at_least: int


class DrySpell(NamedTuple):
    """The longest dry spell of a record: its length in days, and the place of its first day; None where no day was dry."""

    days: int
    first: int | None


@dataclass(frozen=True)
class RainIndex:
    """How unusual a sum of rain is for its months: the base it is held against, and the standardized precipitation index (SPI)."""

    spi: float | None
    normal_mm: float | None
    n_record_years: int
    n_base_years: int
    base_first_year: int | None
    base_last_year: int | None
    spi_basis: str  # firm (30 years or more), provisional (20 to 29) or refused
    reason_code: str | None
    reason: str | None


def rain_sum(rain_mm: Record, days: int, totals: Sequence[SeveralDays] = ()) -> list[RainSum]:
    """Rain of the `days` days that end with each day of a record. Strict: one missing day, and there is no sum (WMO-No. 1203).

    A total of several days counts where its whole span lies inside the window. It is not used where a day inside it has rain of
    its own or belongs to another total: nobody can say what is counted twice. Days before the record are missing.
    """
    usable = _usable(rain_mm, totals)
    covered = {place for total in usable for place in range(total.last - total.days + 1, total.last + 1)}
    sums = []
    for last in range(len(rain_mm)):
        window = range(last - days + 1, last + 1)
        inside = [total for total in usable if total.last in window and total.last - total.days + 1 in window]
        known = {place for total in inside for place in range(total.last - total.days + 1, total.last + 1)}
        amounts = [None if place < 0 or place in covered else rain_mm[place] for place in window if place not in known]
        missing = sum(amount is None for amount in amounts)
        whole = sum(total.mm for total in inside) + sum(amount for amount in amounts if amount is not None)
        sums.append(RainSum(None if missing else whole, missing))
    return sums


def _usable(rain_mm: Record, totals: Sequence[SeveralDays]) -> list[SeveralDays]:
    spans = [(total, range(total.last - total.days + 1, total.last + 1)) for total in totals if total.days >= 2]
    crowd = [place for _, span in spans for place in span]
    return [total for total, span in spans if span[0] >= 0 and all(rain_mm[place] is None and crowd.count(place) == 1 for place in span)]


def days_since_rain(rain_mm: Record, effective_mm: float = 5.0) -> list[DaysSince]:
    """Days since the last day with at least `effective_mm` of rain, for each day of a record; 0 on that day."""
    found: list[DaysSince] = []
    since: int | None = None
    dry = 0
    for amount in rain_mm:
        is_rain = amount is not None and amount >= effective_mm
        since = 0 if is_rain else None if amount is None or since is None else since + 1
        dry = 0 if is_rain or amount is None else dry + 1
        found.append(DaysSince(since, dry if since is None else since))
    return found


def antecedent_index(rain_mm: Record, k: float = 0.9) -> list[float | None]:
    """Antecedent precipitation index at the end of each day, mm; None unless all of 90 days are known.

    A(t) = k A(t - 1) + P(t) (Kohler and Linsley 1951, Weather Bureau Research Paper 34), from 0 before the 90 days: what is left
    out is k to the power of 90 times the index of then. Constant rain p tends to p / (1 - k).
    """
    indices: list[float | None] = []
    for last in range(len(rain_mm)):
        window = rain_mm[last - ANTECEDENT_DAYS + 1 : last + 1] if last >= ANTECEDENT_DAYS - 1 else [None]
        indices.append(None if None in window else sum(amount * k**age for age, amount in enumerate(reversed(window)) if amount))
    return indices


def percent_of_normal(rain_mm: float | None, normal_mm: float | None) -> float | None:
    """Rain as a share of its normal, percent; None where either is missing or the normal is 0."""
    return None if rain_mm is None or not normal_mm else 100 * rain_mm / normal_mm


def base_years(sums_mm: dict[int, float | None]) -> dict[int, float]:
    """The years, and their sums, against which a sum is held: 1991-2020 where all 30 have one, else every year that has one."""
    known = {year: mm for year, mm in sorted(sums_mm.items()) if mm is not None}
    standard = {year: mm for year, mm in known.items() if year in STANDARD_BASE}
    return standard if len(standard) == len(STANDARD_BASE) else known


def spi(sum_mm: float | None, sums_mm: dict[int, float | None]) -> RainIndex:
    """Normal and standardized precipitation index of a sum of months: below 0 is drier than usual (McKee et al. 1993; WMO-No. 1090).

    A two-parameter gamma (location 0, Thom's approximation) is fitted to the sums above 0 of the base; q is the share of zeros:
    A = ln(mean) - mean(ln), shape = (1 + sqrt(1 + 4A/3)) / (4A), H = q + (1 - q) G(x), index = normal quantile of H, kept in
    +-3.09. The normal is the base's mean, given for 24 years or more (80 % of 30).

    Args:
        sum_mm: rain of the months in question, mm; None where a day is missing.
        sums_mm: year to the sum of the same calendar months of that year, mm, over the whole record.
    """
    base = base_years(sums_mm)
    n = len(base)
    wet = [mm for mm in base.values() if mm > 0]
    spread = log(sum(wet) / len(wet)) - sum(log(mm) for mm in wet) / len(wet) if wet else 0.0
    fits = len(wet) >= LEAST_WET_YEARS and spread > 1e-12
    basis = "refused" if n < LEAST_YEARS or not fits else "firm" if n >= FIRM_YEARS else "provisional"
    code = _why_no_index(sum_mm, n, fits)
    value = None
    if code is None and sum_mm is not None:
        shape = (1 + sqrt(1 + 4 * spread / 3)) / (4 * spread)
        dry = 1 - len(wet) / n
        share = dry + (1 - dry) * float(gammainc(shape, sum_mm * shape * len(wet) / sum(wet)))
        value = -CLIPPED_AT if share < 0.001 else CLIPPED_AT if share > 0.999 else float(ndtri(share))
    normal = sum(base.values()) / n if n >= LEAST_YEARS_OF_NORMAL else None
    known = sum(mm is not None for mm in sums_mm.values())
    why: dict[str, str | None] = {"reason_code": None, "reason": None, **(reason(code) if code else {})}
    return RainIndex(value, normal, known, n, min(base, default=None), max(base, default=None), basis, **why)


def _why_no_index(sum_mm: float | None, n_years: int, fits: bool) -> str | None:
    if n_years < LEAST_YEARS:
        return "rain_record_short"
    if not fits:
        return "rain_too_alike"
    return "rain_month_missing" if sum_mm is None else None


def longest_dry_spell(rain_mm: Record, dry_day_mm: float = DRY_DAY_MM) -> DrySpell:
    """The longest run of days below `dry_day_mm`, the first of equals; a missing day ends a run (consecutive dry days, ETCCDI)."""
    best, run = DrySpell(0, None), 0
    for place, amount in enumerate(rain_mm):
        run = run + 1 if amount is not None and amount < dry_day_mm else 0
        if run > best.days:
            best = DrySpell(run, place - run + 1)
    return best

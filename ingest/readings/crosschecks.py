"""Checks across columns and rows: limits of chambers, windows against the sun, unusual values, repeated leaves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, time
from statistics import median

from ingest.cells.sun import SunTimes, sun_times, window_of
from ingest.checked.rows import Rows
from ingest.checked.suites import failing_rows
from ingest.contract import contract
from ingest.doubts.problem_kinds import KINDS
from ingest.progress import Tell, begun, counted, nobody
from ingest.registers.registers import Registers
from ingest.settings import Settings
from ingest.units import MPA_PER_UNIT, to_mpa

# Plausible water potentials (MPa, driest and wettest) by group, predawn and later in the day: common practice, for flags only.
USUAL_MPA = {
    "c4_grass": {"predawn": (-2.5, -0.1), "day": (-5.0, -0.3)},
    "c3_grass": {"predawn": (-2.5, -0.1), "day": (-4.0, -0.3)},
    "forb": {"predawn": (-2.0, -0.1), "day": (-3.0, -0.3)},
    "shrub": {"predawn": (-2.0, -0.1), "day": (-3.5, -0.2)},
    "tree": {"predawn": (-2.0, -0.1), "day": (-6.0, -0.3)},
}
DOUBTFUL_MPA = 7.0  # drier than nearly every leaf ever measured: the unit is the first suspect (common practice)
FEWEST_TO_COMPARE = 8
FAR = 6.0  # times drier or wetter than the middle of the daytime readings of the file
WET_MPA = 0.3  # by day hardly a leaf is wetter: where it is a third of the others, the unit is the first suspect (common practice)
FIRST_BEFORE_SUNRISE_MINUTES = 240  # predawn readings begin an hour or two before sunrise; at 1:35 the half of the day is in doubt
CREDIBLE_MPA = (0.1, 6.0)


def check_rows(rows: Rows, candidates: Sequence[int], registers: Registers, settings: Settings, tell: Tell = nobody) -> None:
    """Mark the rows that fail the contract's suite or a check across columns and rows.

    Args:
        rows: all rows of the file.
        candidates: indices of the data rows.
        registers: sites for the sun, chambers for their limits.
        settings: the time zone and the limits.
        tell: is told how far a long file is.
    """
    _windows(rows, counted(tell, "Setting the clock beside the sun", candidates), registers, settings)
    begun(tell, "Checking each column", len(candidates))
    _run_suite(rows, candidates, registers)
    _late(rows, candidates, settings)
    standing = _standing(rows, candidates)
    _unit_doubts(rows, standing)
    for index in counted(tell, "Checking each reading", standing):
        _unit_of_chamber(rows, index, registers)
        _unusual(rows, index, registers)
    _repeated(rows, standing)


def _standing(rows: Rows, candidates: Iterable[int]) -> list[int]:
    return [index for index in candidates if not rows.is_aside(index)]


def _run_suite(rows: Rows, candidates: Sequence[int], registers: Registers) -> None:
    columns = rows.columns
    limits = {
        code: to_mpa(chamber.maximum_pressure + chamber.resolution / 2, chamber.gauge_unit) for code, chamber in registers.chambers.items()
    }
    highest = max(limits, key=lambda code: limits[code], default=None)
    names = (
        "semester",
        "section",
        "date",
        "time_cut",
        "time_read",
        "sampling_window",
        "site",
        "taxon",
        "plant",
        "leaf",
        "endpoint",
        "leaf_state",
    )
    table = {name: [columns[name][index] for index in candidates] for name in names}
    # Where no chamber is named, the one that goes highest sets the limit: it cannot refuse a true reading.
    named = [columns["chamber"][index] or highest for index in candidates]
    table["limit_mpa"] = [limits.get(code or "") for code in named]
    table["balance_pressure_mpa"] = [columns["balance_pressure_mpa"][index] for index in candidates]
    for column, name in (("cut_minute", "time_cut"), ("read_minute", "time_read")):
        table[column] = [_minutes(columns[name][index]) for index in candidates]
    table["row_number"] = list(range(len(candidates)))
    for position, column, code in failing_rows("readings", table):
        index = candidates[position]
        if code == "date_missing" and "date_unreadable" in rows.codes[index]:
            continue
        if code in ("site_missing", "taxon_missing") and f"{code.split('_')[0]}_set_aside" in rows.codes[index]:
            continue
        chamber = registers.chambers.get(named[position] or "")
        limit = f"{chamber.maximum_pressure:g} {chamber.gauge_unit}" if chamber else None
        place = "reading" if column == "balance_pressure_mpa" else "time_read" if column == "cut_minute" else column
        shown = columns["reading_as_written" if place == "reading" else place][index]
        allowed = contract()["readings"].columns[place].allows()
        rows.mark(index, code, place, shown, chamber=named[position], limit=limit, cut=columns["time_cut"][index], allowed=allowed)


def _windows(rows: Rows, candidates: Iterable[int], registers: Registers, settings: Settings) -> None:
    """Take the window from the clock and the sun, and compare it with the word of the class."""
    columns = rows.columns
    for index in candidates:
        written, site, day = columns["sampling_window"][index], columns["site"][index], columns["date"][index]
        clock = columns["time_cut"][index] or columns["time_read"][index]
        place = registers.sites.get(site or "")
        sun = sun_times(day, place.latitude_deg, place.longitude_deg, settings.timezone) if place and isinstance(day, date) else None
        if clock is None or sun is None:
            if written is None and "window_unreadable" not in rows.codes[index] and "time_unreadable" not in rows.codes[index]:
                rows.mark(index, "window_unknown", "sampling_window")
            continue
        by_clock = window_of(time.fromisoformat(clock), sun, settings.midday_hours)
        columns["sampling_window"][index] = written or by_clock
        _compare_window(rows, index, written, by_clock, clock, sun)


def _compare_window(rows: Rows, index: int, written: str | None, by_clock: str, clock: str, sun: SunTimes) -> None:
    shown = {"sunrise": f"{sun.sunrise:%H:%M}", "sunset": f"{sun.sunset:%H:%M}"}
    if written == "predawn" and by_clock != "predawn":
        rows.mark(index, "predawn_after_sunrise", "time_read", clock, **shown)
    elif _minute_of(clock) < sun.sunrise.hour * 60 + sun.sunrise.minute - FIRST_BEFORE_SUNRISE_MINUTES:
        rows.mark(index, "time_at_night", "time_read", clock, **shown)
    elif time.fromisoformat(clock) > sun.sunset:
        rows.mark(index, "time_after_sunset", "time_read", clock, **shown)
    elif written and written != by_clock:
        rows.mark(index, "window_against_clock", "sampling_window", clock, window=written, clock_window=by_clock)


def _late(rows: Rows, candidates: Sequence[int], settings: Settings) -> None:
    for index in candidates:
        cut, read = _minutes(rows.columns["time_cut"][index]), _minutes(rows.columns["time_read"][index])
        if cut is not None and read is not None and read - cut > settings.late_minutes:
            rows.mark(index, "late_reading", "time_read", read - cut)


def _unit_doubts(rows: Rows, standing: Sequence[int]) -> None:
    """A value that its unit makes incredible, or far from the others of its hour, and another unit makes ordinary."""
    by_day = [index for index in standing if rows.columns["sampling_window"][index] != "predawn"]
    pressures = [rows.columns["balance_pressure_mpa"][index] for index in by_day if not rows.columns["below_limit"][index]]
    middle = median(pressures) if len(pressures) >= FEWEST_TO_COMPARE else None
    daytime = set(by_day)
    for index in standing:
        pressure = rows.columns["balance_pressure_mpa"][index]
        is_far = middle is not None and index in daytime and not middle / FAR <= pressure <= middle * FAR
        is_far = is_far or (middle is not None and index in daytime and pressure < min(WET_MPA, middle / 3))
        if pressure and (pressure > DOUBTFUL_MPA or is_far):
            _doubt_unit(rows, index, pressure, (middle * 0.4, middle * 2.5) if is_far and middle else CREDIBLE_MPA)


def _doubt_unit(rows: Rows, index: int, pressure: float, ordinary: tuple[float, float]) -> None:
    unit = rows.columns["unit_as_written"][index]
    number = pressure / MPA_PER_UNIT[unit]
    others = {other: to_mpa(number, other) for other in ("bar", "psi", "MPa") if other != unit}
    fitting = [other for other, mpa in others.items() if ordinary[0] <= mpa <= ordinary[1]]
    if not fitting and pressure <= DOUBTFUL_MPA:
        return
    other = fitting[0] if fitting else "another unit"
    shown = f"−{others[other]:.2f}" if fitting else "less"
    written = rows.columns["reading_as_written"][index]
    rows.mark(index, "unit_doubt", "reading", written, unit=unit, mpa=f"−{pressure:.2f}", other_unit=other, other_mpa=shown)


def _unit_of_chamber(rows: Rows, index: int, registers: Registers) -> None:
    """A pressure in another unit than the named chamber's gauge shows; SI units are what classes convert to, and pass."""
    columns = rows.columns
    chamber, unit = registers.chambers.get(columns["chamber"][index] or ""), columns["unit_as_written"][index]
    if chamber is None or columns["quantity"][index] != "pressure" or unit in ("MPa", "kPa", chamber.gauge_unit):
        return
    written = columns["reading_as_written"][index]
    rows.mark(index, "unit_against_chamber", "reading", written, unit=unit, chamber=chamber.chamber, gauge_unit=chamber.gauge_unit)


def _unusual(rows: Rows, index: int, registers: Registers) -> None:
    potential, window = rows.columns["water_potential_mpa"][index], rows.columns["sampling_window"][index]
    taxon = registers.taxa.get(rows.columns["taxon"][index] or "")
    if potential is None or taxon is None or window is None or rows.columns["below_limit"][index]:
        return
    driest, wettest = USUAL_MPA[taxon.functional_group]["predawn" if window == "predawn" else "day"]
    if not driest <= potential <= wettest:
        group = taxon.functional_group.replace("_", " ")
        written = rows.columns["reading_as_written"][index]
        rows.mark(index, "outside_usual_range", "reading", written, mpa=f"{potential:.2f}".replace("-", "−"), group=group, window=window)


def _repeated(rows: Rows, standing: Sequence[int]) -> None:
    """The same leaf twice: with the same reading it is set aside once, with another it is flagged on both."""
    columns = rows.columns
    first: dict[tuple[object, ...], int] = {}
    for index in standing:
        place = tuple(columns[name][index] for name in ("semester", "section", "date", "sampling_window", "site", "taxon", "plant"))
        leaf, pressure = columns["leaf"][index], columns["balance_pressure_mpa"][index]
        is_numbered = columns["plant"][index] is not None and leaf is not None
        key = (*place, leaf) if is_numbered else (*place, leaf, pressure, columns["time_read"][index])
        before = first.setdefault(key, index)
        if before == index:
            continue
        other = columns["source_row"][before]
        if not is_numbered:
            rows.mark(index, "row_repeated_unnumbered", "reading", columns["reading_as_written"][index], other=other)
        elif _is_same(rows, before, index):
            rows.mark(index, "row_repeated", "reading", columns["reading_as_written"][index], other=other)
        else:
            rows.mark(index, "leaf_twice", "reading", columns["reading_as_written"][index], other=other)
            rows.mark(before, "leaf_twice", "reading", columns["reading_as_written"][before], other=columns["source_row"][index])


def _is_same(rows: Rows, one: int, other: int) -> bool:
    """The same reading: all that was written of it agrees, and so does whether it counts; a copy in another unit is rounded."""
    columns = rows.columns
    names = ("endpoint", "time_read", "observer", "leaf_state")
    counts = [all(KINDS[code].usable for code in rows.codes[index] if code != "leaf_twice") for index in (one, other)]
    first, second = (columns["balance_pressure_mpa"][index] for index in (one, other))
    in_one_unit = columns["unit_as_written"][one] == columns["unit_as_written"][other]
    rounding = 1e-9 if in_one_unit else max(0.0051, 0.005 * abs(first))  # two decimals of MPa, or a whole psi
    return counts[0] == counts[1] and all(columns[name][one] == columns[name][other] for name in names) and abs(first - second) <= rounding


def _minutes(clock: str | None) -> int | None:
    return _minute_of(clock) if clock else None


def _minute_of(clock: str) -> int:
    return int(clock[:2]) * 60 + int(clock[3:])

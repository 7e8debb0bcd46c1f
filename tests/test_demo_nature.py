"""The demo's weather record and its plants: in the record's form, and plausible for a hill, its soils and its years."""

from __future__ import annotations

import csv
from collections import Counter
from datetime import date, timedelta
from statistics import fmean

import pytest

from demo_years.make import HERE, STATION_FILE, TABLE_FILE, truth, years
from demo_years.records import RAIN_FAILED, RAIN_MISSING, TABLE_STARTS
from demo_years.shapes import Truth

C4 = ("ange", "scsc", "sonu")


def test_station_file_has_fixed_lines_and_the_weather_in_tenths() -> None:
    days = {day.day: day for day in years().days}
    lines = (HERE / "files" / STATION_FILE).read_text("ascii").splitlines()
    assert {len(line) for line in lines} == {269}
    seen: Counter[str] = Counter()
    for line in lines:
        for number in range(31):
            entry = line[21 + 8 * number : 29 + 8 * number]
            if line[17:21] != "PRCP" or entry[:5] == "-9999":
                continue
            day = date(int(line[11:15]), int(line[15:17]), number + 1)
            seen.update(["rain", entry[5:7].strip() or "plain"])
            if entry[6] == " ":
                assert int(entry[:5]) / 10 == pytest.approx(days[day].rain_mm, abs=0.051)
                assert (entry[5] == "T") == days[day].is_trace
            else:
                assert day in RAIN_FAILED
    lost = len([day for day in RAIN_MISSING if day < TABLE_STARTS]) + 4  # and the four days of the one total
    assert seen["rain"] == (TABLE_STARTS - date(1991, 1, 1)).days - lost
    assert seen["O"] == 1
    assert seen["T"] > 100
    multiday = {line[17:21]: line for line in lines if line[17:21] in ("MDPR", "DAPR")}
    assert int(multiday["DAPR"][21 + 8 * 6 : 26 + 8 * 6]) == 4
    total_mm = sum(days[date(2013, 7, 7) - timedelta(days=back)].rain_mm for back in range(4))
    assert int(multiday["MDPR"][21 + 8 * 6 : 26 + 8 * 6]) / 10 == pytest.approx(total_mm, abs=0.051)


def test_plain_table_goes_on_where_the_station_file_ends() -> None:
    with (HERE / "files" / TABLE_FILE).open(encoding="ascii") as text:
        rows = list(csv.DictReader(text))
    days = {day.day: day for day in years().days}
    assert [row["Date"] for row in rows] == [day.isoformat() for day in days if day >= TABLE_STARTS]
    for row in rows:
        day = days[date.fromisoformat(row["Date"])]
        if row["Rain (in)"] not in ("T", "M"):
            assert float(row["Rain (in)"]) * 25.4 == pytest.approx(day.rain_mm, abs=1e-9)
        if row["Max temp (F)"] != "M":
            assert int(row["Max temp (F)"]) > int(row["Min temp (F)"])
    marks = Counter(row["Rain (in)"] for row in rows)
    assert marks["T"] > 50
    assert marks["M"] == 2


def rain_mm(year: int) -> float:
    """Rain of April to September, mm."""
    return sum(day.rain_mm for day in years().days if day.day.year == year and 4 <= day.day.month <= 9)


def mean_mpa(semester: str, window: str, sites: tuple[str, ...], taxa: tuple[str, ...]) -> float:
    """Mean potential of green leaves with a seen endpoint or a bound, MPa (bounds at their limit)."""
    return fmean(-row["balance_pressure_mpa"] for row in truth() if _counts(row, semester, window, sites, taxa))


def _counts(row: Truth, semester: str, window: str, sites: tuple[str, ...], taxa: tuple[str, ...]) -> bool:
    fits = row["semester"] == semester and row["window"] == window and row["site"] in sites and row["taxon"] in taxa
    return fits and bool(row["written"]) and row["endpoint"] != "doubtful" and row["leaf_state"] == "green"


def test_the_told_years_are_the_driest_and_the_wettest_of_the_class() -> None:
    rain = {year: rain_mm(year) for year in range(2016, 2026)}
    assert min(rain, key=rain.__getitem__) == 2018
    assert max(rain, key=rain.__getitem__) == 2019
    assert 650 < fmean(sum(day.rain_mm for day in years().days if day.day.year == year) for year in range(1991, 2021)) < 950


def test_plants_answer_to_drought_and_hill_as_plants_do() -> None:
    falls = [f"{year}-fall" for year in range(2016, 2026)]
    upland = {semester: mean_mpa(semester, "midday", ("crown",), C4) for semester in falls}
    assert min(upland, key=upland.__getitem__) == "2018-fall"
    assert upland["2018-fall"] < upland["2019-fall"] - 2
    for window in ("predawn", "midday"):
        high, low = (mean_mpa("2018-fall", window, sites, C4) for sites in (("crown",), ("swale", "bottom")))
        assert high < low - 0.8
    # The crown's thin soil dries within weeks: a short dry spell (2025) is felt there and not below.
    assert upland["2025-fall"] < mean_mpa("2025-fall", "midday", ("swale", "bottom"), C4) - 1
    oak = [mean_mpa(semester, "midday", ("crown",), ("quma",)) for semester in ("2018-fall", "2019-fall")]
    assert oak[1] - oak[0] < upland["2019-fall"] - upland["2018-fall"]


@pytest.mark.parametrize(("window", "driest", "wettest"), [("predawn", -3.8, -0.02), ("midday", -4.1, -0.2)])
def test_potentials_are_plausible(window: str, driest: float, wettest: float) -> None:
    of_window = [row for row in truth() if row["window"] == window and row["written"] and row["endpoint"] != "doubtful"]
    values = [-row["balance_pressure_mpa"] for row in of_window]
    assert driest <= min(values)
    assert max(values) <= wettest

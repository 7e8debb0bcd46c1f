"""The demo's years: made again as they are kept, told truly, and plausible for a hill, its plants and its weather."""

from __future__ import annotations

import csv
import io
import subprocess
import sys
import tomllib
import zipfile
from collections import Counter
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path
from statistics import fmean
from zoneinfo import ZoneInfo

import pytest

from demo_years.big import HEADER, write_big_csv, write_class_workbook
from demo_years.classes import SITES
from demo_years.make import HERE, STATION_FILE, TABLE_FILE, class_files, make, truth, years
from demo_years.records import RAIN_FAILED, RAIN_MISSING, TABLE_STARTS
from demo_years.shapes import ClassFile, Truth
from demo_years.vocabulary import Vocabulary, register_rows

Contents = dict[str, bytes]
C4 = ("ange", "scsc", "sonu")
FIELDS_OF_CONTRACT = {"initials": "observer", "email": "person_detail", "window": "sampling_window"}


@pytest.fixture(scope="module")
def made_again(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo made by its command, in a process with another order of hashes."""
    to = tmp_path_factory.mktemp("again")
    subprocess.run([sys.executable, "-m", "demo_years.make", "--to", to], check=True, cwd=HERE.parent, env={"PYTHONHASHSEED": "4711"})  # noqa: S603 - our own module
    return to


def tree(root: Path) -> Contents:
    """The contents of what the demo consists of, by path."""
    paths = [root / "facts.toml", root / "load_order.toml", *(root / "registers").rglob("*.*"), *(root / "files").rglob("*.*")]
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in paths if path.is_file()}


def unpacked(name: str, content: bytes) -> object:
    """An archive as its members with their time stamps: their packing depends on the zlib at hand. Anything else as it is."""
    if not name.endswith((".xlsx", ".ods")):
        return content
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return [(entry.filename, entry.date_time, entry.compress_type, archive.read(entry)) for entry in archive.infolist()]


def test_what_is_kept_is_what_is_made(made_again: Path) -> None:
    kept, made = tree(HERE), tree(made_again)
    assert sorted(kept) == sorted(made)
    assert [name for name in kept if unpacked(name, kept[name]) != unpacked(name, made[name])] == []


def test_two_runs_give_the_same_bytes(made_again: Path, tmp_path: Path) -> None:
    make(tmp_path)
    assert tree(tmp_path) == tree(made_again)


def test_the_files_stay_small() -> None:
    assert sum(len(content) for content in tree(HERE).values()) < 2_000_000


def test_load_order_names_every_file_once_and_corrections_after_what_they_replace() -> None:
    loads = tomllib.loads((HERE / "load_order.toml").read_text("utf-8"))["load"]
    named = [one["file"] for one in loads]
    assert sorted(named) == sorted(path.relative_to(HERE / "files").as_posix() for path in (HERE / "files").rglob("*.*"))
    for place, one in enumerate(loads):
        assert one["file"].startswith("bad/") == (one["expect"] == "refused")
        assert "replaces" not in one or one["replaces"] in named[:place]


def test_every_semester_but_one_has_files_from_all_its_sections() -> None:
    facts = tomllib.loads((HERE / "facts.toml").read_text("utf-8"))
    handed_in = {(row["semester"], row["section"]) for row in truth()}
    registered = {(row["semester"], row["section"]) for row in register_rows("sections")}
    assert {semester for semester, _ in registered - handed_in} == {facts["semester_without_field_work"]}
    assert handed_in <= registered


def test_registers_are_valid() -> None:
    from ingest.home import Home
    from ingest.registers import read_registers

    registers = read_registers(Home(HERE))
    assert set(registers.sites) == set(SITES)
    assert len(registers.taxa) == 12


@pytest.mark.parametrize("shape", class_files(), ids=lambda shape: shape.file)
def test_headers_name_columns_of_the_contract(shape: ClassFile) -> None:
    from ingest.headers import understand_header

    for header, field in shape.columns:
        understood = understand_header(header)
        assert understood.best == FIELDS_OF_CONTRACT.get(field, field), header
        if field == "reading" and understood.quantity:
            assert understood.quantity == shape.quantity


@cache
def grid(file: str, sheet: str) -> list[list[object]]:
    """The cells of a sheet as an independent reader sees them, rows from the first of the file."""
    path = HERE / "files" / file
    if file.endswith((".xlsx", ".ods")):
        from python_calamine import CalamineWorkbook

        rows = CalamineWorkbook.from_path(path).get_sheet_by_name(sheet).to_python(skip_empty_area=False)
        return [list(row) for row in rows]
    shape = next(one for one in class_files() if one.file == file)
    text = path.read_bytes().decode(shape.encoding)
    return [list(row) for row in csv.reader(io.StringIO(text), delimiter="\t" if file.endswith(".tsv") else ",")]


@pytest.mark.parametrize("shape", class_files(), ids=lambda shape: shape.file)
def test_truth_stands_in_the_file_where_it_says(shape: ClassFile) -> None:
    words = Vocabulary()
    places = {field: place for place, (_, field) in enumerate(shape.columns)}
    rows = [row for row in truth() if row["file"] == shape.file]
    for row in rows:
        cells = grid(shape.file, row["sheet"])[row["row"] - 1]
        written = cells[places["reading"]]
        assert str(written) == row["written"] or float(str(written)) == float(row["written"])
        assert cells[places["site"]] == words.site(row["site"], shape.sites)
        assert cells[places["taxon"]] == words.taxon(row["taxon"], shape.taxa)
        assert float(str(cells[places["plant"]])) == float(row["plant"])
        if shape.dates in ("real", "iso"):
            assert str(cells[places["date"]]) == row["date"].isoformat()
        if "time_read" in places and shape.times in ("real", "24h"):
            assert str(cells[places["time_read"]])[:5] == f"{row['time_read']:%H:%M}"
    assert len(rows) >= 140


def test_pressures_follow_from_what_is_written() -> None:
    per_unit = {"MPa": 1.0, "bar": 0.1, "psi": 0.006894757293}  # NIST SP 811, appendix B.8
    for row in truth():
        number = row["written"].translate(str.maketrans("", "", "<>-\u2212")).split(" ")[0]
        expected = float(number) * per_unit[row["unit"]] if number else None
        assert row["balance_pressure_mpa"] == (None if expected is None else pytest.approx(expected, abs=1e-9))


def test_gauges_are_read_in_their_steps_and_no_further_than_their_end() -> None:
    limits = {row["gauge_unit"]: (float(row["resolution"]), float(row["maximum_pressure"])) for row in register_rows("chambers")}
    bounds = 0
    for row in truth():
        step, limit = limits[row["unit"]]
        if not row["written"]:
            continue
        value = abs(float(row["written"].strip("<>").replace("\u2212", "-").split(" ")[0]))
        assert value / step == pytest.approx(round(value / step), abs=1e-6)
        assert (value == limit) if row["endpoint"] == "not_reached" else (value < limit)
        bounds += row["endpoint"] == "not_reached"
    assert bounds >= 10


def test_dates_and_windows_agree_with_the_registers_and_the_sun() -> None:
    from astral import Observer
    from astral.sun import noon, sunrise

    zone = ZoneInfo("America/Chicago")
    site = register_rows("sites")[0]
    place = Observer(float(site["latitude_deg"]), float(site["longitude_deg"]))
    spans = {row["semester"]: (row["start_date"], row["end_date"]) for row in register_rows("semesters")}
    for row in truth():
        start, end = spans[row["semester"]]
        assert start <= row["date"].isoformat() <= end
        if row["time_read"] is None:
            continue
        moment = datetime.combine(row["date"], row["time_read"], zone)
        from_noon = moment - noon(place, row["date"], tzinfo=zone)
        if row["window"] == "predawn":
            assert moment < sunrise(place, row["date"], tzinfo=zone)
        elif row["window"] == "midday":
            assert abs(from_noon) < timedelta(hours=2)
        else:
            assert sunrise(place, row["date"], tzinfo=zone) < moment
            assert from_noon < -timedelta(hours=2)


def test_a_chamber_takes_one_leaf_at_a_time() -> None:
    last: dict[tuple[str, str, str], Truth] = {}
    for row in truth():
        before = last.get((row["file"], row["sheet"], row["section"]))
        if before and row["time_read"] and (before["window"], before["site"]) == (row["window"], row["site"]):
            assert row["time_read"] > before["time_read"]
        last[row["file"], row["sheet"], row["section"]] = row


def test_students_are_invented_and_their_addresses_lead_nowhere() -> None:
    people = {one.reading.visit.observer for _, _, placed in years().files.values() for one in placed}
    assert all(person.email.endswith(".example") for person in people)
    assert len(people) > 100


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


def test_big_file_has_its_rows_each_leaf_once_and_known_words(tmp_path: Path) -> None:
    write_big_csv(tmp_path / "big.csv", rows=5_000)
    write_big_csv(tmp_path / "same.csv", rows=5_000)
    write_big_csv(tmp_path / "other.csv", rows=5_000, seed=2)
    assert (tmp_path / "big.csv").read_bytes() == (tmp_path / "same.csv").read_bytes() != (tmp_path / "other.csv").read_bytes()
    with (tmp_path / "big.csv").open(encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    keys = Counter(
        (*(row[name] for name in HEADER if name not in ("Time", HEADER[8], "Observer", "Remarks")), row["Time"] < "08") for row in rows
    )
    assert len(rows) == 5_000
    assert max(keys.values()) == 1
    assert {row["Species"] for row in rows} <= {row["scientific_name"] for row in register_rows("taxa")}
    assert {row["Site"] for row in rows} <= {row["site_name"] for row in register_rows("sites")}


def test_class_workbook_has_its_rows(tmp_path: Path) -> None:
    from openpyxl import load_workbook

    write_class_workbook(tmp_path / "class.xlsx", rows=400)
    page = load_workbook(tmp_path / "class.xlsx").active
    assert [cell.value for cell in page[3]] == list(HEADER)
    assert page.max_row == 3 + 400 + 2
    assert page.cell(page.max_row, 1).value == "Average"

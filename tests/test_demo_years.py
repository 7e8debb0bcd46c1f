"""The demo's years: made again as they are kept, and the truth about each file told truly."""

from __future__ import annotations

import csv
import io
import subprocess
import sys
import tomllib
import zipfile
from collections import Counter
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from demo_years.big import HEADER, write_big_csv, write_class_workbook
from demo_years.classes import SITES
from demo_years.make import HERE, class_files, truth, years
from demo_years.shapes import ClassFile, Truth
from demo_years.vocabulary import Vocabulary, register_rows

Contents = dict[str, bytes]
FIELDS_OF_CONTRACT = {"initials": "observer", "email": "person_detail", "window": "sampling_window"}


def made_in_a_process(to: Path, hash_seed: str) -> Path:
    """The demo made by its command, in a process with an order of hashes of its own."""
    command = [sys.executable, "-m", "demo_years.make", "--to", str(to)]
    subprocess.run(command, check=True, cwd=HERE.parent, env={"PYTHONHASHSEED": hash_seed})  # noqa: S603 - our own module
    return to


@pytest.fixture(scope="module")
def made_again(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo made by its command."""
    return made_in_a_process(tmp_path_factory.mktemp("again"), "4711")


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
    assert tree(made_in_a_process(tmp_path, "1")) == tree(made_again)


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
    from ingest.registers.registers import read_registers

    registers = read_registers(Home(HERE))
    assert set(registers.sites) == set(SITES)
    assert len(registers.taxa) == 12


@pytest.mark.parametrize("shape", class_files(), ids=lambda shape: shape.file)
def test_headers_name_columns_of_the_contract(shape: ClassFile) -> None:
    from ingest.tables.headers import understand_header

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

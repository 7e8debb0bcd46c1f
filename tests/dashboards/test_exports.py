"""The data package: whole or not at all, safe to open, described for programs, and read back with every number in its place."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest
import yaml
from rocrate.rocrate import ROCrate
from typer.testing import CliRunner

from dashboards.figures.redraw import plain
from dashboards.figures.taking import TABLE_KINDS, csv_of
from dashboards.packages.export import export
from dashboards.packages.tables import _cell, guarded
from ingest.checking import Asked, Checked, check_bytes, check_path
from ingest.errors import ExportRefused, NothingPublished, TautleafError
from ingest.files import containers, opening
from ingest.files.containers import Sheet, read_container
from ingest.files.delimited import _MARKED_AS_TEXT
from ingest.home import Home, init_home
from ingest.received.accepting import accept
from ingest.received.ledger import Received
from ingest.tables.column_cells import text_of
from tautleaf import app
from tests.corpus.corpus import corpus
from tests.corpus.judged import judged_together
from tests.corpus.places import invented_home
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, csv_bytes, loaded_rows, small_lab
from tests.parsed import with_parse_cache
from warehouse.build import build
from warehouse.roles import ROLES

DEMO = Path(__file__).parents[2] / "demo_years"
# One row for each sign that a spreadsheet program runs, in the plant's tag and the remark.
SIGNS = (("=1+1", "="), ("+7a", "+"), ("-7a", "-"), ("@7", "@"), ("'7", "'"), ("7", "\t"), ("8", "\r"))
FORMULAS = [
    ("2024-09-17", "13:40", "a", "ridge", "ange", tag, str(leaf), "Ola Quist", ">30", f"{sign}recut, slow")
    for leaf, (tag, sign) in enumerate(SIGNS, start=1)
]
SAME = (
    *("semester", "section", "date", "sampling_window", "site", "taxon", "plant", "leaf", "chamber"),
    *("balance_pressure_mpa", "water_potential_mpa", "below_limit", "usable"),
)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """A small lab with one file loaded and published for every role."""
    home = with_parse_cache(small_lab(tmp_path_factory.mktemp("export") / "home"))
    text = home.settings_file.read_text("utf-8")
    text = text.replace('data_authors = ""', 'data_authors = "The field class; A second class"')
    home.settings_file.write_text(text.replace('data_licence = ""', 'data_licence = "CC-BY-4.0"'), "utf-8")
    register = home.registers / "sites.csv"
    register.write_text(register.read_text("utf-8").replace("Long swale", "=Long swale"), "utf-8")
    accept(home, check(home, csv_bytes([*TRUE_ROWS, *FORMULAS], HEADERS)))
    home.predictions.write_text('{"program": "small"}\n', "utf-8")
    build(home)
    return home


@pytest.mark.parametrize("role", ROLES)
def test_every_table_of_a_role_is_there_twice_and_described(role: Any, built: Home, tmp_path: Path) -> None:
    made = export(built, role, tmp_path / "package")
    folder = made.folder
    descriptor = json.loads((folder / "datapackage.json").read_text("utf-8"))
    for resource in descriptor["resources"]:
        path = folder / resource["path"]
        assert resource["hash"] == f"sha256:{hashlib.sha256(path.read_bytes()).hexdigest()}"
        if path.suffix == ".csv":
            with path.open(encoding="utf-8", newline="") as file:
                header, *rows = list(csv.reader(file))
            fields = resource["schema"]["fields"]
            assert [field["name"] for field in fields] == header
            assert all(field["description"] for field in fields), resource["name"]
            assert set(resource["schema"].get("primaryKey", [])) <= set(header)
            assert len(rows) == made.rows[resource["name"]]
    with duckdb.connect() as connection:
        for table, count in made.rows.items():
            if table != "codebook":
                found = connection.execute("SELECT count(*) FROM read_parquet(?)", [str(folder / "data" / f"{table}.parquet")]).fetchone()
                assert found == (count,)
    assert ("observations" in made.rows) is (role != "reviewer")
    texts = b"".join(path.read_bytes() for path in folder.rglob("*") if path.is_file() and path.suffix != ".parquet")
    assert b"Quist" not in texts
    assert (b"obs_" in texts) is (role == "instructor")
    subprocess.run(["sha256sum", "-c", "--quiet", "SHA256SUMS"], cwd=folder, check=True)  # noqa: S607  # the system's own
    citation = yaml.safe_load((folder / "CITATION.cff").read_text("utf-8"))
    assert [author["name"] for author in citation["authors"]] == ["The field class", "A second class"]
    assert citation["license"] == descriptor["licenses"][0]["name"] == "CC-BY-4.0"
    assert "CC-BY-4.0" in (folder / "LICENCE.md").read_text("utf-8")


@pytest.mark.parametrize("role", ROLES)
def test_a_package_is_a_research_object_a_database_and_a_codebook_to_read(role: Any, built: Home, tmp_path: Path) -> None:
    """The crate is read by rocrate (the reference library of RO-Crate), which takes only what conforms to the specification."""
    made = export(built, role, tmp_path / "package")
    read = ROCrate(made.folder)
    assert read.version == "1.1"
    parts = {entity.id for entity in read.data_entities}
    files = {path.relative_to(made.folder).as_posix() for path in made.folder.rglob("*") if path.is_file()}
    assert parts - {"./"} == files - {"ro-crate-metadata.json", "SHA256SUMS"}
    assert read.license.id == "https://spdx.org/licenses/CC-BY-4.0"
    assert [author["name"] for author in read.root_dataset["author"]] == ["The field class", "A second class"]
    with duckdb.connect(made.folder / f"small-{role}.duckdb", read_only=True) as database:
        for table, count in made.rows.items():
            assert database.execute(f"SELECT count(*) FROM {table}").fetchone() == (count,)  # noqa: S608  # names are our own
        columns = database.execute("SELECT DISTINCT column_name FROM duckdb_columns() WHERE database_name = current_database()").fetchall()
    page = (made.folder / "codebook.html").read_text("utf-8")
    assert all(f"<code>{name}</code>" in page for (name,) in columns)
    assert not re.search(r"(src|href)=.?https?:", page)
    assert (made.folder / "checked").exists() is (role == "instructor")
    assert ("predictions.jsonl" in parts) is (role == "instructor")


def test_a_package_replaces_an_earlier_one_and_nothing_else(built: Home, tmp_path: Path) -> None:
    folder = tmp_path / "package"
    folder.mkdir()
    export(built, "instructor", folder)
    export(built, "student", folder)
    assert not (folder / "data" / "problems.csv").exists()
    assert [path.name for path in tmp_path.iterdir()] == ["package"]
    (folder / "notes.txt").write_text("mine", "utf-8")
    with pytest.raises(ExportRefused, match=r"holds notes\.txt, which no export wrote"):
        export(built, "student", folder)
    assert (folder / "notes.txt").read_text("utf-8") == "mine"
    (tmp_path / "file").write_text("x", "utf-8")
    with pytest.raises(ExportRefused, match="is a file"):
        export(built, "student", tmp_path / "file")
    other = tmp_path / "other"
    other.mkdir()
    (other / "datapackage.json").write_text("{}", "utf-8")
    with pytest.raises(ExportRefused, match="Choose a new folder"):
        export(built, "student", other)


def test_an_export_that_fails_leaves_the_earlier_one(built: Home, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    export(built, "student", tmp_path / "package")
    before = {path.name: path.read_bytes() for path in (tmp_path / "package").rglob("*") if path.is_file()}

    def fail(*_: Any) -> str:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("dashboards.packages.export.readme", fail)
    with pytest.raises(ExportRefused, match="No space left"):
        export(built, "student", tmp_path / "package")
    assert {path.name: path.read_bytes() for path in (tmp_path / "package").rglob("*") if path.is_file()} == before
    assert [path.name for path in tmp_path.iterdir()] == ["package"]


def test_the_command_says_what_it_wrote(built: Home, tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["export", "--home", str(built.root), "--role", "student", "--to", str(tmp_path / "p"), "--json"])
    assert json.loads(result.stdout)["rows"]["observations"] == len(TRUE_ROWS) + len(FORMULAS)
    result = CliRunner().invoke(app, ["export", "--home", str(built.root), "--role", "owner", "--to", str(tmp_path / "q")])
    assert (result.exit_code, (tmp_path / "q").exists()) == (1, False)
    with pytest.raises(NothingPublished):
        export(small_lab(tmp_path / "empty"), "student", tmp_path / "r")


TEXTS = ["=1+1", "+1+1", "-slow", "@x", "\tx", "\rx", "\t=x", "'=1", "''", "'quoted", "a", "", "1-2", "-1.5", "+3", "-1,5"]


@pytest.mark.parametrize("text", TEXTS)
def test_no_text_runs_as_a_formula_and_each_comes_back(text: str) -> None:
    written = guarded(text)
    assert not written.startswith(("=", "@", "\t", "\r"))
    assert not written.startswith(("+", "-")) or re.fullmatch(r"[+-][\d.,]+", written)
    assert (written[1:] if written.startswith("'") else written) == text
    assert (written[1:] if _MARKED_AS_TEXT.match(written) else written) == text


def test_no_cell_of_an_export_or_of_a_taken_csv_runs(built: Home, tmp_path: Path) -> None:
    """Every text cell of every table, a register's name among them; and what a reader takes along of a figure or an answer."""
    cells = []
    for path in export(built, "instructor", tmp_path / "package").folder.rglob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            cells += [cell for row in csv.reader(file) for cell in row]
    assert {"'=Long swale", "'=1+1", "'@7", "''7"} <= set(cells)
    figure = csv_of([{"panel": "=1+1", "says": "@x", "x": -1.5}, {"panel": "plain", "says": "\tx"}])
    rows = TABLE_KINDS["rows"].make(pd.DataFrame({"=a": ["=1+1", "b", None], "mean": [-1.5, None, 2.0]}))
    for data in (figure, rows):
        cells += [cell for row in csv.reader(io.StringIO(data.decode("utf-8-sig"))) for cell in row]
    assert [cell for cell in cells if re.match(r"[=+\-@\t\r]", cell) and not re.fullmatch(r"[+-]\d[\d.,]*(e[+-]?\d+)?", cell)] == []
    assert [row["panel"] for row in plain(io.StringIO(figure.decode("utf-8-sig")))] == ["=1+1", "plain"]


def fresh_home(folder: Path, like: Home) -> Home:
    """A new home with another's registers and no other knowledge."""
    home = init_home(folder, code="fresh", timezone=like.settings().timezone)
    for register in like.registers.glob("*.csv"):
        shutil.copyfile(register, home.registers / register.name)
    return home


@pytest.mark.parametrize("role", ["instructor", "student"])
def test_an_export_is_read_back_as_it_was_loaded_without_a_question(role: Any, built: Home, tmp_path: Path) -> None:
    folder = export(built, role, tmp_path / "package").folder
    again = check_path(fresh_home(tmp_path / "fresh", built), folder / "data" / "observations.csv", Asked())
    first = check(built, csv_bytes([*TRUE_ROWS, *FORMULAS], HEADERS))
    assert said(loaded_rows(again)) == said(loaded_rows(first))
    with (folder / "data" / "observations.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            upload = Received(built).find(row["upload_id"])
            sheets = read_container(Received(built).original(upload.sha256), "class.csv").sheets
            assert stands_at(sheets, row), row


def said(rows: list[dict[str, Any]]) -> list[tuple[Any, ...]]:
    return sorted((tuple(row[name] for name in SAME) for row in rows), key=repr)


def stands_at(sheets: list[Sheet], row: dict[str, Any]) -> bool:
    """Whether a reading as written stands in its sheet's cell of the file; what is no number may have lost words that name a person."""
    number = re.search(r"\((\d+)\)$", row["source_sheet"] or "")
    named = [sheet for sheet in sheets if sheet.name == (row["source_sheet"] or "")]
    sheet = (named or [sheets[int(number[1]) - 1] if number else sheets[0]])[0]
    letters, digits = re.fullmatch(r"([A-Z]+)(\d+)", row["source_cell"]).groups()  # type: ignore[union-attr]  # else the test fails
    place = 0
    for letter in letters:
        place = place * 26 + ord(letter) - 64
    cells = sheet.rows[int(digits) - 1]
    written = text_of(cells[place - 1]) if place <= len(cells) else ""
    beside = text_of(cells[place]) if place < len(cells) else ""  # the decimals, where a comma parted them in delimited text
    return row["reading_as_written"] in (written, f"{written},{beside}") or "[…]" in row["reading_as_written"]


def as_exported(checked: Checked) -> bytes:
    """The loaded rows as observations.csv has them, without the models between."""
    names = [*SAME, "time_cut", "time_read", "endpoint", "leaf_state", "remark", "source_cell", "reading_as_written", "unit_as_written"]
    rows = [[f"o{number}", *(_cell(row[name]) for name in names)] for number, row in enumerate(loaded_rows(checked))]
    return csv_bytes(rows, ("observation_id", *names))


def files(folder: Path) -> Iterator[tuple[Home, str, bytes, tuple[str, ...]]]:
    """All demo files, and one file of the corpus for each kind of trouble and ending, with its answers."""
    demo = init_home(folder / "demo", code="demo", timezone="America/Chicago")
    for register in (DEMO / "registers").glob("*.csv"):
        shutil.copyfile(register, demo.registers / register.name)
    for path in sorted(DEMO.joinpath("files").glob("*.*")):
        yield demo, path.name, path.read_bytes(), ()
    ugly_home = invented_home(folder / "corpus")
    hopeful = {(ugly.trouble, Path(ugly.file_name).suffix): ugly for ugly in corpus() if ugly.truth and not ugly.is_hopeless}
    for ugly in hopeful.values():
        yield ugly_home, ugly.file_name, ugly.data, tuple(ugly.answers)


def test_every_number_of_demo_and_corpus_has_its_place_and_comes_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Opened in this process: three for each file take most of the time, and what comes of limits is tested where they are."""
    monkeypatch.setattr(containers, "in_limits", lambda _, data, name: opening.work(data, name))

    def differences(file: tuple[Home, str, bytes, tuple[str, ...]]) -> tuple[int, list[str]]:
        """Rows that are loaded, and what is lost of them."""
        home, name, data, answers = file
        try:
            checked = check_bytes(home, data, name, Asked(answers, "readings"))
        except TautleafError:
            return 0, []
        if checked.receipt.is_refused:
            return 0, []
        rows = loaded_rows(checked)
        sheets = read_container(data, name).sheets
        lost = [f"{name}: {row['source_cell']}" for row in rows if row["reading_as_written"] and not stands_at(sheets, row)]
        again = check_bytes(home, as_exported(checked), "observations.csv", Asked(kind="readings"))
        if again.receipt.is_refused:
            return len(rows), [*lost, f"{name}: {again.receipt.as_text()}"]
        return len(rows), lost if said(loaded_rows(again)) == said(rows) else [*lost, f"{name} comes back otherwise"]

    found = judged_together(differences, list(files(tmp_path)))
    assert [line for _, lines in found for line in lines] == []
    assert sum(count for count, _ in found) > 5000

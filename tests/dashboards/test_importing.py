"""Export, import into an empty home, export: the same, but for when and as what it was built."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import duckdb
import pytest
from typer.testing import CliRunner

from dashboards.packages.export import export
from dashboards.predicting.kept import KeptPredictions
from dashboards.predicting.predictions import Counted, Question
from ingest.checking import check_path
from ingest.errors import HomeExists, PackageUnusable, TautleafError
from ingest.home import Home, init_home
from ingest.received.accepting import Disposal, accept, recheck
from ingest.received.importing import import_package
from ingest.received.ledger import Received
from tautleaf import app
from tests.ingest.small_lab import TRUE_ROWS, check, csv_bytes, every_row, small_lab, tree_hash
from tests.parsed import with_parse_cache
from warehouse.build import build
from warehouse.roles import Role

OF_A_BUILD = {"README.md", "CITATION.cff", "codebook.html", "datapackage.json", "ro-crate-metadata.json", "SHA256SUMS"}
"""Texts that say the build's id and time."""
QUESTION = Question("2024-fall", "midday", "c4_grass", "c4 grasses")


@pytest.fixture(scope="module")
def lived_in(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """A small lab with a corrected file, a withdrawn one, and settings of its own."""
    home = with_parse_cache(small_lab(tmp_path_factory.mktemp("import") / "home"))
    text = home.settings_file.read_text("utf-8")
    home.settings_file.write_text(text.replace("late_minutes = 5.0", "late_minutes = 7.5"), "utf-8")
    first = check(home, csv_bytes(TRUE_ROWS[:4]))
    accept(home, first)
    corrected = check(home, csv_bytes([*TRUE_ROWS[:3], (*TRUE_ROWS[3][:8], "13", "=slow")]))
    accept(home, corrected, Disposal((str(first.receipt.upload_id),)))
    gone = check(home, csv_bytes(TRUE_ROWS[5:6]), "gone.csv")
    accept(home, gone)
    Received(home).record("withdrawn", str(gone.receipt.upload_id))
    accept(home, check(home, csv_bytes(TRUE_ROWS[4:])))
    predicted(home).add(Counted(QUESTION, "2024-09-17T13:00:00Z", 7, {0.5: 5, -0.5: 2}))
    build(home)
    return home


def predicted(home: Home) -> KeptPredictions:
    return KeptPredictions(home.predictions, home.settings().program_code)


@pytest.fixture(scope="module")
def package(lived_in: Home, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The instructor's package of it."""
    return export(lived_in, "instructor", tmp_path_factory.mktemp("package") / "package").folder


def test_export_import_export_is_the_same(lived_in: Home, package: Path, tmp_path: Path) -> None:
    again = CliRunner().invoke(app, ["import", str(package), "--home", str(tmp_path / "new"), "--json"])
    assert again.exit_code == 0, again.output
    home = Home(tmp_path / "new")
    second = export(home, "instructor", tmp_path / "second").folder
    names = sorted(path.relative_to(package).as_posix() for path in package.rglob("*") if path.is_file())
    assert names == sorted(path.relative_to(second).as_posix() for path in second.rglob("*") if path.is_file())
    for name in names:
        if name not in OF_A_BUILD and "build_info" not in name and not name.endswith(".duckdb"):
            assert (package / name).read_bytes() == (second / name).read_bytes(), name
    assert home.settings() == lived_in.settings()
    assert predicted(home).of(QUESTION) == predicted(lived_in).of(QUESTION) != []
    with duckdb.connect() as both:  # the database as well, table by table
        for alias, folder in (("one", package), ("other", second)):
            both.execute(f"ATTACH '{folder / 'small-instructor.duckdb'}' AS {alias} (READ_ONLY)")
        for (table,) in both.execute("SELECT table_name FROM duckdb_tables() WHERE database_name = 'one'").fetchall():
            if table != "build_info":
                differ = both.execute(f"SELECT count(*) FROM (FROM one.{table} EXCEPT ALL FROM other.{table})").fetchone()  # noqa: S608
                assert differ == (0,), table


def test_an_imported_home_goes_on_as_any_other(lived_in: Home, package: Path, tmp_path: Path) -> None:
    home = import_package(package, tmp_path / "new")
    before = {path.name: path.read_bytes() for path in home.checked.rglob("*.parquet")}
    assert [vars(upload) | {"facts": 0, "recipe_text": 0} for upload in Received(home).uploads()] == [
        vars(upload) | {"facts": 0, "recipe_text": 0, "original_name": upload.file_name} for upload in Received(lived_in).uploads()
    ]
    shutil.rmtree(home.checked / "readings")
    (home.checked / "readings").mkdir()
    assert recheck(home) == []
    assert {path.name: path.read_bytes() for path in home.checked.rglob("*.parquet")} == before
    gone = check(home, csv_bytes(TRUE_ROWS[5:6]), "gone.csv")  # the same file as was withdrawn there
    accept(home, gone, Disposal(adds=True))
    uploads = {upload.upload_id: upload for upload in Received(home).uploads()}
    assert uploads[str(gone.receipt.upload_id)].status == "active"
    new = check(home, csv_bytes([(*TRUE_ROWS[0][:5], "9", *TRUE_ROWS[0][6:])]), "new.csv")
    accept(home, new, Disposal(adds=True))
    sequences = [upload.sequence for upload in Received(home).uploads()]
    assert sequences == sorted(set(sequences))


def changed_file(package: Path) -> None:
    path = next((package / "checked" / "readings").glob("*.parquet"))
    path.write_bytes(path.read_bytes()[:-1] + b"x")


def climbing(package: Path) -> None:
    outside = package.parent / "outside.txt"
    outside.write_text("x", "utf-8")
    sums = package / "SHA256SUMS"
    sums.write_text(sums.read_text("utf-8") + "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881  ../outside.txt\n", "utf-8")


def no_package(package: Path) -> None:
    (package / "datapackage.json").write_text("[]", "utf-8")


def of_a_stranger(package: Path) -> None:
    descriptor = package / "datapackage.json"
    descriptor.write_text(json.dumps(json.loads(descriptor.read_text("utf-8")) | {"role": ["{nobody}"]}), "utf-8")


BROKEN: list[tuple[Callable[[Path], None], str]] = [
    (changed_file, "is not what was written"),
    (climbing, "outside.txt is not what was written"),
    (no_package, "holds none that 'tautleaf export' wrote"),
    (of_a_stranger, "with --role instructor"),
]


@pytest.mark.parametrize(("broken", "says"), BROKEN)
def test_what_is_no_whole_package_of_an_instructor_is_refused(
    package: Path, tmp_path: Path, broken: Callable[[Path], None], says: str
) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(package, copy)
    broken(copy)
    with pytest.raises(PackageUnusable, match=says):
        import_package(copy, tmp_path / "new")
    assert not (tmp_path / "new").exists()
    assert not list(tmp_path.glob(".new*"))


@pytest.mark.parametrize("role", ["student", "reviewer"])
def test_a_package_that_makes_no_home_is_refused_with_what_to_do_instead(lived_in: Home, tmp_path: Path, role: Role) -> None:
    folder = export(lived_in, role, tmp_path / "package").folder
    assert not (folder / "predictions.jsonl").exists()
    with pytest.raises(PackageUnusable) as refused:
        import_package(folder, tmp_path / "new")
    first = str(refused.value).split(": ")[0]
    named = [folder / "data" / name for name in re.findall(r"\b\w+\.csv", first)]
    assert str(folder) in first
    assert not (tmp_path / "new").exists()
    assert all(path.is_file() for path in named)
    assert [path.name for path in named][-1:] == (["observations.csv"] if role == "student" else [])


def test_the_way_that_a_student_is_told_gives_every_reading(lived_in: Home, tmp_path: Path) -> None:
    data = export(lived_in, "student", tmp_path / "package").folder / "data"
    with pytest.raises(PackageUnusable) as refused:
        import_package(data.parent, tmp_path / "new")
    *registers, readings = re.findall(r"\b\w+\.csv", str(refused.value))
    home = init_home(tmp_path / "own", code="own", name="A student's own", timezone="America/Chicago")
    for name in registers:
        shutil.copyfile(data / name, home.registers / name)
    checked = check_path(home, data / readings)
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    names = ("semester", "section", "site", "taxon", "plant", "leaf", "endpoint", "usable", "balance_pressure_mpa")
    with duckdb.connect() as connection:
        wanted = connection.execute(f"SELECT {', '.join(names)} FROM read_parquet(?)", [str(data / "observations.parquet")]).fetchall()  # noqa: S608
    read = [row for row in every_row(checked) if row["status"] != "set_aside"]
    assert sorted(tuple(row[name] for name in names) for row in read) == sorted(wanted)
    assert len(wanted) == 7


def test_a_home_that_is_there_stays_as_it_is(package: Path, tmp_path: Path) -> None:
    home = with_parse_cache(small_lab(tmp_path / "home"))
    before = tree_hash(home.root)
    with pytest.raises(HomeExists):
        import_package(package, home.root)
    with pytest.raises(TautleafError):
        import_package(tmp_path / "nowhere", tmp_path / "new")
    assert tree_hash(home.root) == before

"""Published files open only as they were published, read-only, shut off from everything else, and for many readers at once."""

from __future__ import annotations

import datetime as dt
import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import duckdb
import pytest

from ingest.errors import NothingPublished, PublishedDamaged
from ingest.home import Home
from tests.warehouse.tiny_home import tiny_home
from warehouse.build import BuildReport
from warehouse.published import Published, built_at, current_build, open_published


@pytest.fixture
def copy(home: Home, report: BuildReport, tmp_path: Path) -> Home:
    """A copy of the built home that a test may damage."""
    shutil.copytree(home.root, tmp_path / "copy", ignore=shutil.ignore_patterns(".workplace"))
    return Home(tmp_path / "copy")


def test_nothing_is_published_before_the_first_build(tmp_path: Path) -> None:
    home = tiny_home(tmp_path / "home")
    assert current_build(home) is None
    assert built_at(home) is None
    with pytest.raises(NothingPublished):
        open_published(home, "instructor")


@pytest.mark.parametrize("role", ["owner", "../instructor", ""])
def test_an_unknown_role_has_no_file(home: Home, report: BuildReport, role: str) -> None:
    with pytest.raises(NothingPublished):
        open_published(home, role)  # type: ignore[arg-type]  # what a request may hold


def test_a_damaged_file_is_noticed(copy: Home) -> None:
    path = open_published(copy, "student").path
    path.chmod(0o640)
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)
    with pytest.raises(PublishedDamaged, match="not the file that was published"):
        open_published(copy, "student")
    path.unlink()
    with pytest.raises(PublishedDamaged, match="cannot be opened"):
        open_published(copy, "student")


@pytest.mark.parametrize("text", ["", "{", "[]", "{}"])
def test_a_damaged_pointer_is_noticed(copy: Home, text: str) -> None:
    (copy.published / "current.json").write_text(text, "utf-8")
    with pytest.raises(PublishedDamaged):
        current_build(copy)


@pytest.mark.parametrize(
    "sql",
    [
        "CREATE TABLE more (a INTEGER)",
        "DELETE FROM observations",
        "SELECT * FROM read_text('/etc/passwd')",
        "SELECT * FROM read_csv('/etc/passwd')",
        "COPY observations TO 'out.csv'",
        "ATTACH 'other.duckdb'",
        "SET enable_external_access = true",
        "INSTALL httpfs",
        "LOAD httpfs",
    ],
)
def test_a_query_changes_nothing_and_reaches_nothing(
    instructor: Published, sql: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(duckdb.Error):
        instructor.query(sql)
    assert not list(tmp_path.iterdir())


def test_values_are_bound(instructor: Published) -> None:
    assert instructor.query("SELECT count(*) AS n FROM observations WHERE site = ?", ["ridge' OR 1=1 --"])["n"][0] == 0
    assert instructor.query("SELECT count(*) AS n FROM observations WHERE site = $site", {"site": "ridge"})["n"][0] > 0


def test_many_threads_read_at_once(instructor: Published) -> None:
    def ask(number: int) -> int:
        return int(instructor.query("SELECT count(*) + ? AS n FROM observations", [number])["n"][0])

    with ThreadPoolExecutor(8) as threads:
        assert list(threads.map(ask, range(64))) == [30 + number for number in range(64)]


def test_a_build_tells_when_it_was_made(home: Home, report: BuildReport) -> None:
    made = dt.datetime.fromisoformat(str(built_at(home)))
    assert dt.datetime.now(dt.UTC) - made < dt.timedelta(hours=1)

"""The command line: answers for people and for machines, exit codes, errors without traceback, and a quick front door."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import typer.main
from typer.testing import CliRunner

from ingest.home import HOME_VARIABLE, Home
from tautleaf import app
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, csv_bytes, small_lab, tree_hash
from tests.parsed import with_parse_cache

ROOT = Path(__file__).parents[1]
COMMANDS = ("init", "check", "load", "withdraw", "build", "plan", "status", "serve", "export", "demo")


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return with_parse_cache(small_lab(tmp_path / "home"))


@pytest.fixture
def good(tmp_path: Path) -> Path:
    path = tmp_path / "good.csv"
    path.write_bytes(csv_bytes(TRUE_ROWS))
    return path


@pytest.fixture
def bad(tmp_path: Path) -> Path:
    path = tmp_path / "bad.csv"
    path.write_bytes(csv_bytes(TRUE_ROWS, (*HEADERS[:8], "Pressure", "Remarks")))
    return path


def run(*words: object, code: int = 0) -> str:
    """Run a command in this process; its standard output, after its exit code was what it should be and nothing was raised."""
    result = CliRunner().invoke(app, [str(word) for word in words])
    assert result.exit_code == code, f"{result.output}\n{result.stderr}"
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert "Traceback" not in result.output + result.stderr
    return result.stdout


def answer(*words: object, code: int = 0) -> Any:
    """The JSON that a command answers with `--json`: one document and nothing else."""
    return json.loads(run(*words, "--json", code=code))


def test_every_command_is_there_with_an_example_in_its_help() -> None:
    known = typer.main.get_command(app).commands  # type: ignore[attr-defined]  # a group, as the front door has several
    assert set(COMMANDS) <= set(known)
    for name in known:
        assert f"Example: tautleaf {name}" in " ".join(run(name, "--help").split())
        assert "--json" in run(name, "--help")


def test_init_makes_a_home_once(tmp_path: Path) -> None:
    said = answer("init", tmp_path / "new", "--name", "Field lab", "--timezone", "America/Chicago")
    assert set(said) == {"home", "registers"}
    assert (tmp_path / "new" / "tautleaf.toml").is_file()
    assert answer("init", tmp_path / "new", code=1)["error"] == "home_exists"
    assert "already in use" in CliRunner().invoke(app, ["init", str(tmp_path / "new")]).stderr
    assert answer("init", tmp_path / "other", "--timezone", "Nowhere/Else", code=1)["error"] == "settings_invalid"


def test_check_prints_the_receipt_and_changes_nothing(home: Home, good: Path) -> None:
    before = tree_hash(home.root)
    text = run("check", good, "--home", home.root)
    assert "good.csv: can be loaded" in text
    assert "8 rows in the file = 6 accepted + 1 flagged + 1 set aside" in text
    (receipt,) = answer("check", good, "--home", home.root)["receipts"]
    assert receipt["rows"] == {"in_file": 8, "accepted": 6, "flagged": 1, "set_aside": 1}
    assert {"sheet", "row", "column", "cell", "value", "code", "severity", "message", "suggestion"} <= set(receipt["problems"][0])
    assert tree_hash(home.root) == before


def test_a_refused_file_exits_1_and_says_what_to_do_first(home: Home, bad: Path, good: Path, tmp_path: Path) -> None:
    text = run("check", bad, "--home", home.root, code=1)
    assert text.startswith("bad.csv: refused; to load it, say the unit of the readings: --answer reading.unit=bar")
    assert run("check", bad, "--home", home.root, "--answer", "reading.unit=bar").startswith("bad.csv: can be loaded")
    broken = tmp_path / "broken.xlsx"
    broken.write_bytes(b"PK\x03\x04broken")
    receipts = answer("check", broken, good, "--home", home.root, code=1)["receipts"]
    assert [(one["file"], one["verdict"]) for one in receipts] == [("broken.xlsx", "refused"), ("good.csv", "can be loaded")]
    assert receipts[0]["error"] == "file_unreadable"


def test_check_keeps_a_recipe_with_its_open_questions_where_asked(home: Home, bad: Path) -> None:
    run("check", bad, "--home", home.root, "--save-recipe", code=1)
    (recipe,) = home.recipes.glob("*.toml")
    text = recipe.read_text("utf-8")
    assert 'No unit is written for the readings in \'Pressure\'. Which unit are they in?\n"reading.unit" = ""  # bar, MPa' in text
    recipe.write_text(text.replace('"reading.unit" = ""', '"reading.unit" = "bar"'), "utf-8")
    assert run("check", bad, "--home", home.root).startswith("bad.csv: can be loaded")


WRONG = [
    (("check", "good.csv", "--home", "nowhere"), 1, "home_not_found"),
    (("check", "missing.csv"), 1, None),
    (("check", "good.csv", "--kind", "poems"), 1, "recipe_invalid"),
    (("check", "good.csv", "--answer", "reading.unit"), 1, "recipe_invalid"),
    (("withdraw", "u123"), 1, "upload_unknown"),
    (("load", "missing.csv"), 1, None),
]


@pytest.mark.parametrize(("words", "code", "error"), WRONG, ids=[" ".join(case[0]) for case in WRONG])
def test_an_error_is_named_in_words_and_in_json_and_changes_nothing(
    words: tuple[str, ...], code: int, error: str | None, home: Home, good: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(good.parent)
    monkeypatch.setenv(HOME_VARIABLE, str(home.root))
    before = tree_hash(home.root)
    said = answer(*words, code=code)
    if error:
        assert said["error"] == error
        assert said["message"]
    else:
        assert json.dumps(said).count("file_unreadable") == 1
    result = CliRunner().invoke(app, list(words))
    assert (result.exit_code, result.stderr.strip() != "") == (code, True)
    assert tree_hash(home.root) == before


@pytest.mark.parametrize("words", [("check",), ("load",), ("check", "x.csv", "--nonsense"), ("nonsense",), ("serve", "--port", "99999999")])
def test_wrong_usage_exits_2(words: tuple[str, ...]) -> None:
    assert CliRunner().invoke(app, list(words)).exit_code == 2


def test_a_broken_register_is_told_problem_by_problem(home: Home, good: Path) -> None:
    sites = home.registers / "sites.csv"
    sites.write_text(sites.read_text("utf-8").replace("39.1", "139.1"), "utf-8")
    said = answer("check", good, "--home", home.root, code=1)
    assert (said["error"], len(said["problems"])) == ("register_invalid", 2)
    assert {"sheet", "row", "column", "value", "suggestion"} <= set(said["problems"][0])


def test_load_withdraw_build_and_status_end_to_end(home: Home, good: Path, bad: Path) -> None:
    """One home through its life: a good file beside a refused one, published, listed, loaded again, withdrawn, built."""
    assert answer("status", "--home", home.root)["uploads"] == []
    loaded = answer("load", bad, good, "--home", home.root, code=1)
    assert [one["verdict"] for one in loaded["files"]] == ["refused", "loaded"]
    assert loaded["build"]["tables"]["observations"] == 7
    upload = loaded["files"][1]["upload_id"]
    status = answer("status", "--home", home.root)
    assert [(one["upload_id"], one["status"], one["rows_in_file"]) for one in status["uploads"]] == [(upload, "active", 8)]
    assert status["build_id"] == loaded["build"]["build_id"]
    assert upload in run("status", "--home", home.root)
    before = tree_hash(home.root)
    again = answer("load", good, "--home", home.root)
    assert ([one["verdict"] for one in again["files"]], again["build"]) == (["known already"], None)
    assert tree_hash(home.root) == before
    taken = answer("withdraw", upload[:5], "--home", home.root)
    assert (taken["upload_id"], taken["status"]) == (upload, "withdrawn")
    built = answer("build", "--from-received", "--home", home.root)
    assert (built["tables"]["observations"], built["changed_uploads"]) == (0, [])
    assert built["build_id"] != loaded["build"]["build_id"]


def test_help_imports_nothing_heavy() -> None:
    """`--help` must be instant: none of the heavy libraries is imported, checked in a process of its own."""
    heavy = ("pandas", "numpy", "duckdb", "panel", "bokeh", "great_expectations", "dbt", "scipy", "openpyxl", "astral")
    code = (
        "import sys\nfrom typer.testing import CliRunner\nimport tautleaf\n"
        "words = [['--help'], *[[name, '--help'] for name in ('init', 'check', 'load', 'build', 'serve', 'demo', 'status')]]\n"
        "assert all(CliRunner().invoke(tautleaf.app, line).exit_code == 0 for line in words)\n"
        f"print([name for name in {heavy!r} if name in sys.modules])"
    )
    result = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)  # noqa: S603  # our own words
    assert result.stdout.strip() == "[]"


def test_a_plan_needs_no_history_and_refuses_nonsense(home: Home) -> None:
    found = answer("plan", "--difference", "0.5", "--home", home.root)
    assert "Assumed" in found["scatter"]["source"]
    assert found["designs"][0]["plants_per_site"] > found["designs"][-1]["plants_per_site"] >= 2
    assert "eye protection" in found["care"]
    assert "read 3 leaves of each of" in run("plan", "--difference", "0.5", "--sd-plant", "0.3", "--sd-leaf", "0.2")
    assert answer("plan", "--difference", "0", "--home", home.root, code=1)["error"] == "plan_unclear"

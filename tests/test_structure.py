"""The shape of the project: imports point left, heavy libraries wait, each library has its place, and the documents tell the truth."""

from __future__ import annotations

import ast
import re
import shlex
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
STAGES = ("ingest", "warehouse", "dashboards")
MAY_IMPORT = {
    "ingest": {"ingest"},
    "warehouse": {"ingest", "warehouse"},
    "dashboards": {"ingest", "warehouse", "dashboards"},
    "demo_years": {"demo_years", "ingest"},
}
OWN = {*MAY_IMPORT, "tautleaf", "tests"}
FLOW = ("files", "cells", "doubts", "registers", "tables", "checked", "readings", "learning", "weather", "checking", "received")
"""The folders of the first stage, and the module that leads a file through them, each after those that it imports."""
HEAVY = {
    "pandas", "duckdb", "dbt", "great_expectations", "panel", "bokeh", "hvplot", "holoviews", "scipy", "statsmodels", "numpy",
    "openpyxl", "odf", "python_calamine", "rapidfuzz", "astral", "matplotlib", "rich",
}  # fmt: skip
# The process of a build: dbt wants a subclass of its plugin, and a function called for each value does not import. Nothing else
# imports these, but within the function that starts the work. What is slow to load waits in them too.
BUILDING = "warehouse/modelling.py"
OF_THE_BUILD = {BUILDING, "warehouse/functions.py", "warehouse/statistics_in_sql.py"}
STATISTICS = "warehouse/statistics/"
WORDING = "warehouse.statistics.wording."
SLOW = ("scipy.stats", "scipy.optimize", "scipy.integrate", "statsmodels", "pandas")
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "tautleaf.py", "ingest", "warehouse", "dashboards", "demo_years", "tests",
    ".ci", "LICENSE", "requirements.lock", "Makefile",
}  # fmt: skip


def modules(*folders: str) -> Iterator[Path]:
    for folder in folders:
        yield from sorted(path for path in (ROOT / folder).rglob("*.py") if "__pycache__" not in path.parts)


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def imported(tree: ast.AST) -> set[str]:
    """Every module that is imported anywhere below a node, but for imports that only type checkers see."""
    found: set[str] = set()
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            continue
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            found.update(f"{node.module}.{alias.name}" for alias in node.names)
        else:
            found |= imported(node)
    return found


def imported_at_once(path: Path) -> set[str]:
    """Modules that importing this one imports: not those within functions."""
    tree = ast.parse(path.read_text("utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            node.body = []
    return imported(tree)


def tops(names: set[str]) -> set[str]:
    return {name.partition(".")[0] for name in names}


def who_imports(library: str) -> set[str]:
    folders = (*STAGES, "demo_years")
    return {name_of(path) for path in modules(*folders) if library in tops(imported(ast.parse(path.read_text("utf-8"))))}


@pytest.mark.parametrize("stage", MAY_IMPORT)
def test_imports_point_left(stage: str) -> None:
    wrong = {
        name_of(path): strangers
        for path in modules(stage)
        if (strangers := (tops(imported(ast.parse(path.read_text("utf-8")))) & OWN) - MAY_IMPORT[stage])
    }
    assert wrong == {}


def test_the_folders_of_the_first_stage_import_only_those_before_them() -> None:
    assert {path.parent.name for path in (ROOT / "ingest").glob("*/__init__.py")} == {*FLOW} - {"checking"}
    for path in modules("ingest"):
        own = path.relative_to(ROOT / "ingest").with_suffix("").parts[0]
        used = {name.split(".")[1] for name in imported(ast.parse(path.read_text("utf-8"))) if name.startswith("ingest.")} & {*FLOW}
        if own in FLOW:
            assert {name for name in used if FLOW.index(name) > FLOW.index(own)} == set(), name_of(path)
        elif own not in ("asking", "commands"):  # what all share knows no step
            assert used == set(), name_of(path)


def test_each_big_library_is_known_in_one_place() -> None:
    assert who_imports("great_expectations") == {"ingest/checked/suites.py"}
    assert who_imports("dbt") == {BUILDING}
    assert all(name.startswith("dashboards/") for library in ("panel", "bokeh", "hvplot", "holoviews") for name in who_imports(library))
    assert who_imports("panel") != set()


def test_heavy_libraries_wait_for_the_function_that_needs_them() -> None:
    heavy = {name_of(path): found for path in modules("ingest", "warehouse") if (found := tops(imported_at_once(path)) & HEAVY)}
    assert {name for name in heavy if name not in OF_THE_BUILD and not name.startswith(STATISTICS)} == set()
    of_the_build = tuple(name.removesuffix(".py").rstrip("/").replace("/", ".") for name in (*OF_THE_BUILD, STATISTICS))
    for path in modules(*STAGES):
        at_once = imported_at_once(path)
        if name_of(path) not in OF_THE_BUILD and not name_of(path).startswith(STATISTICS):
            assert not any(name.startswith(of_the_build) and not name.startswith(WORDING) for name in at_once), name_of(path)
        elif name_of(path) != BUILDING:
            assert not any(name.startswith(SLOW) for name in at_once), name_of(path)


def test_the_words_that_all_stages_share_are_plain_python() -> None:
    assert tops(imported_at_once(ROOT / f"{WORDING.replace('.', '/')[:-1]}.py")) <= {"__future__", "collections"}


def test_the_front_door_of_each_stage_is_light() -> None:
    for stage in STAGES:
        assert not tops(imported_at_once(ROOT / stage / "commands.py")) & HEAVY


def test_there_is_no_python_below_the_models_but_models() -> None:
    for path in (ROOT / "warehouse" / "models").rglob("*.py"):
        functions = [node.name for node in ast.parse(path.read_text("utf-8")).body if isinstance(node, ast.FunctionDef)]
        assert "model" in functions, f"{name_of(path)} is no model of dbt"


def test_the_top_level_is_the_one_that_the_design_states() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split("\n")  # noqa: S607
    kept = {line.partition("/")[0] for line in listed if line}
    assert {name for name in kept if not name.startswith(".")} - TOP_LEVEL == set()
    assert {name for name in TOP_LEVEL - kept if not (ROOT / name).exists()} == set()


def test_modules_are_named_by_what_they_know_and_stay_short() -> None:
    for path in modules(*STAGES, "demo_years"):
        assert not re.search(r"utils?|helpers?|common|manager|misc", path.stem), name_of(path)
        assert not path.stem.startswith("dbt_"), f"{name_of(path)}: dbt imports and runs every module of that prefix"
        assert len(path.read_text("utf-8").splitlines()) <= 250, f"{name_of(path)} is longer than 250 lines"


def test_no_bare_except_and_no_assert_for_input() -> None:
    for path in modules(*STAGES):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            assert not isinstance(node, ast.Assert), f"{name_of(path)}:{node.lineno}"
            assert not (isinstance(node, ast.ExceptHandler) and node.type is None), f"{name_of(path)}:{node.lineno}"


def test_the_lock_file_has_hashes_and_no_address() -> None:
    lines = (ROOT / "requirements.lock").read_text("utf-8").splitlines()
    assert [line for line in lines if "://" in line or "--index-url" in line or "--find-links" in line] == []
    pinned = [line for line in lines if re.match(r"[a-z0-9]", line)]
    assert len(pinned) > 50
    assert all(re.match(r"[\w.\[\],-]+==\S+", line) for line in pinned)
    assert sum("--hash=sha256:" in line for line in lines) >= len(pinned)


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md"])
def test_every_path_that_a_document_names_exists(document: str) -> None:
    text = (ROOT / document).read_text("utf-8")
    named = re.findall(r"[`(]([\w.-]+/[\w./-]*)[`)]", text)
    paths = {path for path in named if path.partition("/")[0] in TOP_LEVEL and "NAME" not in path}
    paths |= {f"{module.replace('.', '/')}.py" for module in re.findall(r"`python -m ([\w.]+)", text)}
    assert paths
    assert {path for path in paths if not (ROOT / path).exists()} == set()
    files = {path.name for path in (ROOT / "dashboards").rglob("*")} | {path.name for path in modules(*STAGES)}
    assert {name for name in re.findall(r"`(\w+\.(?:py|R|js|css|html))`", text) if name not in files} == set()


def test_the_steps_of_reading_a_file_name_modules_that_are_there() -> None:
    """In the table each module stands after its folder, as `folder/`: `module`, or with it, or at the top of the stage."""
    table = re.search(r"\| step \|.*?\n\n", (ROOT / "DEVELOPERS.md").read_text("utf-8"), flags=re.DOTALL)
    assert table
    named: set[str] = set()
    for line in table[0].strip().splitlines()[2:]:
        folder = ""
        for word in re.findall(r"`([\w/]+)`", line.split("|")[2]):
            if word.endswith("/"):
                folder = word
                continue
            found = [name for name in (word, folder + word) if (ROOT / "ingest" / f"{name}.py").exists()]
            assert found, f"{folder}{word}"
            named |= {*found}
    assert len(named) > 50


def console_commands(document: str) -> list[list[str]]:
    """The commands of a document's console blocks, split as a shell would."""
    blocks = re.findall(r"```console\n(.*?)```", (ROOT / document).read_text("utf-8"), flags=re.DOTALL)
    return [shlex.split(line[2:], comments=True) for block in blocks for line in block.splitlines() if line.startswith("$ ")]


def test_every_command_of_the_readme_exists_with_its_options() -> None:
    import typer.main

    from tautleaf import app

    known = typer.main.get_command(app).commands  # type: ignore[attr-defined]  # a group, as the front door has several
    targets = set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text("utf-8"), flags=re.MULTILINE))
    said = console_commands("README.md")
    assert [words for words in said if words[0] == "tautleaf"]
    for words in said:
        if words[0] == "make":
            assert {word for word in words[1:] if "=" not in word} <= targets, words
        elif words[0] == "tautleaf":
            assert words[1] in known, words
            options = {option for parameter in known[words[1]].params for option in parameter.opts} | {"--help"}
            assert {word for word in words[2:] if word.startswith("--")} <= options, words
        else:
            assert words[0] in (".", "export", "cd", "git"), words

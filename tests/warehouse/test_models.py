"""The models' own tests, and that what the yml files state is what is built and published."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from ingest.home import Home
from warehouse import contract_docs
from warehouse.build import BuildReport
from warehouse.published import Published, open_published
from warehouse.roles import ROLES, Role

MODELS = Path(contract_docs.MODELS)
FILES = sorted(MODELS.glob("*/*.sql"))


def test_models_and_unit_tests_pass(units: dict[str, Any]) -> None:
    assert units["failures"] == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_yml_states_every_column_in_order_with_its_type_and_a_description(path: Path, units: dict[str, Any]) -> None:
    assert units["types"][path.stem] == units["real"][path.stem]
    assert all(units["descriptions"][path.stem].values())


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_model_states_its_grain_first_fits_a_screen_and_speaks_plain_sql(path: Path) -> None:
    lines = path.read_text("utf-8").splitlines()
    assert lines[0].startswith("-- One row per")
    assert len(lines) < 80
    code = re.sub(r"--.*|\{#.*?#\}", "", "\n".join(lines))
    assert not re.search(r"//|::|\b(exclude|qualify)\b", code, re.IGNORECASE)


def test_soundness_looks_at_every_table(units: dict[str, Any]) -> None:
    test = (MODELS.parent / "tests" / "models_are_sound.sql").read_text("utf-8")
    views = {"int_antecedent", "int_rain_bases"}
    assert set(re.findall(r"'(\w+)'", test)) - {"model."} >= {path.stem for path in FILES} - views


def test_committed_descriptions_are_those_of_the_contract() -> None:
    assert contract_docs.BLOCKS.read_text("utf-8") == contract_docs.blocks_text()
    assert contract_docs.SOURCES.read_text("utf-8") == contract_docs.sources_text()


@pytest.mark.parametrize("role", ROLES)
def test_the_codebook_describes_every_table_and_column(home: Home, report: BuildReport, role: Role) -> None:
    published = open_published(home, role)
    book = published.query("SELECT * FROM codebook")
    columns = published.query("SELECT table_name, column_name FROM duckdb_columns() WHERE NOT internal")
    described = {(row.table_name, row.column_name) for row in book.itertuples() if row.description}
    assert set(columns.itertuples(index=False, name=None)) <= described
    assert {(table, "") for table in columns["table_name"]} <= described
    published.close()


def test_numbers_in_the_codebook_have_units(instructor: Published) -> None:
    ends = {"_mpa": "MPa", "_mm": "mm", "_c": "degrees Celsius", "_days": "days", "_deg": "degrees", "_m": "m"}
    book = instructor.query("SELECT column_name, description FROM codebook WHERE column_name <> ''")
    for row in book.itertuples():
        for end, unit in ends.items():
            if str(row.column_name).endswith(end) and row.column_name != "is_trace":
                assert re.search(rf"\b{unit}\b", str(row.description)), row.column_name

"""The demo's files against the truth that made them: every reading right, in its place, or set aside for a reason that is true."""

from __future__ import annotations

import shutil
from typing import Any

import pytest

from demo_years.make import HERE, truth
from ingest.checking import Checked, check_path
from ingest.home import Home, init_home

TRUTH: dict[str, list[dict[str, Any]]] = {}
for one in truth():
    TRUTH.setdefault(str(one["file"]), []).append(dict(one))


@pytest.fixture(scope="module")
def demo_registers(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """A home with the demo's registers and nothing loaded."""
    home = init_home(tmp_path_factory.mktemp("truth") / "home", code="thessowin", timezone="America/Chicago")
    for register in (HERE / "registers").glob("*.csv"):
        shutil.copyfile(register, home.registers / register.name)
    return home


def rows_of(checked: Checked) -> dict[tuple[str | None, int], dict[str, Any]]:
    """The checked rows by sheet and row of the file."""
    columns = checked.columns
    return {
        (columns["source_sheet"][index], columns["source_row"][index]): {name: values[index] for name, values in columns.items()}
        for index in range(len(columns["source_row"]))
    }


def differences(real: dict[str, Any], row: dict[str, Any]) -> dict[str, tuple[Any, Any]]:
    """What of a reading differs between the truth and the checked row, by column."""
    expected = {
        "semester": real["semester"],
        "section": real["section"],
        "date": real["date"],
        "site": real["site"],
        "taxon": real["taxon"],
        "plant": real["plant"],
        "leaf": real["leaf"],
        "sampling_window": real["window"],
        "endpoint": real["endpoint"],
        "unit_as_written": real["unit"],
    }
    wrong = {name: (value, row[name]) for name, value in expected.items() if row[name] != value}
    if (real["leaf_state"] == "senesced") != (row["leaf_state"] == "senesced"):
        wrong["leaf_state"] = (real["leaf_state"], row["leaf_state"])
    if real["balance_pressure_mpa"] is None or row["balance_pressure_mpa"] is None:
        wrong |= {} if real["balance_pressure_mpa"] == row["balance_pressure_mpa"] else {"pressure": (real, row)}
    elif abs(real["balance_pressure_mpa"] - row["balance_pressure_mpa"]) > 1e-9:
        wrong["pressure"] = (real["balance_pressure_mpa"], row["balance_pressure_mpa"])
    return wrong


@pytest.mark.parametrize("file", sorted(TRUTH))
def test_every_reading_of_a_demo_file_is_what_the_class_read(file: str, demo_registers: Home) -> None:
    checked = check_path(demo_registers, HERE / "files" / file)
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    rows = rows_of(checked)
    # A sheet's name is kept without persons, so sheets are told by their order, which is the truth's too.
    sheets = dict(zip(dict.fromkeys(real["sheet"] for real in TRUTH[file]), dict.fromkeys(sheet for sheet, _ in rows), strict=False))
    wrong, aside = [], 0
    for real in TRUTH[file]:
        row = rows[sheets[real["sheet"]], real["row"]]
        if row["status"] == "set_aside":
            aside += 1
            continue
        if found := differences(real, row):
            wrong.append((real["row"], found))
    assert wrong == []
    assert aside <= 0.1 * len(TRUTH[file])
    assert checked.receipt.rows["in_file"] == sum(checked.receipt.rows[name] for name in ("accepted", "flagged", "set_aside"))

"""Units and sign of readings against NIST SP 811 and against the values that the trade knows by heart."""

from __future__ import annotations

from pathlib import Path

import pytest

from ingest.home import Home
from ingest.units import MPA_PER_UNIT, to_mpa, water_potential_mpa
from tests.ingest.small_lab import check, csv_bytes, loaded_rows, small_lab

# NIST SP 811 (2008), appendix B.8, factors to pascal as printed there (from memory of its pages, seven digits).
PASCAL = {"MPa": 1.0e6, "bar": 1.0e5, "psi": 6.894757e3, "kPa": 1.0e3, "atm": 1.01325e5, "kgf/cm2": 9.80665e4}

# value, unit, balance pressure in MPa, tolerance, source
KNOWN = [
    (2, "bar", 0.2, 1e-9, "common practice: a shaded shrub after rain; NIST SP 811 B.8, bar"),
    (550, "psi", 3.792, 1e-3, "NIST SP 811 B.8, pound-force per square inch"),
    (32, "psi", 0.2206, 1e-4, "common practice: a car tyre, the scale that students know; NIST SP 811 B.8"),
    (10, "kgf/cm2", 0.980665, 1e-6, "NIST SP 811 B.8, kilogram-force per square centimetre"),
    (10, "atm", 1.01325, 1e-6, "NIST SP 811 B.8, standard atmosphere"),
    (1500, "kPa", 1.5, 1e-9, "common practice: the wilting point of soil; SI"),
    (1.5, "MPa", 1.5, 1e-9, "SI"),
]


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """A small lab without chambers, so that no maximum is in the way."""
    home = small_lab(tmp_path_factory.mktemp("units") / "home")
    (home.registers / "chambers.csv").write_text("chamber,aliases,gauge_unit,resolution,maximum_pressure\n", "utf-8")
    return home


def test_every_unit_of_the_contract_has_the_factor_of_nist_sp_811() -> None:
    assert set(MPA_PER_UNIT) == set(PASCAL)
    for unit, pascal in PASCAL.items():
        assert MPA_PER_UNIT[unit] * 1e6 == pytest.approx(pascal, rel=1e-7)


@pytest.mark.parametrize(("value", "unit", "mpa", "tolerance", "source"), KNOWN)
def test_known_pressures_in_mpa(value: float, unit: str, mpa: float, tolerance: float, source: str) -> None:
    assert to_mpa(value, unit) == pytest.approx(mpa, abs=tolerance), source
    assert water_potential_mpa(to_mpa(value, unit)) == pytest.approx(-mpa, abs=tolerance), source


def test_known_pressures_through_a_file_with_a_unit_column(lab: Home) -> None:
    header = ("Date", "Time", "Section", "Site", "Species", "Plant", "Leaf", "Pressure", "Unit")
    rows = [
        ("2024-09-17", "13:05", "a", "ridge", "ange", str(number), "1", str(value), unit) for number, (value, unit, *_) in enumerate(KNOWN)
    ]
    found = loaded_rows(check(lab, csv_bytes(rows, header)))
    assert len(found) == len(KNOWN)
    for row, (_, unit, mpa, tolerance, source) in zip(found, KNOWN, strict=True):
        assert row["unit_as_written"] == unit
        assert row["balance_pressure_mpa"] == pytest.approx(mpa, abs=tolerance), source
        assert row["water_potential_mpa"] == pytest.approx(-mpa, abs=tolerance), source


def test_no_endpoint_by_550_psi_is_a_potential_below_minus_3_792_mpa(lab: Home, tmp_path: Path) -> None:
    """550 psi is 3.792 MPa (NIST SP 811 B.8); a bound, by the definition of the endpoint."""
    header = ("Date", "Time", "Section", "Site", "Species", "Plant", "Leaf", "Pressure (psi)", "Remarks")
    rows = [
        ("2024-09-17", "13:05", "a", "ridge", "ange", "1", "1", ">550", ""),
        ("2024-09-17", "13:05", "a", "ridge", "ange", "2", "1", "550", "no endpoint"),
    ]
    for row in loaded_rows(check(lab, csv_bytes(rows, header))):
        assert (row["endpoint"], row["below_limit"]) == ("not_reached", True)
        assert row["water_potential_mpa"] == pytest.approx(-3.792, abs=1e-3)


def test_zero_pressure_is_zero_potential_and_not_minus_zero(lab: Home) -> None:
    header = ("Date", "Time", "Section", "Site", "Species", "Plant", "Leaf", "Pressure (bar)")
    (row,) = loaded_rows(check(lab, csv_bytes([("2024-09-17", "13:05", "a", "ridge", "ange", "1", "1", "0")], header)))
    assert str(row["water_potential_mpa"]) == "0.0"
    assert row["balance_pressure_mpa"] == 0


def test_a_potential_written_negative_and_its_pressure_are_the_same_reading(lab: Home) -> None:
    base = ("2024-09-17", "13:05", "a", "ridge", "ange", "1", "1")
    header = ("Date", "Time", "Section", "Site", "Species", "Plant", "Leaf")
    (pressure,) = loaded_rows(check(lab, csv_bytes([(*base, "18")], (*header, "Pressure (bar)"))))
    (potential,) = loaded_rows(check(lab, csv_bytes([(*base, "-1.8")], (*header, "Water potential (MPa)"))))
    assert pressure["balance_pressure_mpa"] == pytest.approx(potential["balance_pressure_mpa"], abs=1e-12)
    assert potential["water_potential_mpa"] == pytest.approx(-1.8, abs=1e-12)

"""What a header cell says by its words alone: the column, the unit, pressure or potential; and what it does not say."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingest.contract import contract
from ingest.tables.headers import is_summary_header, understand_header

NAMED = {
    "date": ["Date", "Sampling date"],
    "time_read": ["Time"],
    "time_cut": ["Time cut"],
    "section": ["Section", "Lab"],
    "semester": ["Semester"],
    "site": ["Site", "Hill position"],
    "taxon": ["Plant species", "Species", "Name of plant"],
    "plant": ["Plant", "Plant #"],
    "leaf": ["Leaf no.", "Rep"],
    "observer": ["Observer", "Student name", "Your name"],
    "person_detail": ["E-mail", "Observer's e-mail", "Student ID"],
    "chamber": ["Chamber"],
    "unit": ["Unit"],
    "endpoint": ["Endpoint?", "End pt reached (y/n)"],
    "leaf_state": ["Leaf condition"],
    "remark": ["Notes", "Anything odd?", "Dead?", "Maxed out", "Use (y/n)", "No endpoint"],
    "sampling_window": ["Window"],
    "reading": [
        "Pressure",
        "Balance pressure (bar)",
        "Leaf water potential",
        "Ψ",
        "psi",
        "MPa",
        "Ψ (−MPa)",
        "Psi leaf (MPa)",
        "psi_leaf",
        "Strange word (bar)",
    ],
}


@pytest.mark.parametrize(("text", "column"), [(text, column) for column, texts in NAMED.items() for text in texts])
def test_a_header_names_its_column(text: str, column: str) -> None:
    assert understand_header(text).best == column


@pytest.mark.parametrize("name", [column.name for column in contract()["readings"].columns.values() if column.header])
def test_every_header_word_of_the_contract_names_its_column(name: str) -> None:
    for words in (*contract()["readings"].columns[name].header, name):
        assert understand_header(words).best == name, words


@pytest.mark.parametrize("text", ["Leaf temp", "Leaf width (mm)", "Plant height (cm)", "Soil moisture (%)", "Temp (C)", "Colour", "", "  "])
def test_another_measurement_names_no_column_of_ours(text: str) -> None:
    assert understand_header(text).best is None


# header, unit, minus before it, quantity
UNITS = [
    ("Pressure (bar)", "bar", False, "pressure"),
    ("Pressure [PSI]", "psi", False, "pressure"),
    ("Reading (kg/cm²)", "kgf/cm2", False, None),
    ("Balance pressure, kPa", "kPa", False, "pressure"),
    ("LWP_MPa", "MPa", False, "potential"),
    ("Water potential (–MPa)", "MPa", True, "potential"),
    ("Ψleaf (MPa)", "MPa", False, "potential"),
    ("Psi (MPa)", "MPa", False, "potential"),
    ("Psi leaf, bar", "bar", False, "potential"),
    ("Psi md (MPa)", "MPa", False, "potential"),
    ("Predawn Ψ (MPa)", "MPa", False, "potential"),
    ("Reading", None, False, None),
    ("Pressure", None, False, "pressure"),
    ("Pressure (bar or psi)", None, False, "pressure"),
    ("Pressure (psi/MPa)", None, False, "pressure"),
    ("psi or bar", None, False, None),
]


@pytest.mark.parametrize(("text", "unit", "minus", "quantity"), UNITS)
def test_a_header_says_unit_and_quantity_or_leaves_them_open(text: str, unit: str | None, minus: bool, quantity: str | None) -> None:
    header = understand_header(text)
    assert (header.unit, header.minus and bool(unit), header.quantity) == (unit, minus, quantity)
    assert header.best == "reading"


@pytest.mark.parametrize(
    ("text", "unclear"), [("psi", True), ("PSI", True), ("Psi leaf", True), ("psi_leaf", True), ("Pressure psi", False)]
)
def test_bare_psi_may_be_the_letter_or_the_unit(text: str, unclear: bool) -> None:
    header = understand_header(text)
    assert header.is_psi_unclear is unclear
    assert (header.unit is None) is unclear


SUMMARIES = [
    *((text, True) for text in ("Mean pressure (bar)", "Average", "SD", "n", "n leaves", "Max pressure (bar)")),
    *((text, False) for text in ("Leaf n", "Pressure", "Endpoint (y/n)")),
]


@pytest.mark.parametrize(("text", "is_summary"), SUMMARIES)
def test_a_computed_column_is_told_from_one_that_was_read(text: str, is_summary: bool) -> None:
    assert is_summary_header(text) is is_summary


@given(st.text(max_size=40))
def test_any_text_is_understood_without_failing_and_scores_stay_in_bounds(text: str) -> None:
    assert all(0 < score <= 100 for _, score in understand_header(text).candidates)

"""Names as written matched to the registers: exactly, by alias, or as the only one alike; two candidates are no candidate."""

from __future__ import annotations

import pytest

from ingest.doubts.recipes import Recipe
from ingest.home import Home
from ingest.registers.names import Match, chamber_index, section_named, semester_named, site_index, taxon_index
from ingest.registers.registers import Registers, read_registers


@pytest.fixture(scope="module")
def registers(lab: Home) -> Registers:
    """The small lab's registers and two more taxa whose names are close to each other."""
    more = "poan,Poa annua,annual bluegrass,hill meadow grass,c3_grass\npopr,Poa pratensis,Kentucky bluegrass,mill meadow grass,c3_grass\n"
    path = lab.registers / "taxa.csv"
    path.write_text(path.read_text("utf-8") + more, "utf-8")
    return read_registers(lab)


TAXA = [
    ("ange", "ange", "name"),
    ("ANGE", "ange", "name"),
    ("Andropogon gerardii", "ange", "name"),
    ("andropogon  GERARDII", "ange", "name"),
    ("big bluestem", "ange", "name"),
    ("Turkey foot", "ange", "alias"),
    ("A. gerardii", "ange", "alias"),
    ("Andropogon gerardi", "ange", "alike"),
    ("Andropogon geradii", "ange", "alike"),
    ("Bur oaks", "quma", "alike"),
    ("Andropogon", None, "unknown"),
    ("bluegrass", None, "unknown"),
    ("angi", None, "unknown"),
    ("Andropogon gerardii 2", None, "unknown"),
    ("zebra plant", None, "unknown"),
]


@pytest.mark.parametrize(("written", "code", "how"), TAXA)
def test_a_plant_s_name_is_found_or_asked(written: str, code: str | None, how: str, registers: Registers) -> None:
    found = taxon_index(registers, Recipe()).match(written)
    assert (found.code, found.how) == (code, how)


def test_a_name_between_two_is_nobody_s(registers: Registers) -> None:
    index = taxon_index(registers, Recipe())
    assert index.match("sill meadow grass").how == "unknown"  # one letter from either
    assert index.match("hill meadow gras").how == "unknown"  # one letter from the one, two from the other: too near to both


SITES = [
    ("ridge", "ridge"),
    ("Ridge-Top", "ridge"),
    ("hilltop", "ridge"),
    ("LOW", "swale"),
    ("Long swal", "swale"),
    ("Ridge 2", None),
    ("", None),
]


@pytest.mark.parametrize(("written", "code"), SITES)
def test_a_site_is_found_by_code_name_alias_or_as_the_only_one_alike(written: str, code: str | None, registers: Registers) -> None:
    assert site_index(registers, Recipe()).match(written).code == code


def test_the_recipe_names_what_the_register_does_not(registers: Registers) -> None:
    recipe = Recipe(answers={"names": {"site": {"Dune": "Hilltop", "Pond": "set aside", "Bog": "nowhere"}}})
    index = site_index(registers, recipe)
    assert index.match("dune") == Match("dune", "ridge", "recipe", "Ridge top")
    assert index.match("Pond").how == "set_aside"
    assert index.match("Bog").how == "unknown"


def test_a_chamber_s_number_is_never_taken_as_misspelt(registers: Registers) -> None:
    index = chamber_index(registers, Recipe())
    assert (index.match("Grey chamber").code, index.match("grey").code, index.match("chamber 7").code) == ("grey", "grey", None)


SEMESTERS = [
    ("2024-fall", "2024-fall"),
    ("Fall 2024", "2024-fall"),
    ("Field lab, Fall semester 2024", "2024-fall"),
    ("F24", "2024-fall"),
    ("readings_2024_fall_a", "2024-fall"),
    ("autumn 2024", "2024-fall"),
    ("Spring 24", "2024-spring"),
    ("Fall 2024 and Spring 2024", None),
    ("Fall 2031", None),
    ("2024", None),
    ("fall", None),
    ("", None),
]


@pytest.mark.parametrize(("text", "semester"), SEMESTERS)
def test_the_one_semester_that_a_text_names(text: str, semester: str | None, registers: Registers) -> None:
    assert semester_named(text, registers) == semester


SECTIONS = [
    ("a", False, "a"),
    ("Section A", False, "a"),
    ("Sec. B", False, "b"),
    ("tuesday LAB", False, "a"),
    ("c", False, None),
    ("Lab notes of Section B, 2024", True, "b"),
    ("Tuesday lab readings", True, "a"),
    ("Sections A and B: Section A and Section B", True, None),
    ("a day in the field", True, None),
]


@pytest.mark.parametrize(("text", "is_free_text", "section"), SECTIONS)
def test_the_one_section_that_a_text_names(text: str, is_free_text: bool, section: str | None, registers: Registers) -> None:
    assert section_named(text, "2024-fall", registers, is_free_text=is_free_text) == section

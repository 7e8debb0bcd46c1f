"""Registers are checked like uploads: everything wrong is named in one go, with its place and what to do."""

from __future__ import annotations

import csv
import datetime as dt
from dataclasses import fields
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingest.contract import REGISTERS, contract
from ingest.errors import RegisterInvalid
from ingest.home import Home, init_home
from ingest.registers import registers as module
from ingest.registers.registers import Registers, read_registers

TABLES = {
    "gauges": "gauge,gauge_name,aliases,latitude_deg,longitude_deg,elevation_m,day_ends\n"
    "ranch,Ranch house,USC00999999; Old ranch,30.1,-98.2,312,7:00\n",
    "sites": "site,site_name,topographic_position,aliases,latitude_deg,longitude_deg,elevation_m,soil_depth_m,gauge\n"
    "hill,Ridge top,upland,Upper plot; U,30.1,-98.2,340,0.25,ranch\n"
    "draw,Creek bottom,lowland,Lower plot,30.1,-98.2,,,ranch\n",
    "taxa": "taxon,scientific_name,common_names,aliases,functional_group\n"
    "bigblue,Andropogon gerardii,big bluestem; turkeyfoot,ANGE,c4_grass\n"
    "buroak,Quercus macrocarpa,bur oak,QUMA,tree\n",
    "chambers": "chamber,aliases,gauge_unit,resolution,maximum_pressure\na,Old one,bar,0.5,40\n",
    "semesters": "semester,start_date,end_date\n2024-fall,2024-08-26,2024-12-13\n2025-spring,2025-01-13,2025-05-09\n",
    "sections": "semester,section,aliases\n2024-fall,a,Tuesday\n2025-spring,a,Tuesday; T\n",
}


@pytest.fixture
def home(tmp_path: Path) -> Home:
    made = init_home(tmp_path / "lab")
    for name, text in TABLES.items():
        (made.registers / f"{name}.csv").write_text(text, "utf-8")
    return made


def refused(home: Home, register: str, text: str | bytes) -> list[tuple[object, ...]]:
    data = text.encode() if isinstance(text, str) else text
    (home.registers / f"{register}.csv").write_bytes(data)
    with pytest.raises(RegisterInvalid) as caught:
        read_registers(home)
    assert all(found.severity == "refuse" and found.suggestion and "?" not in found.message for found in caught.value.problems)
    return [(found.sheet, found.row, found.column, found.value, found.code) for found in caught.value.problems]


def test_good_registers_read_as_typed_rows(home: Home) -> None:
    registers = read_registers(home)
    assert registers.sites["hill"].aliases == ("Upper plot", "U")
    assert registers.sites["draw"].elevation_m is None
    assert registers.sites["hill"].soil_depth_m == 0.25
    assert registers.gauges["ranch"].day_ends == "07:00"
    assert registers.semesters["2024-fall"].end_date == dt.date(2024, 12, 13)
    assert set(registers.sections) == {("2024-fall", "a"), ("2025-spring", "a")}
    assert {code: taxon.growth_form for code, taxon in registers.taxa.items()} == {"bigblue": "herbaceous", "buroak": "woody"}
    assert registers.taxa["bigblue"].common_name == "big bluestem"


def test_a_register_from_before_a_column_came_reads_with_the_column_blank(home: Home) -> None:
    registers = read_registers(home)
    assert registers.sites["hill"].soil_texture is None
    text = (
        TABLES["sites"]
        .replace("soil_depth_m,", "soil_depth_m,soil_texture,available_water_mm_per_m,")
        .replace(",0.25,", ",0.25,silt_loam,,")
    )
    (home.registers / "sites.csv").write_text(text.replace(",,,ranch", ",,,,125,ranch"), "utf-8")
    sites = read_registers(home).sites
    assert (sites["hill"].soil_texture, sites["hill"].available_water_mm_per_m) == ("silt_loam", None)
    assert (sites["draw"].soil_texture, sites["draw"].available_water_mm_per_m) == (None, 125.0)


def test_a_home_from_before_the_outcomes_came_has_none(home: Home) -> None:
    (home.registers / "outcomes.csv").unlink()
    assert read_registers(home).outcomes == {}


def test_outcomes_read_with_their_items_and_levels_as_lists(home: Home) -> None:
    text = (
        "outcome,statement,aliases,instrument,items,target_score_percent,"
        "levels,level_words,target_level,target_share_percent,from_semester,note\n"
    )
    row = "wp_reading,Reads a pressure chamber,,chamber_quiz,Q1; Q2 ;Q5,70,4,Beginning;Good,3,75,2024-fall,\n"
    (home.registers / "outcomes.csv").write_text(text + row, "utf-8")
    (found,) = read_registers(home).outcomes.values()
    assert (found.items, found.level_words, found.aliases) == (("Q1", "Q2", "Q5"), ("Beginning", "Good"), ())
    assert (found.target_score_percent, found.levels, found.from_semester) == (70.0, 4.0, "2024-fall")
    # "will" of a statement is no word of the lab: a remark may name a student so.
    assert not {"reads", "beginning"} & read_registers(home).words()


def test_a_texture_that_no_table_has_is_refused(home: Home) -> None:
    text = (
        TABLES["sites"]
        .replace("soil_depth_m,", "soil_depth_m,soil_texture,")
        .replace(",0.25,", ",0.25,clay loam,")
        .replace(",,,r", ",,,,r")
    )
    assert refused(home, "sites", text) == [("sites.csv", 2, "soil_texture", "clay loam", "register_value_invalid")]


def test_empty_registers_of_a_new_home_are_good(tmp_path: Path) -> None:
    assert read_registers(init_home(tmp_path / "lab")) == Registers({}, {}, {}, {}, {}, {})


@pytest.mark.parametrize("register", REGISTERS)
def test_each_entry_has_the_contracts_columns(home: Home, register: str) -> None:
    columns = list(contract()[register].columns)
    assert [field.name for field in fields(module._CLASSES[register])] == columns
    assert all(list(row) == columns for row in read_registers(home).rows(register))


def test_rows_for_the_models_hold_lists_as_text(home: Home) -> None:
    rows = read_registers(home).rows("sites")
    assert (rows[0]["aliases"], rows[1]["elevation_m"], rows[0]["latitude_deg"]) == ("Upper plot; U", None, 30.1)


@pytest.mark.parametrize(
    ("register", "semester", "spelling", "code"),
    [
        ("sites", None, "hill", "hill"),
        ("sites", None, "ridge top", "hill"),
        ("sites", None, "upper plot", "hill"),
        ("taxa", None, "turkeyfoot", "bigblue"),
        ("taxa", None, "andropogon gerardii", "bigblue"),
        ("gauges", None, "usc00999999", "ranch"),
        ("sections", "2025-spring", "t", "a"),
        ("sections", "2024-fall", "t", None),
        ("sections", "1999-fall", "a", None),
    ],
)
def test_names_are_found_by_any_spelling(home: Home, register: str, semester: str | None, spelling: str, code: str | None) -> None:
    assert read_registers(home).names(register, semester).get(spelling) == code


def test_a_day_belongs_to_its_semester_first_and_last_day_included(home: Home) -> None:
    days = [dt.date(2024, 8, 25), dt.date(2024, 8, 26), dt.date(2024, 12, 13), dt.date(2024, 12, 14)]
    assert [read_registers(home).semester_of(day) for day in days] == [None, "2024-fall", "2024-fall", None]


def test_words_of_names_are_known(home: Home) -> None:
    assert {"ridge", "bluestem", "quma", "tuesday"} <= read_registers(home).words()


SITES = TABLES["sites"].splitlines()[0] + "\n"
TAXA = TABLES["taxa"].splitlines()[0] + "\n"


@pytest.mark.parametrize(
    ("register", "text", "expected"),
    [
        (
            "sites",
            SITES + "hill,Ridge,hilltop,,30,-98,,,ranch",
            ("sites.csv", 2, "topographic_position", "hilltop", "register_value_invalid"),
        ),
        ("sites", SITES + "hill,Ridge,upland,,,-98,,,ranch", ("sites.csv", 2, "latitude_deg", None, "register_value_missing")),
        ("sites", SITES + "hill,Ridge,upland,,95,-98,,,ranch", ("sites.csv", 2, "latitude_deg", "95", "register_value_invalid")),
        ("sites", SITES + "hill,Ridge,upland,,nan,-98,,,ranch", ("sites.csv", 2, "latitude_deg", "nan", "register_value_invalid")),
        ("sites", SITES + 'hill,Ridge,upland,,"30,5",-98,,,ranch', ("sites.csv", 2, "latitude_deg", "30,5", "register_value_invalid")),
        ("sites", SITES + "hill,Ridge,upland,,30,-98,,,mill", ("sites.csv", 2, "gauge", "mill", "register_reference_unknown")),
        (
            "sites",
            SITES + "hill,Ridge,upland,,30,-98,,,ranch,spare",
            ("sites.csv", 2, "a cell without a header", "spare", "register_value_invalid"),
        ),
        (
            "taxa",
            TAXA + "a,Aaa bbb,,,forb\n# a note, with a comma\n\nA,Ccc ddd,,,forb",
            ("taxa.csv", 5, "taxon", "A", "register_key_repeated"),
        ),
        ("taxa", TAXA + "a,Aaa bbb,,,forb\nc,Ccc ddd,,AAA-BBB,forb", ("taxa.csv", 3, "aliases", "AAA-BBB", "register_alias_repeated")),
        ("taxa", TAXA + "a,Aaa bbb,,C,forb\nc,Ccc ddd,,,forb", ("taxa.csv", 2, "aliases", "C", "register_alias_repeated")),
        ("taxa", TAXA + "a,Aaa bbb,,--,forb", ("taxa.csv", 2, "aliases", "--", "register_value_invalid")),
        (
            "taxa",
            "taxon,scientific_name,common_names,alias,aliases,functional_group\n",
            ("taxa.csv", 1, "the header", "alias", "register_value_invalid"),
        ),
        (
            "taxa",
            "# none\ntaxon,scientific_name,common_names,aliases\n",
            ("taxa.csv", 2, "functional_group", None, "register_column_missing"),
        ),
        (
            "taxa",
            (TAXA + "a,Aaa bbb,Gänseblümchen,,forb").encode("cp1252"),
            ("taxa.csv", None, "the file", "taxa.csv", "register_value_invalid"),
        ),
        (
            "gauges",
            TABLES["gauges"].replace("7:00", "25:00"),
            ("gauges.csv", 2, "day_ends", "25:00", "register_value_invalid"),
        ),
        (
            "chambers",
            TABLES["chambers"].replace("0.5", "1e999"),
            ("chambers.csv", 2, "resolution", "1e999", "register_value_invalid"),
        ),
        (
            "semesters",
            TABLES["semesters"] + "2025-autumn,2025-08-25,2025-12-12",
            ("semesters.csv", 4, "semester", "2025-autumn", "register_value_invalid"),
        ),
        (
            "semesters",
            TABLES["semesters"] + "2025-fall,08/25/2025,2025-12-12",
            ("semesters.csv", 4, "start_date", "08/25/2025", "register_value_invalid"),
        ),
        (
            "semesters",
            TABLES["semesters"] + "2025-fall,2025-08-32,2025-12-12",
            ("semesters.csv", 4, "start_date", "2025-08-32", "register_value_invalid"),
        ),
        (
            "semesters",
            TABLES["semesters"] + "2025-fall,2025-12-12,2025-08-25",
            ("semesters.csv", 4, "end_date", "2025-08-25", "register_dates_crossed"),
        ),
        (
            "semesters",
            TABLES["semesters"] + "2025-summer,2025-05-09,2025-06-25",
            ("semesters.csv", 4, "start_date", "2025-05-09", "register_semesters_overlap"),
        ),
        ("sections", TABLES["sections"] + "2026-fall,a,", ("sections.csv", 4, "semester", "2026-fall", "register_reference_unknown")),
        ("sections", TABLES["sections"] + "2025-spring,b,tuesday", ("sections.csv", 4, "aliases", "tuesday", "register_alias_repeated")),
    ],
)
def test_what_is_wrong_is_named_with_its_place(home: Home, register: str, text: str | bytes, expected: tuple[object, ...]) -> None:
    assert refused(home, register, text) == [expected]


def test_a_semester_within_another_is_found_though_a_short_one_stands_between(home: Home) -> None:
    text = TABLES["semesters"] + "2023-fall,2024-08-27,2024-08-28\n2023-winter,2024-12-01,2024-12-20\n"
    codes = [(found[1], found[4]) for found in refused(home, "semesters", text)]
    assert codes == [(4, "register_semesters_overlap"), (5, "register_semesters_overlap")]


def test_all_problems_of_all_registers_come_in_one_go(home: Home) -> None:
    (home.registers / "chambers.csv").write_text(TABLES["chambers"].replace("bar", "bars").replace("0.5", "-1"), "utf-8")
    found = refused(home, "sites", SITES + "hill,Ridge,top,,30,-98,,,mill\n,Low,lowland,,99,-98,,,ranch\n")
    assert {(sheet, row, column) for sheet, row, column, _, _ in found} == {
        ("sites.csv", 2, "topographic_position"),
        ("sites.csv", 2, "gauge"),
        ("sites.csv", 3, "site"),
        ("sites.csv", 3, "latitude_deg"),
        ("chambers.csv", 2, "gauge_unit"),
        ("chambers.csv", 2, "resolution"),
    }


def test_a_broken_register_does_not_make_others_wrong(home: Home) -> None:
    assert [found[4] for found in refused(home, "gauges", "")] == ["register_column_missing"]


def test_a_missing_file_is_named(home: Home) -> None:
    (home.registers / "taxa.csv").unlink()
    with pytest.raises(RegisterInvalid, match=r"taxa\.csv"):
        read_registers(home)


def test_columns_in_another_order_and_semicolons_of_a_spreadsheet_are_read(home: Home) -> None:
    text = '\ufeffaliases;Taxon;scientific_name;functional_group;common_names\r\n"ANGE; big b";bigblue;Andropogon gerardii;c4_grass;\r\n'
    (home.registers / "taxa.csv").write_text(text, "utf-8", newline="")
    assert read_registers(home).taxa["bigblue"].aliases == ("ANGE", "big b")


def test_a_quoted_cell_over_two_lines_keeps_line_numbers_true(home: Home) -> None:
    text = SITES + '# one\nhill,"Ridge\n# top",upland,,30,-98,,,ranch\ndraw,Low,low,,30,-98,,,ranch\n'
    assert refused(home, "sites", text) == [("sites.csv", 5, "topographic_position", "low", "register_value_invalid")]


@given(st.lists(st.text(st.characters(codec="utf-8", exclude_characters="\r\n\x00"), max_size=12), min_size=5, max_size=5))
def test_any_text_is_read_or_refused_never_a_traceback(tmp_path_factory: pytest.TempPathFactory, cells: list[str]) -> None:
    made = init_home(tmp_path_factory.mktemp("any") / "lab")
    with (made.registers / "taxa.csv").open("a", encoding="utf-8", newline="") as file:
        csv.writer(file, quoting=csv.QUOTE_ALL).writerow(cells)
    try:
        taxa = read_registers(made).taxa
    except RegisterInvalid as error:
        assert error.problems  # noqa: PT017 - either outcome is right, a traceback is not
    else:
        assert [taxon.taxon for taxon in taxa.values()] == [cells[0].strip()] * bool("".join(cells).strip())

"""Aliases: remembered on the instructor's word in the home's register, whose file keeps everything else that stands in it."""

from __future__ import annotations

from pathlib import Path

import pytest

from ingest.accepting import accept
from ingest.aliases import Alias, may_be_remembered, remember, with_alias
from ingest.errors import RecipeInvalid, RegisterInvalid
from ingest.home import Home
from ingest.people import Scrubber
from ingest.registers import read_registers
from tests.ingest.small_lab import check, loaded_rows, refusals, table_of, tree_hash

HEAD = "site,site_name,topographic_position,aliases,latitude_deg,longitude_deg,elevation_m,soil_depth_m,gauge"
# the register before, the spelling, the register after; the row of the site ridge
EDITS = [
    ("{h}\nridge,Ridge,upland,,39,-96,,,hut\n", "Moon", "{h}\nridge,Ridge,upland,Moon,39,-96,,,hut\n"),
    ("{h}\nridge,Ridge,upland,Up;Top,39,-96,,,hut", "Moon", "{h}\nridge,Ridge,upland,Up;Top;Moon,39,-96,,,hut"),
    (
        '# one, "two\n{h}\r\n\r\nlow,Low,lowland,,39,-96,,,hut\r\nridge,"Ridge, the",upland,Up ,39,-96,,,hut\r\n# end',
        "Moon",
        '# one, "two\n{h}\r\n\r\nlow,Low,lowland,,39,-96,,,hut\r\nridge,"Ridge, the",upland,Up;Moon,39,-96,,,hut\r\n# end',
    ),
    ("{h}\nridge,Ridge,upland,,39,-96,,,hut\n", 'Moon, "the"', '{h}\nridge,Ridge,upland,"Moon, ""the""",39,-96,,,hut\n'),
    ('{h}\nridge,"a\n#b",upland,"Up",39,-96,,,hut\n', "Moon", '{h}\nridge,"a\n#b",upland,"Up;Moon",39,-96,,,hut\n'),
    ("aliases,site\nUp,low\nTop,ridge\n", "Moon", "aliases,site\nUp,low\nTop;Moon,ridge\n"),
    ("site;aliases\nridge;Up\n", "Moon", 'site;aliases\nridge;"Up;Moon"\n'),
    ("site,site_name,aliases\nridge,Ridge\n", "Moon", "site,site_name,aliases\nridge,Ridge,Moon\n"),
]


@pytest.mark.parametrize(("before", "spelling", "after"), EDITS)
def test_only_the_cell_of_the_alias_changes(before: str, spelling: str, after: str) -> None:
    assert with_alias(before.replace("{h}", HEAD), "sites", ("ridge",), spelling) == after.replace("{h}", HEAD)


def test_a_register_without_that_row_or_column_is_left_alone(home: Home) -> None:
    before = tree_hash(home.registers)
    with pytest.raises(RegisterInvalid, match="Add moon to sites"):
        remember(home, [Alias("site", "Moon", "moon")])
    with pytest.raises(RegisterInvalid, match="Add the column aliases"):
        with_alias("site\nridge\n", "sites", ("ridge",), "Moon")
    assert tree_hash(home.registers) == before


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_a_register_is_renamed_into_place_with_its_mark_and_rights(home: Home, mark: bytes) -> None:
    path = home.registers / "sections.csv"
    data = mark + b"# Lab sections\n" + path.read_bytes()
    path.write_bytes(data)
    path.chmod(0o640)
    remember(home, [Alias("section", "Tues", "a", ("2024-spring", "2024-fall"))])
    assert path.read_bytes() == data.replace(b"Section A\n", b"Section A;Tues\n").replace(b"Tuesday lab\n", b"Tuesday lab;Tues\n")
    assert path.stat().st_mode & 0o777 == 0o640
    assert [found.name for found in home.registers.glob(".*")] == []
    assert read_registers(home).names("sections", "2024-fall")["tues"] == "a"


def test_an_alias_is_remembered_when_the_file_is_loaded_and_not_before(home: Home) -> None:
    answers = ("alias.site.Moon=ridge", "alias.taxon.Blue thing=ange", "alias.chamber.old=grey", "alias.section.Tues=b")
    data = table_of(Site=["Moon", "swale"], Species="Blue thing", Chamber="old", Section="Tues")
    before = tree_hash(home.registers)
    checked = check(home, data, "class.csv", *answers)
    assert [(row["site"], row["taxon"], row["chamber"], row["section"]) for row in loaded_rows(checked)] == [
        ("ridge", "ange", "grey", "b"),
        ("swale", "ange", "grey", "b"),
    ]
    assert tree_hash(home.registers) == before
    assert "will be remembered in taxa.csv as another spelling of ange" in checked.receipt.as_text()
    accept(home, checked)
    assert "'Blue thing' is remembered in taxa.csv" in checked.receipt.as_text()
    assert refusals(check(home, table_of(Site="Moon", Species="Blue thing", Chamber="old", Section="Tues"))) == []
    assert [row.split(",")[2] for row in (home.registers / "sections.csv").read_text("utf-8").splitlines()[1:]] == [
        "Section A",
        "Section A;Tuesday lab",
        "Section B;Tues",
    ]
    again = check(home, data, "class.csv", *answers)
    assert (again.receipt.aliases, accept(home, again)) == ([], False)


@pytest.mark.parametrize(
    ("answer", "why"),
    [
        ("alias.site.Moon=nowhere", "is none"),
        ("alias.site.Low=ridge", "it stands for swale"),
        ("alias.site.a;b=ridge", "cannot be kept"),
        ("alias.section.Tues=z", "is none"),
    ],
)
def test_an_alias_that_would_break_a_register_is_refused(answer: str, why: str, lab: Home) -> None:
    with pytest.raises(RecipeInvalid, match=why):
        check(lab, table_of(), "class.csv", answer)


PERSONS = ["Ola Quist", "Quist, Ola", "quist@college.example"]
PLACES = ["Moonrise", "moon 2", "N slope", "Bog trail"]


@pytest.mark.parametrize("text", [*PERSONS, *PLACES])
def test_a_spelling_that_may_be_a_person_s_is_not_proposed_for_storing(text: str, lab: Home) -> None:
    assert may_be_remembered(text, Scrubber(read_registers(lab).words()).scrub) is (text in PLACES)
    proposed = [answer for found in check(lab, table_of(Site=text)).receipt.questions() for answer in found.answers]
    assert any(answer.startswith("alias.") for answer in proposed) is (text in PLACES)
    assert Path(lab.registers / "sites.csv").read_text("utf-8").count(text) == 0

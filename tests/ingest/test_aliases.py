"""Aliases: remembered on the instructor's word in the home's register, whose file keeps everything else that stands in it."""

from __future__ import annotations

import json
import re
import subprocess

import pytest

from ingest.doubts.recipes import save_recipe
from ingest.errors import RecipeInvalid, RegisterInvalid
from ingest.folding import fold
from ingest.home import Home
from ingest.received.accepting import accept
from ingest.registers.aliases import Alias, remember, with_alias
from ingest.registers.registers import read_registers
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, every_row, loaded_rows, refusals, table_of, tree_hash

pytestmark = pytest.mark.usefixtures("opened_here")

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


PERSONS = [
    "Zabreth Quilmab",
    "Quilmab, Zabreth",
    "Zabreth",
    "quilmab@college.example",
    "O'Quilmab",
    "Zabreth West",
    "Zabreth Ridge",
    "Zabreth 123456",
]
PLACES = ["meadow", "Rdge tpp", "N slope", "bog trail", "farmer's pond"]


@pytest.mark.parametrize("kind", ["Site", "Species", "Section", "Chamber", "Plant", "Semester"])
@pytest.mark.parametrize("text", PERSONS)
def test_a_person_in_the_wrong_cell_is_repeated_nowhere_and_can_be_answered(kind: str, text: str, home: Home) -> None:
    """Neither the receipt nor the recipe holds the name, and the key that is offered instead of it settles the question."""
    data = table_of(**{kind: [text, *TRUE_ROWS[0][HEADERS.index(kind) : HEADERS.index(kind) + 1]] if kind in HEADERS else text})
    checked = check(home, data)
    kept = save_recipe(home.recipes, checked.recipe, checked.receipt.open_questions(), checked.receipt.sha256).read_text("utf-8")
    told = checked.receipt.as_text() + json.dumps(checked.receipt.as_dict(), ensure_ascii=False) + kept
    words = set(re.findall(r"\w+", fold(told)))
    assert not words & {"zabreth", "quilmab", "123456"}, told
    if not (asked := checked.receipt.open_questions()):
        assert kind in ("Plant", "Chamber")
        return
    assert "cell " in checked.receipt.as_text()
    again = check(home, data, "class.csv", asked[0].answers[0])
    assert refusals(again) == []


def test_a_name_that_was_answered_by_its_spelling_is_kept_under_its_code(home: Home) -> None:
    data = table_of(Site=["Zabreth Quilmab", "ridge"])
    (question,) = check(home, data).receipt.open_questions()
    by_code, by_name = (check(home, data, "class.csv", answer) for answer in (question.answers[0], "names.site.Zabreth Quilmab=ridge"))
    assert by_code.receipt.fingerprint == by_name.receipt.fingerprint
    assert "Quilmab" not in by_name.recipe.as_toml()
    assert fold("Zabreth Quilmab") not in fold(str(by_name.answers))
    with pytest.raises(RecipeInvalid, match="a code is no spelling"):
        check(home, data, "class.csv", question.answers[0].replace("names.", "alias."))


def test_codes_differ_from_home_to_home_and_are_no_pseudonyms(home: Home, lab: Home) -> None:
    keys = {check(place, table_of(Site="Ola Quist")).receipt.open_questions()[0].keys[0] for place in (home, lab)}
    assert len(keys) == 2
    observers = {row["observer"] for row in every_row(check(home, table_of()))}
    assert not any(key.rpartition("_")[2] in str(observers) for key in keys)


@pytest.mark.parametrize("text", PLACES)
def test_a_place_or_a_plant_is_repeated_and_its_spelling_offered_for_the_register(text: str, lab: Home) -> None:
    (question,) = check(lab, table_of(Site=text, Observer="Rhun Pell")).receipt.open_questions()
    assert question.message == f"No site is called {text}."
    assert question.answers[0] == f"alias.site.{text}=ridge"


@pytest.mark.parametrize("text", ["farmer's pond", "creek $(date)", "creek `x`", "creek \\", 'creek "x"', "creek; x", "Ridge tops' "])
def test_what_is_suggested_can_be_pasted_into_a_shell(text: str, lab: Home) -> None:
    """A shell takes the suggestion as one option and one word, whatever signs the spelling holds."""
    for found in check(lab, table_of(Site=text)).receipt.problems:
        if "--answer" in found.suggestion:
            suggested = re.search(r"--answer (.+?)(?: \(or|; or| remembers|$)", found.suggestion)
            assert suggested
            ran = subprocess.run(["/bin/sh", "-c", f"printf %s {suggested[1]}"], capture_output=True, text=True, check=True)  # noqa: S603  # that it is safe is what is shown
            assert ran.stdout.split("=")[0].partition(".site.")[2] == " ".join(text.split())

"""One dropped file, without a server: what can be chosen leads to the same upload as the command line, and nothing is stored before."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from dashboards.receiving.controls import FILL, FILL_IN_WORDS, KEEP, Control
from dashboards.receiving.delivery import MOST_MB, Delivery, refuse_large
from dashboards.receiving.receipt_form import FILL_LABELS
from dashboards.receiving.receipt_html import item_html
from dashboards.receiving.row_pages import ROWS_AT_ONCE
from ingest.doubts.answers import TO_FILL_IN, split_answer
from ingest.errors import FileUnreadable, RecipeInvalid
from ingest.home import Home
from ingest.received.accepting import accept
from ingest.received.checked_files import checked_path
from ingest.received.ledger import Received
from ingest.tables.columns import NO_COLUMN
from tests.ingest.small_class import small_class
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, csv_bytes, every_row, loaded_rows, small_lab, table_of, tree_hash
from tests.ingest.workbooks import xlsx_bytes

NO_UNIT = (*HEADERS[:8], "Pressure", "Remarks")
ONE_OF_TWO = xlsx_bytes({"Tuesday": [list(HEADERS), *map(list, TRUE_ROWS[:3])], "Lab v1.2": [list(NO_UNIT), *map(list, TRUE_ROWS[3:])]})
WITHOUT_SECTION = [[*row[:2], *row[3:]] for row in (HEADERS, *TRUE_ROWS)]
TWO_SECTIONS = xlsx_bytes({"Section A": WITHOUT_SECTION[:5], "Section B": [WITHOUT_SECTION[0], *WITHOUT_SECTION[5:]]})
SCORES = ("Student", "Semester", "Section", "Instrument", "Phase", "Item", "Score", "Max score")
GAUGE = b"STATION,DATE,PRCP\nZZ000000009,2024-09-01,12\nZZ000000009,2024-09-02,0\n"


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """The contract's suite takes most of a check's time and is tested elsewhere."""
    monkeypatch.setattr("ingest.readings.crosschecks.failing_rows", lambda kind, columns: iter(()))


@pytest.fixture
def home(tmp_path: Path) -> Home:
    """A small lab of its own for one test."""
    return small_lab(tmp_path / "home")


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """A small lab to check files with and to load nothing into."""
    return small_lab(tmp_path_factory.mktemp("lab") / "home")


def dropped(home: Home, data: bytes, name: str = "class.csv") -> Delivery:
    """A file that was dropped and checked."""
    delivery = Delivery(home, data, name)
    delivery.check()
    return delivery


def filled(delivery: Delivery, answers: dict[str, str]) -> dict[str, str]:
    """The form that says the answers: each by the drop-down that offers it, or by the field beside it."""
    form: dict[str, str] = {}
    for key, value in answers.items():
        control = next(control for control in delivery.controls if _offers(control, key, value))
        if f"{key}={value}" in dict(control.options):
            form[control.name] = f"{key}={value}"
        else:
            form[control.name] = next(one for one in control.to_fill if split_answer(one)[0] == key)
            form[control.name + FILL] = value
        if key.startswith("alias."):
            form[control.name + KEEP] = "yes"
    return form


def _offers(control: Control, key: str, value: str) -> bool:
    return f"{key}={value}" in dict(control.options) or key in [split_answer(one)[0] for one in control.to_fill]


SAID: list[tuple[str, bytes, dict[str, str]]] = [
    ("the unit", csv_bytes(TRUE_ROWS, NO_UNIT), {"reading.unit": "bar"}),
    ("the unit of one sheet", ONE_OF_TWO, {"only.Lab v1.2.reading.unit": "psi"}),
    ("pressures or potentials", table_of(**{"Pressure (bar)": ["-18", "-19", "20"]}), {"reading.quantity": "potential"}),
    ("a day written by hand", csv_bytes([row[1:] for row in TRUE_ROWS], HEADERS[1:]), {"constants.date": "2024-09-17"}),
    (
        "two doubts at once, one remembered",
        table_of(Date=["9/10/2024", "10/9/2024"], Site=["meadow", "ridge"]),
        {"dates.order": "month-first", "alias.site.meadow": "ridge"},
    ),
    ("a name that is none", table_of(Species=["tall thistle", "ange"]), {"names.taxon.tall thistle": "set aside"}),
    ("the column of an unknown header", csv_bytes(TRUE_ROWS, ("Wann", *HEADERS[1:])), {"columns.date": "column A"}),
    # What the reader settled by itself, and is corrected.
    ("another unit", table_of(), {"reading.unit": "psi"}),
    ("another column", csv_bytes(TRUE_ROWS), {"columns.plant": "Leaf"}),
    ("a column that is not used", csv_bytes(TRUE_ROWS), {"columns.leaf": NO_COLUMN}),
    ("the section of one sheet", TWO_SECTIONS, {"only.Section B.constants.section": "a"}),
]


@pytest.mark.parametrize(("data", "answers"), [case[1:] for case in SAID], ids=[case[0] for case in SAID])
def test_what_is_chosen_is_what_the_command_line_says(data: bytes, answers: dict[str, str], lab: Home) -> None:
    delivery = dropped(lab, data, "class.xlsx" if data.startswith(b"PK") else "class.csv")
    delivery.check(filled(delivery, answers))
    assert (delivery.state, delivery.says) == ("checked", "")
    said = check(lab, data, "class.xlsx" if data.startswith(b"PK") else "class.csv", *(f"{key}={value}" for key, value in answers.items()))
    assert delivery.seen()["upload_id"] == f"u{said.receipt.fingerprint[:10]}"
    ours = delivery._checked
    assert ours is not None
    assert every_row(ours) == every_row(said)
    assert (ours.recipe.as_toml(), sorted(ours.asked.answers)) == (said.recipe.as_toml(), sorted(said.asked.answers))
    assert ours.receipt.aliases == said.receipt.aliases


def test_whatever_is_written_by_hand_has_a_label() -> None:
    assert set(TO_FILL_IN) == set(FILL_IN_WORDS) == set(FILL_LABELS)


def test_a_test_without_a_known_code_is_given_one(tmp_path: Path) -> None:
    home = small_class(tmp_path / "home")
    delivery = dropped(home, csv_bytes([("Ola", "2024-fall", "a", "quiz", "pre", "Q1", "1", "2")], SCORES), "quiz.csv")
    (question,) = (control for control in delivery.controls if control.is_open)
    assert "Code, in lower case" in item_html(delivery.seen(), "")
    delivery.check({question.name: "names.instrument.quiz=CODE", question.name + FILL: "entry_quiz"})
    assert (delivery.state, delivery.seen()["kind"]) == ("checked", "assessment")
    assert delivery.rows("accepted", 0).total + delivery.rows("flagged", 0).total == 1


def test_a_gauge_is_said_by_drop_down(lab: Home) -> None:
    delivery = dropped(lab, GAUGE, "rain.csv")
    assert delivery.state == "asked"
    form = {control.name: "gauge=hut" for control in delivery.controls if "gauge=hut" in dict(control.options)}
    form |= {control.name: "weather.rain=mm" for control in delivery.controls if "weather.rain=mm" in dict(control.options)}
    delivery.check(form)
    assert (delivery.state, delivery.seen()["gauges"]) == ("checked", ["hut"])


def test_a_header_of_which_the_reader_speaks_is_nothing_else_whatever_the_recipe_says(home: Home) -> None:
    accept(home, check(home, csv_bytes(TRUE_ROWS[:4])))
    delivery = dropped(home, csv_bytes(TRUE_ROWS[4:]))
    assert {control.taken: control.why for control in delivery.controls}["plant"] == "by the recipe"
    (control,) = (control for control in delivery.controls if control.label == "column F, 'Plant'")
    delivery.check({control.name: "columns.leaf=Plant"})
    taken = {control.label: control.taken for control in delivery.controls}
    assert (taken["column F, 'Plant'"], taken["column G, 'Leaf'"]) == ("leaf", "not used")


def test_answers_stay_until_they_are_taken_back_and_nothing_is_stored_before_the_file_is_accepted(home: Home) -> None:
    data = table_of(Date=["9/10/2024", "10/9/2024"], Site=["meadow", "ridge"])
    before = tree_hash(home.root)
    delivery = dropped(home, data)
    order, site = (control for control in delivery.controls if control.is_open)
    delivery.check({order.name: "dates.order=month-first"})
    assert (delivery.state, delivery.seen()["to_do"]) == ("asked", "say which site meadow is; or add it to sites.csv")
    delivery.check({site.name: "alias.site.meadow=ridge"})  # of the other nothing is said: it stays; the spelling is for this file alone
    assert delivery.seen()["state"] == "checked"
    assert {control.name: control.chosen for control in delivery.controls if control.chosen} == {
        order.name: "dates.order=month-first",
        site.name: "alias.site.meadow=ridge",
    }
    assert delivery.seen()["aliases"] == []
    delivery.check({order.name: ""})
    assert delivery.seen()["state"] == "asked"
    with pytest.raises(FileUnreadable, match="Answer the questions first"):
        delivery.accept()
    delivery.check({order.name: "dates.order=month-first", site.name: "alias.site.meadow=ridge", site.name + KEEP: "yes"})
    assert tree_hash(home.root) == before
    assert delivery.accept()
    assert delivery.seen()["state"] == "loaded"
    (upload,) = Received(home).uploads()
    assert sorted(upload.facts["answers"]) == ["alias.site.meadow=ridge", "dates.order=month-first"]
    assert "Hilltop;meadow" in (home.registers / "sites.csv").read_text("utf-8")
    assert dropped(home, data).state == "known"


def test_answers_that_are_none_or_contradict_each_other_change_nothing(lab: Home) -> None:
    delivery = dropped(lab, csv_bytes(TRUE_ROWS))
    plant, leaf = (next(one for one in delivery.controls if one.taken == taken) for taken in ("plant", "leaf"))
    before = delivery.seen()
    for form, words in (
        ({plant.name: "columns.observer=Leaf"}, "none of them"),
        ({plant.name: "columns.site=Plant", leaf.name: "columns.site=Leaf"}, "cannot be both Plant and Leaf"),
    ):
        with pytest.raises(RecipeInvalid, match=words):
            delivery.check(form)
        assert delivery.seen() == before
    delivery.check({plant.name: "columns.leaf=Plant", leaf.name: "columns.leaf=no column"})  # the leaf is another column: it is not missing
    for _ in range(2):  # what was chosen stays chosen, though it is no longer what the reader would offer
        found = {one.label: (one.taken, one.chosen) for one in delivery.controls}
        assert found[plant.label] == ("leaf", "columns.leaf=Plant")
        assert found[leaf.label] == ("not used", "columns.leaf=no column")
        delivery.check({one.name: one.chosen for one in delivery.controls})


def test_a_header_that_may_not_be_shown_is_corrected_by_its_letter(lab: Home) -> None:
    delivery = dropped(lab, csv_bytes(TRUE_ROWS, (*HEADERS[:6], "blatt", *HEADERS[7:])))
    (before,) = (control for control in delivery.controls if control.label.startswith("column G"))
    assert (before.label, before.taken) == ("column G, '[…]'", "not used")
    for _ in range(2):
        delivery.check({before.name: "columns.leaf=column G"})
        (after,) = (control for control in delivery.controls if control.name == before.name)
        assert (after.taken, after.chosen) == ("leaf", "columns.leaf=column G")


SECTION_A = csv_bytes(TRUE_ROWS[:4])
CORRECTED = SECTION_A.replace(b",18.5,", b",18.6,")


def test_a_correction_shows_what_it_changes_and_replaces_by_a_word(home: Home) -> None:
    first = dropped(home, SECTION_A)
    assert first.accept()
    delivery = dropped(home, CORRECTED)
    (covered,) = delivery.seen()["covered"]
    assert (covered["upload_id"], covered["changes"], covered["loss"]) == (first.seen()["upload_id"], 1, "")
    assert delivery.changes(covered["upload_id"], 0).rows == [
        ("I2 (2024-09-17, ridge, ange, plant 1, leaf 1)", "reading as written", "18.5", "18.6")
    ]
    before = tree_hash(home.root)
    assert not delivery.accept()
    assert "say what becomes of it" in delivery.says
    assert tree_hash(home.root) == before
    assert delivery.accept((covered["upload_id"],))
    assert [upload.status for upload in Received(home).uploads()] == ["replaced", "active"]
    again = dropped(home, SECTION_A)
    assert (again.state, again.seen()["known"]) == ("checked", "replaced")
    assert again.accept(adds=True)
    assert [upload.status for upload in Received(home).uploads()] == ["active", "active"]


def test_a_file_that_would_lose_a_section_cannot_replace(home: Home) -> None:
    dropped(home, csv_bytes(TRUE_ROWS)).accept()
    (covered,) = dropped(home, CORRECTED).seen()["covered"]
    assert "also covers 2024-fall/b" in covered["loss"]


def test_of_two_pages_the_slower_sees_what_the_faster_did(home: Home) -> None:
    one, other = dropped(home, SECTION_A), dropped(home, CORRECTED)
    assert other.seen()["covered"] == []
    one.accept()
    assert not other.accept()
    assert "changed meanwhile" in other.says
    assert [covered["upload_id"] for covered in other.seen()["covered"]] == [one.seen()["upload_id"]]


def test_a_register_that_was_changed_meanwhile_asks_for_another_look(home: Home) -> None:
    delivery = dropped(home, SECTION_A)
    sites = home.registers / "sites.csv"
    sites.write_text(sites.read_text("utf-8").replace("ridge,Ridge top", "crest,Ridge top"), "utf-8")
    before = tree_hash(home.root)
    assert not delivery.accept()
    assert (delivery.seen()["state"], tree_hash(home.root)) == ("asked", before)
    assert "please look once more" in delivery.seen()["says"]


UNREADABLE = [(b"", "class.csv"), (b"PK\x03\x04 broken", "class.xlsx"), (b"\x00" * 400, "class.csv")]


@pytest.mark.parametrize(("data", "name"), UNREADABLE)
def test_what_cannot_be_read_is_a_sentence(data: bytes, name: str, lab: Home) -> None:
    delivery = dropped(lab, data, name)
    assert delivery.state in ("unreadable", "asked")
    shown = delivery.seen()
    assert (shown["says"] or shown["to_do"]).strip()
    assert "Traceback" not in json.dumps(shown)


def test_a_file_too_large_for_a_page_is_sent_to_the_command_line() -> None:
    refuse_large("class.csv", MOST_MB * 1_000_000)
    with pytest.raises(FileUnreadable, match=r"tautleaf load FILE.*100 MB.*up to 25 MB"):
        refuse_large("all.csv", 100_000_000)


def test_rows_are_shown_a_page_at_a_time_each_with_its_reason(lab: Home) -> None:
    many = [(*TRUE_ROWS[0][:5], str(number), *TRUE_ROWS[0][6:]) for number in range(240)] + [("", *TRUE_ROWS[0][1:8], "see paper", "")]
    delivery = dropped(lab, csv_bytes(many))
    pages = [delivery.rows("", start) for start in (0, ROWS_AT_ONCE, 2 * ROWS_AT_ONCE)]
    assert [len(page.rows) for page in pages] == [ROWS_AT_ONCE, ROWS_AT_ONCE, 42]
    assert {page.total for page in pages} == {242}
    assert [delivery.rows(status, 0).total for status in ("accepted", "flagged", "set_aside")] == [240, 0, 2]
    header, spoilt = delivery.rows("set_aside", 0).rows
    assert header[1:3] == ("set aside", "header of a table")
    assert spoilt[0] == "I242"
    assert "reading unreadable" in spoilt[2].split(", ")
    told = delivery.problems(0)
    assert any("see paper" in row or "[…]" in " ".join(row) for row in told.rows)


def test_nobody_is_named_in_what_the_page_gets(lab: Home) -> None:
    """A name in the wrong column looks like an unknown plant; it is asked about by its cell and a code."""
    rows = [(*row[:4], "Zabreth Quill" if number == 2 else row[4], *row[5:9], "asked Zabreth") for number, row in enumerate(TRUE_ROWS)]
    delivery = dropped(lab, csv_bytes(rows), "Zabreth Quill.csv")
    shown = delivery.seen() | {"name": ""}  # the name as it was dropped is shown on the page that dropped it, and kept nowhere
    told = json.dumps([shown, delivery.rows("", 0).rows, delivery.problems(0).rows])
    assert "Zabreth" not in told
    assert "Quill" not in told
    (question,) = (control for control in delivery.controls if control.is_open)
    delivery.check({question.name: question.options[0][0]})
    assert delivery.state == "checked"
    assert delivery.accept()
    stored = [path.read_bytes() for path in lab.root.rglob("*") if path.is_file() and "received" not in path.parts]
    assert not any(b"Zabreth" in content for content in stored)
    assert checked_path(lab.checked, "readings", delivery.seen()["upload_id"]).exists()
    assert loaded_rows(check(lab, csv_bytes(rows), "Zabreth Quill.csv"))

"""Recipes: what the instructor said of files of one shape, kept as TOML, checked key by key; an answer may hold for one file."""

from __future__ import annotations

from pathlib import Path

import pytest

from ingest.doubts.questions import Question
from ingest.doubts.recipe_keys import SET_ASIDE
from ingest.doubts.recipes import Recipe, find_recipe, recipe_from, save_recipe, shape_of
from ingest.errors import RecipeInvalid

SHA = "ab" * 32
TEXT = """
[recipe]
shape = "0123456789ab"
[columns]
reading = "Druck"
[reading]
unit = "bar"
[names.site]
"Dune" = "ridge"
[files.abababababab.reading]
unit = "psi"
"""


def test_a_recipe_is_the_same_after_writing_and_reading(tmp_path: Path) -> None:
    recipe = recipe_from(TEXT, "recipes/a.toml")
    asked = Question("unit_missing", "a question\nin two lines", "Which?", "say it", ("reading.unit=bar", "reading.unit=psi"))
    path = save_recipe(tmp_path, recipe, [asked], "cd" * 32, "class.csv")
    again = find_recipe(tmp_path, "0123456789ab")
    assert (again.shape, again.answers, again.path) == (recipe.shape, recipe.answers, path)
    assert again.files == {**recipe.files, "cd" * 6: {}}
    assert '# OPEN: a question in two lines Which?\n"reading.unit" = ""  # bar, psi\n' in path.read_text("utf-8")
    assert find_recipe(tmp_path, "ffffffffffff").answers == {}


def test_a_recipe_is_saved_where_it_came_from(tmp_path: Path) -> None:
    named = tmp_path / "tuesday lab.toml"
    named.write_text(TEXT, "utf-8")
    assert save_recipe(tmp_path, find_recipe(tmp_path, "0123456789ab")) == named
    assert [path.name for path in tmp_path.iterdir()] == ["tuesday lab.toml"]


def test_a_file_s_own_answers_lie_over_those_of_its_shape() -> None:
    recipe = recipe_from(TEXT, "a recipe")
    assert recipe.for_file(SHA).get("reading.unit") == "psi"
    assert recipe.for_file("cd" * 32).get("reading.unit") == "bar"
    assert recipe.for_file(SHA).get("columns.reading") == "Druck"


def test_answers_of_the_command_line_hold_for_one_file_and_leave_the_recipe_alone() -> None:
    recipe = Recipe("0123456789ab", {"reading": {"unit": "bar"}})
    answered = recipe.with_answers(SHA, ["reading.unit=MPa", "names.site.St. Mary's dune=ridge", "names.taxon.x=set aside"])
    mine = answered.for_file(SHA)
    assert mine.get("reading.unit") == "MPa"
    assert mine.name_for("site", "st mary’s  DUNE") == "ridge"
    assert mine.name_for("taxon", "X") == SET_ASIDE
    assert mine.name_for("taxon", "y") is None
    assert answered.for_file("cd" * 32).get("reading.unit") == "bar"
    assert (recipe.answers, recipe.files) == ({"reading": {"unit": "bar"}}, {})


def test_answers_about_sheets_have_the_type_that_a_recipe_has() -> None:
    mine = Recipe().with_answers(SHA, ["sheets.leave_out=Averages; Old", "sheets.header_row=4"]).for_file(SHA)
    assert mine.get("sheets.leave_out") == ["Averages", "Old"]
    assert mine.get("sheets.header_row") == 4
    of_file = Recipe().with_answers(SHA, ["only.Lab v1.2.reading.unit=psi"]).for_file(SHA)
    assert [of_file.for_sheet(sheet.__eq__).get("reading.unit") for sheet in ("Lab v1.2", "Lab v1")] == ["psi", None]
    assert Recipe().with_answers(SHA, ["sheets.header_row.Data=4"]).for_file(SHA).get("sheets.header_row") == {"Data": 4}


WRONG_ANSWERS = ["reading.unit", "reading.unit=furlong", "unit=bar", "nonsense.x=1", "reading.colour=red", "names.site=ridge", "=", ""]
WRONG_ANSWERS += [
    "dates.order=backwards",
    "clock.hours=13h",
    "constants.sampling_window=teatime",
    "constants.date=17.9.2024",
    "sheets.header_row=x",
]


@pytest.mark.parametrize("answer", WRONG_ANSWERS)
def test_an_answer_that_is_not_known_is_refused_by_name(answer: str) -> None:
    with pytest.raises(RecipeInvalid) as caught:
        Recipe().with_answers(SHA, [answer])
    assert answer.partition("=")[0].partition(".")[0] in str(caught.value)


WRONG_RECIPES = ["[reading", "[readings]\nunit='bar'", "[reading]\nunits='bar'", "[reading]\nunit='furlong'", "reading='bar'"]
WRONG_RECIPES += ["[files.abc.reading]\nunit='furlong'", "[columns]\nfoo='Foo'", "[names.leaves]\nx='y'", "[names]\nsite='y'"]
WRONG_RECIPES += ["[files.abc]\n'reading'='bar'", "[files.abc]\n'reading.unit'='furlong'", "[only.A.reading]\nunit='furlong'"]


@pytest.mark.parametrize("text", WRONG_RECIPES)
def test_a_recipe_with_a_mistake_is_refused_and_named(text: str) -> None:
    with pytest.raises(RecipeInvalid, match=r"recipes/mine\.toml"):
        recipe_from(text, "recipes/mine.toml")


def test_the_shape_is_that_of_the_headers_whatever_their_tables_order_and_their_case() -> None:
    one, two = ["Date", "Site", "Pressure (bar)"], ["Day", "Place"]
    assert shape_of([one, two]) == shape_of([two, [text.upper() for text in one]])
    assert shape_of([one]) != shape_of([two])
    assert shape_of([one]) != shape_of([list(reversed(one))])

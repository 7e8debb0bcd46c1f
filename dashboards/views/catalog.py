"""The views by name: who may see them, which choices their sentence holds, and how each is drawn from the store."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from dashboards.answer import Answer
from dashboards.choices import Choices
from dashboards.figures.second_scale import with_scale
from dashboards.offers import offers, settled, why_empty
from dashboards.predicting import predicted_view
from dashboards.store import Store
from dashboards.views import (
    ask_view,
    class_view,
    cohorts_view,
    compare_view,
    discussion,
    hillslope_view,
    learning_view,
    rain_view,
    uploads_view,
    years_view,
)
from dashboards.views.class_figure import MOST_LEAVES
from dashboards.views.class_words import counted_of
from dashboards.views.learning_view import Learned
from dashboards.views.picked import behind, parts
from dashboards.views.rain_view import PREDICTORS
from dashboards.views.shown import Shown
from dashboards.words import decimals_for
from ingest.errors import QuestionRefused

if TYPE_CHECKING:
    import pandas as pd

CAUTIONS = (
    "Going to the chamber? Eye protection for everyone near it, faces never over the seal, the maker's manual at hand, and someone "
    "trained beside you. Local rules come first."
)


@dataclass(frozen=True)
class View:
    """One view: its name in the bar, the sentence of its choices, and the function that draws it."""

    name: str
    words: str
    sentence: tuple[str, ...]
    roles: frozenset[str]
    draw: Callable[[Store, Choices], Answer]
    panel_width: int | None = None
    cautions: str = ""
    has_figure: bool = True
    has_question: bool = False
    receives: bool = False
    is_of_learning: bool = False


def shown_lately(view: View, store: Store, choices: Choices) -> Shown | None:
    """The view as it was drawn for another reader, if it was; at once."""
    found: Shown | None = store.answers.at_hand((view.name, choices))
    return found


def shown(view: View, store: Store, choices: Choices) -> Shown:
    """Draw a view; a figure that was drawn lately is the same for every reader, so that a class that opens it at once waits for one."""

    def draw() -> Shown:
        chosen, offered = foreseen(view, store, choices)
        return Shown(view, chosen, offered, with_scale(view.draw(store, chosen), chosen.scale))

    found: Shown = store.answers.get((view.name, choices), draw) if view.has_figure else draw()
    return found


def foreseen(view: View, store: Store, choices: Choices) -> tuple[Choices, dict[str, dict[str, str]]]:
    """What the choices of an address settle to, and what may be chosen, before anything is drawn."""
    holdings = store.holdings
    can_predict = store.predicted is not None
    chosen = settled(choices, holdings, can_predict=can_predict)
    offered = offers(chosen, holdings, store.tables, can_predict=can_predict)
    if view.is_of_learning:
        learned = _learned(store)
        chosen, offered = learned.settled(replace(chosen, semester=choices.semester or chosen.semester)), offered | learned.offers()
    return chosen, offered


def _why(frame: pd.DataFrame, store: Store, choices: Choices) -> str:
    """Why there is nothing, where there is nothing."""
    return why_empty(choices, store.holdings) if frame.empty else ""


def _decimals(store: Store) -> int:
    return decimals_for(store.resolution_mpa(store.chambers_used))


def _class(store: Store, choices: Choices) -> Answer:
    if choices.question == predicted_view.PREDICT and store.predicted is not None:
        return predicted_view.answer(store, choices, _decimals(store))
    plants, contrasts = store.plants(choices), store.contrasts(choices)
    leaves = store.leaves(choices) if plants["n_leaves"].sum() <= MOST_LEAVES else store.leaves_counted(choices)
    decimals = decimals_for(store.resolution_mpa(counted_of(leaves).chambers))
    why = _why(plants, store, choices)
    readings = class_view.draw(leaves, plants, contrasts, choices, decimals=decimals, why_empty=why)
    if choices.question in discussion.QUESTIONS and not readings.is_empty:
        return discussion.answer(store, choices, readings, plants, decimals)
    return readings


def _years(store: Store, choices: Choices) -> Answer:
    seasons, rain = store.seasons(choices), store.rain_months(choices)
    decimals = _decimals(store)
    picked = None
    if choices.pick:
        group, site = parts(choices.pick)
        mine = seasons[(seasons["semester"] == choices.semester) & (seasons["functional_group"] == group) & (seasons["site"] == site)]
        picked = behind(*store.picked(choices), mine, choices, decimals)
    why = _why(seasons, store, choices)
    return years_view.draw(seasons, rain, choices, decimals=decimals, why_empty=why, picked=picked)


def _hillslope(store: Store, choices: Choices) -> Answer:
    contrasts = store.contrasts(choices, every_semester=True)
    contrasts = contrasts.merge(store.conditions(choices), on=["semester", "functional_group"], how="left")
    why = _why(contrasts, store, choices)
    return hillslope_view.draw(contrasts, store.hill(choices), choices, decimals=_decimals(store), why_empty=why)


def _rain(store: Store, choices: Choices) -> Answer:
    column = PREDICTORS.get(choices.against, PREDICTORS[""]).column
    points, lines = store.over_predawn(choices) if column == "predawn_mpa" else store.over_rain(choices, column)
    why = _why(points, store, choices)
    return rain_view.draw(points, lines, choices, soil=store.soil_days(choices), decimals=_decimals(store), why_empty=why)


def _compare(store: Store, choices: Choices) -> Answer:
    nothing = "There is no such comparison of this semester and part of the day. Another semester, part of the day or kind may have one."
    return compare_view.draw(store.comparisons(choices), choices, decimals=_decimals(store), why_empty=nothing)


def _cohorts(store: Store, choices: Choices) -> Answer:
    cohorts, problems = store.cohorts, store.problem_kinds(choices.semester)
    return cohorts_view.draw(cohorts, problems, choices, why_empty=_why(cohorts, store, choices))


def _learned(store: Store) -> Learned:
    """The few rows on learning, whole, and kept with the figures: what a reader chooses only narrows them."""

    def ask() -> Learned:
        gains, outcomes, items = (store.learning(table) for table in ("learning_gains", "learning_outcomes", "learning_items"))
        info = store.build_info
        hidden_under = int(str(info["suppression_threshold"])) if info["role"] == "reviewer" else None
        return Learned(gains, outcomes, items, store.method(), hidden_under)

    found: Learned = store.answers.get("learning", ask)
    return found


def _learning(store: Store, choices: Choices) -> Answer:
    return learning_view.draw(_learned(store), choices)


def _ask(store: Store, choices: Choices) -> Answer:
    codebook = store.codebook(choices.table if choices.table in store.tables else "")
    try:
        found = store.ask(choices.sql) if choices.sql.strip() else None
    except QuestionRefused as refused:
        return ask_view.draw(None, codebook, choices, refused=str(refused))
    return ask_view.draw(found, codebook, choices)


def _uploads(store: Store, choices: Choices) -> Answer:
    return uploads_view.draw(store.uploads(choices), store.problems(choices), store.set_aside(choices), choices)


TOUCH = (
    "Drag over the figure to look closer, double-click for the whole record, click a mark for the readings behind it; or choose the "
    "same in the words above."
)
YEARS_SENTENCE = ("group", "taxon", "window", "site", "semester", "laid", "since", "until", "pick", "scale")
_ALL, _CLASSROOM = frozenset({"instructor", "student", "reviewer"}), frozenset({"instructor", "student"})

VIEWS: dict[str, View] = {
    view.name: view
    for view in (
        View(
            "class",
            "Class",
            ("semester", "section", "window", "group", "taxon", "site", "scale", "question"),
            _CLASSROOM,
            _class,
            150,
            CAUTIONS,
        ),
        View("years", "Years", YEARS_SENTENCE, _ALL, _years, cautions=TOUCH),
        View("hillslope", "Hillslope", ("across", "group", "window", "semester", "scale"), _CLASSROOM, _hillslope),
        View("rain", "Rain", ("against", "group", "taxon", "window", "site", "semester", "scale"), _CLASSROOM, _rain, 220),
        View("compare", "Compare", ("contrast", "semester", "window", "group", "taxon", "scale"), _CLASSROOM, _compare, 340),
        View("cohorts", "Cohorts", ("semester",), frozenset({"instructor"}), _cohorts),
        View(
            "learning",
            "Learning",
            ("semester", "outcome", "instrument"),
            frozenset({"instructor", "reviewer"}),
            _learning,
            is_of_learning=True,
        ),
        View("ask", "Ask", ("table", "drawn"), _CLASSROOM, _ask, has_figure=False, has_question=True),
        View("uploads", "Uploads", ("semester",), frozenset({"instructor"}), _uploads, has_figure=False, receives=True),
    )
}
"""In the order of the bar."""


def views_of(role: str) -> list[View]:
    """The views that a role's file can answer."""
    return [view for view in VIEWS.values() if role in view.roles]

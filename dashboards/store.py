"""The store: asks one published file what the views need, with the reader's choices as bound parameters."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any

from dashboards import questions, rain_questions
from dashboards.choices import Choices
from dashboards.holdings import Holdings, read_holdings
from dashboards.kept import Kept
from dashboards.views.class_words import LeavesCounted
from dashboards.views.cohorts_view import MOST_SECTIONS
from dashboards.views.compare_view import BOTH_WINDOWS, FIRST_KIND, side_words
from dashboards.views.picked import MOST_READINGS, parts
from dashboards.views.rain_view import MOST_POINTS, STEP_MPA, STEPS
from dashboards.words import GROUPS, WINDOWS, is_missing

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.asked import Published
    from dashboards.predicting.kept import KeptPredictions
    from warehouse.asking import Found

ANSWERS_KEPT = 64
"""So many views as drawn are kept for the next reader; all go with the build."""


class Store:
    """The questions, asked of one published file; sessions share it, and with it the few answers that were found last.

    `predicted` is what classes predicted in earlier lessons, for the instructor alone.
    """

    def __init__(self, published: Published, predicted: KeptPredictions | None = None) -> None:
        self._published = published
        self.predicted = predicted
        self._dates: Kept[pd.DataFrame] = Kept(len(WINDOWS))
        self.answers: Kept[Any] = Kept(ANSWERS_KEPT)

    @property
    def build_id(self) -> str:
        """Name of the build that is asked."""
        return self._published.build_id

    @cached_property
    def tables(self) -> frozenset[str]:
        """Names of the tables that this role's file holds."""
        return frozenset(self._published.query(questions.TABLES, [])["table_name"])

    @cached_property
    def holdings(self) -> Holdings:
        """How many usable readings there are of each semester, window, kind and site; found once for all readers of a build."""
        return read_holdings(self._published, has_readings="observations" in self.tables)

    @cached_property
    def chambers_used(self) -> list[str]:
        """Codes of the chambers that readings came from; none where the file holds no single readings."""
        if "observations" not in self.tables:
            return []
        found = self._published.query("select distinct chamber from observations where chamber is not null", [])
        return [str(code) for code in found["chamber"]]

    @cached_property
    def build_info(self) -> dict[str, object]:
        """What was built, when, for whom."""
        return {str(name): value for name, value in self._published.query(questions.BUILD, []).iloc[0].items()}

    def leaves(self, choices: Choices) -> pd.DataFrame:
        """Usable readings of one semester and window, one row per leaf."""
        return self._published.query(questions.LEAVES, _class_parameters(choices))

    def leaves_counted(self, choices: Choices) -> LeavesCounted:
        """How many those readings are, without the readings."""
        n, n_below, driest, chambers = self._published.query(questions.LEAVES_COUNTED, _class_parameters(choices)).iloc[0]
        return LeavesCounted(int(n), int(n_below), float(driest), tuple(str(code) for code in chambers))

    def plants(self, choices: Choices) -> pd.DataFrame:
        """Plant values of one semester and window, one row per plant."""
        return self._published.query(questions.PLANTS, _class_parameters(choices))

    def contrasts(self, choices: Choices, *, every_semester: bool = False) -> pd.DataFrame:
        """Lowland minus upland per semester and group, MPa, with its interval or the reason why there is none."""
        return self._published.query(
            questions.CONTRASTS, [choices.window, list(choices.groups), "" if every_semester else choices.semester]
        )

    def seasons(self, choices: Choices) -> pd.DataFrame:
        """Summaries of every semester, one row per semester, site and group, at the middle date of their readings.

        Where the file holds no single readings the date is the middle of the semester.
        """
        sql, taxon = (questions.SEASONS_OF_TAXON, [choices.taxon]) if choices.taxon else (questions.SEASONS_OF_SITES, [])
        seasons = self._published.query(sql, [choices.window, list(choices.groups), choices.site, *taxon])
        if "plant_values" in self.tables:
            dates = self._dates.get(choices.window, lambda: self._published.query(questions.DATES, [choices.window]))
            seasons = seasons.merge(dates, on=["semester", "site", "functional_group"], how="left")
            seasons["date"] = seasons["date_read"].fillna(seasons["date"])
        return seasons.sort_values(["date", "site"], ignore_index=True)

    def conditions(self, choices: Choices) -> pd.DataFrame:
        """Antecedent rain index, mm, and modelled soil water of the upland, a share, where plants of a semester and group were read."""
        return self._published.query(questions.CONDITIONS, [choices.window, list(choices.groups)])

    def hill(self, choices: Choices) -> pd.DataFrame:
        """The sites from high to low ground with their soil, and its modelled water on the field days of the chosen semester."""
        return self._published.query(questions.HILL, [choices.semester])

    def soil_days(self, choices: Choices) -> tuple[pd.DataFrame, pd.DataFrame]:
        """Modelled soil water through the chosen semester, one row per site and day, and the days on which leaves were read."""
        days = self._published.query(questions.SOIL_DAYS, [choices.semester, choices.site])
        asked = [choices.semester, choices.window, list(choices.groups), choices.taxon]
        return days, self._published.query(questions.SAMPLED, asked)

    @cached_property
    def _has_observers(self) -> bool:
        """Whether this role's file holds observers' pseudonyms."""
        return bool(self._published.query(questions.OBSERVER_IS_HELD, [])["is_held"].iloc[0])

    def picked(self, choices: Choices) -> tuple[pd.DataFrame | None, pd.DataFrame | None]:
        """The readings behind the picked mark and the receipts of their files; None for what this role's file does not hold."""
        if "observations" not in self.tables:
            return None, None
        parameters = [choices.semester, choices.window, *parts(choices.pick), choices.taxon]
        sql = questions.PICKED.format(observer=", o.observer" if self._has_observers else "", most=MOST_READINGS)
        receipts = self._published.query(questions.RECEIPTS_OF, parameters) if "uploads" in self.tables else None
        return self._published.query(sql, parameters), receipts

    def rain_months(self, choices: Choices) -> pd.DataFrame:
        """Monthly rain, mm, of the gauge that stands for the chosen site, or for most sites."""
        gauge = ""
        if "gauges" in self.tables:
            found = self._published.query(questions.GAUGE_OF_SITE, [choices.site])
            gauge = "" if found.empty else str(found["gauge"].iloc[0])
        return self._published.query(questions.RAIN_MONTHS, [gauge])

    def resolution_mpa(self, chambers: Sequence[str]) -> float | None:
        """The coarsest resolution of these chambers, MPa; None where none is registered."""
        of_chamber = self._resolutions
        return max((of_chamber[code] for code in chambers if code in of_chamber), default=None)

    @cached_property
    def _resolutions(self) -> dict[str, float]:
        """The resolution of each registered chamber that has one, MPa."""
        if "chambers" not in self.tables:
            return {}
        return dict(self._published.query(questions.RESOLUTIONS, []).itertuples(index=False, name=None))

    def comparisons(self, choices: Choices) -> pd.DataFrame:
        """Contrasts of one semester and kind, within the chosen kind of plant or else within groups, with their sides in words."""
        kind = choices.contrast or FIRST_KIND
        window = BOTH_WINDOWS if kind == "predawn_minus_midday" else choices.window
        found = self._published.query(questions.COMPARISONS, [choices.semester, kind, window, list(choices.groups), choices.taxon])
        kinds = zip(found["group_or_taxon"].tolist(), found["scientific_name"].tolist(), strict=True)
        who = [GROUPS.get(str(code), str(name)) for code, name in kinds]
        first, second = ([side_words(kind, str(side), self._site_names) for side in found[column]] for column in ("side_a", "side_b"))
        return found.assign(who=who, first=first, second=second)

    @cached_property
    def _site_names(self) -> dict[str, str]:
        return dict(self._published.query(questions.SITE_NAMES, []).itertuples(index=False, name=None))

    def over_rain(self, choices: Choices, column: str) -> tuple[pd.DataFrame, pd.DataFrame]:
        """Points of potential over a rain predictor, one per date, site and kind of plant, and the fitted line of each position.

        Where there are too many to be told apart, a row stands for the points of a cell, and has their number `n_points`.
        """
        asked = [choices.window, list(choices.groups), choices.taxon, choices.site]
        points = self._points(rain_questions.OVER_RAIN_OF[column], asked, choices.semester, column)
        return points, self._published.query(rain_questions.RAIN_LINES, [column, choices.window, list(choices.groups), choices.taxon])

    def over_predawn(self, choices: Choices) -> tuple[pd.DataFrame, pd.DataFrame]:
        """Midday over predawn potential, one point per plant and date or else per cell, and the fitted line of each position."""
        asked = [list(choices.groups), choices.taxon, choices.site]
        points = self._points(rain_questions.OVER_PREDAWN, asked, choices.semester, "predawn_mpa")
        return points, self._published.query(rain_questions.PREDAWN_LINES, [list(choices.groups), choices.taxon])

    def _points(self, sql: str, asked: Sequence[object], semester: str, column: str) -> pd.DataFrame:
        points = self._published.query(sql + rain_questions.THE_FIRST.format(most=MOST_POINTS + 1), asked)
        if len(points) <= MOST_POINTS:
            return points
        steps = {"x_step": STEPS[column], "y_step": STEP_MPA}
        cells = self._published.query(rain_questions.CELLS.format(points=sql, n=len(asked) + 1, **steps), [*asked, semester])
        return points if cells.empty else cells

    def index_on(self, choices: Choices, days: Iterable[object]) -> tuple[float, float] | None:
        """The lowest and highest antecedent rain index of these days, mm; None where it is not known."""
        asked = [choices.window, list(choices.groups), choices.taxon, choices.site, list(days)]
        low, high = self._published.query(rain_questions.INDEX_ON, asked).iloc[0]
        return None if is_missing(low) else (float(low), float(high))

    @cached_property
    def cohorts(self) -> pd.DataFrame:
        """How far the readings of each semester and section can be trusted; where there are very many sections, of each semester."""
        sections = self._published.query(f"{questions.COHORTS} limit {MOST_SECTIONS + 1}", [])
        return sections if len(sections) <= MOST_SECTIONS else self._published.query(questions.COHORTS_OF_SEMESTERS, [])

    def method(self) -> pd.DataFrame:
        """Counts of rows and readings per semester; a count is missing where the role's file hides it."""
        return self._published.query(questions.METHOD, [])

    def learning(self, table: str) -> pd.DataFrame:
        """All rows of `learning_gains`, `learning_outcomes` or `learning_items`; none where the file has no such table."""
        import pandas as pd

        return self._published.query(questions.LEARNING[table], []) if table in self.tables else pd.DataFrame()

    def problem_kinds(self, semester: str) -> pd.DataFrame:
        """How many problems of each code the files in use of a semester have."""
        return self._published.query(questions.PROBLEM_KINDS, [semester])

    def codebook(self, table: str) -> pd.DataFrame:
        """What the columns of a table hold; without a table, what each table holds."""
        return self._published.query(questions.CODEBOOK, [table])

    def ask(self, question: str) -> Found:
        """Answer a reader's own question in SQL.

        Raises:
            QuestionRefused: it cannot be answered; the message says why.
        """
        from warehouse.asking import ask

        return ask(self._published, question)

    def uploads(self, choices: Choices) -> pd.DataFrame:
        """Receipts, the latest first."""
        return self._published.query(questions.UPLOADS, [choices.semester])

    def problems(self, choices: Choices) -> pd.DataFrame:
        """Problems that the receipts list."""
        return self._published.query(questions.PROBLEMS, [choices.semester, choices.upload])

    def set_aside(self, choices: Choices) -> pd.DataFrame:
        """Rows that are kept but not used, with their reasons."""
        return self._published.query(questions.SET_ASIDE, [choices.semester, choices.upload])


def _class_parameters(choices: Choices) -> list[object]:
    return [choices.semester, choices.window, choices.section, list(choices.groups), choices.taxon, choices.site]

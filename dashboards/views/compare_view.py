"""The Compare view: two sites, seasons, parts of the day or sides of a rain, like with like; and why other things are not compared."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from dashboards.answer import Answer, Table
from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.words import GROUPS, POSITIONS, count, is_missing, mpa, number, semester_words, sentence, those_in

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

CONTRASTS: Mapping[str, str] = {
    "lowland against upland": "",
    "site against site": "between_sites",
    "season against season": "between_seasons",
    "after rain against before": "after_minus_before_rain",
    "predawn against midday": "predawn_minus_midday",
    "group against group": "across_groups",
}
"""Words of the choice and the kind of `fair_contrasts`; the first is the kind that needs no choice."""
FIRST_KIND = "lowland_minus_upland"
BOTH_WINDOWS = "predawn_and_midday"
HEIGHT = 240
_MOST_WORDS = 4
_DRAWN = ("who", "first", "second", "difference_mpa", "ci_low_mpa", "ci_high_mpa", "reason")
"""What a panel needs of a contrast, which has sixty columns more."""


def draw(contrasts: pd.DataFrame, choices: Choices, *, decimals: int = 2, why_empty: str = "There is nothing to show.") -> Answer:
    """Draw the contrasts of one semester and kind.

    Args:
        contrasts: rows of `fair_contrasts` with `group` (code of the functional group), `who` (the plants in words), and the sides in
            words (`first`, `second`); differences in MPa, positive where the first side was wetter.
        choices: what the reader chose.
        decimals: decimals in MPa that the gauges support.
        why_empty: the sentence to show where there is no row.
    """
    if contrasts.empty:
        return Answer(title="Nothing to compare here", reading=why_empty)
    order = contrasts["group"].map({group: place for place, group in enumerate(GROUPS)})
    contrasts = contrasts.iloc[order.argsort(kind="stable")]
    if choices.contrast == "across_groups":
        return _across(contrasts)
    known = contrasts[contrasts["difference_mpa"].notna()]
    told = known if not known.empty else contrasts
    widest = told.loc[told["difference_mpa"].abs().idxmax()] if not known.empty else told.iloc[0]
    n_tests = int(contrasts["n_tests"].max()) if contrasts["n_tests"].notna().any() else 0
    fair = ["Each difference is within one group or kind and one part of the day; plants are the unit, leaves of a plant are averaged."]
    if n_tests > 1:
        fair.append(f"These are {n_tests} tests in one family: the p-values in the table are given after Holm's correction too.")
    if len(known) < len(contrasts):
        n_without = len(contrasts) - len(known)
        fair.append(f"{count(n_without, 'comparison has', 'comparisons have')} no difference to show; the table says why.")
    return Answer(
        title=_title(known),
        reading=str(widest["sentence"]),
        fair=fair,
        counts=_counts(contrasts),
        panels=_panels(contrasts, decimals) if not known.empty else (),
        source="First side minus second, water potential (MPa): above the line of 0 the first side was wetter, below it the second.",
        tables=[_table(contrasts, decimals)],
    )


def _title(known: pd.DataFrame) -> str:
    if known.empty:
        return "No difference can be given here"
    sure = int(((known["ci_low_mpa"] > 0) | (known["ci_high_mpa"] < 0)).sum())
    verb, its = ("is", "its") if sure == 1 else ("are", "their")
    return f"{sure} of {count(len(known), 'difference')} {verb} clear of 0 in {its} interval"


def _counts(contrasts: pd.DataFrame) -> str:
    n_bounds = int(contrasts[["n_bounds_a", "n_bounds_b"]].sum().sum())
    bounds = f" {count(n_bounds, 'plant is a bound', 'plants are bounds')}: drier than the chamber could show." if n_bounds else ""
    return f"{count(len(contrasts), 'comparison')}; plants and leaves of each stand in the table.{bounds}"


def _panels(contrasts: pd.DataFrame, decimals: int) -> list[Panel]:
    values = [0.0, *(float(v) for name in ("ci_low_mpa", "ci_high_mpa", "difference_mpa") for v in contrasts[name].dropna())]
    step = marks.round_step(max(max(values) - min(values), 0.2), 5)
    ticks = [i * step for i in range(int(min(values) // step), int(-(-max(values) // step)) + 1)]
    drawn = []
    by_who: dict[str, list[Any]] = {}
    for row in contrasts[list(_DRAWN)].itertuples(index=False):
        by_who.setdefault(str(row.who), []).append(row)
    for who, rows in by_who.items():
        labels = [f"{row.first}\n− {row.second}" if len(rows) <= _MOST_WORDS else str(i + 1) for i, row in enumerate(rows)]
        panel = Panel(
            name=who,
            title=sentence(who),
            height=HEIGHT,
            x_range=(-0.7, len(rows) - 0.3),
            y_range=(ticks[0] - 0.1 * step, ticks[-1] + 0.1 * step),
            x_ticks={float(i): label for i, label in enumerate(labels)},
            y_ticks=marks.tick_words(ticks, sign=True),
        )
        panel.add("ink_bars", x0=-0.7, y0=0.0, x1=len(rows) - 0.3, y1=0.0, width=1.2, alpha=1.0)
        for i, row in enumerate(rows):
            add_difference(panel, float(i), row, decimals)
        drawn.append(panel)
    return drawn


def add_difference(panel: Panel, x: float, row: Any, decimals: int) -> None:
    """A difference and its interval, MPa, or a cross on the line of 0 where there is none."""
    if is_missing(row.difference_mpa):
        panel.add("ink_marks", x=x, y=0.0, shape="x", size=10, alpha=1.0, says=f"{row.first} minus {row.second}: {row.reason}")
        return
    says = f"{row.first} minus {row.second}: {mpa(row.difference_mpa, decimals, sign=True)}"
    if not is_missing(row.ci_low_mpa):
        says += f" ({number(row.ci_low_mpa, decimals, sign=True)} to {number(row.ci_high_mpa, decimals, sign=True)})"
        panel.add("ink_bars", x0=x, y0=row.ci_low_mpa, x1=x, y1=row.ci_high_mpa, width=2, alpha=1.0)
    panel.add("ink_marks", x=x, y=row.difference_mpa, shape="circle", size=9, alpha=1.0, says=says)


def _across(contrasts: pd.DataFrame) -> Answer:
    """No test between groups: each one's percentile against its own history, which may be compared."""
    known = contrasts[contrasts["own_history_percentile"].notna()]
    reading = "A grass and a tree at the same potential are not under the same stress, so groups are not tested against each other. "
    instead = "Compare how unusual each is for itself." if not known.empty else "None has enough earlier seasons to be set against yet."
    scale = "100 %: drier than in every earlier semester of this season at that site; 0 %: wetter than in all. Five are needed, ten firm."
    return Answer(
        title="Groups differ in build" + (": each is set against its own history" if not known.empty else ": no history yet"),
        reading=reading + instead,
        fair=[scale],
        counts=f"{count(len(known), 'group and site has', 'groups and sites have')} a history, of {len(contrasts)}.",
        panels=[_history(known)] if not known.empty else (),
        key=marks.key_html(those_in(POSITIONS, known["topographic_position"]), has_bounds=False, plants=False, means=False),
        source="Share of the group's own earlier seasons that were wetter (%).",
        tables=[Table("Groups against their own history", contrasts, {"sentence": "In words"}, wordy=frozenset({"sentence"}))],
    )


def _history(known: pd.DataFrame) -> Panel:
    groups = those_in(GROUPS, known["group"])
    panel = Panel(
        name="history",
        title="Drier than so many earlier seasons",
        height=420,
        x_range=(-0.6, len(groups) - 0.4),
        y_range=(104.0, -6.0),
        x_ticks={float(i): GROUPS[group].replace(" ", "\n") for i, group in enumerate(groups)},
        y_ticks={float(share): f"{share} %" for share in (0, 25, 50, 75, 100)},
        is_in_mpa=False,
    )
    for row in known.itertuples():
        apart = POSITIONS.index(row.topographic_position) - 1
        x = groups.index(str(row.group)) + 0.2 * apart
        shape, colour = marks.POSITION_SHAPES[row.topographic_position], marks.POSITION_COLOURS[row.topographic_position]
        share = f"{number(row.own_history_percentile, 0)} % of {row.n_history_semesters} earlier seasons"
        says = f"{sentence(GROUPS[str(row.group)])}, {row.first}: drier than {share}"
        look = {"shape": shape, "size": 11, "colour": colour, "fill_alpha": 1.0, "line_alpha": 1.0}
        panel.add("marks", x=x, y=float(row.own_history_percentile), says=says, **look)
    return panel


def _table(contrasts: pd.DataFrame, decimals: int) -> Table:
    shown = contrasts.assign(
        sides=[f"{first} minus {second}" for first, second in zip(contrasts["first"], contrasts["second"], strict=True)],
        difference=[number(value, decimals, sign=True) for value in contrasts["difference_mpa"]],
        low=[number(value, decimals, sign=True) for value in contrasts["ci_low_mpa"]],
        high=[number(value, decimals, sign=True) for value in contrasts["ci_high_mpa"]],
        g=[number(value, 2) for value in contrasts["hedges_g"]],
        holm=[number(value, 3) for value in contrasts["p_holm"]],
    )
    headings = {
        "who": "Plants",
        "sides": "Compared",
        "difference": "Difference, MPa",
        "low": "95 % interval from, MPa",
        "high": "to, MPa",
        "g": "Hedges’ g",
        "holm": "p, Holm",
        "n_plants_a": "Plants, first side",
        "n_plants_b": "second side",
        "sentence": "In words",
    }
    numeric = frozenset({"difference", "low", "high", "g", "holm", "n_plants_a", "n_plants_b"})
    return Table("Comparisons", shown, headings, numeric, frozenset({"sentence"}))


def side_words(kind: str, side: str, site_names: Mapping[str, str]) -> str:
    """A side of a contrast in words: the site's name, the semester, the day or the position."""
    if kind in ("between_sites", "across_groups"):
        return site_names.get(side, side)
    return semester_words(side) if kind == "between_seasons" else sentence(side)

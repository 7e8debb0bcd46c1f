"""The Ask view: the tables of a role's file with their codebook, and a reader's own question in SQL, answered as a table or a figure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from dashboards.answer import Answer, Table
from dashboards.figures import marks
from dashboards.words import count, is_missing, number

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices
    from warehouse.asking import Found

EXAMPLES: Mapping[str, str] = {
    "readings of each semester": """SELECT semester, count(*) AS readings, sum(usable::int) AS usable
FROM observations
GROUP BY semester ORDER BY semester""",
    "the driest plants": """SELECT date, site_name, common_name, plant_key, water_potential_mpa, below_limit
FROM plant_values
WHERE sampling_window = 'midday'
ORDER BY water_potential_mpa LIMIT 20""",
    "potential after rain": """SELECT rain_30d_mm, water_potential_mpa
FROM plant_values
WHERE functional_group = 'c4_grass' AND sampling_window = 'midday' AND NOT below_limit""",
    "rain of each year": """SELECT year, sum(rain_mm) AS rain_mm
FROM rain_months
GROUP BY year HAVING count(rain_mm) = 12 ORDER BY year""",
    "what a table holds": """SELECT column_name, description
FROM codebook
WHERE table_name = 'observations'""",
}
"""Questions to begin with, by what they find."""

DRAWINGS: Mapping[str, str] = {"as a table": "", "as points": "points", "as a line": "line", "as bars": "bars"}
"""Words of the choice and its code: how an answer is drawn; the first column is across, every other column of numbers is up."""
MOST_DRAWN = 5_000


def draw(found: Found | None, codebook: pd.DataFrame, choices: Choices, *, refused: str = "") -> Answer:
    """The answer to a question.

    Args:
        found: what the question found, None where nothing was asked or it was refused.
        codebook: rows of the file's codebook: table_name, column_name, description.
        choices: what the reader asked, and how it is to be drawn.
        refused: why the question could not be answered.
    """
    tables = [_codebook(codebook)]
    if found is None:
        reading = refused or "Write a question in SQL, or begin with an example; the codebook under it says what the tables hold."
        return Answer(title="That could not be asked" if refused else "Ask the tables", reading=reading, tables=tables)
    frame = found.frame
    said = f"{count(len(frame), 'row')}, {count(len(frame.columns), 'column')}, in {number(found.seconds, 2)} s."
    cut = ["There is more: only the first rows are shown and taken. Count, or narrow the question."] if found.is_cut else []
    chart, why_not = _chart(frame, choices.drawn)
    return Answer(
        title=count(len(frame), "row"),
        reading=why_not or said,
        fair=[*cut, "What you ask is yours to judge: the other views compare like with like, a question here compares what it is told to."],
        counts=said if why_not else "",
        chart=chart,
        tables=[_rows(frame), *tables],
        asked=frame,
    )


def _chart(frame: pd.DataFrame, drawn: str) -> tuple[Any, str]:
    """A Bokeh figure of the answer, made by hvPlot, and why there is none."""
    if not drawn:
        return None, ""
    if frame.shape[1] < 2 or frame.empty:
        return None, "A figure needs rows, and a second column to draw over the first."
    across, numeric = str(frame.columns[0]), [str(name) for name in frame.columns[1:] if _is_numeric(frame[name])]
    if not numeric:
        return None, f"None of the columns after '{across}' holds numbers: there is nothing to draw."
    if len(frame) > MOST_DRAWN:
        return None, f"{count(len(frame), 'row')} are more than a figure shows; at most {MOST_DRAWN}."
    import holoviews as hv
    import hvplot.pandas  # noqa: F401  (importing it gives frames their .hvplot)

    hv.extension("bokeh", logo=False)
    kind = {"points": "scatter", "line": "line", "bars": "bar"}[drawn]
    look: dict[str, Any] = {"responsive": True, "height": 420, "hover": False, "ylabel": ", ".join(numeric), "xlabel": across}
    plot = hv.render(getattr(frame.hvplot, kind)(x=across, y=numeric if len(numeric) > 1 else numeric[0], **look), backend="bokeh")
    marks.dress(plot)
    plot.toolbar_location = None
    plot.tools = []
    return plot, ""


def _is_numeric(column: pd.Series[Any]) -> bool:
    import pandas as pd

    return bool(pd.api.types.is_numeric_dtype(column)) and not pd.api.types.is_bool_dtype(column)


def _rows(frame: pd.DataFrame) -> Table:
    numeric = frozenset(str(name) for name in frame.columns if _is_numeric(frame[name]))
    shown = frame.rename(columns=str)
    for name in numeric:
        shown[name] = [None if is_missing(value) else f"{value:.6g}" if isinstance(value, float) else str(value) for value in shown[name]]
    return Table("What the question found", shown, {name: name for name in shown.columns}, numeric)


def _codebook(codebook: pd.DataFrame) -> Table:
    headings = {"table_name": "Table", "column_name": "Column", "description": "What it holds, with its unit"}
    if codebook["column_name"].fillna("").eq("").all():
        headings.pop("column_name")
    return Table("The codebook", codebook, headings, frozenset(), frozenset({"description"}))

"""The hill as a section: the sites from high to low ground at their heights, with their soil and the water that a model puts into it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dashboards.answer import Table
from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.words import is_missing, listed, number, semester_words

if TYPE_CHECKING:
    import pandas as pd

HEIGHT = 250
MOST_NAMED = 6
"""More sites than these stand under numbers, which the table explains; names would run into each other."""

_HALF = 0.3
_SOIL_SHARE = 0.4


def section(sites: pd.DataFrame, semester: str) -> Panel | None:
    """The sites that have an elevation, evenly apart from high to low ground; None where none has.

    Args:
        sites: one row per site: `elevation_m`, `soil_depth_m` and `soil_texture` of the register, null where it has none;
            `relative_water_at_field`, the modelled soil water on the semester's field days, as a share of what plants can take.
        semester: whose soil water is drawn.
    """
    rows = _placed(sites)
    if not rows:
        return None
    heights = [float(row.elevation_m) for row in rows]
    times = thickened(sites)
    span = max([max(heights) - min(heights), 1.0, *(times * _depth(row) for row in rows)])
    floor = min(float(row.elevation_m) - times * _depth(row) for row in rows)
    step = marks.round_step(span, 4)
    ticks = [i * step for i in range(int(min(heights) // step), int(max(heights) // step) + 1)]
    title = "The hill, m" + (f"; soil {times} times as thick" if times > 1 else "")
    has_water = any(not is_missing(row.relative_water_at_field) for row in rows)
    panel = Panel(
        name="section",
        title=title + ("; its water by the model, %" if has_water else ""),
        height=HEIGHT,
        x_range=(-0.6, len(rows) - 0.4),
        y_range=(floor - 0.06 * span, max(heights) + 0.36 * span),
        x_ticks={float(i): _under(row, i, len(rows)) for i, row in enumerate(rows)},
        y_ticks=marks.tick_words(ticks),
        is_in_mpa=False,
        is_wide=True,
    )
    for i, row in enumerate(rows):
        _add_site(panel, i, row, (times, span, semester))
    for i in range(len(rows) - 1):
        panel.add("ink_bars", x0=i + _HALF, y0=heights[i], x1=i + 1 - _HALF, y1=heights[i + 1], width=1.0, alpha=0.6)
    return panel


def thickened(sites: pd.DataFrame) -> int:
    """How many times as thick as the heights soil is drawn, so that the deepest fills no more than two fifths of the relief."""
    rows = _placed(sites)
    relief = max(max(float(row.elevation_m) for row in rows) - min(float(row.elevation_m) for row in rows), 1.0)
    deepest = max(_depth(row) for row in rows)
    fits = [times for times in (1, 2, 5, 10, 20, 50) if times * deepest <= _SOIL_SHARE * relief]
    return max(fits, default=1)


def _placed(sites: pd.DataFrame) -> list[Any]:
    known = sites[sites["elevation_m"].notna()]
    return list(known.sort_values(["elevation_m", "site_name"], ascending=[False, True]).itertuples())


def _depth(row: Any) -> float:
    return 0.0 if is_missing(row.soil_depth_m) else float(row.soil_depth_m)


def _under(row: Any, place: int, n: int) -> str:
    name = str(row.site_name) if n <= MOST_NAMED else str(place + 1)
    return name if is_missing(row.soil_depth_m) else f"{name}\n{number(_depth(row), 2)} m"


def _add_site(panel: Panel, place: int, row: Any, scale: tuple[int, float, str]) -> None:
    times, span, semester = scale
    top, depth = float(row.elevation_m), _depth(row) * times
    left, right, bottom = place - _HALF, place + _HALF, top - depth
    colour = marks.POSITION_COLOURS.get(row.topographic_position, marks.NEUTRAL)
    panel.add("ink_bars", x0=left, y0=top, x1=right, y1=top, width=2.0, alpha=1.0)
    if depth:
        sides = {"left": left, "right": right, "bottom": bottom, "colour": marks.NEUTRAL}
        panel.add("blocks", **sides, top=top, alpha=0.3, says=site_words(row, semester))
        if not is_missing(row.relative_water_at_field):
            level = bottom + float(row.relative_water_at_field) * depth
            panel.add("blocks", **sides, top=level, alpha=0.6, says=site_words(row, semester))
            panel.add("model_lines", xs=[left, right], ys=[level, level], colour=colour, width=2.0)
    if not is_missing(row.relative_water_at_field):
        panel.add("words", x=float(place), y=top + 0.26 * span, text=_percent(row))
    shape = marks.POSITION_SHAPES.get(row.topographic_position, "circle")
    look = {"shape": shape, "size": 13, "colour": colour, "fill_alpha": 1.0, "line_alpha": 1.0}
    panel.add("marks", x=float(place), y=top + 0.08 * span, says=site_words(row, semester), **look)


def _percent(row: Any) -> str:
    return f"{number(100 * float(row.relative_water_at_field), 0)}\u00a0%"


def site_words(row: Any, semester: str) -> str:
    """One site in words: height, soil, and modelled water."""
    soil = "no soil depth in the register"
    if not is_missing(row.soil_depth_m):
        texture = "soil" if is_missing(row.soil_texture) else str(row.soil_texture).replace("_", " ")
        soil = f"{number(_depth(row), 2)}\u00a0m of {texture}"
    water = ""
    if not is_missing(row.relative_water_at_field):
        water = f", by the model {_percent(row)} full of what plants can take when {semester_words(semester)} was read"
    return f"{row.site_name} at {number(float(row.elevation_m), 0)}\u00a0m, {soil}{water}"


def told(sites: pd.DataFrame, semester: str) -> list[str]:
    """The section in words, for those who do not see it, and which sites are not on it."""
    rows = _placed(sites)
    if sites.empty:
        return ["The register has no sites, so the hill is not drawn."]
    without = [str(row.site_name) for row in sites.itertuples() if is_missing(row.elevation_m)]
    lacking = f"the register of sites has no elevation of {listed(without)}." if without else ""
    if not rows:
        return [f"The hill is not drawn: {lacking}"]
    said = [f"The hill, from high to low ground: {'; '.join(site_words(row, semester) for row in rows)}."]
    times = thickened(sites)
    said.append(
        f"Sites stand evenly apart, and soil is drawn {times} times as thick as the heights." if times > 1 else "Sites stand evenly apart."
    )
    if any(not is_missing(row.relative_water_at_field) for row in rows):
        said.append("The soil water is modelled from rain, temperature, depth and texture; nobody measured it.")
    return said + ([f"Not on the section: {lacking}"] if lacking else [])


def table(sites: pd.DataFrame, semester: str) -> Table:
    """The sites, from high to low ground, those without an elevation last."""
    order = [row.Index for row in _placed(sites)]
    ordered = sites.loc[[*order, *(index for index in sites.index if index not in order)]]
    rows = list(ordered.itertuples())
    shown = ordered.assign(
        place=[i + 1 if i < len(order) else "" for i in range(len(rows))],
        height=["" if is_missing(row.elevation_m) else number(float(row.elevation_m), 0) for row in rows],
        depth=["" if is_missing(row.soil_depth_m) else number(_depth(row), 2) for row in rows],
        texture=["" if is_missing(row.soil_texture) else str(row.soil_texture).replace("_", " ") for row in rows],
        water=["" if is_missing(row.relative_water_at_field) else number(100 * float(row.relative_water_at_field), 0) for row in rows],
    )
    headings = {
        "place": "Place",
        "site_name": "Site",
        "topographic_position": "Position",
        "height": "Elevation, m",
        "depth": "Soil depth, m",
        "texture": "Texture",
        "water": f"Soil water when {semester_words(semester)} was read, % of what plants can take (model)",
        "reason": "Note",
    }
    return Table("Sites from high to low ground", shown, headings, frozenset({"place", "height", "depth", "water"}), frozenset({"reason"}))

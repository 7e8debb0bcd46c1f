"""Redraw a figure of Tautleaf from the CSV that was taken with it. Needs Python 3 with matplotlib; nothing else.

    python redraw.py figure.csv figure.png      (or .svg, .pdf)

Each row of the CSV is one thing that was drawn: a `mark`, a `line` from (x, y) to (x_end, y_end), a `block` between them, a point of a
`model` line (dashed; points of one `piece` are joined), a `word`, or a tick of an axis (`x_tick`, `y_tick`) in one panel; or the
`heading` and the `note` of the whole figure. Potentials and differences are in MPa, rain in mm. A mark with `is_bound` was never
reached by the chamber: the plant is at least as dry as that, as the arrow says.
"""

from __future__ import annotations

import csv
import sys
import textwrap
from collections.abc import Iterable
from typing import Any

INK, QUIET = "#1e1f1b", "#d9d7cc"
MARKERS = {"triangle": "^", "inverted_triangle": "v", "diamond": "D", "circle": "o", "dash": "_", "x": "x"}


def read(path: str) -> list[dict[str, str]]:
    """The rows of a figure's CSV."""
    with open(path, encoding="utf-8-sig", newline="") as file:
        return plain(file)


def plain(lines: Iterable[str]) -> list[dict[str, str]]:
    """The rows of lines of CSV, without the apostrophe that keeps spreadsheet programs from running a text as a formula."""
    return [{name: text.removeprefix("'") for name, text in row.items()} for row in csv.DictReader(lines)]


def redraw(rows: list[dict[str, str]]) -> Any:
    """The figure: its panels in their order, beside or below each other."""
    from matplotlib import rcParams
    from matplotlib.figure import Figure

    rcParams["text.parse_math"] = False  # a dollar in a name is a dollar
    panels: dict[str, list[dict[str, str]]] = {}
    for row in rows:
        if row["panel"]:
            panels.setdefault(row["panel"], []).append(row)
    beside = [name for name, drawn in panels.items() if drawn[0]["place"] == "beside"]
    across, down = max(len(beside), 1), len(panels) - len(beside) + bool(beside)
    size = (max(5.0, 2.6 * across), 5.0 + 2.2 * (down - 1)) if beside else (9.0, max(3.0, 1.9 * down))
    figure = Figure(figsize=size, layout="constrained")
    said = {row["layer"]: row["says"] for row in rows if not row["panel"]}
    figure.suptitle(said.get("heading", ""), x=0.01, ha="left", fontsize=13, color=INK)
    figure.supxlabel(textwrap.fill(said.get("note", ""), 140), x=0.01, ha="left", fontsize=8, color=INK)
    grid = figure.add_gridspec(down, across, height_ratios=[5.0, *[2.2] * (down - 1)] if beside else None)
    for column, name in enumerate(beside):
        _panel(figure.add_subplot(grid[0, column]), panels.pop(name))
    for place, drawn in enumerate(panels.values(), start=bool(beside)):
        _panel(figure.add_subplot(grid[place, :]), drawn)
    return figure


def _panel(axis: Any, rows: list[dict[str, str]]) -> None:
    layers = ("range", "x_tick", "y_tick", "block", "model", "line", "mark", "word")
    of = {layer: [row for row in rows if row["layer"] == layer] for layer in layers}
    for row in of["range"]:
        axis.set_xlim(float(row["x"]), float(row["x_end"]))
        axis.set_ylim(float(row["y"]), float(row["y_end"]))
    axis.set_title(rows[0]["title"], loc="left", fontsize=10, fontweight="bold", color=INK)
    axis.set_xticks([float(row["x"]) for row in of["x_tick"]], [row["says"] for row in of["x_tick"]], fontsize=8)
    axis.set_yticks([float(row["y"]) for row in of["y_tick"]], [row["says"] for row in of["y_tick"]], fontsize=8)
    axis.grid(axis="y", color=QUIET, linewidth=0.6)
    axis.set_axisbelow(True)
    axis.spines[:].set_visible(False)
    axis.tick_params(length=0)
    for row in of["block"]:
        corner, far = (float(row["x"]), float(row["y"])), (float(row["x_end"]), float(row["y_end"]))
        look = {"alpha": float(row["opacity"]), "color": row["colour"], "linewidth": 0}
        axis.bar(corner[0], far[1] - corner[1], width=far[0] - corner[0], bottom=corner[1], align="edge", **look)
    for piece in dict.fromkeys(row["piece"] for row in of["model"]):
        line = [row for row in of["model"] if row["piece"] == piece]
        points = [float(row["x"]) for row in line], [float(row["y"]) for row in line]
        axis.plot(*points, color=line[0]["colour"], linewidth=float(line[0]["size"]), linestyle="--")
    for row in of["line"]:
        ends = ([float(row["x"]), float(row["x_end"])], [float(row["y"]), float(row["y_end"])])
        axis.plot(*ends, color=row["colour"], linewidth=float(row["size"]), solid_capstyle="butt")
    for row in of["mark"]:
        _mark(axis, row)
    for row in of["word"]:
        axis.text(float(row["x"]), float(row["y"]), row["says"], fontsize=8, ha="center", va="center", color=INK)


def _mark(axis: Any, row: dict[str, str]) -> None:
    x, y, is_bound = float(row["x"]), float(row["y"]), row["is_bound"] == "true"
    fill = "none" if is_bound else row["colour"]
    style = {"marker": MARKERS[row["shape"]], "markersize": float(row["size"]) * 0.8, "linestyle": "none"}
    axis.plot([x], [y], color=row["colour"], markerfacecolor=fill, markeredgecolor=row["colour"], alpha=float(row["opacity"]), **style)
    if is_bound:
        tip = y - (0.05 if row["place"] == "beside" else 0.15) * abs(axis.get_ylim()[0])  # the lower the panel, the more of it to be seen
        axis.annotate("", xy=(x, tip), xytext=(x, y), arrowprops={"arrowstyle": "->", "color": row["colour"], "linewidth": 0.9})


if __name__ == "__main__":
    if len(sys.argv) != 3:  # the file to read and the file to write
        sys.exit("usage: python redraw.py figure.csv figure.png")
    redraw(read(sys.argv[1])).savefig(sys.argv[2], dpi=200)

"""What a reader takes along of a figure: exactly what is drawn, and scripts that redraw it from that, in Python and in R."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
from matplotlib.text import Text

from dashboards.answer import Answer
from dashboards.choices import Choices
from dashboards.figures.links import links_html
from dashboards.figures.panel import Panel
from dashboards.figures.redraw import redraw
from dashboards.figures.take_page import taken
from dashboards.figures.taking import COLUMNS, KINDS
from dashboards.shelf import Shelf
from dashboards.store import Store
from dashboards.views.catalog import VIEWS
from ingest.errors import FigureUnknown
from ingest.home import Home
from warehouse.published import current_build, open_published

FIGURES: list[tuple[str, dict[str, str]]] = [(view.name, {}) for view in VIEWS.values() if view.has_figure]
FIGURES += [("years", {"laid": "over"}), ("hillslope", {"across": "index"})]
"""Each figure as it is first seen, and those that can be laid out otherwise."""
of_figures = pytest.mark.parametrize(
    ("name", "laid"), FIGURES, ids=lambda value: value if isinstance(value, str) else "".join(value.values())
)
PNG = b"\x89PNG\r\n\x1a\n"
Folders = dict[tuple[str, str], Path]


@pytest.fixture(scope="session")
def shelf(home: Home) -> Shelf:
    return Shelf(lambda: current_build(home), lambda: open_published(home, "instructor"))


@pytest.fixture(scope="module")
def folders(shelf: Shelf, tmp_path_factory: pytest.TempPathFactory) -> Folders:
    """A folder for each figure with all that can be taken of it, so that each is drawn but once."""
    found = {}
    for name, laid in FIGURES:
        folder = found[name, "".join(laid.values())] = tmp_path_factory.mktemp("taken")
        for kind, form in KINDS.items():
            file_name, media_type, data = taken(shelf, "instructor", name, {"as": kind} | laid)
            assert media_type == form.media_type
            assert file_name.startswith("redraw." if kind in ("python", "r") else f"tautleaf-{name}-")
            (folder / (file_name if kind in ("python", "r") else kind)).write_bytes(data)
    return found


# One process for all figures: to start Python with Matplotlib, or R with ggplot2, takes longer than to draw.
RUN_PYTHON = """
import os, runpy, sys
for folder in sys.argv[1:]:
    os.chdir(folder)
    sys.argv = ["redraw.py", "numbers", "redrawn.png"]
    runpy.run_path("redraw.py", run_name="__main__")
"""
RUN_R = """
for (folder in commandArgs(trailingOnly = TRUE)) local({
  setwd(folder)
  commandArgs <- function(...) c("numbers", "redrawn by R.png")
  source("redraw.R", local = TRUE)
})
"""


def run_in(folders: Folders, command: Sequence[str]) -> None:
    """Run a command that goes through the folders of all figures."""
    ran = subprocess.run([*command, *map(str, folders.values())], capture_output=True, text=True, check=False)  # noqa: S603  # our own
    assert ran.returncode == 0, ran.stderr
    assert "Warning" not in ran.stderr, ran.stderr


def rows(shelf: Shelf, name: str, **query: str) -> list[dict[str, str]]:
    _, _, data = taken(shelf, "instructor", name, {"as": "numbers", **query})
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))


@of_figures
def test_the_csv_holds_every_mark_of_the_figure_and_nothing_else(
    name: str, laid: dict[str, str], shelf: Shelf, store: Store, chosen: Choices
) -> None:
    answer = VIEWS[name].draw(store, replace(chosen, **laid))
    drawn = Counter(
        (panel.name, float(x), float(y), says)
        for panel in answer.panels
        for layer in ("marks", "ink_marks")
        for x, y, says in zip(*(panel.layers[layer][column] for column in ("x", "y", "says")), strict=True)
    )
    found = rows(shelf, name, **laid)
    assert tuple(found[0]) == COLUMNS
    assert Counter((row["panel"], float(row["x"]), float(row["y"]), row["says"]) for row in found if row["layer"] == "mark") == drawn
    assert sum(row["layer"] == "line" for row in found) == sum(
        len(p.layers["bars"]["x0"]) + len(p.layers["ink_bars"]["x0"]) for p in answer.panels
    )
    assert {row["layer"]: row["says"] for row in found if not row["panel"]}["heading"] == answer.title


def test_bounds_are_marked_and_rain_hangs(shelf: Shelf, store: Store, chosen: Choices) -> None:
    dry = replace(chosen, semester="2022-fall")
    n_bounds = int(store.leaves(dry)["below_limit"].sum()) + int(store.plants(dry)["below_limit"].sum())
    assert n_bounds > 0
    assert sum(row["is_bound"] == "true" for row in rows(shelf, "class", semester="2022-fall")) == n_bounds
    rain = [row for row in rows(shelf, "years") if row["panel"] == "rain"]
    span = next(row for row in rain if row["layer"] == "range")
    assert float(span["y"]) > float(span["y_end"]) == 0
    months = store.rain_months(chosen).set_index("month_start")["rain_mm"]
    for bar in (row for row in rain if row["layer"] == "bar"):
        assert float(bar["y"]) == pytest.approx(months[bar["date"]])


def marks_in(svg: ElementTree.Element) -> int:
    """Marks of a drawing, those of its axes' ticks left out."""
    return int(svg.tag.endswith("}use")) + sum(marks_in(each) for each in svg if "tick_" not in each.get("id", ""))


@of_figures
def test_picture_and_drawing_are_whole(name: str, laid: dict[str, str], shelf: Shelf, folders: Folders) -> None:
    folder = folders[name, "".join(laid.values())]
    assert (folder / "picture").read_bytes()[:8] == PNG
    root, found = ElementTree.fromstring((folder / "drawing").read_bytes()), rows(shelf, name, **laid)  # noqa: S314  # our own
    texts = {"".join(each.itertext()).strip() for each in root.iter() if each.tag.endswith("text")}
    assert {row["title"] for row in found if row["panel"]} <= texts
    assert marks_in(root) == sum(row["layer"] == "mark" for row in found)


def test_the_python_script_redraws_each_picture_from_the_csv(folders: Folders) -> None:
    """In a process that knows nothing of the project; the picture is the one that the dashboard gives."""
    run_in(folders, [sys.executable, "-P", "-s", "-c", RUN_PYTHON])
    for figure, folder in folders.items():
        assert (folder / "redrawn.png").read_bytes() == (folder / "picture").read_bytes(), figure


def test_a_dollar_in_a_name_is_drawn_as_a_dollar() -> None:
    ends = {"x": "0", "x_end": "1", "y": "-1", "y_end": "0"}
    row = dict.fromkeys(COLUMNS, "") | {"panel": "a", "place": "beside", "layer": "range", "title": "$x_1$ and $"} | ends
    titles = [text for text in redraw([row]).findobj(Text) if text.get_text() == "$x_1$ and $"]
    assert [text.get_parse_math() for text in titles] == [False]


def has_ggplot2() -> bool:
    program = shutil.which("Rscript")
    return program is not None and not subprocess.run([program, "-e", "library(ggplot2)"], capture_output=True, check=False).returncode  # noqa: S603


def test_the_r_script_redraws_each_figure_from_the_csv(folders: Folders) -> None:
    if not has_ggplot2():
        pytest.skip("no R with ggplot2 on this computer (Debian: r-base-core, r-cran-ggplot2)")
    run_in(folders, ["Rscript", "-e", RUN_R])
    for figure, folder in folders.items():
        assert (folder / "redrawn by R.png").read_bytes()[:8] == PNG, figure


@pytest.mark.parametrize(
    ("role", "name", "query", "says"),
    [
        ("instructor", "nowhere", {"as": "picture"}, "no figure called"),
        ("instructor", "uploads", {"as": "picture"}, "no figure called"),
        ("reviewer", "class", {"as": "picture"}, "no figure called 'class' for the reviewer"),
        ("instructor", "class", {}, "can be taken as picture"),
        ("instructor", "class", {"as": "painting"}, "can be taken as picture"),
        ("instructor", "class", {"as": "picture", "semester": "2021-spring", "group": "tree"}, "nothing to take"),
    ],
)
def test_what_cannot_be_taken_is_told(role: str, name: str, query: dict[str, str], says: str, shelf: Shelf) -> None:
    with pytest.raises(FigureUnknown, match=says):
        taken(shelf, role, name, query)


def test_the_links_carry_the_choices_and_are_escaped(chosen: Choices) -> None:
    drawn = Answer(title="", reading="", panels=[Panel("shrub", "Shrubs", 100, (0, 1), (-1, 0), {}, {})])
    html = links_html("class", Choices(semester="2024-fall", site='"><script>'), drawn)
    assert html.count("<a ") == len(KINDS)
    assert links_html("class", chosen, Answer(title="", reading="")) == ""
    assert "semester=2024-fall&amp;" in html
    assert "<script>" not in html

"""The server: its import is light, it asks for a free port, and the shelf hands out the build that is current."""

from __future__ import annotations

import json
import socket
import subprocess
import sys
from typing import Any

import pytest

from dashboards.answer import Answer
from dashboards.app import ADDRESS, check_port
from dashboards.figures.panel import Panel, no_layers
from dashboards.figures.sent import bare_panels, figure, in_page
from dashboards.kept import Kept
from dashboards.shelf import Shelf
from ingest.errors import NothingPublished, PortTaken
from ingest.home import init_home
from warehouse.published import current_build, open_published


def test_importing_the_app_loads_nothing_heavy() -> None:
    code = "import sys, dashboards.app; print(sorted({'panel', 'bokeh', 'pandas', 'duckdb', 'hvplot'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603  (our own code and interpreter)
    assert done.stdout.strip() == "[]"


def test_a_taken_port_is_said_with_the_next_step() -> None:
    with socket.socket() as holder:
        holder.bind((ADDRESS, 0))
        holder.listen()
        port = holder.getsockname()[1]
        with pytest.raises(PortTaken, match=rf"Port {port} is in use.*--port {port + 1}"):
            check_port(port)


def test_the_shelf_takes_up_a_new_build_and_keeps_it(invented: Any, tmp_path: Any) -> None:
    home = init_home(tmp_path / "home")
    shelf = Shelf(lambda: current_build(home), lambda: open_published(home, "instructor"))
    with pytest.raises(NothingPublished):
        shelf.store()
    invented.publish(home.root, "b1", semesters=invented.SEMESTERS[:2])
    first = shelf.store()
    assert first is shelf.store()
    invented.publish(home.root, "b2", semesters=invented.SEMESTERS[:4])
    second = shelf.store()
    assert (first.build_id, second.build_id) == ("b1", "b2")
    assert set(second.holdings.semesters) == set(invented.SEMESTERS[:4])
    assert set(first.holdings.semesters) == set(invented.SEMESTERS[:2])


def _panel(y: float) -> Panel:
    panel = Panel("shrub", f"Shrubs {y}", 200, (0.0, 1.0), (y - 1, 0.0), {0.5: "upland"}, {0.0: "0", y: str(y)})
    panel.add("marks", x=0.5, y=y, shape="triangle", size=8, colour="#D55E00", fill_alpha=1.0, line_alpha=1.0, says="a leaf")
    return panel


def test_a_panel_goes_to_the_page_with_nothing_but_what_is_drawn() -> None:
    bare = json.loads(bare_panels())
    layers = {each["attributes"]["name"] for each in bare["plain"]["roots"][0]["attributes"]["renderers"]}
    panel = _panel(-1.0)
    (sent,) = figure(Answer("", "", panels=[panel]), 150)["panels"]
    assert layers == set(no_layers())
    assert sent["layers"] == {"marks": panel.layers["marks"]}
    assert (sent["kind"], sent["plot"]["name"], sent["y"], sent["yTicks"]) == ("plain", "shrub", (-2.0, 0.0), [(0.0, "0"), (-1.0, "-1.0")])


def test_what_a_page_carries_ends_no_script_and_holds_no_number_that_cannot_be_drawn() -> None:
    assert "<" not in in_page({"says": "</script><script>alert(1)</script>"})
    with pytest.raises(ValueError, match="not JSON compliant"):
        in_page({"x": [float("nan")]})


def test_what_was_drawn_lately_is_at_hand_and_what_failed_is_not() -> None:
    kept: Kept[int] = Kept(2)
    assert kept.at_hand("a") is None
    kept.get("a", lambda: 1)
    with pytest.raises(ZeroDivisionError):
        kept.get("b", lambda: 1 // 0)
    assert (kept.at_hand("a"), kept.at_hand("b")) == (1, None)

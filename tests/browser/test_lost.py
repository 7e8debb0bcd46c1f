"""What a reader sees when the dashboard stops answering, and how the page goes on when it answers again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ingest.home import init_home

pytestmark = pytest.mark.browser


def test_a_lost_connection_is_said_and_the_page_goes_on(invented: Any, serve_at: Callable[..., Any], watch: Any, tmp_path: Path) -> None:
    home = init_home(tmp_path / "home", name="Invented field lab")
    invented.publish(home.root, "b1", semesters=invented.SEMESTERS[:4])
    with serve_at(home, "instructor") as served:
        port = int(served.address.rpartition(":")[2])
        seen = watch(f"{served.address}/class")
        seen.page.get_by_label("Section", exact=True).select_option("section a")
        seen.page.wait_for_url("**section=a**")
        lost = seen.page.get_by_role("alert")
        assert not lost.is_visible()
    lost.wait_for()
    assert "The connection to the dashboard was lost." in lost.inner_text()
    assert lost.get_by_role("link", name="reload the page").is_visible()
    assert seen.page.get_by_text("Section a alone").is_visible()
    with serve_at(home, "instructor", port):
        lost.wait_for(state="hidden")
        seen.page.get_by_text("Section a alone").wait_for()

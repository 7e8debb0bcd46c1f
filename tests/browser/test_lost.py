"""What a reader sees when the dashboard stops answering, and how the page goes on when it answers again."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from ingest.home import init_home
from tests.ports import held_port

pytestmark = pytest.mark.browser


@pytest.fixture
def port() -> Iterator[int]:
    """A port that the dashboard comes back to: nobody else is given it meanwhile."""
    with held_port() as port:
        yield port


def test_a_lost_connection_is_said_and_the_page_goes_on(
    invented: Any, serve_at: Callable[..., Any], watch: Any, port: int, tmp_path: Path
) -> None:
    home = init_home(tmp_path / "home", name="Invented field lab")
    invented.publish(home.root, "b1", semesters=invented.SEMESTERS[:4])
    with serve_at(home, "instructor", port) as served:
        seen = watch(f"{served.address}/class")
        seen.page.get_by_label("Section", exact=True).select_option("section a")
        seen.page.wait_for_url("**section=a**")
        alone = seen.page.locator(".side li", has_text="Section a alone")
        alone.wait_for()
        lost = seen.page.get_by_role("alert")
        assert not lost.is_visible()
    lost.wait_for()
    assert "The connection to the dashboard was lost." in lost.inner_text()
    assert lost.get_by_role("link", name="reload the page").is_visible()
    assert alone.is_visible()
    with serve_at(home, "instructor", port):
        lost.wait_for(state="hidden")
        alone.wait_for()


def test_a_slow_dashboard_is_waited_for_and_a_silent_one_is_told(served: Any, window: Any) -> None:
    page = window(1280).new_page()
    page.route_web_socket("**/ws**", lambda _: None)  # nothing ever comes of the page
    page.clock.install()
    page.goto(f"{served.address}/class")
    with page.expect_request("**/standing") as asked:
        page.clock.fast_forward(15_000)
    asked.value.response().finished()
    assert not page.get_by_role("alert").is_visible()
    page.route("**/standing", lambda route: route.abort())
    page.wait_for_timeout(200)
    with page.expect_request("**/standing"):
        page.clock.fast_forward(15_000)
    page.get_by_role("alert").wait_for()

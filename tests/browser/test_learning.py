"""The reviewer's dashboard: its two views and no other, and a choice of outcome that goes into the address and the file."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from ingest.home import init_home
from tests.browser.conftest import Served, serving

pytestmark = pytest.mark.browser
Watch = Callable[..., Any]


@pytest.fixture(scope="module")
def reviewed(invented: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The reviewer's dashboard on an invented home."""
    home = init_home(tmp_path_factory.mktemp("reviewed") / "home", name="Invented field lab")
    invented.publish(home.root, "b1", ("reviewer",))
    with serving(home, "reviewer") as served:
        yield served


@pytest.mark.parametrize(("view", "width"), [("years", 1280), ("learning", 1280), ("learning", 390)])
def test_a_reviewer_s_view_opens_whole(reviewed: Served, watch: Watch, view: str, width: int) -> None:
    seen = watch(f"{reviewed.address}/{view}", width=width)
    seen.page.locator(".figure canvas").first.wait_for()
    assert seen.page.get_by_role("navigation").get_by_role("link").all_inner_texts() == ["Years", "Learning"]
    assert len(seen.reading()) > 40
    assert not seen.is_scrolled_sideways()
    assert (seen.outside, seen.complaints) == ([], [])
    assert seen.page.evaluate("window.stung") is None


def test_an_outcome_is_chosen_and_its_figure_taken(reviewed: Served, watch: Watch) -> None:
    seen = watch(f"{reviewed.address}/learning?semester=2024-fall")
    seen.page.get_by_label("Outcome", exact=True).select_option(label="Reads a pressure chamber… (wp_reading)")
    seen.page.wait_for_url("**outcome=wp_reading**")
    seen.page.locator(".side p.reading", has_text="19 of 31 scored students").wait_for()
    with seen.page.expect_download() as download:
        seen.page.get_by_role("link", name="What is drawn (CSV)").click()
    assert download.value.suggested_filename == "tautleaf-learning-2024-fall-midday-wp-reading.csv"
    drawn = list(csv.DictReader(io.StringIO(Path(download.value.path()).read_text("utf-8-sig"))))
    assert "wp_reading assessment" in {row["panel"] for row in drawn}
    assert not [row for row in drawn if row["panel"].startswith("wp_contrast")]
    assert seen.complaints == []

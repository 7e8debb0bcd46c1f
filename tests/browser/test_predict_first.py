"""Predict first as a class meets it: three phones answer before the figure is shown, and then stand beside the data as counts."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser
Watch = Callable[..., Any]
_SMALL_TARGETS = """() => [...document.querySelectorAll('label, button, a')].map((each) => each.getBoundingClientRect())
  .filter((box) => box.width > 0 && (box.height < 44 || box.width < 44)).length"""


@pytest.fixture
def phone(window: Any) -> Any:
    """A function that opens an address on a new phone, 390 px wide, with its own cookies and without scripts."""

    def open_phone(address: str, scheme: Any = "light") -> Page:
        page: Page = window(390, java_script_enabled=False, color_scheme=scheme).new_page()
        page.goto(address)
        return page

    return open_phone


def predict(page: Page, direction: str, size: str = "") -> None:
    """Answer, and wait until just this answer is in."""
    page.get_by_label(direction).check()
    if size:
        page.get_by_label(size).check()
    page.get_by_role("button", name=re.compile("prediction")).click()
    expect(page.locator(".taken")).to_contain_text(f"is in: {direction}{f', drier by about {size}' if size else ''}")


def open_question(seen: Any) -> str:
    """Open the question of the page to the room; the address for phones."""
    seen.page.get_by_role("button", name="Open the question to the room").click()
    seen.page.get_by_text("0\u00a0phones have answered.").wait_for()
    return str(seen.page.locator(".address").inner_text())


def test_a_class_predicts_before_it_looks(served: Any, watch: Watch, phone: Any) -> None:
    seen = watch(f"{served.address}/class?semester=2023-fall&group=shrub&question=predict")
    assert seen.title() == "In shrubs at midday in Fall 2023, which ground was drier, and by how much?"
    assert "Predict before you look" in seen.reading()
    address = open_question(seen)
    assert seen.page.get_by_role("img", name="QR code of the address beside it").locator("svg").count() == 1
    phones = [phone(address, scheme) for scheme in ("light", "dark", "light")]
    predict(phones[0], "The high ground (upland)", "0.6\u00a0MPa")
    predict(phones[1], "The low ground (lowland)", "0.2\u00a0MPa")
    predict(phones[2], "Neither")
    predict(phones[1], "The high ground (upland)", "1.0\u00a0MPa")
    assert phones[1].get_by_text("drier by about 1.0\u00a0MPa (10\u00a0bar)").count() == 1
    seen.page.get_by_text("3\u00a0phones have answered.").wait_for()
    assert seen.page.locator(".figure canvas, .numbers tbody tr").count() == 0
    two_more = [phone(address), phone(address)]
    predict(two_more[0], "The high ground (upland)", "0.6\u00a0MPa")
    predict(two_more[1], "The low ground (lowland)", "0.1\u00a0MPa")
    seen.page.get_by_text("5\u00a0phones have answered.").wait_for()
    seen.page.get_by_role("button", name="Close it and show what the class predicted").click()
    expect(seen.page.locator(".title h1")).to_have_text("3 of 5 expected the high ground to be drier")
    assert re.search(r"3 of 5 expected .* measured: the high ground was drier by \d\.\d\d\u00a0MPa \(95 % interval", seen.reading())
    seen.page.locator(".figure canvas").first.wait_for()
    seen.page.get_by_text("The numbers behind the figure").click()
    table = seen.page.locator("table", has_text="What 5 expected")
    assert [re.sub(r"\s+", " ", row) for row in table.locator("tbody tr").all_inner_texts()] == [
        *("high ground drier by 1.0 MPa 1 20 %", "high ground drier by 0.6 MPa 2 40 %", "both alike 1 20 %"),
        "low ground drier by 0.1 MPa 1 20 %",
    ]
    phones[0].reload()
    assert "it may be closed" in phones[0].inner_text("body")
    again = watch(seen.page.url, width=390, color_scheme="dark")
    assert again.title() == "3 of 5 expected the high ground to be drier"
    assert not again.is_scrolled_sideways()
    assert seen.complaints == again.complaints == []
    kept = [json.loads(line) for line in (served.home.root / "predictions.jsonl").read_text("utf-8").splitlines()]
    (counted,) = [each["lowland_minus_upland_mpa"] for each in kept if each["semester"] == "2023-fall"]  # others ask of other semesters
    assert counted == {"1": 1, "0.6": 2, "0": 1, "-0.1": 1}


def test_the_page_for_phones_is_large_and_needs_no_script(served: Any, watch: Watch, window: Any) -> None:
    seen = watch(f"{served.address}/class?semester=2024-spring&group=tree&question=predict")
    address = open_question(seen)
    page = window(390).new_page()
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.goto(address)
    assert page.evaluate(_SMALL_TARGETS) == 0
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.get_by_label("Neither").check()
    assert page.get_by_text("By about how much?").is_hidden()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.get_by_text("Your prediction is in: Neither: they were alike.").wait_for()
    assert complaints == []
    seen.page.get_by_role("button", name="Close it and show what the class predicted").click()
    expect(seen.page.locator(".title h1")).to_contain_text("1\u00a0prediction: too few to be shown")


def test_all_groups_together_are_no_question(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/class?question=predict")
    assert "Choose one group or one kind of plant" in seen.reading()
    assert seen.page.get_by_role("button", name="Open the question to the room").count() == 0


def test_a_page_on_which_nothing_is_predicted_shows_nothing_of_it(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/class")
    seen.page.get_by_label("Section", exact=True).wait_for()
    assert seen.page.get_by_label("Earlier predictions").filter(visible=True).count() == 0
    assert seen.page.locator(".predict").bounding_box()["height"] == 0

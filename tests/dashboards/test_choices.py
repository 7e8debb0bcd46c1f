"""Choices are the page's address, and nothing in an address can do harm."""

from __future__ import annotations

from dataclasses import replace
from urllib.parse import parse_qsl

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.choices import GROUP_CHOICES, Choices, from_query
from dashboards.figures.second_scale import beside
from dashboards.offers import offers, settled, why_empty
from dashboards.store import Store

_text = st.text(max_size=80)


@given(_text, _text, _text, st.sampled_from(sorted(GROUP_CHOICES)))
def test_an_address_gives_back_the_choices(semester: str, section: str, site: str, group: str) -> None:
    choices = Choices(semester=semester, section=section, site=site, group=group)
    query = choices.query().removeprefix("?").encode("ascii").decode("ascii")
    assert from_query(dict(parse_qsl(query))) == choices


@pytest.mark.parametrize(
    ("ticks", "unit", "words"),
    [
        ({0.0: "0", -1.0: "−1", -2.0: "−2"}, "bar", ["0 bar", "−10", "−20"]),
        ({0.0: "0.0", -0.5: "−0.5"}, "bar", ["0 bar", "−5"]),
        ({0.0: "0.00", -0.25: "−0.25"}, "bar", ["0.0 bar", "−2.5"]),
        ({0.0: "0", -1.0: "−1"}, "psi", ["0 psi", "−145"]),  # 1 MPa is 145.04 psi, NIST SP 811
        ({-1.0: "−1", 0.0: "0", 1.0: "+1"}, "bar", ["−10", "0 bar", "+10"]),
    ],
)
def test_a_second_scale_says_the_same_in_another_unit(ticks: dict[float, str], unit: str, words: list[str]) -> None:
    assert list(beside(ticks, unit).values()) == words


@given(st.dictionaries(st.text(max_size=20), st.text(max_size=200)))
def test_any_address_gives_choices(query: dict[str, str]) -> None:
    assert from_query(query).group in GROUP_CHOICES
    assert from_query(query).scale in ("", "bar", "psi")


def test_a_page_opens_on_the_latest_semester_at_midday(store: Store) -> None:
    choices = settled(Choices(), store.holdings)
    assert (choices.semester, choices.window) == ("2024-fall", "midday")


@pytest.mark.parametrize("name", ["semester", "section", "taxon", "site"])
def test_a_code_that_nobody_holds_falls_away(store: Store, name: str) -> None:
    asked = from_query({name: "' or 1=1 --"})
    assert getattr(settled(asked, store.holdings), name) in {"", "2024-fall"}


def test_offers_follow_the_data(store: Store, chosen: Choices) -> None:
    offered = offers(chosen, store.holdings)
    assert next(iter(offered["semester"].items())) == ("Fall 2024", "2024-fall")
    assert offered["section"] == {"all sections": "", "section a": "a", "section b": "b"}
    assert offered["window"] == {"predawn": "predawn", "midday": "midday"}
    assert "woody" in offered["group"].values()


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"window": "afternoon"}, "nothing was read in the afternoon. There are readings of: predawn and midday"),
        ({"window": "predawn", "group": "tree"}, "nothing that fits these choices was read before dawn. There are readings of: midday"),
        ({"semester": "2021-spring", "group": "tree"}, "no readings of trees at midday; of other plants"),
        ({"taxon": "rhugla", "site": "swale"}, "no readings of this kind of plant"),
    ],
)
def test_an_empty_page_says_why(store: Store, chosen: Choices, changed: dict[str, str], said: str) -> None:
    chosen = replace(chosen, **changed)
    assert said in why_empty(chosen, store.holdings)

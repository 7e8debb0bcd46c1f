"""Sentences on rain and on modelled soil water: what is known, what is not, and that a model is called one."""

from __future__ import annotations

import pytest

from warehouse.statistics.weather_words import dry_spell_sentence, rain_index_sentences, soil_season_sentence, spi_class


@pytest.mark.parametrize(
    ("spi", "name"),
    [
        *((2.0, "extremely wet"), (1.99, "very wet"), (1.5, "very wet"), (1.0, "moderately wet"), (0.994, "near normal")),
        *((0.0, "near normal"), (-0.99, "near normal"), (-1.0, "moderately dry"), (-1.5, "severely dry"), (-2.0, "extremely dry")),
        *((3.09, "extremely wet"), (-3.09, "extremely dry"), (-1.996, "extremely dry")),
    ],
)
def test_class_of_an_index(spi: float, name: str) -> None:
    """The classes of WMO-No. 1090 (2012), from memory: >= 2, 1.5 to 1.99, 1 to 1.49, -0.99 to 0.99, and the same below."""
    assert spi_class(spi) == name


@pytest.mark.parametrize(
    ("month", "length", "months"),
    [
        *(("2018-08-01", 1, "August 2018"), ("2018-08-01", 3, "June to August 2018")),
        *(("2018-01-01", 3, "November 2017 to January 2018"), ("2018-12-01", 12, "January to December 2018")),
    ],
)
def test_months_of_an_index(month: str, length: int, months: str) -> None:
    (said,) = rain_index_sentences("Hut", [month], [length], [96.4], [200.0], [-1.234], [30], [1991], [2020], [None])
    base = "moderately dry, held against 30 years (1991 to 2020)."
    assert said == f"{months} at Hut: 96 mm of rain, 48 % of normal; SPI-{length} −1.23, {base}"


def test_an_index_that_is_provisional_or_missing_says_so() -> None:
    rain, normal, index, years = [0.0, None], [200.0, 0.0], [-3.09, None], [24, 30]
    codes = [None, "rain_month_missing"]
    said = rain_index_sentences("Hut", ["2018-08-01"] * 2, [1, 1], rain, normal, index, years, [1991] * 2, [2020] * 2, codes)  # type: ignore[arg-type]
    assert said[0].endswith("0 mm of rain, 0 % of normal; SPI-1 −3.09, extremely dry, held against 24 years (1991 to 2020); "
                            "fewer than 30, so take the index as provisional.")  # fmt: skip
    assert said[1] == (
        "August 2018 at Hut: the rain is not known. No precipitation index: a day of these months is missing from the record."
    )


@pytest.mark.parametrize(
    ("spell", "known", "said"),
    [
        ((1, "2018-09-07", "2018-09-07"), (100, 40, 0), "was 1 day with less than 1 mm each (7 September 2018 to 7 September 2018); 40 of"),
        ((19, "2018-09-07", "2018-09-25"), (100, 40, 1), "was at least 19 days with less than 1 mm each"),
        ((0, None, None), (1, 1, 0), "has no day under 1 mm; 1 of 1 day had 1 mm or more."),
    ],
)
def test_dry_spell(spell: tuple[int, str | None, str | None], known: tuple[int, int, int], said: str) -> None:
    sentence = dry_spell_sentence("Hut", "2018-fall", *spell, *known)
    assert sentence.startswith("In Fall 2018 the ")
    assert said in sentence
    assert sentence.endswith("; 1 day of the semester is missing.") == (known[2] == 1)


def test_soil_season_calls_itself_a_model_or_says_why_there_is_none() -> None:
    assert soil_season_sentence("Crown", "2018-fall", 32.5, 124, 67, 0.004, "2018-09-25", 2, 0.12, None) == (
        "By a model, not a measurement, the soil of Crown holds 32 mm for plants; in Fall 2018 it was below 30 % of that on 67 of the "
        "124 days known to the model, and lowest, at 0 %, on 25 September 2018; before the readings of the 2 field days it was at 12 %."
    )
    never = soil_season_sentence("Crown", "2018-fall", 32.5, 9, 0, 0.4, "2018-09-25", 1, None, None)
    assert "was never below 30 % of that on the 9 days known to the model" in never
    assert never.endswith("; before the readings of the field day it is not known.")
    assert soil_season_sentence("Crown", "2018-fall", None, 0, 0, None, None, 2, None, "soil_not_described") == (
        "No modelled soil water for Crown in Fall 2018: the register of sites states no depth of soil, or neither its texture nor its "
        "available water."
    )

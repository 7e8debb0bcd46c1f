"""What observers' figures do with poor input, what must always hold of them, and the words that go with them."""

from __future__ import annotations

from math import isfinite
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from warehouse.statistics.agreement import complete_table, intraclass, limits_of_agreement
from warehouse.statistics.digits import digit_preference, final_digits
from warehouse.statistics.observer_words import agreement_sentence, digit_sentence, share_sentence, spread_sentence
from warehouse.statistics.observers import observer_variance, paired_readings, within_plant_spread
from warehouse.statistics_in_sql import guarded

POTENTIALS = st.floats(-10, 0)


def paired(table: list[list[float | None]]) -> Any:
    """Every leaf (row) read by every observer (column)."""
    flat = [(value, f"leaf {n}", f"plant {n}", f"obs_{j}") for n, row in enumerate(table) for j, value in enumerate(row)]
    return guarded(paired_readings, *map(list, zip(*flat, strict=True)))


@pytest.mark.parametrize(
    ("table", "code"),
    [
        ([[-1.0], [-1.1]], "not_paired"),
        ([[-1.0, -1.2]] * 4, "few_paired"),
        ([[-1.0, -1.0]] * 6, "no_spread"),
        ([[None, None]] * 6, "not_paired"),
        ([[-1.0, None]] * 6, "not_paired"),
    ],
)
def test_agreement_that_cannot_be_told_has_a_reason(table: list[list[float | None]], code: str) -> None:
    found = paired(table)
    assert (found["reason_code"], found["icc_2_1"]) == (code, None)
    assert found["reason"]


def test_a_constant_difference_has_a_bias_and_no_interval_of_the_correlation() -> None:
    found = paired([[-1.0 - n, -1.2 - n] for n in range(6)])
    assert found["bias_mpa"] == pytest.approx(0.2)
    assert found["icc_3_1"] == pytest.approx(1.0)
    assert found["icc_2_1_low"] is None


def test_no_correlation_is_shown_below_zero() -> None:
    assert paired([[-1.0, -2.0], [-2.0, -1.0]] * 3)["icc_2_1"] < 0


def test_where_no_leaf_was_read_twice_plants_are_paired() -> None:
    rows = [(-1.0 - n / 10 - leaf / 100, f"{n}/{leaf}", f"{n}", f"obs_{leaf}") for n in range(6) for leaf in range(2)]
    found = paired_readings(*map(list, zip(*rows, strict=True)))
    assert (found.paired_by, found.n_pairs) == ("plant", 6)
    assert found.bias_mpa == pytest.approx(0.01)


def test_the_complete_table_is_the_largest() -> None:
    """Three read all of ten leaves, a fourth two of them: the table is of three."""
    read = {f"leaf {n}": dict.fromkeys(("a", "b", "c", *(["d"] if n < 2 else [])), -1.0) for n in range(10)}
    assert complete_table(read) == (["a", "b", "c"], sorted(read))


@given(st.lists(st.tuples(POTENTIALS, POTENTIALS), min_size=5, max_size=20), st.floats(-3, 3), st.floats(0.1, 5))
@settings(max_examples=100)
def test_agreement_does_not_hang_on_the_unit_or_the_zero(pairs: list[tuple[float, float]], shift: float, factor: float) -> None:
    moved = [(factor * one + shift, factor * two + shift) for one, two in pairs]
    before, after = intraclass(pairs), intraclass(moved)
    if np.std(pairs) > 1e-3 and before is not None and after is not None:
        assert after.icc_1_1 == pytest.approx(before.icc_1_1, abs=1e-6)
    limits, scaled = limits_of_agreement(*zip(*pairs, strict=True)), limits_of_agreement(*zip(*moved, strict=True))
    assert scaled.bias_mpa == pytest.approx(factor * limits.bias_mpa, abs=1e-9)
    assert scaled.limit_low_mpa <= scaled.bias_mpa <= scaled.limit_high_mpa


@pytest.mark.parametrize(
    ("readings", "plants", "sd", "cv", "code"),
    [
        ([-1.0, -1.2], ["1", "1"], 0.02**0.5, 0.02**0.5 / 1.1, None),
        ([-0.1, -0.3], ["1", "1"], 0.02**0.5, None, "near_zero"),
        ([-1.0, -1.2], ["1", "2"], None, None, "no_plant_repeated"),
        ([-1.0, None], ["1", "1"], None, None, "no_plant_repeated"),
        ([], [], None, None, "no_plant_repeated"),
        ([-1.0, -1.0], ["1", "1"], 0.0, 0.0, None),
    ],
)
def test_spread_within_plants(
    readings: list[float | None], plants: list[str], sd: float | None, cv: float | None, code: str | None
) -> None:
    found = within_plant_spread(readings, [str(n) for n in range(len(readings))], plants)
    assert found.within_plant_sd_mpa == (None if sd is None else pytest.approx(sd))
    assert found.within_plant_cv == (None if cv is None else pytest.approx(cv))
    assert found.within_plant_reason_code == code


def test_two_readings_of_one_leaf_are_one_leaf() -> None:
    once = within_plant_spread([-1.1, -1.5], ["a", "b"], ["1", "1"])
    twice = within_plant_spread([-1.0, -1.2, -1.5], ["a", "a", "b"], ["1", "1", "1"])
    assert twice.within_plant_sd_mpa == pytest.approx(once.within_plant_sd_mpa)


def observed(plants_each: int, observers: int, effect: float = 0.0, noise: float = 0.1) -> Any:
    rows = [(-1.0 + effect * j + noise * (-1) ** n, f"{j}/{n}", "kind", f"obs_{j}") for j in range(observers) for n in range(plants_each)]
    return guarded(observer_variance, *map(list, zip(*rows, strict=True)))


@pytest.mark.parametrize(
    ("plants_each", "observers", "noise", "code"),
    [
        (4, 4, 0.1, "few_observers"),
        (1, 8, 0.1, "observers_confounded"),
        (4, 6, 0.0, "no_spread"),
        (1, 101, 0.1, "many_observers"),
        (4, 6, 0.1, None),
    ],
)
def test_share_of_observers_or_why_not(plants_each: int, observers: int, noise: float, code: str | None) -> None:
    found = observed(plants_each, observers, noise=noise)
    assert found["observer_reason_code"] == code
    assert found["observer_share"] == (0.0 if code is None else None)


def test_who_is_not_written_down_is_no_observer() -> None:
    found = observer_variance([-1.0] * 3, ["1", "2", "3"], ["kind"] * 3, [None] * 3)
    assert (found.n_observers, found.observer_reason_code) == (0, "no_observers")


def test_a_large_effect_of_observers_is_most_of_the_variance() -> None:
    found = observed(4, 6, effect=1.0)
    assert 0.9 < found["observer_share_low"] < found["observer_share"] < found["observer_share_high"] <= 1


@given(st.lists(st.tuples(POTENTIALS, st.integers(0, 9), st.sampled_from("ab"), st.integers(0, 6)), max_size=40))
@settings(max_examples=150)
def test_a_share_is_a_share(rows: list[tuple[float, int, str, int]]) -> None:
    columns = [[row[0] for row in rows], *([f"{row[at]}" for row in rows] for at in (1, 2, 3))]
    found = guarded(observer_variance, *columns)
    share = found["observer_share"]
    assert (share is None) == (found["observer_reason_code"] is not None)
    if share is not None and found["observer_share_low"] is not None:
        assert 0 <= found["observer_share_low"] <= found["observer_share_high"] <= 1
        assert isfinite(share)


@pytest.mark.parametrize(
    ("step", "digits"),
    [(0.5, [0, 5]), (10, [*range(10)]), (0.02, [0, 2, 4, 6, 8]), (0.25, [0, 5]), (1, [*range(10)]), (0.1, [*range(10)])],
)
def test_a_gauge_can_show_only_some_digits(step: float, digits: list[int]) -> None:
    assert final_digits(step)[0] == digits


def digits_of(values: list[float | None], unit: str | None = "bar", step: float | None = 0.5) -> Any:
    factor = {"bar": 0.1, "psi": 0.006894757293168361, None: 1.0}[unit]
    n = len(values)
    pressures = [None if value is None else value * factor for value in values]
    return guarded(digit_preference, pressures, [unit] * n, [step] * n, ["midday"] * n)


@pytest.mark.parametrize(
    ("found", "code", "n"),
    [
        (digits_of([n / 2 for n in range(20)]), None, 20),
        (digits_of([float(n) for n in range(20)]), None, 20),
        (digits_of([10.0 * n for n in range(60)], "psi", 10), None, 60),
        (digits_of([10.0 * n for n in range(40)], "psi", 10), "too_few_digits", 0),
        (digits_of([200.0, 210.0] * 60, "psi", 10), "digits_follow_plants", 0),
        (digits_of([0.3 * n for n in range(60)]), "not_on_steps", 0),
        (digits_of([1.0] * 60, None), "no_gauge_step", 0),
        (digits_of([1.0] * 60, "bar", None), "no_gauge_step", 0),
        (digits_of([1.0] * 60, "bar", 0.0), "no_gauge_step", 0),
        (digits_of([None] * 60), "no_gauge_step", 0),
        (digits_of([1e308, -1e308] * 30), "not_on_steps", 0),
        (digits_of([]), "no_gauge_step", 0),
    ],
)
def test_digits_or_why_not(found: Any, code: str | None, n: int) -> None:
    assert (found["digit_reason_code"], found["n_digits"]) == (code, n)
    assert (found["digit_chi2"] is None) == (code is not None)


def test_a_half_bar_gauge_read_to_whole_bars_is_seen() -> None:
    found = digits_of([float(n) for n in range(20)])
    assert (found["digit_preferred"], found["digit_preferred_share"], found["digit_chi2"], found["digit_df"]) == (0, 1.0, 20.0, 1)


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        (
            agreement_sentence("leaf", 12, -0.05, -0.3, 0.2, 0.83, 0.5, 0.95, -0.1, 0.1, None),
            "Two observers read the same 12 leaves: one read 0.05 MPa drier than the other on average, and single differences are expected "
            "between −0.30 and 0.20 MPa (95 % limits of agreement). The intraclass correlation is 0.83 (95 % interval 0.50 to 0.95); it is "
            "higher where the plants differ more. A leaf can be pressed only once or twice, so this tells of leaf and observer together.",
        ),
        (
            agreement_sentence("plant", 1, 0.05, -0.1, 0.2, None, None, None, 0.1, 0.3, None),
            "Two observers read different leaves of the same 1 plant: one read 0.05 MPa wetter than the other on average, and single "
            "differences are expected between −0.10 and 0.20 MPa (95 % limits of agreement). Their differences change with how dry the "
            "leaves are, so that these limits do not hold at both ends. A leaf can be pressed only once or twice, so this tells of leaf "
            "and observer together.",
        ),
        (
            agreement_sentence(
                None, None, None, None, None, None, None, None, None, None, "No leaf and no plant was read by two observers."
            ),
            "Agreement of observers is not known: no leaf and no plant was read by two observers.",
        ),
        (
            spread_sentence(24, 0.12, 0.08),
            "Leaves of one plant differed by 0.12 MPa, 8 % of their mean potential (standard deviation within 24 plants).",
        ),
        (
            share_sentence(8, 0.12, 0.0, 0.61, None),
            "Among plants alike in kind and place, about 12 % of the variance goes with who read them "
            "(8 observers; 95 % interval 0 to 61 %).",
        ),
        (
            share_sentence(8, 0.0, 0.0, 0.61, None),
            "Among plants alike in kind and place, no variance was found to go with who read them (8 observers), "
            "though up to 61 % may (95 % interval).",
        ),
        (
            digit_sentence(96, 1, 0.21, 0.1, 0.004, None),
            "Of 96 readings, 21 % have a 1 as the last digit that the gauge's step moves, 10 % in even use: "
            "chance alone seldom gives so uneven a use (chi-square, p 0.004).",
        ),
    ],
)
def test_sentences(said: str, wanted: str) -> None:
    assert said == wanted

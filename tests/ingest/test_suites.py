"""The contract's suite: which rows fail it, and why."""

from __future__ import annotations

from typing import Any

import pytest

from ingest.checked.suites import failing_rows

GOOD: dict[str, list[Any]] = {
    "row_number": [0, 1, 2],
    "date": ["2024-09-17"] * 3,
    "site": ["ridge"] * 3,
    "taxon": ["ange"] * 3,
    "endpoint": ["seen"] * 3,
    "sampling_window": [None] * 3,
    "balance_pressure_mpa": [1.0, 2.0, 3.0],
    "limit_mpa": [4.0] * 3,
    "read_minute": [None] * 3,
    "cut_minute": [None] * 3,
}


@pytest.mark.parametrize(
    ("changes", "wanted"),
    [
        ({}, set()),
        ({"site": [None, "ridge", None]}, {(0, "site", "site_missing"), (2, "site", "site_missing")}),
        ({"site": [None] * 3}, {(row, "site", "site_missing") for row in range(3)}),
        ({"sampling_window": [None, "noonish", None]}, {(1, "sampling_window", "contract_broken")}),
        ({"balance_pressure_mpa": [None] * 3}, set()),
        ({"limit_mpa": [None, 1.5, None]}, {(1, "balance_pressure_mpa", "above_chamber_maximum")}),
        ({"read_minute": [700, None, None], "cut_minute": [710, 710, 710]}, {(0, "cut_minute", "time_order")}),
        (
            {"balance_pressure_mpa": [99.0, None, 1.0], "date": [None, "2024-09-17", "2024-09-17"]},
            {(0, "reading", "reading_absurd"), (0, "balance_pressure_mpa", "above_chamber_maximum"), (0, "date", "date_missing")},
        ),
    ],
)
def test_each_row_that_fails_is_told_with_its_code(changes: dict[str, list[Any]], wanted: set[tuple[int, str, str]]) -> None:
    assert set(failing_rows("readings", GOOD | changes)) == wanted

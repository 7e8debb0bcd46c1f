"""The data-quality suite of a kind of upload, generated from the contract and run with Great Expectations.

The only module that knows Great Expectations. Each expectation carries the code that its
failing rows earn.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from ingest.contract import Column, contract
from ingest.doubts.problem_kinds import KINDS

LIMIT_PAIRS = (
    ("limit_mpa", "balance_pressure_mpa", "above_chamber_maximum"),
    ("read_minute", "cut_minute", "time_order"),
    ("max_score", "score", "score_above_maximum"),
)
"""Pairs of columns of which the first is at least the second, and the code where it is not."""
_CHUNK_ROWS = 250_000


def failing_rows(kind: str, columns: dict[str, list[Any]]) -> Iterator[tuple[int, str, str]]:
    """Run the suite over rows.

    Args:
        kind: a kind of the contract.
        columns: equal-length columns by contract name, with `row_number`; of readings with `balance_pressure_mpa` and the columns of
            `LIMIT_PAIRS` too.

    Yields:
        (row number, column, code) of every row that fails an expectation.
    """
    filled = frozenset(name for name, values in columns.items() if any(value is not None for value in values))
    suite = _suite(kind, frozenset(columns), filled)
    for start in range(0, len(columns["row_number"]), _CHUNK_ROWS):
        batch = _batch({name: values[start : start + _CHUNK_ROWS] for name, values in columns.items()})
        for result in _failing(batch, suite):
            meta = result.expectation_config.meta
            for failed in result.result["unexpected_index_list"]:
                numbers = failed["row_number"]
                for number in numbers if isinstance(numbers, Sequence) else [numbers]:
                    yield int(number), meta["column"], meta["code"]


def _failing(batch: Any, suite: Any) -> Iterator[Any]:
    """The results of the expectations that fail, with the rows: to ask every expectation for its rows takes twice as long."""
    import great_expectations as gx

    first = batch.validate(suite, result_format="BOOLEAN_ONLY").results
    if failing := [result.expectation_config.to_domain_obj() for result in first if not result.success]:
        yield from batch.validate(gx.ExpectationSuite(name=suite.name, expectations=failing), result_format=_RESULT_FORMAT).results


_RESULT_FORMAT = {"result_format": "COMPLETE", "unexpected_index_column_names": ["row_number"], "exclude_unexpected_values": True}
_NUMBERS = frozenset({"balance_pressure_mpa", "limit_mpa", "read_minute", "cut_minute"}).union(
    name for kind in ("assessment", "rubric") for name, column in contract()[kind].columns.items() if column.type == "number"
)


@cache
def _suite(kind: str, present: frozenset[str], filled: frozenset[str]) -> Any:
    """The expectations of the contract that the columns could fail: where no row holds a value, only those of a value being there."""
    _quiet()
    import great_expectations as gx
    import great_expectations.expectations as gxe

    made: list[Any] = []
    for column in contract()[kind].columns.values():
        made.extend(_expectations(gxe, column, present, filled))
    for larger, smaller, code in LIMIT_PAIRS:
        pair = gxe.ExpectColumnPairValuesAToBeGreaterThanB(
            column_A=larger,
            column_B=smaller,
            or_equal=True,
            ignore_row_if="either_value_is_missing",
            meta={"column": smaller, "code": code},
        )
        made.extend([pair] if {larger, smaller} <= filled else [])
    return gx.ExpectationSuite(name=kind, expectations=made)


def _expectations(gxe: Any, column: Column, present: frozenset[str], filled: frozenset[str]) -> Iterator[Any]:
    if column.name == "reading" and "balance_pressure_mpa" in filled:
        meta = {"column": "reading", "code": "reading_absurd"}
        yield gxe.ExpectColumnValuesToBeBetween(column="balance_pressure_mpa", min_value=0.0, max_value=column.maximum_mpa, meta=meta)
    meta = {"column": column.name, "code": "contract_broken"}
    if column.required and column.name in present:
        code = f"{column.name}_missing"
        yield gxe.ExpectColumnValuesToNotBeNull(column=column.name, meta={**meta, "code": code if code in KINDS else "contract_broken"})
    if column.name not in filled:
        return
    if column.allowed:
        yield gxe.ExpectColumnValuesToBeInSet(column=column.name, value_set=list(column.allowed), meta=meta)
    if column.max_length:
        yield gxe.ExpectColumnValueLengthsToBeBetween(column=column.name, max_value=column.max_length, meta=meta)
    if column.pattern:
        yield gxe.ExpectColumnValuesToMatchRegex(column=column.name, regex=column.pattern, meta=meta)
    if column.type == "time":
        yield gxe.ExpectColumnValuesToMatchRegex(column=column.name, regex=r"^(?:[01]\d|2[0-3]):[0-5]\d$", meta=meta)
    if column.minimum is not None or column.maximum is not None:
        yield gxe.ExpectColumnValuesToBeBetween(column=column.name, min_value=column.minimum, max_value=column.maximum, meta=meta)


def _typed(name: str, values: Sequence[Any]) -> Any:
    import pandas as pd

    if name == "row_number":
        return pd.array(values, dtype="int64")
    if name in _NUMBERS:
        return pd.array([float("nan") if value is None else value for value in values], dtype="float64")
    # All-null columns would otherwise cross as objects of no type.
    return pd.array([None if value is None else str(value) for value in values], dtype="str")


def _batch(columns: Mapping[str, Sequence[Any]]) -> Any:
    import pandas as pd

    frame = pd.DataFrame({name: _typed(name, values) for name, values in columns.items()})
    return _frames().get_batch(batch_parameters={"dataframe": frame})


@cache
def _frames() -> Any:
    """What takes a frame as a batch; one for all files of a process."""
    import great_expectations as gx

    context = gx.get_context(mode="ephemeral")
    context.variables.progress_bars = {"globally": False, "metric_calculations": False}
    asset = context.data_sources.add_pandas("checked").add_dataframe_asset("rows")
    return asset.add_batch_definition_whole_dataframe("all")


def _quiet() -> None:
    """Telemetry off before the import; progress and chatter are no part of a receipt."""
    os.environ["GX_ANALYTICS_ENABLED"] = "false"
    import logging

    logging.getLogger("great_expectations").setLevel(logging.ERROR)

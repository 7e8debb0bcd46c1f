"""Makes the statistics known to DuckDB: types from their annotations, no warning, no inf, each computed at most once.

A model calls a statistic by its Python name: `censored_summary(list(pressure_mpa order by plant_key), list(...))` is a struct
whose fields are those of the dataclass that the function returns.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Sequence
from dataclasses import fields, is_dataclass
from functools import partial
from inspect import signature
from math import isfinite
from types import NoneType, UnionType
from typing import TYPE_CHECKING, Any, get_args, get_origin, get_type_hints

import numpy as np

from warehouse.remembered import Remembered
from warehouse.statistics.catalog import STATISTICS
from warehouse.statistics.reasons import reason

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

Statistic = Callable[..., Any]
_SCALARS = {float: "DOUBLE", int: "BIGINT", str: "VARCHAR", bool: "BOOLEAN"}


def register_statistics(connection: DuckDBPyConnection, remembered: Remembered) -> None:
    """Create every function of the catalog on a DuckDB database, which keeps them while its process lives."""
    from duckdb.func import SPECIAL

    for statistic in STATISTICS:
        *takes, gives = sql_types(statistic)
        connection.create_function(
            statistic.__name__,
            _remembering(statistic, remembered),
            [connection.type(name) for name in takes],
            connection.type(gives),
            null_handling=SPECIAL,
        )


def _remembering(statistic: Statistic, remembered: Remembered) -> Statistic:
    def call(*arguments: Any) -> Any:
        return remembered.recall(statistic.__name__, arguments, partial(guarded, statistic))

    call.__signature__ = signature(statistic)  # type: ignore[attr-defined]  # DuckDB counts the parameters by it
    return call


def sql_types(statistic: Statistic) -> list[str]:
    """DuckDB's types of a statistic's parameters and, last, of its result."""
    hints = get_type_hints(statistic)
    gives = hints.pop("return")
    return [*(sql_type(hint) for hint in hints.values()), sql_type(gives)]


def sql_type(hint: Any) -> str:
    """DuckDB's type of an annotation: a scalar, which may be null, a list of such, or a dataclass."""
    if hint in _SCALARS:
        return _SCALARS[hint]
    if isinstance(hint, UnionType):  # "float | None": every column may be null
        (inner,) = (part for part in get_args(hint) if part is not NoneType)
        return sql_type(inner)
    if get_origin(hint) in (list, Sequence):
        return f"{sql_type(get_args(hint)[0])}[]"
    if is_dataclass(hint):
        hints = get_type_hints(hint)
        return f"STRUCT({', '.join(f'{field.name} {sql_type(hints[field.name])}' for field in fields(hint))})"
    raise TypeError(f"{hint} has no column type")


def guarded(statistic: Statistic, *arguments: Any) -> Any:
    """The statistic's result as plain values without inf or NaN; null with a reason where the numbers break the arithmetic.

    What is caught is what numbers can do to a formula. A fault of the code (a wrong name, a wrong type) fails the build.
    """
    try:
        with np.errstate(all="ignore"), warnings.catch_warnings():
            warnings.simplefilter("ignore")
            result = statistic(*arguments)
    except (ArithmeticError, ValueError, np.linalg.LinAlgError):
        return _unknown(get_type_hints(statistic)["return"])
    return _plain(result)


def _unknown(hint: Any) -> Any:
    """Every field null but the reason; for a list none, for a scalar null."""
    if isinstance(hint, type) and is_dataclass(hint):
        return {**{field.name: None for field in fields(hint)}, **_told(hint, "not_computable")}
    return [] if get_origin(hint) in (list, Sequence) else None


def _told(hint: type, code: str) -> dict[str, str]:
    """Every reason of a result, for a result with several estimates has one for each: `observer_reason_code` and the like."""
    told = reason(code)
    names = [field.name for field in fields(hint) if field.name.endswith(("reason_code", "reason"))]
    return {name: told["reason_code" if name.endswith("reason_code") else "reason"] for name in names}


def _plain(result: Any) -> Any:
    # The commonest first: a build passes some hundred thousand of these.
    kind = type(result)
    if kind is float:
        return result if isfinite(result) else None
    if result is None or kind in (str, int, bool):
        return result
    if isinstance(result, (list, tuple)):
        return [_plain(value) for value in result]
    if isinstance(result, np.generic):
        return _plain(result.item())
    if not is_dataclass(result):
        raise TypeError(f"{kind.__name__} is no column's value")
    before = {field.name: getattr(result, field.name) for field in fields(result)}
    values = {name: _plain(value) for name, value in before.items()}
    if any(value is not None and values[name] is None for name, value in before.items()):
        values |= {name: text for name, text in _told(kind, "not_finite").items() if values[name] is None}
    return values

"""Statistical functions that SQL lacks, given to DuckDB when the models open it.

The models reach them through dispatched macros (macros/statistics.sql), so that another engine can bring its own.
Null in, null out; outside of a function's domain the result is null, never infinite.
"""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, Any

from scipy.special import gammainc, ndtri, stdtrit

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection


def t_quantile(p: float | None, df: float | None) -> float | None:
    """Quantile of Student's t with `df` degrees of freedom, which need not be whole; for 0 < p < 1 and df > 0."""
    if p is None or df is None or not (0 < p < 1 and df > 0):
        return None
    return _finite(stdtrit(df, p))


def gamma_p(shape: float | None, x: float | None) -> float | None:
    """Distribution function of the gamma law with scale 1 (regularised lower incomplete gamma); for shape > 0 and x >= 0."""
    if shape is None or x is None or not (shape > 0 and x >= 0):
        return None
    return _finite(gammainc(shape, x))


def normal_quantile(p: float | None) -> float | None:
    """Quantile of the standard normal law; for 0 < p < 1."""
    if p is None or not 0 < p < 1:
        return None
    return _finite(ndtri(p))


def _finite(value: Any) -> float | None:
    return float(value) if isfinite(value) else None


def register(connection: DuckDBPyConnection) -> None:
    """Make the functions known to a DuckDB database."""
    from duckdb.func import SPECIAL
    from duckdb.sqltypes import DOUBLE

    connection.create_function("t_quantile", t_quantile, [DOUBLE, DOUBLE], DOUBLE, null_handling=SPECIAL)
    connection.create_function("gamma_p", gamma_p, [DOUBLE, DOUBLE], DOUBLE, null_handling=SPECIAL)
    connection.create_function("normal_quantile", normal_quantile, [DOUBLE], DOUBLE, null_handling=SPECIAL)

"""The functions that SQL lacks give published values, and null outside their domain."""

from __future__ import annotations

from math import inf, nan

import pytest

from warehouse.functions import gamma_p, normal_quantile, t_quantile


@pytest.mark.parametrize(
    ("p", "df", "value"),
    [(0.975, 1, 12.706), (0.975, 2, 4.303), (0.975, 10, 2.228), (0.975, 30, 2.042), (0.95, 5, 2.015)],
)
def test_t_quantile(p: float, df: float, value: float) -> None:
    """Critical values of Student's t, NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.2."""
    assert t_quantile(p, df) == pytest.approx(value, abs=5e-4)


@pytest.mark.parametrize(("p", "value"), [(0.975, 1.95996), (0.5, 0.0), (0.05, -1.64485), (0.999, 3.09023)])
def test_normal_quantile(p: float, value: float) -> None:
    """Quantiles of the standard normal law as every table has them."""
    assert normal_quantile(p) == pytest.approx(value, abs=5e-6)


@pytest.mark.parametrize(("shape", "x", "value"), [(1.0, 1.0, 0.6321205588), (2.0, 1.0, 0.2642411177), (0.5, 0.5, 0.6826894921)])
def test_gamma_p(shape: float, x: float, value: float) -> None:
    """1 - exp(-x) for shape 1, 1 - (1 + x) exp(-x) for shape 2; for shape 1/2 the mass of the normal law within one sigma."""
    assert gamma_p(shape, x) == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize("arguments", [(None, 5.0), (0.975, None), (0.975, 0.0), (1.0, 5.0), (nan, 5.0), (0.975, nan)])
def test_t_quantile_outside_its_domain(arguments: tuple[float | None, float | None]) -> None:
    assert t_quantile(*arguments) is None


@pytest.mark.parametrize("arguments", [(None, 1.0), (0.0, 1.0), (1.0, -1.0), (nan, 1.0)])
def test_gamma_p_outside_its_domain(arguments: tuple[float | None, float | None]) -> None:
    assert gamma_p(*arguments) is None


@pytest.mark.parametrize("p", [None, 0.0, 1.0, nan, inf])
def test_normal_quantile_outside_its_domain(p: float | None) -> None:
    assert normal_quantile(p) is None

"""Parts of sentences: numbers with their unit and a proper minus, counts, intervals. Used by every sentence on an estimate."""

from __future__ import annotations

DECIMALS = 2  # of MPa: what a gauge of 10 psi or of 0.5 bar supports


def mpa(value: float, decimals: int = DECIMALS) -> str:
    """A potential or a difference, MPa, as "−1.25 MPa"; never "−0.00"."""
    return f"{number(value, decimals)} MPa"


def number(value: float, decimals: int = DECIMALS) -> str:
    """A number with a proper minus sign and these decimals."""
    text = f"{round(value, decimals) + 0.0:.{decimals}f}"
    return text.replace("-", "−")


def counted(n: int, noun: str, plural: str | None = None) -> str:
    """A count with its noun: "1 plant", "14 plants"."""
    return f"{n} {noun if n == 1 else plural or noun + 's'}"


def interval(low: float, high: float, decimals: int = DECIMALS, level: int = 95) -> str:
    """An interval in brackets: "(95 % interval 0.31 to 0.93)"."""
    return f"({level} % interval {number(low, decimals)} to {number(high, decimals)})"


def listed(parts: list[str]) -> str:
    """Words in a row: "a, b and c"."""
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)

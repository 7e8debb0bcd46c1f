"""Whether the last digits of a gauge's readings are used alike, or some are preferred, as when a needle is read to the next half."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import numpy as np
from scipy.special import chdtrc

from ingest.units import MPA_PER_UNIT
from warehouse.statistics.reasons import reason

LEAST_EXPECTED = 5.0  # readings per digit, below which chi-square does not hold
LEAST_SPREAD = 0.5  # standard deviations of the readings in turns of the digit; less, and the digits follow the plants


@dataclass(frozen=True)
class DigitPreference:
    """Chi-square of final digits against even use, and the digit used most; shares are 0 to 1."""

    n_digits: int
    n_off_step: int
    digit_chi2: float | None = None
    digit_df: int | None = None
    digit_p: float | None = None
    digit_preferred: int | None = None
    digit_preferred_share: float | None = None
    digit_even_share: float | None = None
    digit_reason_code: str | None = None
    digit_reason: str | None = None


def final_digits(step: float) -> tuple[list[int], float]:
    """The final digits that a gauge of this step can show, and the place in which they stand, in its unit.

    A gauge of 0.5 ends in 0 or 5 at tenths, of 0.02 in 0, 2, 4, 6 or 8 at hundredths, of 10 in any digit at tens.

    Raises:
        ValueError: the step is not a positive number.
    """
    if not step > 0 or not np.isfinite(step):
        raise ValueError(f"a step of {step} is none")
    _, digits, exponent = Decimal(f"{step:.9g}").normalize().as_tuple()
    whole = int("".join(map(str, digits)))
    return sorted({whole * times % 10 for times in range(10)}), float(Decimal(10) ** int(exponent))


def digit_preference(
    pressures_mpa: Sequence[float | None], units: Sequence[str | None], steps: Sequence[float | None], windows: Sequence[str | None]
) -> DigitPreference:
    """Chi-square of the final digits of readings, each turned back into the unit and the steps of its gauge.

    Readings of one gauge and sampling window are tested where they spread over half a turn of the digit or more, and where each digit
    can expect five. Chi-squares and degrees of freedom of several gauges add up. The preferred digit is that of the gauge read most.

    Args:
        pressures_mpa: balance pressures, MPa; None for a bound.
        units: the gauge's unit of each, None where the gauge is not known.
        steps: the gauge's step of each, in that unit, or None.
        windows: the sampling window of each, or None.
    """
    rows = zip(pressures_mpa, units, steps, windows, strict=True)
    known = [(value, unit, step, window or "") for value, unit, step, window in rows if value is not None and unit and step]
    if not known:
        return DigitPreference(0, 0, **_why("no_gauge_step"))
    pressure, unit, step, window = (np.asarray(values) for values in zip(*known, strict=True))
    n_off, n_narrow = 0, 0
    tested: list[tuple[list[int], np.ndarray]] = []
    for kind, size in sorted({(str(row[1]), float(row[2] or 0)) for row in known}):
        allowed, place = final_digits(size)
        counts = np.zeros(10)
        for part in sorted({row[3] for row in known}):
            chosen = pressure[(unit == kind) & (step == size) & (window == part)].astype(float) / MPA_PER_UNIT[kind]
            on_step = chosen[np.abs(chosen / size - np.round(chosen / size)) < 1e-3]
            n_off += len(chosen) - len(on_step)
            if len(on_step) > 1 and on_step.std(ddof=1) >= LEAST_SPREAD * len(allowed) * size:
                counts += np.bincount((np.round(on_step / place) % 10).astype(int), minlength=10)
            else:
                n_narrow += len(on_step)
        if len(allowed) > 1 and counts.sum() >= LEAST_EXPECTED * len(allowed):
            tested.append((allowed, counts[allowed]))
    if 5 * n_off > len(known):
        return DigitPreference(0, n_off, **_why("not_on_steps", off=n_off, n=len(known)))
    if not tested:
        return DigitPreference(0, n_off, **_why("digits_follow_plants" if 2 * n_narrow > len(known) else "too_few_digits"))
    chi2 = float(sum(((counts - counts.mean()) ** 2 / counts.mean()).sum() for _, counts in tested))
    df = sum(len(allowed) - 1 for allowed, _ in tested)
    allowed, counts = max(tested, key=lambda found: found[1].sum())
    most = int(counts.argmax())
    return DigitPreference(
        *(int(sum(counts.sum() for _, counts in tested)), n_off, chi2, df, float(chdtrc(df, chi2)), allowed[most]),
        *(float(counts[most] / counts.sum()), 1 / len(allowed)),
    )


def _why(code: str, **numbers: object) -> dict[str, Any]:
    return {f"digit_{name}": text for name, text in reason(code, **numbers).items()}

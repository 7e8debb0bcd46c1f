"""A light second scale in bar or psi beside the first in MPa, for those whose gauge speaks it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from dashboards.words import number
from ingest.units import MPA_PER_UNIT

if TYPE_CHECKING:
    from dashboards.answer import Answer

SCALES: Mapping[str, str] = {"in MPa": "", "in MPa and bar": "bar", "in MPa and psi": "psi"}
"""Words of the choice and the unit that stands beside."""


def with_scale(answer: Answer, unit: str) -> Answer:
    """The answer with a second scale on every panel in MPa; none for a unit that is not offered."""
    if unit not in SCALES.values() or not unit:
        return answer
    panels = [replace(panel, beside=beside(panel.y_ticks, unit)) if panel.is_in_mpa else panel for panel in answer.panels]
    return replace(answer, panels=panels)


def beside(ticks: Mapping[float, str], unit: str) -> dict[float, str]:
    """The ticks of a scale in MPa, in words of another unit; the unit itself stands at 0."""
    values = {tick: tick / MPA_PER_UNIT[unit] for tick in ticks}
    decimals = 0 if all(abs(value - round(value)) < 0.05 or unit == "psi" for value in values.values()) else 1
    is_signed = any(words.startswith("+") for words in ticks.values())
    return {tick: number(value, decimals, sign=is_signed) + (f" {unit}" if tick == 0 else "") for tick, value in values.items()}

"""Units of pressure: their spellings, their exact factors, and what a header says of them.

Factors to MPa follow NIST SP 811 (2008), appendix B.8: bar 0.1, kPa 0.001, atm 0.101325,
kgf/cm2 0.0980665; psi = 0.45359237 * 9.80665 / 0.0254^2 / 1e6 from the definitions of pound, standard
gravity and inch.
"""

from __future__ import annotations

import re
import unicodedata

MPA_PER_UNIT = {
    "MPa": 1.0,
    "bar": 0.1,
    "psi": 0.45359237 * 9.80665 / 0.0254**2 / 1e6,
    "kPa": 0.001,
    "atm": 0.101325,
    "kgf/cm2": 0.0980665,
}
SPELLINGS = {
    "mpa": "MPa", "megapascal": "MPa", "megapascals": "MPa", "mega pascal": "MPa", "mega pascals": "MPa",
    "bar": "bar", "bars": "bar",
    "psi": "psi", "psig": "psi", "lb/in2": "psi", "lbs/in2": "psi", "pounds per square inch": "psi", "lbf/in2": "psi",
    "kpa": "kPa", "kilopascal": "kPa", "kilopascals": "kPa",
    "atm": "atm", "atms": "atm", "atmosphere": "atm", "atmospheres": "atm",
    "kgf/cm2": "kgf/cm2", "kg/cm2": "kgf/cm2", "kgf/cm^2": "kgf/cm2", "kg/cm^2": "kgf/cm2",
}  # fmt: skip
_LONGEST_FIRST = sorted(SPELLINGS, key=len, reverse=True)
_SIGNS = str.maketrans({"−": "-", "‐": "-", "‑": "-", "–": "-", "—": "-", "²": "2", "\u00a0": " "})
_UNIT_WORD = re.compile(r"(?<![a-z])(-\s*)?(" + "|".join(re.escape(word) for word in _LONGEST_FIRST) + r")(?![a-z0-9])")


def to_mpa(value: float, unit: str) -> float:
    """A pressure in a unit of the contract, as MPa of the same sign.

    Raises:
        KeyError: the unit is not one of `MPA_PER_UNIT`.
    """
    return value * MPA_PER_UNIT[unit]


def water_potential_mpa(balance_pressure_mpa: float) -> float:
    """Water potential (MPa, at most 0) of a balance pressure (MPa, at least 0); never -0.0.

    The osmotic potential of the xylem sap is neglected (common practice).
    """
    return -balance_pressure_mpa if balance_pressure_mpa else 0.0


def unit_named(text: str) -> str | None:
    """The unit that a cell names and nothing else, or None."""
    return SPELLINGS.get(_plain(text).strip(" ().[]"))


def units_in(text: str) -> list[tuple[str, bool]]:
    """Units named within a text, in order: (unit, whether a minus stands before it, as in "-MPa")."""
    return [(SPELLINGS[match.group(2)], bool(match.group(1))) for match in _UNIT_WORD.finditer(_plain(text))]


def unit_behind(text: str, at: int) -> str | None:
    """The unit that stands at a place of a text, blanks before it left out; None where none does. The text is in lower case."""
    match = _UNIT_WORD.match(text, at + len(text[at:]) - len(text[at:].lstrip()))
    return SPELLINGS[match.group(2)] if match else None


def without_units(text: str) -> str:
    """The text with unit words and their brackets taken out: what is left names the column."""
    bare = _UNIT_WORD.sub(" ", _plain(text))
    return re.sub(r"\(\s*[-/,.]*\s*\)|\[\s*[-/,.]*\s*\]", " ", bare).lstrip(" ,;:/").rstrip(" ,;:/-")


def _plain(text: str) -> str:
    plain = unicodedata.normalize("NFKC", text.translate(_SIGNS)).casefold().strip()
    return re.sub(r"\bp\.\s?s\.\s?i\b\.?", "psi", plain)

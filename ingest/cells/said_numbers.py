"""Numbers and units that a remark names: whether they speak of another reading than the one beside them."""

from __future__ import annotations

import re
import unicodedata

from ingest.units import to_mpa, unit_behind, units_in

PLAUSIBLE_MPA = (0.05, 15.0)  # what a chamber can show; other numbers are clock hours, lengths, plants
SAME = 0.012  # of the reading: a converted and rounded number is still the same
_NUMBER = re.compile(r"(?<![\w.,:/#'’+-])\d+(?:[.,]\d+)?(?![.,:/'’-]?\d)")
_ALONE = re.compile(r"[\s(~=:]*\d+(?:[.,]\d+)?[\s)?!.]*")
# Behind these words or signs a number is a reading: "redo: 22", "bubbled at 17", "second try 21", "17 not 18".
_SAYS = re.compile(
    r"(?:\b(?:bubbl\w*|water|drops?|sap|reads?|readings?|re-?reads?|re-?did|redo\w*|redone|repeat\w*|re-?measured?|try|time|got|gave|get|was|were|is|be|"
    r"says?|said|then|now|actually|maybe|perhaps|probably|or|not|until|till|at|by|again|value|pressure|number|meant|first|second|third|other|one)"
    r"|[=:@~]|[-–]>|→|≈)\s*$"
)
# Behind these it is none: "leaf 3", "cut at 13", "wind at 20".
_OTHERWISE = re.compile(
    r"(?:\b(?:leaf|leaves|plant|row|group|team|no|nr|chamber|section|page|stake|tree|tank|table|site|plot|rep|blade|step|figure|version)\s*"
    r"|\b(?:cut|taken|collected|started?|finished|arrived|began|excised|bagged|stored|wind|gusts?|temp\w*|sunset|sunrise|done|left|back)"
    r"( \w+)? (?:at|by|was)\s*)$"
)
_COUNTED = re.compile(
    r"\s*(?:%|°|c\b|f\b|deg|cm\b|mm\b|m\b|km|kph|mph|ft\b|feet|in\b|inch|min|sec|s\b|h\b|hrs?\b|hours?|a\.?m\b|p\.?m\b|o'?clock|x\b|times|leaf|leaves|"
    r"plants?|people|of us|days?|weeks?|ml\b|g\b|more|others?|tries|trys|attempts?|steps?|readings|bubbles|drops?|clumps?)"
)


def names_another(remark: str, value: float, unit: str) -> bool:
    """True where a remark names another pressure than the reading beside it, `value` in `unit`, or a unit that is not the reading's.

    "redo: 22" and "psi?" beside 18 bar do, "bubbles at 18", "1.8 MPa" and "leaf 3" do not.
    """
    text = unicodedata.normalize("NFKC", remark).casefold()
    pressure = to_mpa(abs(value), unit)
    said = []
    for match in _NUMBER.finditer(text):
        named = unit_behind(text, match.end())
        is_joined = text[match.end() : match.end() + 1].isalpha()  # "2nd", "3m"
        if named or (not is_joined and not _COUNTED.match(text, match.end()) and _speaks(text, match, unit)):
            said.append(_is_same(match[0], named, pressure))
    if said:
        return not all(said)
    units = {name for name, _ in units_in(text)}
    return bool(units) and unit not in units


def _speaks(text: str, match: re.Match[str], unit: str) -> bool:
    """True where a number without a unit speaks of a reading: by the words before it, and by its size."""
    before = text[: match.start()]
    is_said = _ALONE.fullmatch(text) is not None or (_SAYS.search(before) is not None and _OTHERWISE.search(before) is None)
    return is_said and PLAUSIBLE_MPA[0] <= to_mpa(float(match[0].replace(",", ".")), unit) <= PLAUSIBLE_MPA[1]


def _is_same(number: str, named: str | None, pressure: float) -> bool:
    value = float(number.replace(",", "."))
    return any(abs(to_mpa(value, unit) - pressure) <= SAME * pressure for unit in ([named] if named else ("MPa", "bar", "psi", "kPa")))

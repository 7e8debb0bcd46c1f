"""What a reader has chosen: the words of the sentence under the bar, which are also the page's address."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from urllib.parse import urlencode

from dashboards.figures.second_scale import SCALES
from dashboards.words import GROUPS, WINDOWS, groups_words, semester_words
from warehouse.asking import LONGEST as LONGEST_QUESTION

GROUP_CHOICES: dict[str, tuple[str, ...]] = {
    "": tuple(GROUPS),
    "grasses": ("c3_grass", "c4_grass"),
    "herbaceous": ("forb", "c3_grass", "c4_grass"),
    "woody": ("shrub", "tree"),
    **{group: (group,) for group in GROUPS},
}
"""A choice of groups and the functional groups that it stands for."""

GROUP_CHOICE_WORDS: dict[str, str] = {
    "": "all groups",
    "grasses": "grasses",
    "herbaceous": "herbaceous plants",
    "woody": "woody plants",
    **GROUPS,
}
LONGEST = 80
"""No code is longer; an address that holds more is not ours."""


@dataclass(frozen=True)
class Choices:
    """One state of the page; an empty text means all, and the semester and window are always one."""

    semester: str = ""
    section: str = ""
    window: str = ""
    group: str = ""
    taxon: str = ""
    site: str = ""
    upload: str = ""
    scale: str = ""
    contrast: str = ""
    against: str = ""
    across: str = ""
    since: str = ""
    until: str = ""
    laid: str = ""
    pick: str = ""
    table: str = ""
    drawn: str = ""
    sql: str = ""
    question: str = ""
    round: str = ""
    outcome: str = ""
    instrument: str = ""

    @property
    def groups(self) -> tuple[str, ...]:
        """The functional groups chosen."""
        return GROUP_CHOICES.get(self.group, GROUP_CHOICES[""])

    @property
    def is_whole_cohort(self) -> bool:
        """True where neither section, taxon nor site narrows the class, so that the published contrasts apply."""
        return not (self.section or self.taxon or self.site)

    def query(self) -> str:
        """The choices as the query of an address, with its question mark; empty where nothing is chosen."""
        chosen = {field.name: getattr(self, field.name) for field in fields(self) if getattr(self, field.name)}
        return "?" + urlencode(chosen) if chosen else ""

    def when(self) -> str:
        """Season and part of the day in words: `in Fall 2024 at midday`."""
        return f"in {semester_words(self.semester)} {WINDOWS.get(self.window, '')}".strip()

    def who(self) -> str:
        """The plants in words."""
        return groups_words(self.groups) if self.group else "all groups"


def from_query(query: Mapping[str, str]) -> Choices:
    """Choices from an address; unknown names, overlong texts and unknown groups are left out."""
    known = {field.name for field in fields(Choices)}
    longest = dict.fromkeys(known, LONGEST) | {"sql": LONGEST_QUESTION}
    chosen = {name: value for name, value in query.items() if name in known and len(value) <= longest[name]}
    choices = Choices(**chosen)
    choices = choices if choices.scale in SCALES.values() else replace(choices, scale="")
    return choices if choices.group in GROUP_CHOICES else replace(choices, group="")

"""What a published file holds, counted once per build: semesters, windows, kinds of plant and sites, and how many readings of each."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from dashboards import questions
from dashboards.choices import Choices
from dashboards.kept import Kept
from dashboards.words import semester_order, semester_words

if TYPE_CHECKING:
    from dashboards.asked import Published

SEMESTERS_KEPT = 64
"""The sections of so many semesters are kept for the next reader."""


class Held(NamedTuple):
    """So many usable readings of one semester, window, kind of plant and site; '' where one is not known or the file holds summaries."""

    semester: str
    window: str
    group: str
    taxon: str
    scientific_name: str
    site: str
    site_name: str
    n: int


class Holdings:
    """All that a file holds. Sections are many where a network of schools measures, and are asked for semester by semester."""

    def __init__(self, rows: Iterable[Held], sections_of: Callable[[str], list[str]], of_section: Callable[[str, str], list[Held]]) -> None:
        self.sections_of = sections_of
        self._of_section = of_section
        self._of: dict[str, list[Held]] = {}
        for row in rows:
            self._of.setdefault(row.semester, []).append(row)
        every = [row for rows in self._of.values() for row in rows]
        self.semesters = sorted(self._of, key=semester_order)
        self.windows = {row.window for row in every}
        self.groups = {row.group for row in every}
        self.kinds = sorted({(row.scientific_name, row.taxon, row.group) for row in every if row.taxon})
        self.sites = sorted({(row.site_name, row.site) for row in every})

    @property
    def is_empty(self) -> bool:
        """True where no usable reading was ever loaded."""
        return not self._of

    @cached_property
    def semesters_named(self) -> dict[str, str]:
        """Codes of the semesters by their words, the latest first."""
        return {semester_words(semester): semester for semester in reversed(self.semesters)}

    def of(self, semester: str) -> list[Held]:
        """What there is of a semester."""
        return self._of.get(semester, [])

    def matching(self, choices: Choices) -> list[Held]:
        """What there is of the chosen semester that fits every choice; an empty one fits all."""
        rows = self._of_section(choices.semester, choices.section) if choices.section else self.of(choices.semester)
        asked = (choices.window, choices.taxon, choices.site)
        return [
            row
            for row in rows
            if row.group in choices.groups
            and all(not wanted or wanted == has for wanted, has in zip(asked, (row.window, row.taxon, row.site), strict=True))
        ]


def read_holdings(published: Published, *, has_readings: bool) -> Holdings:
    """The holdings of one published file; of summaries alone where it holds no readings."""
    sections: Kept[list[str]] = Kept(SEMESTERS_KEPT)

    def held(sql: str, *asked: str) -> list[Held]:
        found = published.query(sql, asked)
        return [Held(*row) for row in zip(*(found[name].tolist() for name in found), strict=True)]

    def sections_of(semester: str) -> list[str]:
        return [str(section) for section in published.query(questions.SECTIONS_OF_SEMESTER, [semester])["section"]]

    if not has_readings:
        return Holdings(held(questions.HOLDINGS_OF_SUMMARIES), lambda semester: [], lambda semester, section: [])
    return Holdings(
        held(questions.HOLDINGS),
        lambda semester: sections.get(semester, lambda: sections_of(semester)),
        lambda semester, section: held(questions.HOLDINGS_OF_SECTION, semester, section),
    )

"""What a report is made of, as plain data: sections with text, a figure, tables, and questions with room to write."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from dashboards.answer import Answer, Table


@dataclass(frozen=True)
class Question:
    """A question of a discussion: what it asks, what to look at, and how many lines of room to write it leaves."""

    asks: str
    look_at: str
    lines: int = 4


@dataclass(frozen=True)
class Told:
    """Sentences under a heading of their own, each a paragraph of a list."""

    heading: str
    sentences: Sequence[str]


@dataclass(frozen=True)
class Section:
    """One section. Texts are plain and are escaped where they become a page; `across` is how many panels stand beside each other."""

    heading: str
    paragraphs: Sequence[str] = ()
    figure: Answer | None = None
    across: int = 1
    tables: Sequence[Table] = ()
    questions: Sequence[Question] = ()
    bullets: Sequence[str] = ()
    told: Sequence[Told] = ()
    is_on_new_page: bool = False


@dataclass(frozen=True)
class Sheet:
    """A whole report: its title, the semester's code, the program's name, lines under the title, and sections."""

    title: str
    semester: str
    program: str
    lead: Sequence[str] = ()
    sections: Sequence[Section] = field(default_factory=tuple)

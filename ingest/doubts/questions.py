"""Questions: doubts of a file that one answer settles, asked once whatever many rows and sheets they concern."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from ingest.contract import REGISTER_OF
from ingest.doubts.answers import answer_line, split_answer
from ingest.doubts.problem_kinds import KINDS
from ingest.doubts.problems import Problem, merged, problem

MOST_NAMES = 1_000  # asked of one file; a column with more unknown ones is hardly the one that it was taken for
_NAMES_ASKED = {"site_unknown": ("site", "site"), "taxon_unknown": ("plant", "taxon"), "section_unknown": ("section", "section")}
PER_SHEET = ("reading.", "dates.", "clock.", "score.")
"""Answers that hold for a whole file, or for one of its sheets where only that one asks: a sheet may be in another unit."""


@dataclass
class Question:
    """One question: what is in doubt, what is asked, the answers that settle it (KEY=VALUE), and where it arose."""

    code: str
    message: str
    ask: str
    to_do: str
    answers: tuple[str, ...] = ()
    count: int = 0
    places: list[str] = field(default_factory=list)
    is_open: bool = True

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys of which one has to be answered."""
        return tuple(dict.fromkeys(split_answer(answer)[0] for answer in self.answers))

    @property
    def to_do_here(self) -> str:
        """What to do where the answers stand beside it, and no command line is written."""
        return self.to_do.replace(f": {answer_line(self.answers)}", "") if self.answers else self.to_do

    def where(self) -> str:
        """Its places and how many rows it concerns: "sheet A and sheet B, 72 rows: "."""
        shown = self.places[:3] + ([f"{len(self.places) - 3} more places"] if len(self.places) > 3 else [])
        rows = [f"{self.count} rows"] if self.count > 1 else []
        return ", ".join([" and ".join(shown), *rows] if shown else rows) + (": " if shown or rows else "")

    def text(self) -> str:
        """The question in words."""
        return f"{self.where()}{self.message}{' ' + self.ask if self.ask else ''}"


def within_reason(problems: Iterable[Problem]) -> list[Problem]:
    """The problems; where more names are asked than anybody can answer, one question about their column instead."""
    kept = merged(problems)
    for code, (what, column) in _NAMES_ASKED.items():
        asked = [one for one in kept if one.code == code]
        if len({one.answers[0] for one in asked if one.answers}) <= MOST_NAMES:
            continue
        first = asked[0]
        words = {"number": len(asked), "first": first.value, "what": what, "register": REGISTER_OF[column]}
        place = {"sheet": first.sheet, "column": first.column, "value": repr(first.column) if first.column else f"the {what}s"}
        answers = [f"columns.{column}=HEADER"]
        one = problem("names_hardly_known", place=place, count=sum(each.count for each in asked), answers=answers, **words)
        kept = [each for each in kept if each.code != code] + [one]
    return kept


def questions_of(problems: Iterable[Problem], sheets: Sequence[str]) -> list[Question]:
    """The questions of a file's problems, each once; those that refuse the file come first.

    Args:
        problems: all problems of the file.
        sheets: names of the sheets that hold tables, as shown.
    """
    found: dict[tuple[str, ...], list[Problem]] = {}
    for one in problems:
        if one.severity == "refuse" or one.answers:
            keys = dict.fromkeys(split_answer(answer)[0] for answer in one.answers)
            found.setdefault((one.code, *keys) if keys else (one.code, one.message, str(one.sheet)), []).append(one)
    asked = [_question(alike, set(sheets)) for alike in found.values()]
    return sorted(asked, key=lambda question: not question.is_open)


def _question(alike: list[Problem], sheets: set[str]) -> Question:
    first, kind = alike[0], KINDS[alike[0].code]
    answers = tuple(dict.fromkeys(answer for one in alike for answer in one.answers))
    asking = {one.sheet for one in alike if one.sheet}
    suggestion = first.suggestion
    if len(asking) == 1 and len(sheets) > 1 and answers and all(answer.startswith(PER_SHEET) for answer in answers):
        plain, answers = answers, tuple(f"only.{first.sheet}.{answer}" for answer in answers)
        suggestion = suggestion.replace(answer_line(plain), answer_line(answers))
    places = dict.fromkeys(_place(one) for one in alike)
    return Question(
        code=first.code,
        message=first.message,
        ask=kind.ask,
        to_do=suggestion,
        answers=answers,
        count=sum(one.count for one in alike),
        places=[place for place in places if place],
        is_open=first.severity == "refuse",
    )


def _place(one: Problem) -> str:
    parts = [f"sheet {one.sheet}" if one.sheet else "", f"row {one.row}" if one.row and one.severity == "refuse" else ""]
    return ", ".join(filter(None, parts))

"""The questions and the settled points of a receipt as controls: what a reader of the page can choose, and the answers that this gives.

What can be asked and answered is the ingest stage's alone; nothing is added here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ingest.asking import not_remembered, shown_answer
from ingest.cells.people import MARK
from ingest.checked.corrections import Settled
from ingest.doubts.answers import TO_FILL_IN, one_line, split_answer
from ingest.errors import RecipeInvalid
from ingest.tables.columns import NO_COLUMN

if TYPE_CHECKING:
    from ingest.doubts.questions import Question
    from ingest.registers.registers import Registers

FILL, KEEP = ".fill", ".keep"
"""Ends of the names of the fields beside a control: what is written by hand, and whether a spelling is remembered."""

FILL_IN_WORDS = {
    "ROW": "this row, written beside",
    "YYYY-MM-DD": "all on one day, written beside",
    "HEADER": "this header, written beside",
    "NUMBER": "this number, written beside",
    "CODE": "a new code, written beside",
}
LONGEST_FILL = 200


@dataclass(frozen=True)
class Control:
    """One drop-down: its label, what it was taken for and why, and its answers KEY=VALUE with their words.

    `chosen`, `filled` and `is_kept` are what the reader has said so far. `is_open` is true where the file is refused until it is answered.
    """

    name: str
    label: str
    options: tuple[tuple[str, str], ...]
    is_open: bool = False
    is_question: bool = True
    sheet: str = ""
    taken: str = ""
    why: str = ""
    chosen: str = ""
    filled: str = ""
    is_kept: bool = False

    @property
    def to_fill(self) -> list[str]:
        """The answers whose value is written by hand."""
        return [answer for answer, _ in self.options if split_answer(answer)[1] in TO_FILL_IN]

    @property
    def may_be_kept(self) -> bool:
        """True where an answer can be remembered as another spelling in a register."""
        return any(answer.startswith("alias.") for answer, _ in self.options)


def name_of(question: Question) -> str:
    """The name of a question's control: the same whenever it is asked of one file."""
    return "|".join((question.code, *question.keys)) if question.keys else f"{question.code}|{question.message}"


def control_of_question(question: Question, form: Mapping[str, str], registers: Registers, *, is_asked: bool) -> Control:
    """A question as a control; `is_asked` is false where it was answered and is no longer asked."""
    options = tuple((answer, _words(answer, len(question.keys) > 1, registers)) for answer in question.answers)
    name = name_of(question)
    return Control(
        name=name,
        label=question.text(),
        options=options,
        is_open=is_asked and question.is_open,
        why="" if question.answers else question.to_do_here,
        chosen=form.get(name, ""),
        filled=form.get(name + FILL, ""),
        is_kept=bool(form.get(name + KEEP)),
    )


def controls_of_settled(points: Sequence[Settled], form: Mapping[str, str], registers: Registers) -> list[Control]:
    """Settled points as controls. They are named by where they stand."""
    seen: Counter[str] = Counter()
    controls = []
    for settled in points:
        name = f"settled|{settled.sheet}|{settled.what.partition(',')[0]}"
        seen[name] += 1
        controls.append(_control_of_settled(settled, f"{name}|{seen[name]}", form, registers))
    return controls


def _control_of_settled(settled: Settled, name: str, form: Mapping[str, str], registers: Registers) -> Control:
    is_column = settled.what.startswith("column ")
    words = _column_words if is_column else lambda answer: _words(answer.removeprefix(f"only.{settled.sheet}."), False, registers)
    chosen = form.get(name, "")  # "not used" is an answer only as long as the column is used: what was chosen stays one
    answers = dict.fromkeys([*settled.answers, *([chosen] if chosen else [])])
    return Control(
        name=name,
        label=settled.what,
        options=tuple((answer, words(answer)) for answer in answers),
        is_question=False,
        sheet=settled.sheet,
        taken=settled.taken,
        why=settled.why,
        chosen=chosen,
    )


def answers_given(controls: Sequence[Control], form: Mapping[str, str]) -> list[str]:
    """The answers KEY=VALUE of a filled-in form, in the order of the controls.

    Raises:
        RecipeInvalid: a value is none of its control's answers, or two controls say different things of one.
    """
    given: dict[str, str] = {}
    for control in controls:
        written = one_line(form.get(control.name + FILL, ""))[:LONGEST_FILL]
        chosen = form.get(control.name, "") or (control.to_fill[0] if written and len(control.to_fill) == 1 else "")
        if not chosen:
            continue
        if chosen not in dict(control.options):
            raise RecipeInvalid(f"Choose one of the answers that are offered for “{control.label}”; {chosen!r} is none of them.")
        key, value = split_answer(chosen)
        if value in TO_FILL_IN:
            value = written
            if not value:
                raise RecipeInvalid(f"Write the answer beside “{control.label}”, or leave it open.")
        key = key if form.get(control.name + KEEP) else split_answer(not_remembered(f"{key}={value}"))[0]
        if key in given and NO_COLUMN not in (value, given[key]) and value != given[key]:
            raise RecipeInvalid(f"Say only once what the {_key_words(key)} is: it cannot be both {given[key]} and {value}.")
        if given.get(key, NO_COLUMN) == NO_COLUMN:  # a column that another one is said to be is not missing
            given[key] = value
    return [f"{key}={value}" for key, value in given.items()]


def filled_in(before: Mapping[str, str], form: Mapping[str, str]) -> dict[str, str]:
    """The form as it stands after what was sent: controls of which nothing was sent stay as they were before."""
    sent = {_control_of(field) for field in form}
    return {field: value for field, value in before.items() if _control_of(field) not in sent} | dict(form)


def not_asked(controls: Iterable[Control], asked: Iterable[Question]) -> list[Control]:
    """The controls of settled points that no question asks about."""
    keys = {key for question in asked for key in question.keys}
    return [control for control in controls if {split_answer(answer)[0] for answer, _ in control.options} - keys]


def _control_of(field: str) -> str:
    return field.removesuffix(FILL).removesuffix(KEEP)


def _words(answer: str, is_of_several: bool, registers: Registers) -> str:
    value = split_answer(answer)[1]
    return FILL_IN_WORDS.get(value) or shown_answer(answer, is_of_several, registers)


def _column_words(answer: str) -> str:
    key, value = split_answer(answer)
    return "not used" if value == NO_COLUMN else _key_words(key)


def _key_words(key: str) -> str:
    return key.rpartition(".")[2].replace("_", " ") if MARK not in key else key

"""Ask a person at a terminal what a file leaves in doubt, and check it again with the answers."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import typer

from ingest.contract import REGISTER_OF
from ingest.doubts.answers import OPTIONS, TO_FILL_IN, split_answer

if TYPE_CHECKING:
    from ingest.checking import Asked, Checked
    from ingest.doubts.questions import Question
    from ingest.registers.registers import Registers

Check = Callable[["Asked"], "Checked"]


def is_at_terminal() -> bool:
    """True where a person reads and types: only there is anything asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def check_asking(check: Check, asked: Asked, registers: Registers) -> tuple[Checked, Asked]:
    """Check a file, ask each of its questions once, and check it again with the answers, until nothing new is asked or answered.

    Returns:
        The checked file, and what was said of it altogether.
    """
    checked, left_open = check(asked), set[tuple[str, ...]]()
    while True:
        questions = [one for one in checked.receipt.questions() if one.answers and (one.code, *one.keys) not in left_open]
        if not questions:
            return checked, asked
        left_open.update((one.code, *one.keys) for one in questions)
        given = _ask_all(checked.receipt.file, questions, registers)
        if not given:
            return checked, asked
        asked = said_with(asked, given)
        checked = check(asked)


def said_with(asked: Asked, given: Sequence[str]) -> Asked:
    """What was said of a file, and further answers KEY=VALUE; those on its gauge and its kind have a place of their own."""
    apart = {key: value for key, value in map(split_answer, given) if key in OPTIONS}
    answers = tuple(answer for answer in given if split_answer(answer)[0] not in apart)
    return replace(asked, answers=(*asked.answers, *answers), **apart)


def _ask_all(file: str, questions: list[Question], registers: Registers) -> list[str]:
    many = f"{len(questions)} questions" if len(questions) > 1 else "1 question"
    typer.echo(f"{file}: {many}. Enter leaves one open, Ctrl+D all that are left, Ctrl+C stops.")
    given: list[str] = []
    for question in questions:
        try:
            answer = _ask(question, registers)
        except EOFError:
            typer.echo()
            break
        given.extend([answer] if answer else [])
    return given


def _ask(question: Question, registers: Registers) -> str | None:
    """One question; asked again until the answer is one of its own, or is left open (None)."""
    typer.echo(f"\n{question.text()}")
    for number, answer in enumerate(question.answers, start=1):
        typer.echo(f"  {number:>2}  {shown_answer(answer, len(question.keys) > 1, registers)}")
    while True:
        said = input("Number or word: ").strip()
        if not said:
            return None
        chosen = _chosen(said, question)
        if chosen is None:
            typer.echo(f"{said!r} is none of these: type a number from 1 to {len(question.answers)}, or Enter to leave it open.")
            continue
        key, value = split_answer(chosen)
        if value in TO_FILL_IN:
            value = input(f"{value}: ").strip()
        return _kept(key, value) if value else None


def _chosen(said: str, question: Question) -> str | None:
    if said.isdecimal() and 1 <= int(said) <= len(question.answers):
        return question.answers[int(said) - 1]
    alike = [answer for answer in question.answers if said.casefold() in (answer.casefold(), split_answer(answer)[1].casefold())]
    return alike[0] if len(alike) == 1 else None


def _kept(key: str, value: str) -> str:
    """The answer; a spelling is remembered in a register only by an explicit yes."""
    section, _, rest = key.partition(".")
    if section != "alias":
        return f"{key}={value}"
    kind, _, written = rest.partition(".")
    typer.echo(f"Remember {written!r} as {value} in {REGISTER_OF[kind]}.csv, for every file to come?")
    is_kept = input("It is kept there as it is, so say no if it names a person [y/N]: ").strip().casefold() in ("y", "yes")
    return f"{key}={value}" if is_kept else not_remembered(f"{key}={value}")


def not_remembered(answer: str) -> str:
    """The answer for this file alone: an alias would be remembered in its register."""
    return f"names.{answer.removeprefix('alias.')}" if answer.startswith("alias.") else answer


def shown_answer(answer: str, is_of_several: bool, registers: Registers) -> str:
    """A choice as it is listed: its value, with the key where there are several, and a code with the name that people read."""
    key, value = split_answer(answer)
    kind = next((kind for kind in REGISTER_OF if kind in key.split(".")[:2]), "")
    names = {"site": {code: site.site_name for code, site in registers.sites.items()}}
    names["taxon"] = {code: taxon.scientific_name for code, taxon in registers.taxa.items()}
    name = names.get(kind, {}).get(value)
    said = "the rows are set aside: none of them" if value == "set aside" else value + (f"  {name}" if name else "")
    what = {"columns": "the column ", "constants": "for all rows: "}.get(key.partition(".")[0], "") if is_of_several else ""
    return what + said

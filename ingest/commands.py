"""Commands of the first stage: a new home, and what a file would be taken for."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ingest.front import HomeOption, JsonOption, report, say, say_json, user_errors, working

if TYPE_CHECKING:
    from ingest.checking import Asked, Checked
    from ingest.home import Home

Files = Annotated[list[Path], typer.Argument(help="One or more files, as the class handed them in.", show_default=False)]
Answers = Annotated[
    list[str],
    typer.Option(
        "--answer", metavar="KEY=VALUE", help="Answer a question about these files, for example reading.unit=bar.", show_default=False
    ),
]
SectionOption = Annotated[str | None, typer.Option("--section", help="The lab section of all rows.", show_default=False)]
SemesterOption = Annotated[str | None, typer.Option("--semester", help="The semester of all rows, as 2024-fall.", show_default=False)]
KindOption = Annotated[
    str | None, typer.Option("--kind", help="readings, weather, assessment or rubric, where the content does not tell.", show_default=False)
]
GaugeOption = Annotated[str | None, typer.Option("--gauge", help="The gauge of a weather record.", show_default=False)]


def register(app: typer.Typer) -> None:
    """Add the commands of this stage to the front door."""
    app.command(epilog="Example: tautleaf init my-lab --name 'Field lab' --timezone America/Chicago")(init)
    app.command(epilog="Example: tautleaf check 'Fall 2024 Section A.xlsx' --answer reading.unit=bar")(check)


@user_errors
def init(
    home: Annotated[Path, typer.Argument(help="The folder to make.", show_default=False)],
    name: Annotated[str, typer.Option(help="Name of the program as shown.")] = "Field lab",
    code: Annotated[str, typer.Option(help="Short code of the program.")] = "field-lab",
    timezone: Annotated[str, typer.Option(help="Time zone of the sites, from the IANA list.")] = "UTC",
    is_json: JsonOption = False,
) -> None:
    """Make a new home with empty registers and a commented tautleaf.toml."""
    from ingest.home import init_home

    made = init_home(home, code=code, name=name, timezone=timezone)
    if is_json:
        say_json({"home": str(made.root), "registers": str(made.registers)})
        return
    say(f"Made {made.root}.")
    say(f"Next: fill in the registers in {made.registers} (each explains its columns), then 'tautleaf check FILE --home {home}'.")


@user_errors
def check(
    files: Files,
    answer: Answers = [],  # noqa: B006  # typer reads the default, nobody changes it
    section: SectionOption = None,
    semester: SemesterOption = None,
    kind: KindOption = None,
    gauge: GaugeOption = None,
    save_recipe: Annotated[bool, typer.Option("--save-recipe", help="Keep the recipe with its open questions in the home.")] = False,
    home: HomeOption = None,
    is_json: JsonOption = False,
) -> None:
    """Read, understand and check files; print the receipts; change nothing. On a terminal, doubts are asked."""
    from ingest.errors import FileUnreadable
    from ingest.home import find_home
    from ingest.registers.registers import read_registers

    place, asked = find_home(home), asked_of(answer, section, semester, kind, gauge)
    read_registers(place)  # what is wrong with the home is said once, not for each file
    receipts: list[dict[str, Any]] = []
    is_refused = False
    for path in files:
        try:
            checked, said = check_one(place, path, asked, is_json=is_json)
        except FileUnreadable as error:  # the other files have their receipts all the same
            receipts.append({"file": path.name, "verdict": "refused", "error": error.code, "message": str(error)})
            is_refused = True
            if not is_json:
                report(error, is_json=False)
            continue
        if save_recipe:
            _save_recipe(place, checked)
        receipts.append(checked.receipt.as_dict())
        is_refused = is_refused or checked.receipt.is_refused
        if not is_json:
            say(checked.receipt.as_text())
            if said != asked and not checked.receipt.is_refused:
                say(f"To load it with these answers: {command_line('load', path, said, home)}")
    if is_json:
        say_json({"receipts": receipts})
    if is_refused:
        raise typer.Exit(1)


def check_one(place: Home, path: Path, asked: Asked, *, is_json: bool) -> tuple[Checked, Asked]:
    """Check one file, asking its questions where a person is at a terminal; returns what was said of it too."""
    from ingest.asking import check_asking, is_at_terminal
    from ingest.checking import check_path
    from ingest.registers.registers import read_registers

    def check(said: Asked) -> Checked:
        with working(f"Checking {path.name}") as tell:
            return check_path(place, path, said, tell)

    if is_json or not is_at_terminal():
        return check(asked), asked
    return check_asking(check, asked, read_registers(place))


def command_line(command: str, path: Path, asked: Asked, home: Path | None, *options: str) -> str:
    """The command that says all that was said of a file, ready to be typed."""
    words = ["tautleaf", command, str(path)]
    for answer in asked.answers:
        words += ["--answer", answer]
    for option, value in (("--kind", asked.kind), ("--gauge", asked.gauge), ("--home", home)):
        words += [option, str(value)] if value else []
    return shlex.join([*words, *options])


def _save_recipe(place: Home, checked: Checked) -> None:
    """Keep the recipe with its open questions; a weather record has none, and is answered on the command line."""
    from ingest.doubts.recipe_keys import KNOWN
    from ingest.doubts.recipes import save_recipe

    receipt = checked.receipt
    if receipt.kind not in KNOWN:
        receipt.notes.append("a weather record has no recipe: give its answers on the command line")
        return
    path = save_recipe(place.recipes, checked.recipe, receipt.open_questions(), receipt.sha256, receipt.file)
    receipt.recipe = str(path)
    todo = ": fill in the lines marked OPEN and check the file again" if receipt.is_refused else ""
    receipt.notes.append(f"the recipe is kept in {path}{todo}")


def asked_of(answers: list[str], section: str | None, semester: str | None, kind: str | None, gauge: str | None) -> Asked:
    """Gather what the command line says of its files.

    Raises:
        RecipeInvalid: the kind is not known.
    """
    from ingest.checked.kinds import KINDS_OF_UPLOAD
    from ingest.checking import Asked
    from ingest.errors import RecipeInvalid

    if kind is not None and kind not in KINDS_OF_UPLOAD:
        raise RecipeInvalid(f"Write one of {', '.join(KINDS_OF_UPLOAD)} for --kind; {kind!r} is not known.")
    shortcuts = {"constants.section": section, "constants.semester": semester}
    return Asked((*answers, *(f"{key}={value}" for key, value in shortcuts.items() if value)), kind, gauge)

"""Commands of the second stage: load, withdraw, build, plan, status."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ingest.commands import Answers, Files, GaugeOption, KindOption, SectionOption, SemesterOption, asked_of, check_one, command_line
from ingest.errors import ReplacementUnclear, TautleafError
from ingest.front import HomeOption, JsonOption, report, say, say_json, user_errors, working

if TYPE_CHECKING:
    from ingest.checking import Asked, Checked
    from ingest.home import Home
    from ingest.received.accepting import Disposal


def register(app: typer.Typer) -> None:
    """Add the commands of this stage to the front door."""
    app.command(epilog="Example: tautleaf load 'Fall 2024 Section A.xlsx' --replaces u3f2a91c044")(load)
    app.command(epilog="Example: tautleaf withdraw u3f2a91c044")(withdraw)
    app.command(epilog="Example: tautleaf build --from-received")(build)
    app.command("import", epilog="Example: tautleaf import semester-data --home new-lab")(import_)
    app.command(epilog="Example: tautleaf plan --difference 0.5 --group c4_grass --window midday")(plan)
    app.command(epilog="Example: tautleaf status --json")(status)


@user_errors
def load(
    files: Files,
    answer: Answers = [],  # noqa: B006  # typer reads the default, nobody changes it
    section: SectionOption = None,
    semester: SemesterOption = None,
    kind: KindOption = None,
    gauge: GaugeOption = None,
    replaces: Annotated[list[str], typer.Option(metavar="UPLOAD", help="The upload that this file corrects.", show_default=False)] = [],  # noqa: B006
    adds: Annotated[bool, typer.Option("--adds", help="Keep earlier uploads of the same section too: this is a further part.")] = False,
    home: HomeOption = None,
    is_json: JsonOption = False,
) -> None:
    """Check files, accept them, build the warehouse and publish it. A refused file leaves the home as it was."""
    from ingest.home import find_home
    from ingest.received.accepting import Disposal
    from warehouse.build import Spare
    from warehouse.build import build as make

    place, asked, disposal = find_home(home), asked_of(answer, section, semester, kind, gauge), Disposal(tuple(replaces), adds)
    answers: list[dict[str, Any]] = []
    with place.changing(), Spare(place) as spare:
        # No bar over the files: on a terminal each may be asked about, and shows that it is being checked.
        loaded: list[str] = []
        is_stopped = False
        try:
            for path in files:
                loaded.append(_load_one(place, path, asked, disposal, answers, home, is_json=is_json))
        except KeyboardInterrupt:
            is_stopped = True
            say(f"\nStopped: {len(files) - len(loaded)} of {len(files)} files were left as they are.")
        made = None
        if "loaded" in loaded:
            with working("Building and publishing"):
                made = make(place, spare)
    if is_json:
        say_json({"files": answers, "build": made and {"build_id": made.build_id, "seconds": made.seconds, "tables": made.tables}})
    elif made:
        say(f"Published build {made.build_id}: {made.tables['observations']} readings. See it with 'tautleaf serve'.")
    if "refused" in loaded or is_stopped:
        raise typer.Exit(130 if is_stopped else 1)


def _load_one(
    place: Home, path: Path, asked: Asked, disposal: Disposal, answers: list[dict[str, Any]], home: Path | None, *, is_json: bool
) -> str:
    """Check and accept one file; a refusal is told and does not keep the other files from loading."""
    from ingest.received.accepting import accept

    receipt = None
    try:
        checked, said = check_one(place, path, asked, is_json=is_json)
        receipt = checked.receipt
        if not receipt.is_refused:
            try:
                accept(place, checked, disposal)
            except ReplacementUnclear as unclear:
                _confirm_replacement(place, checked, unclear, path, said, home, is_json=is_json)
    except TautleafError as error:
        changes = list(receipt.changes) if receipt and is_json else []
        answers.append({"file": path.name, "verdict": "refused", "error": error.code, "message": str(error), "changes": changes})
        if not is_json:
            report(error, is_json=False)
        return "refused"
    answers.append(receipt.as_dict())
    if not is_json:
        say(receipt.as_text())
    return "refused" if receipt.is_refused else receipt.verdict


def _confirm_replacement(
    place: Home, checked: Checked, unclear: ReplacementUnclear, path: Path, said: Asked, home: Path | None, *, is_json: bool
) -> None:
    """Say what would change; on a terminal ask whether the file replaces the one upload that covers the same, elsewhere give the command.

    Raises:
        ReplacementUnclear: nobody said that it replaces the other.
    """
    from ingest.asking import is_at_terminal
    from ingest.received.accepting import Disposal, accept, overlapping
    from ingest.received.ledger import Received

    covered = overlapping(checked, Received(place).uploads())
    if len(covered) != 1:
        raise unclear
    (upload,) = covered
    if not is_json:
        say(f"{checked.receipt.file} against {upload.upload_id} ({upload.file_name}), which it would replace:")
        say("\n".join(checked.receipt.change_lines()) or "  no reading differs")
    if not is_json and is_at_terminal() and typer.confirm(f"Replace {upload.upload_id}?"):
        accept(place, checked, Disposal((upload.upload_id,)))
        return
    command = command_line("load", path, said, home, "--replaces", upload.upload_id)
    raise ReplacementUnclear(f"{unclear} To replace it: {command}")


@user_errors
def withdraw(
    upload: Annotated[str, typer.Argument(help="The upload's id, or how it begins.", show_default=False)],
    home: HomeOption = None,
    is_json: JsonOption = False,
) -> None:
    """Take an upload out of use and publish without it; the file stays in received."""
    from ingest.home import find_home
    from ingest.received.accepting import withdraw as take_out
    from warehouse.build import Spare
    from warehouse.build import build as make

    place = find_home(home)
    with place.changing(), Spare(place) as spare:
        taken = take_out(place, upload)
        with working("Building and publishing"):
            made = make(place, spare)
    if is_json:
        say_json({"upload_id": taken.upload_id, "status": taken.status, "build_id": made.build_id})
        return
    say(f"Withdrew {taken.upload_id} ({taken.file_name}). Its file stays in received; load it again to restore it.")


@user_errors
def build(
    from_received: Annotated[bool, typer.Option("--from-received", help="Read every file again from its original first.")] = False,
    home: HomeOption = None,
    is_json: JsonOption = False,
) -> None:
    """Model and publish again, for example after a register was changed."""
    from ingest.home import find_home
    from ingest.received.accepting import recheck
    from warehouse.build import Spare
    from warehouse.build import build as make

    place = find_home(home)
    with place.changing(), Spare(place) as spare:
        changed = []
        if from_received:
            with working("Reading every file again"):
                changed = recheck(place)
        with working("Building and publishing"):
            made = make(place, spare)
    if is_json:
        say_json({"build_id": made.build_id, "seconds": made.seconds, "tables": made.tables, "changed_uploads": changed})
        return
    say(f"Published build {made.build_id} in {made.seconds:.1f} s: {made.tables['observations']} readings.")
    if changed:
        say(f"Understood in another way than before: {', '.join(changed)}.")


@user_errors
def import_(
    package: Annotated[Path, typer.Argument(metavar="DIR", help="What 'tautleaf export --role instructor' wrote.", show_default=False)],
    home: Annotated[Path, typer.Option("--home", help="The new home: a folder that does not exist yet.", show_default=False)],
    is_json: JsonOption = False,
) -> None:
    """Make a new home from an instructor's data package, build and publish it."""
    from ingest.received.importing import import_package
    from ingest.received.ledger import Received
    from warehouse.build import build as make

    with working("Importing"):
        place = import_package(package, home)
        with place.changing():
            made = make(place)
    if is_json:
        say_json({"home": str(place.root), "build_id": made.build_id, "tables": made.tables})
        return
    say(f"Made {place.root} of {len(Received(place).uploads())} uploads: {made.tables['observations']} readings.")


@user_errors
def plan(
    difference: Annotated[
        float, typer.Option(metavar="MPA", help="The true difference between two sites that should be seen, MPa.", show_default=False)
    ],
    group: Annotated[str, typer.Option(help="Functional group: c4_grass, c3_grass, forb, shrub or tree.")] = "c4_grass",
    window: Annotated[str, typer.Option(help="Sampling window: predawn, morning, midday or afternoon.")] = "midday",
    leaves: Annotated[int, typer.Option(help="Leaves read per plant.")] = 3,
    power: Annotated[float, typer.Option(help="Wanted chance to see the difference.")] = 0.8,
    sd_plant: Annotated[
        float | None, typer.Option(metavar="MPA", help="Standard deviation between plants, in place of the home's own.")
    ] = None,
    sd_leaf: Annotated[float | None, typer.Option(metavar="MPA", help="Standard deviation between leaves of a plant.")] = None,
    home: HomeOption = None,
    is_json: JsonOption = False,
) -> None:
    """Say how many plants and leaves a class needs to see a difference, at the scatter of its own readings."""
    from ingest.home import find_home
    from warehouse.planning import make_plan, named_scatter, scatter_of

    scatter = named_scatter(sd_plant, sd_leaf) or scatter_of(find_home(home), group, window)
    made = make_plan(difference, scatter, group, window, power, leaves)
    if is_json:
        say_json(made.as_dict())
        return
    say(made.as_text())


@user_errors
def status(home: HomeOption = None, is_json: JsonOption = False) -> None:
    """List the uploads, the last build, how fresh it is, and what is wrong."""
    from ingest.home import find_home
    from warehouse.standing import standing

    found = standing(find_home(home))
    if is_json:
        say_json(found.as_dict())
        return
    say(found.as_text())

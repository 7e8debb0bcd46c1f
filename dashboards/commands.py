"""Commands of the third stage: serve the dashboard, and the demo."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, cast

import typer

from ingest.front import HomeOption, JsonOption, say, say_json, user_errors, working

if TYPE_CHECKING:
    from warehouse.roles import Role

PortOption = Annotated[int, typer.Option("--port", min=1, max=65535, help="Port on this machine.")]
ROOM_HELP = "Let phones in the room answer 'predict first' at this computer's ADDRESS there (or 'find'); nothing else is served there."
RoleOption = Annotated[str, typer.Option("--role", help="Whose published file is shown: instructor, student or reviewer.")]


def register(app: typer.Typer) -> None:
    """Add the commands of this stage to the front door."""
    app.command(epilog="Example: tautleaf serve --home my-lab --port 5006")(serve)
    app.command(epilog="Example: tautleaf export --role student --to semester-data")(export)
    app.command(epilog="Example: tautleaf report class --semester 2024-fall --to handout.html")(report)
    app.command(epilog="Example: tautleaf demo --port 5007")(demo)


@user_errors
def serve(
    home: HomeOption = None,
    role: RoleOption = "instructor",
    port: PortOption = 5006,
    room: Annotated[str, typer.Option("--room", metavar="ADDRESS", help=ROOM_HELP, show_default=False)] = "",
    is_json: JsonOption = False,
) -> None:
    """Serve the dashboard to this machine, until it is stopped with Ctrl+C."""
    from dashboards.app import serve as run
    from ingest.home import find_home

    run(find_home(home), role=role, port=port, room=room, is_json=is_json)


@user_errors
def export(
    to: Annotated[Path, typer.Option("--to", metavar="DIR", help="A new folder, or an earlier export to replace.", show_default=False)],
    role: Annotated[str, typer.Option("--role", help="Whose published file is written: instructor, student or reviewer.")] = "instructor",
    home: HomeOption = None,
    is_json: JsonOption = False,
) -> None:
    """Write the data package of one role: CSV and Parquet, codebook, descriptor, citation, checksums."""
    from dashboards.packages.export import export as write
    from ingest.home import find_home

    with working("Writing the data package"):
        made = write(find_home(home), cast("Role", role), to)
    if is_json:
        say_json({"folder": str(made.folder), "build_id": made.build_id, "rows": dict(made.rows)})
        return
    say(f"Wrote {len(made.rows)} tables of build {made.build_id} for the {role} to {made.folder}.")


@user_errors
def report(
    kind: Annotated[Literal["class", "program"], typer.Argument(help="A class's handout, or a program review.", show_default=False)],
    semester: Annotated[str, typer.Option("--semester", help="Such as 2024-fall; else the latest.", show_default=False)] = "",
    to: Annotated[
        Path | None,
        typer.Option("--to", metavar="FILE.html", help="A new file, or an earlier report to replace.", show_default=False),
    ] = None,
    role: Annotated[
        str, typer.Option("--role", help="Whose published file; else student for class, reviewer for program.", show_default=False)
    ] = "",
    window: Annotated[
        str, typer.Option("--window", help="Part of the day of the handout; else midday, if it was read.", show_default=False)
    ] = "",
    with_answers: Annotated[bool, typer.Option("--with-answers", help="Let the answers follow on a page of their own.")] = False,
    paper: Annotated[Literal["a4", "letter"], typer.Option("--paper", help="Paper of the PDF.")] = "a4",
    pdf: Annotated[
        bool | None, typer.Option("--pdf/--no-pdf", help="Whether a PDF must stand beside the page; else if it can.", show_default=False)
    ] = None,
    home: HomeOption = None,
    is_json: JsonOption = False,
) -> None:
    """Write a class handout or a program review: one HTML page that needs nothing else, and a PDF where Chromium is at hand."""
    from dashboards.reports.report import Wanted, make_report
    from ingest.home import find_home

    wanted = Wanted(kind, semester, cast("Role | None", role or None), window, with_answers, paper)
    with working("Writing the report"):
        made = make_report(find_home(home), wanted, to, pdf=pdf)
    if is_json:
        say_json(asdict(made))
        return
    say(f"Wrote {made.html}{f' and {made.pdf.name}' if made.pdf else ''}, of build {made.build_id}, from what the {made.role} may see.")
    if made.why_no_pdf:
        say(made.why_no_pdf)


@user_errors
def demo(
    home: Annotated[Path, typer.Option("--home", help="Where the demo's home is made.")] = Path("demo_home"),
    port: PortOption = 5006,
    no_serve: Annotated[bool, typer.Option("--no-serve", help="Load and build, and do not serve.")] = False,
    is_json: JsonOption = False,
) -> None:
    """Make the demo home from the demo years, through the same path as any class's files, and serve it."""
    from dashboards.demo import make_demo

    place = make_demo(home, is_json=is_json)
    if not no_serve:
        from dashboards.app import serve as run

        run(place, role="instructor", port=port, is_json=is_json)

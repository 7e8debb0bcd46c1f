"""Commands of the third stage: serve the dashboard, and the demo."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, cast

import typer

from ingest.front import HomeOption, JsonOption, say, say_json, user_errors, working

if TYPE_CHECKING:
    from warehouse.roles import Role

PortOption = Annotated[int, typer.Option("--port", min=1, max=65535, help="Port on this machine.")]
RoleOption = Annotated[str, typer.Option("--role", help="Whose published file is shown: instructor, student or reviewer.")]


def register(app: typer.Typer) -> None:
    """Add the commands of this stage to the front door."""
    app.command(epilog="Example: tautleaf serve --home my-lab --port 5006")(serve)
    app.command(epilog="Example: tautleaf export --role student --to semester-data")(export)
    app.command(epilog="Example: tautleaf demo --port 5007")(demo)


@user_errors
def serve(
    home: HomeOption = None,
    role: RoleOption = "instructor",
    port: PortOption = 5006,
    is_json: JsonOption = False,
) -> None:
    """Serve the dashboard to this machine, until it is stopped with Ctrl+C."""
    from dashboards.app import serve as run
    from ingest.home import find_home

    run(find_home(home), role=role, port=port, is_json=is_json)


@user_errors
def export(
    to: Annotated[Path, typer.Option("--to", metavar="DIR", help="A new folder, or an earlier export to replace.", show_default=False)],
    role: Annotated[str, typer.Option("--role", help="Whose published file is written: instructor, student or reviewer.")] = "instructor",
    home: HomeOption = None,
    is_json: JsonOption = False,
) -> None:
    """Write the data package of one role: CSV and Parquet, codebook, descriptor, citation, checksums."""
    from dashboards.exports import export as write
    from ingest.home import find_home

    with working("Writing the data package"):
        made = write(find_home(home), cast("Role", role), to)
    if is_json:
        say_json({"folder": str(made.folder), "build_id": made.build_id, "rows": dict(made.rows)})
        return
    say(f"Wrote {len(made.rows)} tables of build {made.build_id} for the {role} to {made.folder}.")


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

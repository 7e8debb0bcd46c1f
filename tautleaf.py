"""The front door: gathers the commands that the three stages define."""

from __future__ import annotations

import typer

import dashboards.commands
import ingest.commands
import warehouse.commands

VERSION = "0.1.0"

app = typer.Typer(
    name="tautleaf",
    help="The memory of a plant-physiology field lab: leaf water potential, semester after semester, beside the rain.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


@app.callback()
def _front() -> None:
    """Keep the commands below one name, however many there are."""


for stage in (ingest.commands, warehouse.commands, dashboards.commands):
    stage.register(app)


def main() -> None:
    """Run the command line."""
    app()


if __name__ == "__main__":
    main()

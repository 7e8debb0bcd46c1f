"""What every command shares: the home, JSON for machines, errors without a traceback, progress on a terminal."""

from __future__ import annotations

import functools
import json
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any, ParamSpec, TypeVar

import typer

from ingest.errors import TautleafError
from ingest.folding import printable
from ingest.progress import Tell, nobody

P = ParamSpec("P")
R = TypeVar("R")

HomeOption = Annotated[
    Path | None, typer.Option("--home", help="The home; else TAUTLEAF_HOME, else the current folder.", show_default=False)
]
JsonOption = Annotated[bool, typer.Option("--json", help="Answer in JSON, for machines.")]


def user_errors(command: Callable[P, R]) -> Callable[P, R]:
    """Turn a named error into its message on standard error (or JSON on standard output) and exit 1."""

    @functools.wraps(command)
    def guarded(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return command(*args, **kwargs)
        except TautleafError as error:
            report(error, is_json=bool(kwargs.get("is_json")))
            raise typer.Exit(1) from error

    return guarded


def report(error: TautleafError, *, is_json: bool) -> None:
    """Say what is wrong, where and what to do next."""
    if is_json:
        say_json({"error": error.code, "message": str(error), "problems": [found.as_dict() for found in error.problems]})
        return
    typer.echo(printable(str(error)), err=True)
    for found in error.problems[1:]:
        place = f"{found.sheet}, row {found.row}, {found.column}" if found.row else f"{found.sheet}"
        typer.echo(printable(f"  {place}: {found.message} To do: {found.suggestion}"), err=True)


def say_json(value: Any) -> None:
    """One JSON document on standard output."""
    typer.echo(json.dumps(value, ensure_ascii=False, indent=2, default=str))


def say(text: str) -> None:
    """A line or more for a person on standard output."""
    typer.echo(text)


@contextmanager
def working(what: str) -> Iterator[Tell]:
    """Show that work is going on, on a terminal only; what is told of how far it is stands behind it."""
    if not sys.stderr.isatty():
        yield nobody
        return
    from rich.console import Console
    from rich.markup import escape

    shown = escape(printable(what))
    with Console(stderr=True).status(f"{shown} …") as status:
        yield lambda words: status.update(f"{shown} … {escape(words)}")


def counted(items: Iterable[R], what: str, total: int) -> Iterator[R]:
    """Go through items with a progress bar, on a terminal only and where there is more than one."""
    if total < 2 or not sys.stderr.isatty():
        yield from items
        return
    from rich.console import Console
    from rich.progress import track

    yield from track(items, description=what, total=total, console=Console(stderr=True))

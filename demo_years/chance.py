"""The one place where chance comes from: named streams, so that a change in one part leaves the others as they were."""

from __future__ import annotations

from random import Random


def stream(name: str) -> Random:
    """A generator of its own for one part of the simulation; the same numbers for the same name."""
    return Random(f"thessowin {name}")  # noqa: S311 - a simulation that must repeat, no secret

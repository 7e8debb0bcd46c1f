"""What sqlfluff puts in the place of dbt's `adapter` when it lints the models without dbt."""

from __future__ import annotations

from collections.abc import Callable


def dispatch(name: str) -> Callable[..., str]:
    """Stand for any dispatched macro by a call of that name, which is enough to parse and lint the SQL around it."""
    if name == "received":
        return lambda table, relation: f"received_{table}"
    return lambda *arguments: f"{name}({', '.join(str(argument) for argument in arguments)})" if arguments else name

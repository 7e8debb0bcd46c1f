"""One published file, as the store asks it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    import pandas as pd
    from duckdb import DuckDBPyConnection


class Published(Protocol):
    """One published file: what it was built as, and how to ask it."""

    @property
    def build_id(self) -> str:
        """Name of the build."""
        ...

    def query(self, sql: str, params: Sequence[object] = ()) -> pd.DataFrame:
        """Rows of a read-only query with its parameters bound."""
        ...

    def cursor(self) -> DuckDBPyConnection:
        """A cursor for one query of a reader's own."""
        ...

"""A reader's own question in SQL, asked of one published file: read only, with a limit of time and of rows.

What a role may not see is not in its file, and the file is opened without access to any other, so that a question can reach
nothing else. Only one SELECT is answered at a time.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from threading import Timer
from typing import TYPE_CHECKING, Protocol

from ingest.errors import QuestionRefused

if TYPE_CHECKING:
    import duckdb
    import pandas as pd

MOST_SECONDS = 10.0
MOST_ROWS = 10_000
LONGEST = 4_000


class Asked(Protocol):
    """What can be asked: it hands out cursors that can only read."""

    def cursor(self) -> duckdb.DuckDBPyConnection:
        """A cursor for one question."""
        ...


@dataclass(frozen=True)
class Found:
    """What a question found: its rows (the first `MOST_ROWS` where it `is_cut`), and the seconds it took."""

    frame: pd.DataFrame
    is_cut: bool
    seconds: float


def ask(published: Asked, question: str, *, seconds: float = MOST_SECONDS, rows: int = MOST_ROWS) -> Found:
    """Answer one SELECT.

    Raises:
        QuestionRefused: it is no single SELECT, it is too long or takes too long, or the engine cannot answer it; the message says why.
    """
    import duckdb

    if len(question) > LONGEST:
        raise QuestionRefused(f"The question has {len(question)} characters; at most {LONGEST} are read. Ask in parts.")
    started = time.perf_counter()
    with published.cursor() as cursor:
        timer = Timer(seconds, cursor.interrupt)
        try:
            select = _single_select(cursor, question)
            timer.start()
            frame = cursor.execute(f"SELECT * FROM (\n{select}\n) LIMIT {rows + 1}").df()  # noqa: S608  # a reader's SQL is the point
        except duckdb.InterruptException as error:
            raise QuestionRefused(f"The question took more than {seconds:g} seconds and was stopped. Narrow it, or count first.") from error
        except duckdb.Error as error:
            raise QuestionRefused(f"The tables cannot answer that. The engine says: {_first_words(error)}") from error
        finally:
            timer.cancel()
    return Found(frame.head(rows), len(frame) > rows, time.perf_counter() - started)


def _single_select(cursor: duckdb.DuckDBPyConnection, question: str) -> str:
    import duckdb

    statements = cursor.extract_statements(question)
    if len(statements) != 1 or statements[0].type != duckdb.StatementType.SELECT:
        raise QuestionRefused("Ask one question at a time, as a SELECT: these tables can be read, not changed.")
    return str(statements[0].query).strip().rstrip(";")


def _first_words(error: Exception) -> str:
    """What the engine says, without the picture of the query that follows it."""
    return str(error).strip().split("\n\nLINE ", 1)[0].replace("\n", " ")

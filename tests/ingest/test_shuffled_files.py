"""One true table under any layout, separator, encoding, container, unit and way to write a day says the same, or asks."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable

import pytest

from ingest.checking import Checked
from ingest.files.opening import open_file
from ingest.home import Home
from tests.corpus.truth import Grid
from tests.corpus.writing import csv_bytes
from tests.ingest.fuzzing import Suite, read
from tests.ingest.hands import LEAD, true_leaves
from tests.ingest.laid_out import LAYOUTS, laid_out
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, meant
from tests.ingest.spelling import a_spelling, file_of

SPELLED = 120
LAID_OUT = 15 * len(LAYOUTS)
Rows = list[tuple[object, ...]]
Reader = Callable[[str, bytes], Rows | None]


def spelled(seed: int) -> tuple[str, bytes]:
    """A file's name and bytes: the true table of the small lab in one of many spellings."""
    chance = random.Random(seed)  # noqa: S311  # a seed makes the same case every time; nothing is secret
    spelling = a_spelling(chance)
    rows: list[list[object]] = [[*HEADERS[:8], f"{spelling.quantity} ({spelling.unit})", "Remarks"]]
    rows.extend([spelling.date(row[0]), *row[1:8], spelling.reading(row[8]), row[9]] for row in TRUE_ROWS)
    order = chance.sample(range(len(HEADERS)), len(HEADERS))
    return file_of(chance, spelling.kind, Grid("Sheet1", [[row[place] for place in order] for row in rows]))


@pytest.fixture
def rows_read(lab: Home, monkeypatch: pytest.MonkeyPatch) -> Reader:
    """Reads a file and gives what its rows say, or None for a question."""
    Suite(monkeypatch)

    def rows_read(name: str, data: bytes) -> Rows | None:
        found = read(lab, open_file(data, name), data, name, monkeypatch)
        assert isinstance(found, Checked), f"{name}: {found}"
        if found.receipt.is_refused:
            return None
        return [tuple(round(value, 7) if isinstance(value, float) else value for value in row) for row in meant(found)]

    return rows_read


def test_one_true_table_says_the_same_however_it_is_spelled_or_asks(rows_read: Reader) -> None:
    truth = rows_read("class.csv", csv_bytes([list(row) for row in (HEADERS, *TRUE_ROWS)]))
    assert truth is not None
    assert len(truth) == len(TRUE_ROWS)
    same, wrong = 0, []
    for seed in range(SPELLED):
        name, data = spelled(seed)
        found = rows_read(name, data)
        same += found == truth
        if found not in (None, truth):
            wrong.append(f"seed {seed}, {name}: {data[:300]!r}")
    assert not wrong, "\n".join(wrong)
    assert same > 0.9 * SPELLED  # a question is allowed, and seldom needed


def test_one_true_class_says_the_same_however_it_is_laid_out_or_asks(rows_read: Reader) -> None:
    leaves = true_leaves()
    truth = rows_read("class.csv", csv_bytes([[*LEAD, "Pressure (bar)"], *([leaf[name] for name in (*LEAD, "bar")] for leaf in leaves)]))
    assert truth is not None
    # By place in `meant`: day, window, site, plant's kind, plant, leaf and the pressure; a bar is 0.1 MPa.
    plain = {(str(row[2]), *row[4:9], row[10]) for row in truth}
    told = [(*(leaf[name] for name in LEAD if name not in ("Section", "Observer")), leaf["bar"].lstrip(">")) for leaf in leaves]
    assert plain == {(*placed, round(float(bar) * 0.1, 7)) for *placed, bar in told}
    same, wrong = Counter[str](), []
    for seed in range(LAID_OUT):
        layout, name, data = laid_out(seed)
        found = rows_read(name, data)
        same[layout] += found == truth
        if found not in (None, truth):
            assert found is not None
            wrong.append(f"seed {seed}, {layout}, {name}: {sorted(set(found) ^ set(truth), key=repr)[:2]}")
    assert not wrong, "\n".join(wrong)
    # A question is allowed: two tables side by side with columns in another order are asked about.
    assert sum(same.values()) > 0.9 * LAID_OUT
    assert all(2 * same[layout] > LAID_OUT / len(LAYOUTS) for layout in LAYOUTS), same

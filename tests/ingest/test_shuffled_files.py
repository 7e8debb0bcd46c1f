"""One true table under any separator, encoding, container, unit and way to write a day says the same, or asks."""

from __future__ import annotations

import random
from datetime import date

import pytest

from ingest.checking import Checked
from ingest.home import Home
from ingest.opening import open_file
from tests.corpus.truth import Grid
from tests.corpus.writing import csv_bytes, html_bytes, ods_bytes, xlsx_bytes
from tests.ingest.fuzzing import Suite, read
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, meant

# Factors from bar, stated here once more: NIST SP 811, B.8; psi from its definition.
PER_BAR = {"bar": 1.0, "MPa": 0.1, "kPa": 100.0, "psi": 1 / 0.06894757293168361}
DAYS = ("%Y-%m-%d", "%d %b %Y", "%B %d, %Y", "%m/%d/%Y", "%d.%m.%Y", "%a %d %b %Y")
CASES = 120


def shuffled(seed: int) -> tuple[str, bytes]:
    """A file's name and bytes: the true table in one of many spellings."""
    chance = random.Random(seed)  # noqa: S311  # a seed makes the same case every time; nothing is secret
    unit, day, is_potential = chance.choice(list(PER_BAR)), chance.choice(DAYS), chance.random() < 0.4
    kind, mark = chance.choice(("csv", "txt", "xlsx", "ods", "xls")), chance.choice(".,")
    rows: list[list[object]] = [[*HEADERS[:8], f"{'Water potential' if is_potential else 'Pressure'} ({unit})", "Remarks"]]
    for row in TRUE_ROWS:
        bound, number = row[8][: row[8].startswith(">")], float(row[8].lstrip(">")) * PER_BAR[unit]
        sign = ("<-" if bound else "-") if is_potential else bound
        text = f"{sign}{number:.9f}".rstrip("0").rstrip(".").replace(".", mark)
        rows.append([date.fromisoformat(row[0]).strftime(day), *row[1:8], text, row[9]])
    order = chance.sample(range(len(HEADERS)), len(HEADERS))
    rows = [[row[place] for place in order] for row in rows]
    if kind in ("xlsx", "ods"):
        return f"class.{kind}", (xlsx_bytes if kind == "xlsx" else ods_bytes)(Grid("Sheet1", rows))
    if kind == "xls":
        return "class.xls", html_bytes(rows)
    encoding = chance.choice(("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"))
    return f"class.{kind}", csv_bytes(rows, separator=chance.choice("\t;,|"), encoding=encoding, ends=chance.choice(("\n", "\r\n")))


def test_one_true_table_says_the_same_however_it_is_spelt_or_asks(lab: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    Suite(monkeypatch)
    plain = csv_bytes([list(row) for row in (HEADERS, *TRUE_ROWS)])
    true = read(lab, open_file(plain, "class.csv"), plain, "class.csv", monkeypatch)
    assert isinstance(true, Checked)
    truth, same, wrong = [_rounded(row) for row in meant(true)], 0, []
    for seed in range(CASES):
        name, data = shuffled(seed)
        found = read(lab, open_file(data, name), data, name, monkeypatch)
        assert isinstance(found, Checked), f"seed {seed}: {found}"
        if found.receipt.is_refused:
            continue
        same += 1
        if [_rounded(row) for row in meant(found)] != truth:
            wrong.append(f"seed {seed}, {name}: {data[:300]!r}")
    assert not wrong, "\n".join(wrong)
    assert same > 0.9 * CASES  # a question is allowed, and seldom needed


def _rounded(row: tuple[object, ...]) -> tuple[object, ...]:
    return tuple(round(value, 7) if isinstance(value, float) else value for value in row)

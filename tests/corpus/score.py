"""Score the reader on the corpus: for each true reading, was it read right, flagged, set aside, refused, wrong in silence or lost?"""

from __future__ import annotations

import multiprocessing
import re
import resource
import sys
import tempfile
from collections.abc import Iterable, Sequence
from functools import partial
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

if __name__ == "__main__":  # run as a file: the project's own folder comes first
    sys.path.insert(0, str(Path(__file__).absolute().parents[2]))

from ingest.checking import Asked, Checked, check_bytes
from ingest.errors import TautleafError
from ingest.home import Home
from tests.corpus.judged import judged_together
from tests.corpus.opened import opened_together
from tests.corpus.places import invented_home
from tests.corpus.truth import Truth, Ugly
from tests.corpus.verdicts import Verdict, table, told

HOSTILE = 9
PATIENCE_SECONDS = 60
MEMORY_MB = 4000  # of addresses; the libraries alone reserve half of it
# Flags that say of a field that it may be wrong; any other difference in a loaded reading is an error in silence.
DOUBTS = {
    "pressure": ("unit_doubt", "reading_doubtful", "remark_against_reading", "endpoint_doubtful", "unit_against_chamber"),
    "endpoint": ("endpoint_doubtful", "remark_against_reading", "endpoint_unreadable"),
    "plant": ("plant_", "tag_"),
    "leaf": ("leaf_tag", "tag_"),
    "window": ("window_", "predawn_after_sunrise", "time_"),
}


def score_file(home: Home, ugly: Ugly) -> Verdict:
    """Check a file without answers, then with its answers where it was refused, and class each of its true readings."""
    verdict = Verdict(ugly)
    checked = _checked(home, ugly, (), verdict)
    was_refused = checked is None or checked.receipt.is_refused
    if checked is not None:
        _look_at_receipt(checked, verdict)
        if was_refused and not ugly.is_hopeless:
            _look_at_questions(checked, verdict)
    if ugly.asks and not was_refused:
        verdict.wrong.append(f"loaded without asking {' or '.join(sorted(ugly.asks))}")
        verdict.found["WRONG"] += len(ugly.truth)
        return verdict
    if was_refused and ugly.answers:
        checked = _checked(home, ugly, ugly.answers, verdict)
        if checked is not None:
            _look_at_receipt(checked, verdict)
    # What nobody can settle from the file is not loadable, and counts on neither side of the share.
    verdict.loadable = 0 if ugly.is_hopeless else sum(truth.leaf.expect != "aside" for truth in ugly.truth)
    if checked is None or checked.receipt.is_refused:
        verdict.found["refused"] += len(ugly.truth)
        return verdict
    _compare(checked, verdict)
    return verdict


def _checked(home: Home, ugly: Ugly, answers: Sequence[str], verdict: Verdict) -> Checked | None:
    try:
        return check_bytes(home, ugly.data, ugly.file_name, Asked(tuple(answers), kind="readings"))
    except TautleafError as error:
        if not str(error).strip():
            verdict.complaints.append("an error without a word")
        if not ugly.is_hopeless:
            verdict.needless.append(f"{type(error).__name__}: {str(error)[:160]}")
        return None
    except Exception as crash:  # noqa: BLE001  # a crash is what the score is there to find
        verdict.crash = f"{type(crash).__name__}: {str(crash)[:160]}"
        return None


def _look_at_receipt(checked: Checked, verdict: Verdict) -> None:
    receipt = checked.receipt
    counts = receipt.rows
    if counts and counts["in_file"] != counts["accepted"] + counts["flagged"] + counts["set_aside"]:
        verdict.complaints.append(f"the rows do not add up: {counts}")
    text = receipt.as_text()
    kept = text + str(receipt.as_dict()) + str(checked.columns) + checked.recipe.as_toml()
    verdict.complaints.extend(f"{word!r} is kept or printed" for word in verdict.ugly.hides if word.casefold() in kept.casefold())
    if not receipt.is_refused:
        verdict.complaints.extend(f"the receipt does not say {said!r}" for said in verdict.ugly.says if not re.search(said, text, re.I))


def _look_at_questions(checked: Checked, verdict: Verdict) -> None:
    asked = {problem.code for problem in checked.receipt.problems if problem.severity == "refuse"}
    if verdict.ugly.asks and not asked & verdict.ugly.asks:
        verdict.needless.append(f"asks {', '.join(sorted(asked))} and not {' or '.join(sorted(verdict.ugly.asks))}")
    elif not verdict.ugly.asks:
        verdict.needless.append(f"asks {', '.join(sorted(asked))} without need")


def _compare(checked: Checked, verdict: Verdict) -> None:
    rows = [dict(zip(checked.columns, values, strict=True)) for values in zip(*checked.columns.values(), strict=True)]
    by_cell: dict[tuple[str, str], list[dict[str, Any]]] = {}
    by_row: dict[tuple[str, int], list[dict[str, Any]]] = {}
    sheets = dict(zip(dict.fromkeys(row["source_sheet"] for row in rows), dict.fromkeys(_sheets(verdict.ugly)), strict=False))
    for row in rows:
        sheet = sheets.get(row["source_sheet"]) or row["source_sheet"] or ""
        by_row.setdefault((sheet, row["source_row"]), []).append(row)
        if row["source_cell"]:
            by_cell.setdefault((sheet, row["source_cell"]), []).append(row)
    true_cells = set()
    for truth in verdict.ugly.truth:
        true_cells.add((truth.sheet, truth.cell))
        here = by_cell.get((truth.sheet, truth.cell)) or [row for row in by_row.get((truth.sheet, truth.row), []) if not row["source_cell"]]
        kind, why = class_of(truth, here)
        verdict.found[kind] += 1
        counts = kind in ("right", "flagged") and truth.leaf.expect != "aside" and not verdict.ugly.is_hopeless
        verdict.loaded += counts and (truth.leaf.expect == "doubt" or any(row["usable"] for row in here))
        if kind in ("WRONG", "LOST"):
            verdict.wrong.append(f"{truth.sheet or 'text'}!{truth.cell}: {kind}: {why}")
    for place, found in by_cell.items():
        ghosts = [row for row in found if row["status"] != "set_aside" and row["balance_pressure_mpa"] is not None]
        if ghosts and place not in true_cells:
            verdict.found["WRONG"] += 1
            verdict.wrong.append(f"{place[0] or 'text'}!{place[1]}: WRONG: {ghosts[0]['reading_as_written']} was loaded and is no reading")


def _sheets(ugly: Ugly) -> list[str]:
    """The sheets of the truth, in the file's order; a receipt may cut words out of their names."""
    return [truth.sheet for truth in ugly.truth]


def class_of(truth: Truth, rows: Sequence[dict[str, Any]]) -> tuple[str, str]:
    """The class of one true reading, and what is wrong where it is."""
    loaded = [row for row in rows if row["status"] != "set_aside"]
    if len(loaded) > 1:
        return "WRONG", f"loaded {len(loaded)} times"
    if not loaded:
        if not any(not row["is_structural"] for row in rows):
            return "LOST", f"its row is {rows[0]['reasons']}" if rows else "no row holds it"
        return "set aside", ""
    row = loaded[0]
    wrong = differences(truth, row)
    flags = row["flags"].split(";") if row["flags"] else []
    if truth.leaf.expect == "aside":
        return ("WRONG", f"{row['reading_as_written']!r} was loaded and is no value") if row["usable"] else ("flagged", "")
    if truth.leaf.expect == "doubt" and row["usable"]:
        return "WRONG", f"{row['reading_as_written']!r} counts in the means in spite of a doubt"
    # A doubt about a value takes it out of the means; a doubt about a tag need not.
    silent = {
        name: pair for name, pair in wrong.items() if not _is_doubted(name, flags) or (row["usable"] and name not in ("plant", "leaf"))
    }
    if silent:
        return "WRONG", ", ".join(f"{name} is {pair[0]!r}, read as {pair[1]!r}" for name, pair in silent.items())
    return ("flagged" if flags else "right"), ""


def _is_doubted(name: str, flags: Iterable[str]) -> bool:
    return any(flag.startswith(DOUBTS.get(name, ())) for flag in flags)


def differences(truth: Truth, row: dict[str, Any]) -> dict[str, tuple[object, object]]:
    """What of a loaded reading differs from the truth, by field."""
    leaf = truth.leaf
    pairs: dict[str, tuple[object, object]] = {
        "date": (leaf.day, row["date"]),
        "site": (leaf.site, row["site"]),
        "taxon": (leaf.taxon, row["taxon"]),
        "semester": (leaf.semester, row["semester"]),
        "section": (leaf.section, row["section"]),
        "plant": (_tag(leaf.plant), _tag(row["plant"])),
        "leaf": (_tag(leaf.leaf), _tag(row["leaf"])),
    }
    if leaf.window:
        pairs["window"] = (leaf.window, row["sampling_window"])
    if leaf.clock:
        pairs["clock"] = (leaf.clock, row["time_read"] or row["time_cut"])
    if leaf.expect != "doubt" or "not_reached" in (leaf.endpoint, row["endpoint"]):
        pairs["endpoint"] = (leaf.endpoint, row["endpoint"])
    wrong = {name: pair for name, pair in pairs.items() if pair[0] != pair[1]}
    pressure = row["balance_pressure_mpa"]
    if pressure is None or abs(pressure - leaf.pressure_mpa) > 1e-6 + 1e-9 * abs(pressure):
        wrong["pressure"] = (leaf.pressure_mpa, pressure)
    return wrong


def _tag(text: str | None) -> str:
    """A tag's number or letter, whatever word stands before it ("Leaf 2", "L2")."""
    found = re.findall(r"\d+|[a-z]+", (text or "").casefold())
    return found[-1] if found else ""


def score_all(uglies: Iterable[Ugly], root: Path) -> list[Verdict]:
    """Score all files against one home of invented registers; hostile ones in a process of their own, and opened by one of their own."""
    home, uglies = invented_home(root / "home"), list(uglies)
    others = [ugly for ugly in uglies if ugly.trouble != HOSTILE]
    with opened_together(others):
        verdicts = judged_together(partial(score_file, home), others)
    return [*verdicts, *(score_hostile(home, ugly) for ugly in uglies if ugly.trouble == HOSTILE)]


def score_hostile(home: Home, ugly: Ugly) -> Verdict:
    """Score a file that may take its process down; one that does, or takes too long, has crashed."""
    context = multiprocessing.get_context("fork")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_score_limited, args=(home, ugly, theirs))
    process.start()
    theirs.close()
    verdict = Verdict(ugly, crash=f"no answer after {PATIENCE_SECONDS} s or in {MEMORY_MB} MB")
    try:
        if ours.poll(PATIENCE_SECONDS):
            verdict = ours.recv()
    except EOFError:
        verdict.crash = "the process died"
    process.kill()
    process.join()
    return verdict


def _score_limited(home: Home, ugly: Ugly, theirs: Connection) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_MB * 1_000_000, MEMORY_MB * 1_000_000))
    theirs.send(score_file(home, ugly))


def main(arguments: Sequence[str]) -> int:
    """Print the score; with -v also what is wrong with each file, with words only the files whose case holds one of them."""
    from tests.corpus.corpus import corpus

    words = [word for word in arguments if not word.startswith("-")]
    uglies = [ugly for ugly in corpus() if not words or any(word in f"{ugly.trouble} {ugly.case}" for word in words)]
    with tempfile.TemporaryDirectory() as root:
        verdicts = score_all(uglies, Path(root))
    out = [table(verdicts)]
    if "-v" in arguments:
        out.extend(line for verdict in verdicts for line in told(verdict))
    sys.stdout.write("\n".join(out) + "\n")
    return int(any(verdict.found["WRONG"] or verdict.found["LOST"] or verdict.crash for verdict in verdicts))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""What became of the files of the corpus, and the score as a table."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from tests.corpus.truth import Ugly

CLASSES = ("right", "flagged", "set aside", "refused", "WRONG", "LOST")


@dataclass
class Verdict:
    """What became of one file: a class for each true reading, what else was wrong with the answer, and what was asked without need."""

    ugly: Ugly
    found: Counter[str] = field(default_factory=Counter)
    loadable: int = 0
    loaded: int = 0
    wrong: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)
    needless: list[str] = field(default_factory=list)
    crash: str | None = None


def table(verdicts: Sequence[Verdict]) -> str:
    """The score by group of troubles and in total, as text."""
    lines = [f"{'trouble':<28}{'files':>6}" + "".join(f"{name:>11}" for name in CLASSES) + f"{'right of loadable':>19}"]
    groups = {number: [verdict for verdict in verdicts if verdict.ugly.trouble == number] for number in NAMES}
    for number, group in groups.items():
        lines.append(_line(f"{number} {NAMES[number]}", group))
    lines.append(_line("all", list(verdicts)))
    crashes = sum(verdict.crash is not None for verdict in verdicts)
    lines.append(f"{crashes} crashes, {sum(len(verdict.complaints) for verdict in verdicts)} other complaints")
    lines.append(f"{sum(bool(verdict.needless) for verdict in verdicts)} files refused or asked about without need")
    return "\n".join(lines)


def _line(name: str, group: Sequence[Verdict]) -> str:
    found: Counter[str] = sum((verdict.found for verdict in group), Counter())
    loadable, loaded = sum(verdict.loadable for verdict in group), sum(verdict.loaded for verdict in group)
    share = f"{100 * loaded / loadable:.1f} %" if loadable else "–"
    return f"{name:<28}{len(group):>6}" + "".join(f"{found[kind]:>11}" for kind in CLASSES) + f"{share:>19}"


NAMES = {
    1: "containers",
    2: "layouts",
    3: "numbers and units",
    4: "bounds and remarks",
    5: "dates and times",
    6: "names",
    7: "twice and corrected",
    8: "people",
    9: "hostile",
}


def told(verdict: Verdict) -> Iterable[str]:
    """What is wrong with a file's answer, as lines."""
    if verdict.wrong or verdict.complaints or verdict.needless or verdict.crash:
        counts = ", ".join(f"{count} {kind}" for kind, count in verdict.found.items())
        yield f"\n[{verdict.ugly.trouble}] {verdict.ugly.case} ({verdict.ugly.file_name[:60]!r}): {counts}"
        yield from (f"    CRASH {verdict.crash}" for _ in range(verdict.crash is not None))
        yield from (f"    {line}" for line in verdict.wrong[:4])
        if len(verdict.wrong) > 4:
            yield f"    and {len(verdict.wrong) - 4} more"
        yield from (f"    - {line}" for line in (*verdict.complaints, *verdict.needless))

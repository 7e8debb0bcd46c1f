"""What must hold between rows of scores or levels: totals, repeats, one maximum for an item, one section for a student, pairs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from ingest.checked.rows import Rows
from ingest.checked.suites import failing_rows
from ingest.learning.people import nearly_alike

NEAR = 0.005  # of the highest score: totals are written with two decimals


def check_scores(rows: Rows, data: Sequence[int], names: Mapping[int, str]) -> list[str]:
    """Mark rows of scores that fail the suite or contradict each other; returns what the receipt says of pairs.

    Args:
        rows: all rows of the file.
        data: indices of the students' rows.
        names: the student of each, as one spelling; never kept.
    """
    columns = rows.columns
    suite = ("semester", "section", "student", "instrument", "phase", "item", "score", "max_score")
    _run_suite(rows, data, "assessment", suite, "score")
    _maxima(rows, data)
    _sections(rows, data)
    _repeated(rows, data, ("semester", "student", "instrument", "phase", "item"), "score")
    _totals(rows, data)
    _nearly(rows, data, names, [(columns["instrument"][index], columns["phase"][index]) for index in data])
    return list(_pairs(rows, data))


def check_levels(rows: Rows, data: Sequence[int], names: Mapping[int, str]) -> list[str]:
    """Mark rows of levels that fail the suite or contradict each other."""
    _run_suite(rows, data, "rubric", ("semester", "section", "student", "outcome", "level"), "level")
    _sections(rows, data)
    _repeated(rows, data, ("semester", "student", "outcome"), "level")
    _nearly(rows, data, names, [(rows.columns["outcome"][index],) for index in data])
    return []


def _run_suite(rows: Rows, data: Sequence[int], kind: str, names: Sequence[str], column: str) -> None:
    table: dict[str, list[Any]] = {name: [rows.columns[name][index] for index in data] for name in names}
    for number, name, code in failing_rows(kind, {**table, "row_number": list(data)}):
        if not rows.is_aside(number):
            value = None if name == "student" else rows.columns[name][number]
            limit = rows.columns["max_score"][number] if code == "score_above_maximum" else None
            shown = rows.columns[f"{column}_as_written"][number] if name in ("score", "level") else value
            rows.mark(number, code, column, shown, limit=None if limit is None else f"{limit:g}", allowed="see the contract")


def _standing(rows: Rows, data: Iterable[int]) -> Iterator[int]:
    return (index for index in data if not rows.is_aside(index))


def _grouped(rows: Rows, data: Iterable[int], names: Sequence[str]) -> dict[Hashable, list[int]]:
    groups: dict[Hashable, list[int]] = {}
    for index in _standing(rows, data):
        groups.setdefault(tuple(rows.columns[name][index] for name in names), []).append(index)
    return groups


def _maxima(rows: Rows, data: Sequence[int]) -> None:
    """An item has one highest score in one test: where the rows differ, those that are not the most common are in doubt."""
    columns = rows.columns
    for indices in _grouped(rows, data, ("semester", "instrument", "phase", "item")).values():
        counts = Counter(columns["max_score"][index] for index in indices if columns["max_score"][index] is not None)
        if len(counts) < 2:
            continue
        (first, most), (_, second) = counts.most_common(2)
        for index in indices:
            if columns["max_score"][index] not in (None, first) or most == second:
                rows.mark(index, "max_score_contradicts", "score", f"{columns['max_score'][index]:g}", limit=f"{first:g}")


def _repeated(rows: Rows, data: Sequence[int], names: Sequence[str], value: str) -> None:
    """The same thing scored twice. The same score, or none, was typed twice; of two scores nobody can tell the right one."""
    columns = rows.columns
    for indices in _grouped(rows, data, names).values():
        if len(indices) < 2:
            continue
        what = str(columns[names[-1]][indices[0]] or "total")
        scored = [index for index in indices if columns[value][index] is not None]
        kept = (scored or indices)[0]
        for index in indices:
            if index != kept and columns[value][index] in (None, columns[value][kept]):
                rows.mark(index, "score_repeated", value, other=columns["source_row"][kept], what=what)
        if len({columns[value][index] for index in scored}) > 1:
            for index in _standing(rows, scored):
                other = next(one for one in scored if columns[value][one] != columns[value][index])
                rows.mark(index, "score_contradicts", value, other=columns["source_row"][other], what=what)


def _totals(rows: Rows, data: Sequence[int]) -> None:
    """A total is the sum of its items, where all that were scored are there; a total in percent is their share."""
    columns = rows.columns
    names = ("semester", "student", "instrument", "phase")
    broken = {tuple(columns[name][index] for name in names) for index in data if rows.is_aside(index)}
    for key, indices in _grouped(rows, data, names).items():
        if key in broken:
            continue  # what is set aside is no part of the sum that is left
        totals = [
            index
            for index in indices
            if columns["item"][index] is None and columns["score"][index] is not None and columns["max_score"][index]
        ]
        items = [index for index in indices if columns["item"][index] is not None and columns["max_score"][index]]
        scored = [index for index in items if columns["score"][index] is not None]
        if len(totals) != 1 or not scored:
            continue
        (total,) = totals
        limit, reached = columns["max_score"][total], sum(columns["score"][index] for index in scored)
        highest = [sum(columns["max_score"][index] for index in some) for some in (items, scored)]
        sums = (reached, *(reached / points * limit for points in highest))
        if min(abs(columns["score"][total] - value) for value in sums) > NEAR * limit + 1e-9:
            rows.mark(total, "total_not_sum", "score", columns["score_as_written"][total], limit=f"{reached:g}")


def _sections(rows: Rows, data: Sequence[int]) -> None:
    columns = rows.columns
    for indices in _grouped(rows, data, ("semester", "student")).values():
        sections = {columns["section"][index] for index in indices} - {None}
        if len(sections) > 1:
            for index in indices:
                others = sorted(sections - {columns["section"][index]})
                rows.mark(index, "student_in_two_sections", "section", other=" and ".join(others))


def _nearly(rows: Rows, data: Sequence[int], names: Mapping[int, str], tests: Sequence[tuple[str | None, ...]]) -> None:
    """Two spellings that may be one student: kept apart, and said so."""
    taken: dict[str, set[tuple[str | None, ...]]] = {}
    of_name: dict[str, list[int]] = {}
    for index, test in zip(data, tests, strict=True):
        if names.get(index):
            taken.setdefault(names[index], set()).add((rows.columns["semester"][index], *test))
            of_name.setdefault(names[index], []).append(index)
    for pair in nearly_alike(taken):
        for index in (index for name in pair for index in of_name[name] if not rows.is_aside(index)):
            rows.mark(index, "student_doubtful", "student")


def _pairs(rows: Rows, data: Sequence[int]) -> Iterator[str]:
    """How many students took both tests, for each instrument of which the file holds both."""
    columns = rows.columns
    took: dict[tuple[str, str], dict[str, set[str]]] = {}
    for index in _standing(rows, data):
        if columns["score"][index] is not None and columns["instrument"][index]:
            phases = took.setdefault((columns["semester"][index] or "", columns["instrument"][index]), {})
            phases.setdefault(columns["phase"][index], set()).add(columns["student"][index])
    for (semester, instrument), phases in took.items():
        before, after = phases.get("pre", set()), phases.get("post", set())
        if before and after:
            counts = (
                f"{len(before & after)} students with both, {len(before - after)} with pre alone, {len(after - before)} with post alone"
            )
            yield f"{instrument} in {semester}: {counts}"

"""Which cells a reviewer may not see, so that no small cell can be read or reckoned back from what is shown.

A cell counts readings. Primary: a count above 0 and under the threshold is hidden. Complementary: where the total of a
group of cells may be known, a single hidden cell is the total minus the rest; so further cells are hidden, smallest
first, until at least two are, and together they count at least the threshold. `possible_range` audits the outcome.
The local office decides the threshold (settings).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Hashable, Mapping
from typing import TypeVar

Key = TypeVar("Key", bound=Hashable)


def is_small(count: int, threshold: int) -> bool:
    """Whether a count is above 0 and under the threshold."""
    return 0 < count < threshold


def hidden_cells(cells: Mapping[Key, int], threshold: int) -> set[Key]:
    """Cells of one group with a known total that must be hidden, complementary ones included.

    Where the group is too small to protect its small cells, all of it is hidden.
    """
    hidden = {key for key, count in cells.items() if is_small(count, threshold)}
    if not hidden:
        return hidden
    for key in sorted(cells.keys() - hidden, key=lambda key: (cells[key] == 0, cells[key], str(key))):
        if _protected(cells, hidden, threshold):
            break
        hidden.add(key)
    return hidden


def _protected(cells: Mapping[Key, int], hidden: Collection[Key], threshold: int) -> bool:
    """Two or more, enough readings, and more readings than cells: as many would tell that each cell holds one."""
    total = sum(cells[key] for key in hidden)
    return len(hidden) > 1 and total >= threshold and total > len(hidden)


def hidden_by_group(cells: Mapping[tuple[str, ...], int], threshold: int, group_length: int = 2) -> set[tuple[str, ...]]:
    """`hidden_cells` within each group of keys that begin alike (program and semester, at the usual length)."""
    groups: dict[tuple[str, ...], dict[tuple[str, ...], int]] = defaultdict(dict)
    for key, count in cells.items():
        groups[key[:group_length]][key] = count
    return {key for group in groups.values() for key in hidden_cells(group, threshold)}


def possible_range(cells: Mapping[Key, int], hidden: Collection[Key], least: int = 0) -> tuple[int, int]:
    """Least and greatest count that any one hidden cell can have had, for one who knows the total and what is shown.

    The audit of the above. With one total and no other sum the linear programme has this answer: the others take as
    little as they can, `least` each, or as much.

    Args:
        cells: all cells of the group.
        hidden: the hidden ones, at least one.
        least: what any hidden cell is known to hold: 1 where cells without a reading are not listed.
    """
    total = sum(cells[key] for key in hidden)
    others = len(hidden) - 1
    return (least if others else total), total - least * others

"""One true class of readings in every layout that classes use: the same readings, whichever way they stand on the sheet."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from datetime import date

from tests.corpus.truth import Grid
from tests.ingest.hands import Leaf, Rows, Writer, true_leaves
from tests.ingest.spelling import BOOKS, a_spelling, file_of

Layout = Callable[[Writer, Sequence[Leaf]], list[Rows]]


def long(writer: Writer, leaves: Sequence[Leaf]) -> list[Rows]:
    """A row for each leaf."""
    return [writer.table(leaves)]


def framed(writer: Writer, leaves: Sequence[Leaf]) -> list[Rows]:
    """A row for each leaf, title rows above and averages, a legend and notes below."""
    return [writer.framed(writer.table(leaves))]


def _wide(writer: Writer, leaves: Sequence[Leaf], *names: str, but: Sequence[str] = ()) -> Rows:
    """A header, perhaps under a title or a group's name, and a row for all leaves alike but in the columns named: a reading for each."""
    columns, unit, chance = writer.lead(*names, *but), writer.spelling.unit, writer.chance
    keys = list(dict.fromkeys(tuple(leaf[name] for name in names) for leaf in leaves))
    groups: dict[tuple[str, ...], dict[tuple[str, ...], Leaf]] = {}
    for leaf in leaves:
        groups.setdefault(tuple(leaf[name] for name in columns), {})[tuple(leaf[name] for name in names)] = leaf
    labels = [" ".join(writer.label(*pair) for pair in zip(names, key, strict=True)) for key in keys]
    style = chance.choice(("unit in each", "words in each", "group above", "title"))
    above: Rows = []
    if style == "group above":
        above = [[*[None] * len(columns), writer.reading_header(), *[None] * (len(labels) - 1)]]
    elif style == "title":
        above = [[f"{writer.spelling.quantity} in {unit}"]]
    else:
        labels = [f"{writer.spelling.quantity if style == 'words in each' else ''} {label} ({unit})".strip() for label in labels]
    writer.labels = labels
    mean = ["Mean"] if names[-1] == "Leaf" and chance.random() < 0.5 else []
    rows: Rows = [*above, [*columns, *labels, *mean]]
    for group in groups.values():
        first = next(iter(group.values()))
        cells = [writer.spelling.reading(group[key]["bar"]) if key in group else None for key in keys]
        rows.append([*(writer.cell(first, name) for name in columns), *cells, *(writer.spelling.reading("12.25") for _ in mean)])
    return rows


def wide(*names: str) -> Layout:
    """A layout with a column of readings for each value of one or two columns."""

    def lay(writer: Writer, leaves: Sequence[Leaf]) -> list[Rows]:
        rows = _wide(writer, leaves, *names)
        writer.thin(rows, 0.3)
        return [writer.framed(rows) if writer.chance.random() < 0.3 else rows]

    return lay


def sideways(writer: Writer, leaves: Sequence[Leaf]) -> list[Rows]:
    """Names down the first column, a leaf in each column after it."""
    rows: Rows = [list(column) for column in zip(*writer.table(leaves), strict=True)]
    return [[["Plant physiology lab, Fall 2024"], [], *rows] if writer.chance.random() < 0.4 else rows]


def beside(writer: Writer, leaves: Sequence[Leaf]) -> list[Rows]:
    """Two tables side by side: one page continued on the right, or one for each site, window or kind of plant under its name."""
    column = writer.chance.choice(("", "Site", "Window", "Species"))
    if column:
        values = list(dict.fromkeys(leaf[column] for leaf in leaves))
        parts = [writer.another(0.2).table([leaf for leaf in leaves if leaf[column] == value], column) for value in values]
        gap: list[object] = [None]
        titles: Rows = [[writer.name(column, values[0]), *[None] * len(parts[0][0]), writer.name(column, values[1])]]
    else:
        cut = writer.chance.randrange(len(leaves) // 2, len(leaves) - 4)
        parts, titles = [writer.table(leaves[:cut]), writer.another(0.2).table(leaves[cut:])], []
        gap = [None] if writer.chance.random() < 0.6 else []
    left, right = parts
    rows = [[*row, *gap, *(right[number] if number < len(right) else [])] for number, row in enumerate(left)]
    return [[*titles, *rows]]


def blocks(writer: Writer, leaves: Sequence[Leaf]) -> list[Rows]:
    """What repeats the row above is typed once."""
    rows = writer.table(leaves)
    writer.thin(rows, 1.0)
    return [writer.framed(rows) if writer.chance.random() < 0.3 else rows]


def _said(writer: Writer, column: str, value: str) -> object:
    """A heading that says what holds for the rows below it."""
    if column == "Date":
        day = date.fromisoformat(value)
        return writer.chance.choice((f"{day:%A, %B} {day.day}, {day.year}", writer.spelling.date(value)))
    name = writer.name(column, value)
    return writer.chance.choice((name, name.upper(), f"{column}: {name}"))


def _parted(writer: Writer, leaves: Sequence[Leaf]) -> tuple[str, list[tuple[object, list[Leaf]]]]:
    column = writer.chance.choice(("Site", "Date", "Window", "Species"))
    values = dict.fromkeys(leaf[column] for leaf in leaves)
    return column, [(_said(writer, column, value), [leaf for leaf in leaves if leaf[column] == value]) for value in values]


def headings(writer: Writer, leaves: Sequence[Leaf]) -> list[Rows]:
    """One table in which rows of their own name the site, day, window or kind of plant of the rows below them."""
    column, parts = _parted(writer, leaves)
    rows: Rows = []
    for heading, own in parts:
        header, *body = writer.table(own, column)
        rows.extend([*([] if rows else [header]), [heading], *body])
    return [rows]


def stacked(writer: Writer, leaves: Sequence[Leaf]) -> list[Rows]:
    """Tables one below the other, each under its heading, with or without averages."""
    column, parts = _parted(writer, leaves)
    rows: Rows = []
    has_means = writer.chance.random() < 0.5
    for heading, own in parts:
        hand = writer.another()
        table = hand.table(own, column)
        means: Rows = [hand.means(table[0], "Average")] if has_means else []
        rows.extend([[heading], *table, *means, []])
    return [rows]


def stacked_wide(writer: Writer, leaves: Sequence[Leaf]) -> list[Rows]:
    """Wide tables one below the other, each under its heading."""
    column, parts = _parted(writer, leaves)
    name = writer.chance.choice([name for name in ("Leaf", "Window", "Site", "Species") if name != column])
    rows: Rows = []
    for heading, own in parts:
        rows.extend([[heading], *_wide(writer.another(), own, name, but=(column,)), []])
    return [rows]


def two_sheets(writer: Writer, leaves: Sequence[Leaf]) -> list[Rows]:
    """A section on each of two sheets, with another order of columns and another unit."""
    other = Writer(writer.chance, a_spelling(writer.chance, (writer.spelling.kind,)))
    return [
        hand.framed(hand.table([leaf for leaf in leaves if leaf["Section"] == section], "Section"))
        for hand, section in ((writer, "a"), (other, "b"))
    ]


LAYOUTS: dict[str, Layout] = {
    "long": long,
    "framed": framed,
    "wide by leaf": wide("Leaf"),
    "wide by window": wide("Window"),
    "wide by site": wide("Site"),
    "wide by species": wide("Species"),
    "wide by site and leaf": wide("Site", "Leaf"),
    "wide by window and leaf": wide("Window", "Leaf"),
    "stacked wide": stacked_wide,
    "sideways": sideways,
    "side by side": beside,
    "blocks": blocks,
    "headings": headings,
    "stacked": stacked,
    "two sheets": two_sheets,
}


def laid_out(seed: int) -> tuple[str, str, bytes]:
    """A layout, and a file's name and bytes: the true class in that layout, in one of many spellings."""
    chance = random.Random(seed)  # noqa: S311  # a seed makes the same case every time; nothing is secret
    layout = list(LAYOUTS)[seed % len(LAYOUTS)]
    spelling = a_spelling(chance, BOOKS) if layout == "two sheets" else a_spelling(chance)
    sheets = LAYOUTS[layout](Writer(chance, spelling), true_leaves())
    names = ("Section A", "Section B") if len(sheets) > 1 else ("Sheet1",)
    return layout, *file_of(chance, spelling.kind, *(Grid(name, rows) for name, rows in zip(names, sheets, strict=True)))

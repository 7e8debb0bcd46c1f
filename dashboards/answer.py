"""What a view gives back: a title that says what is seen, figures, a reading in words, what may be compared, and the numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from dashboards.words import escape, is_missing

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.figures.panel import Panel

ROWS_IN_A_TABLE = 200
"""Rows of one table that a page shows; the rest are counted and can be taken as a file."""

LINES_ON_PAPER = 60
"""Lines of one table that are printed, each row with half a line's space: no more than a sheet and a half; sentences take several."""
_LINE_ON_PAPER = 60  # characters of a sentence


@dataclass(frozen=True)
class Table:
    """A frame to be shown as a table: its columns' headings, which of them hold numbers (set right) and which sentences (wide).

    `n_rows` is how many rows there are, where the frame holds only the first of them.
    """

    caption: str
    frame: pd.DataFrame
    headings: dict[str, str]
    numeric: frozenset[str] = frozenset()
    wordy: frozenset[str] = frozenset()
    n_rows: int | None = None

    def html(self) -> str:
        """The table as HTML; every cell is text and escaped."""
        names = list(self.headings)
        kinds = {name: ' class="number"' if name in self.numeric else ' class="text"' if name in self.wordy else "" for name in names}
        head = "".join(f'<th scope="col"{kinds[name]}>{escape(self.headings[name])}</th>' for name in names)
        shown = self.frame.head(ROWS_IN_A_TABLE)
        n_printed = self._printed(shown)
        rows = [
            ("<tr>" if i < n_printed else '<tr class="unprinted">')
            + "".join(f"<td{kinds[name]}>{cell(value)}</td>" for name, value in zip(names, row, strict=True))
            + "</tr>"
            for i, row in enumerate(shown[names].itertuples(index=False, name=None))
        ]
        n_rows = self.n_rows or len(self.frame)
        rest = f'<p class="rest">The first {len(shown)} of {n_rows} rows; take the file for all of them.</p>' if n_rows > len(shown) else ""
        if len(shown) > n_printed:
            rest += f'<p class="on-paper">The first {n_printed} of {n_rows} rows are printed; the page shows more.</p>'
        return (
            f'<div class="scroll" tabindex="0" role="region" aria-label="{escape(self.caption)}"><table>'
            f"<caption>{escape(self.caption)}</caption><thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table></div>{rest}"
        )

    def _printed(self, shown: pd.DataFrame) -> int:
        """How many rows are printed: as many as fit into the lines, and at least one."""
        lines = 0.0
        for i, told in enumerate(shown[[name for name in self.headings if name in self.wordy]].itertuples(index=False, name=None)):
            lines += 1.5 + max((len(cell(each)) // _LINE_ON_PAPER for each in told), default=0)
            if lines > LINES_ON_PAPER:
                return max(i, 1)
        return len(shown)


@dataclass(frozen=True)
class Picked:
    """What stands behind one mark that the reader picked: which, sentences, the receipts (words and address) and the readings."""

    title: str
    says: str
    receipts: Sequence[tuple[str, str]] = ()
    readings: Table | None = None

    def html(self) -> str:
        """The readings behind the mark, as HTML."""
        items = "".join(f'<li>{escape(words)} <a href="{escape(address)}">See its receipt</a></li>' for words, address in self.receipts)
        receipts = f"<ul>{items}</ul>" if items else ""
        table = "" if self.readings is None else self.readings.html()
        return f'<div class="picked"><h3>{escape(self.title)}</h3><p>{escape(self.says)}</p>{receipts}{table}</div>'


@dataclass(frozen=True)
class Answer:
    """One view, drawn. Texts are plain, not HTML: they are escaped where they become a page.

    `chart` is a Bokeh figure of its own, where what is drawn is the reader's free choice; the fixed views have panels. `asked` is
    what a reader's own question found. `panel_width` is the least width of a panel beside another, px, where the view's own is not it.
    """

    title: str
    reading: str
    fair: Sequence[str] = ()
    counts: str = ""
    panels: Sequence[Panel] = ()
    chart: Any = None
    key: str = ""
    source: str = ""
    tables: Sequence[Table] = field(default_factory=tuple)
    asked: pd.DataFrame | None = None
    unknown: Sequence[str] = ()
    panel_width: int | None = None
    picked: Picked | None = None

    @property
    def is_empty(self) -> bool:
        """True where there is nothing to draw; the reading then says why."""
        return not self.panels and self.chart is None and not self.tables

    def side_html(self) -> str:
        """The text beside the figure: the reading, what may be compared, what is not known, and how many."""
        reading = re.sub(r"(\bp )?< (?=\d)", lambda found: found[0].replace(" ", "\u00a0"), self.reading)  # no line ends before a number
        parts = [f'<p class="reading">{escape(reading)}</p>', "" if self.picked is None else self.picked.html()]
        if self.fair:
            items = "".join(f"<li>{escape(caveat)}</li>" for caveat in self.fair)
            parts.append(f"<h2>Like with like</h2><ul>{items}</ul>")
        if self.unknown:
            items = "".join(f"<li>{escape(gap)}</li>" for gap in self.unknown)
            parts.append(f"<h2>What is not known</h2><ul>{items}</ul>")
        if self.counts:
            parts.append(f"<h2>How many</h2><p>{escape(self.counts)}</p>")
        return "".join(parts)

    def tables_html(self) -> str:
        """The numbers behind the figure."""
        return "".join(table.html() for table in self.tables)


def cell(value: object) -> str:
    """One cell as escaped text; missing values are an empty cell."""
    return "" if is_missing(value) else escape(str(value))

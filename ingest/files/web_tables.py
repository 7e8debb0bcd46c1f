"""Tables of a web page that goes by the name of a workbook, as some programs export them."""

from __future__ import annotations

from html.parser import HTMLParser

WIDEST_SPAN = 100
TALLEST_SPAN = 10_000


def tables_of(text: str) -> list[list[list[str | None]]]:
    """The tables of a page, each table within a table by itself: rows of cells.

    A cell over several columns stands in the first of them, a cell over several rows in each of them: so it was meant.
    """
    reader = _Reader()
    reader.feed(text)
    reader.close()
    return [table.rows for table in reader.tables if table.rows]


class _Table:
    """A table being read: its rows, its open cell, and the cells that reach into the rows to come."""

    def __init__(self) -> None:
        self.rows: list[list[str | None]] = []
        self.cell: list[str] | None = None
        self._columns, self._rows = 1, 1
        self._reaching: dict[int, tuple[int, str | None]] = {}  # column to how many rows more, and what

    def open_row(self) -> None:
        """Begin a row."""
        self.end_row()
        self.rows.append([])

    def open_cell(self, attrs: dict[str, str | None]) -> None:
        """Begin a cell."""
        self.end_cell()
        if not self.rows:
            self.rows.append([])
        self._columns, self._rows = _span(attrs.get("colspan"), WIDEST_SPAN), _span(attrs.get("rowspan"), TALLEST_SPAN)
        self._take_reaching()
        self.cell = []

    def end_cell(self) -> None:
        """Put the open cell, if there is one, into its row."""
        if self.cell is None:
            return
        text = " ".join("".join(self.cell).split()) or None
        self.cell = None
        for value in (text, *[None] * (self._columns - 1)):
            if self._rows > 1:
                self._reaching[len(self.rows[-1])] = (self._rows - 1, value)
            self.rows[-1].append(value)

    def end_row(self) -> None:
        """End the row: what reaches into it from above and stands behind its last cell belongs to it too."""
        self.end_cell()
        if self.rows:
            self._take_reaching()

    def _take_reaching(self) -> None:
        row = self.rows[-1]
        while found := self._reaching.pop(len(row), None):
            left, value = found
            if left > 1:
                self._reaching[len(row)] = (left - 1, value)
            row.append(value)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tables: list[_Table] = []
        self._open: list[_Table] = []
        self._silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "table":
            self._open.append(_Table())
            self.tables.append(self._open[-1])
        elif tag in ("script", "style"):
            self._silent += 1
        elif self._open:
            table = self._open[-1]
            if tag == "tr":
                table.open_row()
            elif tag in ("td", "th"):
                table.open_cell(dict(attrs))
            elif tag in ("br", "p", "div") and table.cell is not None:
                table.cell.append(" ")

    def handle_endtag(self, tag: str) -> None:
        if tag in ("script", "style"):
            self._silent = max(0, self._silent - 1)
        elif tag == "table" and self._open:
            self._open.pop().end_row()
        elif tag in ("tr", "td", "th") and self._open:
            self._open[-1].end_cell()

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1].cell is not None and not self._silent:
            self._open[-1].cell.append(data)


def _span(text: str | None, limit: int) -> int:
    return min(max(int(text), 1), limit) if text and text.isdigit() else 1

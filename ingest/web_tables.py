"""Tables of a web page that goes by the name of a workbook, as some programs export them."""

from __future__ import annotations

from html.parser import HTMLParser


def tables_of(text: str) -> list[list[list[str | None]]]:
    """The tables of a page, outermost only: rows of cells, a cell over several columns or rows in the first of them."""
    reader = _Reader()
    reader.feed(text)
    reader.close()
    return [table for table in reader.tables if table]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tables: list[list[list[str | None]]] = []
        self._depth = 0
        self._cell: list[str] | None = None
        self._span = 1
        self._silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "table":
            self._depth += 1
            if self._depth == 1:
                self.tables.append([])
        elif tag in ("script", "style"):
            self._silent += 1
        elif tag == "tr" and self._depth == 1:
            self._end_cell()
            self.tables[-1].append([])
        elif tag in ("td", "th") and self._depth == 1 and self.tables[-1]:
            self._end_cell()
            self._cell = []
            span = dict(attrs).get("colspan") or "1"
            self._span = min(int(span), 100) if span.isdigit() else 1
        elif tag == "br" and self._cell is not None:
            self._cell.append(" ")

    def handle_endtag(self, tag: str) -> None:
        if tag == "table":
            self._end_cell()
            self._depth = max(0, self._depth - 1)
        elif tag in ("script", "style"):
            self._silent = max(0, self._silent - 1)
        elif tag in ("td", "th", "tr"):
            self._end_cell()

    def handle_data(self, data: str) -> None:
        if self._cell is not None and not self._silent:
            self._cell.append(data)

    def _end_cell(self) -> None:
        if self._cell is not None:
            text = " ".join("".join(self._cell).split())
            self.tables[-1][-1].extend([text or None, *[None] * (self._span - 1)])
            self._cell = None

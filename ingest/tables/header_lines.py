"""The lines of a table's header: units or further words below the names, the names of groups of columns above or over them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime, time
from itertools import pairwise

from ingest.files.containers import CellValue, Sheet
from ingest.folding import fold
from ingest.tables.headers import is_summary_header, understand_header
from ingest.tables.table_rows import LabelsOf, is_value

BRACKETED = re.compile(r"[(\[][^()\[\]]{1,22}[)\]]")
_FORMAT = re.compile(
    r"\(?(hh?[:.]mm([:.]ss)?|24 ?h(ours?)?|([mdy]{1,4}[/.-]){2}[mdy]{1,4})\)?"
)  # how a date or time is written, below its name


def header_texts(sheet: Sheet, other_rows: dict[int, str], number: int, labels: LabelsOf) -> dict[int, str]:
    """The header texts, joined with a line of group labels above or of units below, where there is one; `other_rows` learns which."""
    other_rows[number] = "header_row"
    headers = {place: text_of(cell) for place, cell in row_of(sheet, number).items()}
    below = row_of(sheet, number + 1)
    if is_line_of_labels(below, headers, labels):
        other_rows[number + 1] = "header_row"
        return below_groups(headers, below)
    if below and _is_second_line(below, headers, labels):
        other_rows[number + 1] = "header_row"
        is_full = len(below) == len(headers)  # says of each column what it is in, "(name)" too: only that of a reading is more than a word
        plain = {place for place, text in headers.items() if is_full and understand_header(text).best not in (None, "reading")}
        headers = {
            place: f"{text} {text_of(below[place])}" if place in below and place not in plain else text for place, text in headers.items()
        }
    group = row_of(sheet, number - 1) if other_rows.get(number - 1) in ("title_row", "note_row", "header_row") else {}
    repeated = {fold(text) for text in headers.values() if list(headers.values()).count(text) > 1}
    grouped = [place for place, text in headers.items() if fold(text) in repeated or labels(text)]
    if group and grouped and max(group) > min(headers) and any(place in grouped for place in group):
        other_rows[number - 1] = "header_row"
        for place in grouped:
            over = [above for above in group if above <= place]
            if over:
                headers[place] = f"{text_of(group[max(over)])} {headers[place]}"
    return headers


def is_line_of_labels(below: Mapping[int, CellValue], headers: Mapping[int, str], labels: LabelsOf) -> bool:
    """True for the second line of a header whose last names each stand over several columns: "Leaf 1, Leaf 2, Mean" below "Predawn"."""
    beyond = [place for place in below if place not in headers]
    groups = [place for place, text in headers.items() if labels(text) or understand_header(text).best == "reading"]
    if not beyond or not groups or min(below) < min(groups):
        return False
    if any(place in headers and place not in groups for place in range(min(below), max(below))):
        return False
    texts = [text_of(cell) for cell in below.values()]
    numbers = [int(text) for text in texts if text.isdecimal()]
    if numbers and (numbers[0] != 1 or len(numbers) < 2 or any(after not in (1, one + 1) for one, after in pairwise(numbers))):
        return False  # leaves are numbered from one; what is not is read off a gauge
    words = [text for text in texts if not text.isdecimal()]
    known = [text for text in words if labels(text) or (understand_header(text).best and not is_value(text))]
    return len(known) + len(numbers) >= 2 and all(text in known or is_summary_header(text) for text in words)


def below_groups(headers: Mapping[int, str], below: Mapping[int, CellValue]) -> dict[int, str]:
    """The header texts of two lines of which the first names groups of columns."""
    joined = {place: text for place, text in headers.items() if place < min(below) or place > max(below)}
    for place, cell in below.items():
        joined[place] = f"{headers[max(over for over in headers if over <= place)]} {text_of(cell)}"
    return dict(sorted(joined.items()))


def row_of(sheet: Sheet, number: int) -> dict[int, CellValue]:
    """The filled cells of a row by column, none beyond the end of the sheet."""
    if not 1 <= number <= len(sheet.rows):
        return {}
    return {place: cell for place, cell in enumerate(sheet.rows[number - 1], start=1) if cell is not None}


def _is_second_line(below: Mapping[int, CellValue], headers: Mapping[int, str], labels: LabelsOf) -> bool:
    """True for a line of units or further words of the header: short texts, no digits, no name, below fewer headers or all bracketed."""
    texts = [cell for cell in below.values() if isinstance(cell, str)]
    if len(texts) != len(below) or not set(below) <= set(headers):
        return False
    if len(below) == len(headers):
        return all(BRACKETED.fullmatch(text.strip()) and not any(map(str.isdigit, text)) for text in texts)
    if len(below) == 1 and understand_header(headers[next(iter(below))]).best != "reading":
        return False  # a lone word is the heading of a block
    return all(_FORMAT.fullmatch(text.casefold()) or _is_unit_or_word(text, labels) for text in texts)


def _is_unit_or_word(text: str, labels: LabelsOf) -> bool:
    return len(text) <= 24 and not any(map(str.isdigit, text)) and ":" not in text and not labels(text) and not is_value(text)


def is_number(text: str) -> bool:
    """Digits without letters, longer than the number of a leaf: 12.5, 2024-09-17, 6:05."""
    return len(text) > 2 and not text.isalpha() and any(map(str.isdigit, text)) and not any(map(str.isalpha, text))


def text_of(cell: CellValue) -> str:
    """A cell as text, whole numbers without a point."""
    if isinstance(cell, str):
        return cell.strip()
    if isinstance(cell, datetime) and cell.time() == time(0):
        return cell.date().isoformat()
    return f"{cell:.0f}" if isinstance(cell, float) and cell.is_integer() else str(cell)

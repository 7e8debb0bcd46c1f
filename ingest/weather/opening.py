"""From a weather file's bytes to its entries: which kind it is, told by its content, and what it says. Runs in a process with limits."""

from __future__ import annotations

import csv
import pickle
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields
from itertools import islice
from operator import attrgetter
from typing import Any

from ingest.cells.dates import Order
from ingest.doubts.problems import Problem
from ingest.errors import FileUnreadable
from ingest.files.limited import CELL_CHARACTERS
from ingest.weather.entries import ELEMENTS, Entry
from ingest.weather.ghcn_daily import is_by_station, is_dly, read_by_station, read_dly
from ingest.weather.tables import LONGEST, SEPARATORS, find_layout, read_table, split

MOST_ENTRIES = 1_000_000  # a century of five elements has 180,000
_HEAD = 65_536
_HEAD_LINES = 40
_NOT_TEXT = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"%PDF", b"\x89PNG", b"\x1f\x8b")
_ELEMENT = re.compile(r"[A-Z0-9]{4}")
_OBSERVATION_TIME = re.compile(r"\d{1,2}:?\d{0,2}(?: ?[ap]\.?m\.?)?", re.IGNORECASE)
_SAMPLES = (  # one of each kind, with a month that is misspelt
    "ZZ000000001202401PRCP    0  7",
    "ZZ000000001,20240101,PRCP,5,,,7,0700",
    "date,rain (mm),tmax (C),café\nSetpember 17 2024,1,2,é\n",
)
_PARTS = attrgetter(*(part.name for part in fields(Entry)))

Found = tuple[str, list[Entry], list[Problem]]


def looks_like_weather(data: bytes, name: str = "") -> bool:
    """Whether the content is a daily weather record of a kind that is read; the name does not matter. Looks at the first 64 KB alone."""
    if data.startswith(_NOT_TEXT):
        return False
    head = data[:_HEAD]
    if len(data) > _HEAD:  # whole lines, so that no character is cut
        head = head[: head.rfind(b"\n") + 1]
    return _kind(_decoded(head)) is not None


def question(data: bytes, units: Mapping[str, str], order: Order | None) -> bytes:
    """What `work` is asked: the file's bytes, and what the user said of its units and dates."""
    return pickle.dumps((data, dict(units), order))


def preload(_: bytes) -> None:
    """Read a line of each kind in each encoding: it loads all that is needed, and once it is shut in, the process can open no file."""
    for sample in _SAMPLES:
        for encoding in ("utf-8-sig", "utf-16", "cp1252"):
            open_weather(sample.encode(encoding), "", {}, None)


def work(data: bytes, name: str) -> tuple[str, list[tuple[Any, ...]], list[dict[str, Any]]]:
    """A weather file as plain values: its kind, what makes each Entry, and what makes each Problem."""
    kind, entries, problems = open_weather(*_asked(data, name))
    return kind, [_PARTS(entry) for entry in entries], [found.as_dict() for found in problems]


def _asked(data: bytes, name: str) -> tuple[bytes, str, Mapping[str, str], Order | None]:
    file, units, order = pickle.loads(data)  # noqa: S301  # from our own parent
    return file, name, units, order


def unpacked(found: tuple[str, Iterable[tuple[Any, ...]], Iterable[Mapping[str, Any]]]) -> Found:
    """The answer of `work` as entries and problems."""
    kind, entries, problems = found
    return kind, [Entry(*parts) for parts in entries], [Problem(**parts) for parts in problems]


def open_weather(data: bytes, name: str, units: Mapping[str, str], order: Order | None) -> Found:
    """The kind of a weather file, its entries, and what must be answered before they can be used.

    Raises:
        FileUnreadable: the file is no weather record of a kind that is read, or too long for one.
    """
    text = "" if data.startswith(_NOT_TEXT) else _decoded(data)
    kind = _kind(text)
    if kind is None:
        raise FileUnreadable(
            "Give a GHCN-Daily file (.dly or CSV), or a CSV table whose header names a date and rain, tmax or tmin with their units: "
            f"{name} is no weather record that is read."
        )
    csv.field_size_limit(CELL_CHARACTERS)
    too_long = f"Take out the lines of your own gauge and load those: {name} holds more than {MOST_ENTRIES:,} entries."
    if text.count("\n") > MOST_ENTRIES:
        raise FileUnreadable(too_long)
    try:
        found, problems = _entries(text, kind, units, order)
        entries = [_bounded(entry) for entry in islice(found, MOST_ENTRIES + 1)]
    except csv.Error as error:
        raise FileUnreadable(f"Look for a quotation mark that is not closed: {name} cannot be split into cells ({error}).") from error
    if len(entries) > MOST_ENTRIES:
        raise FileUnreadable(too_long)
    return kind, entries, problems


def _entries(text: str, kind: str, units: Mapping[str, str], order: Order | None) -> tuple[Iterator[Entry], list[Problem]]:
    if kind == "dly":
        return read_dly(_lines(text)), []
    if kind == "by_station":
        return read_by_station(_lines(text)), []
    rows = split(text, SEPARATORS[kind])
    layout = find_layout(rows)
    entries, problems = read_table(rows, layout, units, order) if layout else ([], [])
    return iter(entries), problems


def _bounded(entry: Entry) -> Entry:
    """The entry without what no record holds: cells of endless length, words for an element, a flag or a time."""
    for name in ("value_as_written", "station", "said"):
        if (text := getattr(entry, name)) is not None and len(text) > LONGEST:
            setattr(entry, name, text[:LONGEST])
    if entry.element not in ELEMENTS and entry.element is not None and not _ELEMENT.fullmatch(entry.element):
        entry.element, entry.said = None, "of another name"
    entry.mflag, entry.qflag, entry.sflag = (flag[:1] if flag else flag for flag in (entry.mflag, entry.qflag, entry.sflag))
    if entry.obs_time and not _OBSERVATION_TIME.fullmatch(entry.obs_time):
        entry.obs_time = None
    return entry


def _decoded(data: bytes) -> str:
    """The text with line ends of one kind; files that are not UTF-8 are taken for the Windows code page."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = data.decode("utf-16", "replace")
    else:
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("cp1252", "replace")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _lines(text: str) -> list[str]:
    lines = text.split("\n")
    return lines[:-1] if lines and not lines[-1] else lines


def _kind(text: str) -> str | None:
    """dly, by_station, or the separator's name of a table."""
    head = _lines(text[:_HEAD])
    if len(text) > _HEAD and len(head) > 1:
        head = head[:-1]  # cut within the line
    head = head[:_HEAD_LINES]
    if is_dly(head):
        return "dly"
    if is_by_station(head):
        return "by_station"
    try:
        return next((name for name, mark in SEPARATORS.items() if find_layout(split("\n".join(head), mark))), None)
    except csv.Error:  # a cell longer than any
        return None

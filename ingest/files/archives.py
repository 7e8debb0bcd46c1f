"""Look into a zipped workbook before any reader does: what it is, how much it really unpacks to, whether it is locked or laid as a trap."""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Iterator

from ingest.errors import FileUnreadable
from ingest.files.limited import MEMBERS, UNPACKED_MB

_CHUNK = 1 << 20
_ENTITY = b"<!ENTITY"
NOT_READ = {"xl/workbook.bin": "a binary workbook", "Index/": "a sheet of another program", "word/": "a text document"}


def archive_kind(data: bytes, name: str) -> str:
    """Which of xlsx or ods an archive is, after measuring it.

    Raises:
        FileUnreadable: it is damaged, locked, no workbook, or holds more than a workbook would.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _kind(archive, name)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, ValueError, EOFError, OSError) as damage:
        raise FileUnreadable(f"{name} is damaged or only part of a workbook: send or download it again.") from damage


def _kind(archive: zipfile.ZipFile, name: str) -> str:
    members = archive.infolist()
    names = {member.filename for member in members}
    kind = "xlsx" if "xl/workbook.xml" in names else "ods" if "content.xml" in names else None
    if kind is None:
        if words := [words for member, words in NOT_READ.items() if any(found.startswith(member) for found in names)]:
            raise FileUnreadable(f"{name} is {words[0]}: export the table as .xlsx, .ods or .csv and load that file.")
        raise FileUnreadable(f"{name} is an archive without a sheet in it: unpack it and load the sheet.")
    if any(member.flag_bits & 1 for member in members) or _is_locked(archive, names, name):
        raise FileUnreadable(f"{name} is locked with a password: save it without one and load that file.")
    if len(members) > MEMBERS:
        raise FileUnreadable(f"{name} holds {len(members)} parts, more than any workbook: copy the table into a new one and load that.")
    room = UNPACKED_MB * 1_000_000
    for member in members:
        room -= _measured(archive, member, room, name)
    return kind


def _is_locked(archive: zipfile.ZipFile, names: set[str], name: str) -> bool:
    """An OpenDocument file says in its list of parts how a password hides them."""
    place = "META-INF/manifest.xml"
    return place in names and b"encryption-data" in b"".join(_unpacked(archive, archive.getinfo(place), 10_000_000, name))


def _measured(archive: zipfile.ZipFile, member: zipfile.ZipInfo, room: int, name: str) -> int:
    """Bytes that a member unpacks to; entities, which no spreadsheet program writes, are looked for on the way."""
    size, tail = 0, b""
    is_read = member.filename.startswith("xl/") or member.filename == "content.xml"
    for chunk in _unpacked(archive, member, room, name):
        size += len(chunk)
        if is_read and _ENTITY in tail + chunk:
            raise FileUnreadable(f"{name} defines XML entities, as no spreadsheet program does: copy the table into a new workbook.")
        tail = chunk[-len(_ENTITY) :]
    return size


def _unpacked(archive: zipfile.ZipFile, member: zipfile.ZipInfo, room: int, name: str) -> Iterator[bytes]:
    """The content of a member piece by piece, as long as there is room; the size that the archive states for it is not believed."""
    if member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise NotImplementedError(member.compress_type)
    member.file_size = room + 2 * _CHUNK
    with archive.open(member) as content:
        while chunk := content.read(_CHUNK):
            room -= len(chunk)
            if room < 0:
                raise FileUnreadable(f"{name} unpacks to more than {UNPACKED_MB} MB: copy the table into a new workbook and load that.")
            yield chunk

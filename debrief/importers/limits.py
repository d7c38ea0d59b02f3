"""What may be opened. A small file that unpacks into a huge one is refused before anything reads it."""

import struct
import zipfile
import zlib
from collections.abc import Sequence
from pathlib import Path

from debrief import words
from debrief.errors import UnreadableFile
from debrief.importers.compound import OldSheets
from debrief.importers.extents import NoSheet, extent_of

MAX_BYTES = 200_000_000
MAX_RATIO = 200
MAX_MEMBERS = 2_000
MAX_ROWS = 5_000_000
MAX_COLUMNS = 1_000
MAX_CELLS = 60_000_000
MAX_SHEET_CELLS = 10_000_000
"""Of one sheet, from its first used cell to its last: a reader makes room for all of them."""

_ARCHIVES = (b"PK\x03\x04", b"\x1f\x8b", b"7z\xbc\xaf", b"Rar!", b"BZh", b"\xfd7zXZ")
_CHUNK = 1 << 20
BROKEN = (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError, OSError, ValueError)
"""What an archive that is damaged, locked or packed in an unknown way raises when it is opened."""


def refused(file: Path, key: str, /, **values: object) -> UnreadableFile:
    """Return the error that names the file, what was read, and the remedy."""
    return UnreadableFile(words.say(f"importing.{key}", file=file.name, **values))


def check_size(path: Path) -> None:
    """Refuse a file that is missing, no file, empty or too large.

    Raises
    ------
    UnreadableFile
        With the remedy.
    """
    if not path.is_file():
        raise refused(path, "not_a_file" if path.exists() else "missing_file", path=path)
    size = path.stat().st_size
    if size == 0:
        raise refused(path, "empty_file")
    if size > MAX_BYTES:
        raise refused(path, "too_large", size=size // 1_000_000, limit=MAX_BYTES // 1_000_000)


def check_cells(path: Path, rows: int, columns: int) -> None:
    """Refuse a table of more rows or more cells than are read.

    Raises
    ------
    UnreadableFile
        With the remedy.
    """
    if rows > MAX_ROWS:
        raise refused(path, "too_many_rows", limit=MAX_ROWS)
    if rows * columns > MAX_CELLS:
        raise refused(path, "too_many_cells", rows=rows, columns=columns, limit=MAX_CELLS)


def check_columns(path: Path, columns: int) -> None:
    """Refuse a table of more columns than are read.

    Raises
    ------
    UnreadableFile
        With the remedy.
    """
    if columns > MAX_COLUMNS:
        raise refused(path, "too_many_columns", limit=MAX_COLUMNS)


def most_unpacked(path: Path) -> int:
    """Return how many bytes an archive may unpack to."""
    return min(MAX_BYTES, MAX_RATIO * path.stat().st_size)


def check_members(path: Path, members: Sequence[zipfile.ZipInfo]) -> None:
    """Refuse an archive by what it says of itself, before anything is unpacked.

    Raises
    ------
    UnreadableFile
        With the remedy.
    """
    if len(members) > MAX_MEMBERS:
        raise refused(path, "too_many_members", count=len(members), limit=MAX_MEMBERS)
    if sum(member.file_size for member in members) > most_unpacked(path):
        raise unpacks_too_large(path)


def unpacks_too_large(path: Path) -> UnreadableFile:
    """Return the refusal of an archive that unpacks to more than it may."""
    return refused(path, "unpacks_too_large", limit=MAX_BYTES // 1_000_000, ratio=MAX_RATIO)


def is_packed(start: bytes) -> bool:
    """Tell whether bytes begin like an archive."""
    return start.startswith(_ARCHIVES)


def check_workbook(path: Path) -> None:
    """Refuse a workbook that is broken, holds an archive, or is too large once unpacked.

    The sizes that it states are looked at first, then the bytes are counted as they come out, for what is
    stated can lie.

    Raises
    ------
    UnreadableFile
        With the remedy.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            members = archive.infolist()
            check_members(path, members)
            left = most_unpacked(path)
            for member in members:
                left -= _unpack(path, archive, member, left)
    except BROKEN as error:
        raise refused(path, "broken_archive", reason=error) from error


def _unpack(path: Path, archive: zipfile.ZipFile, member: zipfile.ZipInfo, allowed: int) -> int:
    """Return how many bytes a member of a workbook unpacks to, or refuse it."""
    size, extent = 0, extent_of(member.filename)
    with archive.open(member) as file:
        while chunk := file.read(_CHUNK):
            if size == 0 and is_packed(chunk):
                raise refused(path, "nested_archive", member=member.filename)
            size += len(chunk)
            if size > allowed:
                raise unpacks_too_large(path)
            extent.feed(chunk)
    _check_extent(path, member.filename, extent)
    return size


def check_old_workbook(path: Path) -> None:
    """Refuse an xls that is broken or reaches too far: its reader would follow it without end.

    Raises
    ------
    UnreadableFile
        With the remedy.
    """
    try:
        extent = OldSheets(path.read_bytes())
    except (ValueError, struct.error) as error:
        raise refused(path, "broken_workbook", reason=error) from error
    _check_extent(path, "a sheet", extent)


def _check_extent(path: Path, member: str, extent: NoSheet) -> None:
    if extent.rows * extent.columns > MAX_SHEET_CELLS:
        raise refused(path, "sheet_too_large", member=member, rows=extent.rows, columns=extent.columns)

"""What may be opened. A small file that unpacks into a huge one is refused before anything reads it."""

import re
import zipfile
from pathlib import Path

from debrief import words
from debrief.errors import UnreadableFile

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
_REFERENCE = re.compile(rb'<c r="([A-Z]{1,3})(\d{1,7})"')


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


def check_archive(path: Path) -> None:
    """Refuse an archive that is broken, nested, or too large once unpacked.

    The sizes that an archive states are looked at first, then the bytes are counted as they come out, for
    what is stated can lie.

    Raises
    ------
    UnreadableFile
        With the remedy.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            members = archive.infolist()
            if len(members) > MAX_MEMBERS:
                raise refused(path, "too_many_members", count=len(members), limit=MAX_MEMBERS)
            allowed = min(MAX_BYTES, MAX_RATIO * path.stat().st_size)
            if sum(member.file_size for member in members) > allowed:
                raise _unpacks_too_large(path)
            unpacked = 0
            for member in members:
                unpacked += _unpack(path, archive, member, allowed - unpacked)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, ValueError) as error:
        raise refused(path, "broken_archive", reason=error) from error


def _unpacks_too_large(path: Path) -> UnreadableFile:
    return refused(path, "unpacks_too_large", limit=MAX_BYTES // 1_000_000, ratio=MAX_RATIO)


def _unpack(path: Path, archive: zipfile.ZipFile, member: zipfile.ZipInfo, allowed: int) -> int:
    """Return how many bytes a member unpacks to, or refuse it."""
    size, tail, last_row, last_column = 0, b"", 0, 0
    is_sheet = member.filename.startswith("xl/worksheets/")
    with archive.open(member) as file:
        while chunk := file.read(_CHUNK):
            if size == 0 and chunk.startswith(_ARCHIVES):
                raise refused(path, "nested_archive", member=member.filename)
            size += len(chunk)
            if size > allowed:
                raise _unpacks_too_large(path)
            if is_sheet:
                chunk = tail + chunk
                for column, row in _REFERENCE.findall(chunk):
                    last_row = max(last_row, int(row))
                    last_column = max(last_column, _column_number(column))
                tail = chunk[-32:]
    if last_row * last_column > MAX_SHEET_CELLS:
        raise refused(path, "sheet_too_large", member=member.filename, rows=last_row, columns=last_column)
    return size


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number

"""Delimited text: comma, semicolon, tab or bar; UTF-8, UTF-16 or, announced, Windows-1252."""

import codecs
import csv
import io
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from debrief.importers.grid import Contents, Grid, Importer, Row
from debrief.importers.headings import is_known
from debrief.importers.limits import MAX_ROWS, check_size, refused
from debrief.importers.notices import Notice, notice

DELIMITERS = ",;\t|"
_SUFFIXES = {".csv", ".tsv", ".tab", ".txt", ".log", ""}
_NOT_TEXT = (
    b"PK\x03\x04",
    b"%PDF",
    b"\xd0\xcf\x11\xe0",
    b"\x89PNG",
    b"\xff\xd8\xff",
    b"GIF8",
    b"\x1f\x8b",
    b"SQLite",
)
_MARKUP = (b"{", b"[", b"<")
_BOMS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
_SAMPLE_ROWS = 200
_END = "\x04"


def claims(path: Path, head: bytes) -> bool:
    """Tell whether this is delimited text: by its name, and by not beginning like something else."""
    start = head.removeprefix(codecs.BOM_UTF8).lstrip()
    if start.startswith(_NOT_TEXT) or (
        start.startswith(_MARKUP) and path.suffix.lower() not in {".csv", ".tsv"}
    ):
        return False
    return path.suffix.lower() in _SUFFIXES


def read(path: Path) -> Contents:
    """Open a text file as one grid.

    Raises
    ------
    UnreadableFile
        Where it is empty, no text, or has no two columns.
    """
    check_size(path)
    text, encoding, notices = decode(path)
    delimiter = vote(text)
    if delimiter is None:
        raise refused(path, "no_delimiter", line=next(filter(None, text.split("\n")), "")[:60].strip())
    rows = _rows(path, text, delimiter, csv.QUOTE_MINIMAL)
    if rows is None:
        notices = [*notices, notice("quote_unclosed")]
        rows = _rows(path, text, delimiter, csv.QUOTE_NONE) or []
    return Contents((Grid(rows, decimal_comma=delimiter == ";"),), encoding, delimiter, tuple(notices))


def decode(path: Path) -> tuple[str, str, list[Notice]]:
    """Return the text of a file, its encoding, and what had to be assumed.

    Raises
    ------
    UnreadableFile
        Where no encoding that is tried gives text.
    """
    raw = path.read_bytes()
    notices: list[Notice] = []
    encoding = next((name for mark, name in _BOMS if raw.startswith(mark)), None) or _without_mark(raw)
    try:
        text = raw.decode(encoding)
    except UnicodeDecodeError as error:
        if encoding != "utf-8":
            raise refused(path, "wrong_encoding", encoding=encoding, byte=error.start) from error
        encoding = "cp1252"
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError as second:
            raise refused(
                path, "wrong_encoding", encoding="utf-8 or windows-1252", byte=second.start
            ) from second
        line = raw[: error.start].count(b"\n") + 1
        notices.append(notice("encoding_assumed", str(line), byte=f"0x{raw[error.start]:02x}"))
    strange = sum(1 for character in text if character < " " and character not in "\t\r\n\f\v")
    if "\0" in text or strange > len(text) / 100:
        raise refused(path, "not_text")
    if not text.strip():
        raise refused(path, "empty_file")
    return text, encoding.removesuffix("-sig"), notices


def _without_mark(raw: bytes) -> str:
    """Return the encoding of bytes without a byte order mark: every second byte is zero in UTF-16."""
    head = raw[:2000]
    if len(raw) % 2 == 0 and len(head) >= 4:
        for start, name in ((1, "utf-16-le"), (0, "utf-16-be")):
            if head[start::2].count(0) > 0.6 * len(head[start::2]):
                return name
    return "utf-8"


def vote(text: str) -> str | None:
    """Return the delimiter that makes a heading of known words, else the one that makes most rows as wide.

    Null where none gives two columns.
    """
    best, choice = (False, 0.0, 0), None
    for delimiter in DELIMITERS:
        widths, headed = Counter[int](), False
        for cells in csv.reader(_sample(text), delimiter=delimiter):
            widths[len(cells)] += any(cells)
            headed = headed or sum(map(is_known, cells)) > 1
        several = {width: count for width, count in widths.items() if width > 1}
        if several:
            width = max(several, key=lambda width: (several[width], width))
            score = (headed, several[width] / widths.total(), width)
            if score > best:
                best, choice = score, delimiter
    return choice


def _sample(text: str) -> Iterator[str]:
    return (line for line, _ in zip(io.StringIO(text, newline=""), range(_SAMPLE_ROWS), strict=False))


def _rows(path: Path, text: str, delimiter: str, quoting: int) -> list[Row] | None:
    """Return the rows that hold anything, each at the line where it begins; null where a quote stays open.

    A last line of our own tells: it comes back as a row by itself unless an open quote has swallowed it.
    """
    rows: list[Row] = []
    lines = io.StringIO(f"{text}\n{_END}", newline="")
    reader = csv.reader(lines, delimiter=delimiter, quoting=quoting)  # type: ignore[arg-type]
    before, cells = 0, [""]
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append(Row(str(before + 1), tuple(cell.strip() for cell in cells)))
            before = reader.line_num
            if len(rows) > MAX_ROWS:
                raise refused(path, "too_many_rows", limit=MAX_ROWS)
    except csv.Error as error:
        if quoting == csv.QUOTE_NONE:
            raise refused(path, "broken_text", line=before + 1, reason=error) from error
        return None
    return rows[:-1] if cells == [_END] else None


IMPORTER = Importer("delimited", claims, read)

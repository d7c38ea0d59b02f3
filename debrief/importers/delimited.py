"""Delimited text: comma, semicolon, tab or bar; UTF-8, UTF-16 or, announced, Windows-1252."""

import codecs
import csv
from collections import Counter
from collections.abc import Sequence
from itertools import chain, islice
from pathlib import Path

from debrief.importers.grid import Contents, Grid, GridMaker, Importer
from debrief.importers.headings import is_known
from debrief.importers.limits import check_size, refused
from debrief.importers.notices import Notice, notice
from debrief.importers.places import at

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
_SAMPLE_LINES = 200
_CHUNK = 1 << 20
_CONTROLS = [chr(code) for code in range(32) if chr(code) not in "\t\r\n\f\v"]
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
    """Open a text file as one grid, line by line.

    Raises
    ------
    UnreadableFile
        Where it is empty, no text, or has no two columns.
    """
    check_size(path)
    encoding, notices = encoding_of(path)
    with path.open(encoding=encoding, newline="") as file:
        head = list(islice(file, _SAMPLE_LINES))
    delimiter = vote(head)
    if delimiter is None:
        line = next(filter(None, map(str.strip, head)), "")
        raise refused(path, "no_delimiter", line=line[:60])
    grid = _grid(path, encoding, delimiter, csv.QUOTE_MINIMAL)
    if grid is None:
        notices = [*notices, notice("quote_unclosed")]
        grid = _grid(path, encoding, delimiter, csv.QUOTE_NONE)
    shown = encoding.removesuffix("-sig")
    return Contents((grid,) if grid else (), shown, delimiter, tuple(notices))


def encoding_of(path: Path) -> tuple[str, list[Notice]]:
    """Return the encoding of a text file, and what had to be assumed.

    Raises
    ------
    UnreadableFile
        Where no encoding that is tried gives text.
    """
    with path.open("rb") as file:
        head = file.read(_CHUNK)
    encoding = next((name for mark, name in _BOMS if head.startswith(mark)), None) or _without_mark(
        head, path.stat().st_size
    )
    bad = _undecodable(path, encoding)
    if bad is None:
        return encoding, []
    if encoding != "utf-8":
        raise refused(path, "wrong_encoding", encoding=encoding, byte=bad)
    second = _undecodable(path, "cp1252")
    if second is not None:
        raise refused(path, "wrong_encoding", encoding="utf-8 or windows-1252", byte=second)
    with path.open("rb") as file:
        before, byte = file.read(bad), file.read(1)
    return "cp1252", [notice("encoding_assumed", at(before.count(b"\n") + 1), byte=f"0x{byte[0]:02x}")]


def _undecodable(path: Path, encoding: str) -> int | None:
    """Return the first byte that an encoding cannot read, or null; refuse what decodes to no text at all."""
    decoder = codecs.getincrementaldecoder(encoding)()
    count = strange = done = 0
    blank = True
    with path.open("rb") as file:
        while True:
            chunk = file.read(_CHUNK)
            held = len(decoder.getstate()[0])
            try:
                text = decoder.decode(chunk, final=not chunk)
            except UnicodeDecodeError as error:
                return done - held + error.start
            done += len(chunk)
            count += len(text)
            strange += sum(map(text.count, _CONTROLS))
            if "\0" in text:
                raise refused(path, "not_text")
            blank = blank and not text.strip()
            if not chunk:
                break
    if strange > count / 100:
        raise refused(path, "not_text")
    if blank:
        raise refused(path, "empty_file")
    return None


def _without_mark(head: bytes, size: int) -> str:
    """Return the encoding of bytes without a byte order mark: every second byte is zero in UTF-16."""
    head = head[:2000]
    if size % 2 == 0 and len(head) >= 4:
        for start, name in ((1, "utf-16-le"), (0, "utf-16-be")):
            if head[start::2].count(0) > 0.6 * len(head[start::2]):
                return name
    return "utf-8"


def vote(lines: Sequence[str]) -> str | None:
    """Return the delimiter that makes a heading of known words, else the one that makes most rows as wide.

    Null where none gives two columns.
    """
    best, choice = (False, 0.0, 0), None
    for delimiter in DELIMITERS:
        widths, headed = Counter[int](), False
        for cells in csv.reader(lines, delimiter=delimiter):
            widths[len(cells)] += any(cells)
            headed = headed or sum(map(is_known, cells)) > 1
        several = {width: count for width, count in widths.items() if width > 1}
        if several:
            width = max(several, key=lambda width: (several[width], width))
            score = (headed, several[width] / widths.total(), width)
            if score > best:
                best, choice = score, delimiter
    return choice


def _grid(path: Path, encoding: str, delimiter: str, quoting: int) -> Grid | None:
    """Return the rows that hold anything, each at the line where it begins; null where a quote stays open.

    A last line of our own tells: it comes back as a row by itself unless an open quote has swallowed it.
    """
    maker = GridMaker(path)
    before, start, cells = 0, 0, [""]
    with path.open(encoding=encoding, newline="") as file:
        reader = csv.reader(chain(file, [_END]), delimiter=delimiter, quoting=quoting)  # type: ignore[arg-type]
        try:
            for row in reader:
                if any(cells):
                    maker.add(start, cells)
                cells, start = list(map(str.strip, row)), before + 1
                before = reader.line_num
        except csv.Error as error:
            if quoting == csv.QUOTE_NONE:
                raise refused(path, "broken_text", line=before + 1, reason=error) from error
            return None
    return maker.grid(decimal_comma=delimiter == ";") if cells == [_END.strip()] else None


IMPORTER = Importer("delimited", claims, read)

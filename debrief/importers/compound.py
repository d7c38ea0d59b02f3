"""The container of an xls, looked over before a reader follows it: chains end, counts and cells fit.

Layout by the published descriptions of compound files and of the binary workbook format.
"""

import struct
from collections.abc import Iterator
from itertools import count

from debrief.importers.extents import NoSheet

_HEADER = 512
_LAST = 0xFFFFFFFA
"""Sector numbers from here on end a chain or name no sector."""
_STREAMS = ("Workbook", "Book")
_BEGIN, _DIMENSIONS, _STRINGS, _SEVERAL = 0x0809, 0x0200, 0x00FC, (0x00BD, 0x00BE)
_CELLS = {0x0006, 0x0201, 0x0203, 0x0204, 0x0205, 0x00D6, 0x00FD, 0x027E, *_SEVERAL}


class Compound:
    """A compound file whose every chain was followed to its end.

    Raises
    ------
    ValueError
        Where a chain runs in a circle or out of the file, or a table of it is cut short.
    """

    def __init__(self, raw: bytes) -> None:
        if len(raw) < _HEADER:
            raise ValueError("it ends within its header")
        shift, small_shift = struct.unpack_from("<HH", raw, 30)
        if shift not in (9, 12) or small_shift != 6:
            raise ValueError(f"its sectors are of no known size ({shift}, {small_shift})")
        self._raw, self._size = raw, 1 << shift
        self._next = self._table(self._sectors_of_table())
        folder = self._bytes(struct.unpack_from("<I", raw, 48)[0])
        entries = [_entry(folder[at : at + 128]) for at in range(0, len(folder) - 127, 128)]
        self._cutoff = struct.unpack_from("<I", raw, 56)[0]
        small = self._bytes(struct.unpack_from("<I", raw, 60)[0])
        self._next_small = struct.unpack(f"<{len(small) // 4}I", small[: len(small) // 4 * 4])
        root = next((start for _, kind, start, _ in entries if kind == 5), _LAST)
        self._small = self._bytes(root)
        self.streams = {
            name: self._stream(start, size) for name, kind, start, size in entries if kind == 2 and size
        }

    def _sectors_of_table(self) -> Iterator[int]:
        """Yield the sectors of the table of sectors, of which the header holds the first."""
        for number in struct.unpack_from("<109I", self._raw, 76):
            if number < _LAST:
                yield number
        number, most = struct.unpack_from("<I", self._raw, 68)[0], len(self._raw) // self._size
        per_sector = self._size // 4
        for step in count():
            if number >= _LAST:
                return
            if step > most:
                raise ValueError("its table of sectors runs in a circle")
            *numbers, number = struct.unpack(f"<{per_sector}I", self._sector(number))
            yield from (each for each in numbers if each < _LAST)

    def _table(self, sectors: Iterator[int]) -> tuple[int, ...]:
        most = len(self._raw) // self._size + 1
        found: list[int] = []
        for step, number in enumerate(sectors):
            if step > most:
                raise ValueError("its table of sectors is longer than the file")
            found += struct.unpack(f"<{self._size // 4}I", self._sector(number))
        return tuple(found)

    def _sector(self, number: int) -> bytes:
        start = max(_HEADER, self._size) + number * self._size
        if start >= len(self._raw):
            raise ValueError(f"sector {number} lies beyond its end")
        return self._raw[start : start + self._size].ljust(self._size, b"\0")

    def _bytes(self, start: int) -> bytes:
        return b"".join(self._sector(number) for number in _chain(start, self._next))

    def _stream(self, start: int, size: int) -> bytes:
        if size >= self._cutoff:
            return self._bytes(start)[:size]
        parts = [self._small[64 * number : 64 * number + 64] for number in _chain(start, self._next_small)]
        return b"".join(parts)[:size]


def _entry(raw: bytes) -> tuple[str, int, int, int]:
    """Return name, kind, first sector and size of an entry of the directory."""
    letters = min(struct.unpack_from("<H", raw, 64)[0], 64)
    start, size = struct.unpack_from("<II", raw, 116)
    return raw[: max(letters - 2, 0)].decode("utf-16-le", "replace"), raw[66], start, size


def _chain(start: int, following: tuple[int, ...]) -> Iterator[int]:
    number, left = start, len(following)
    while number < _LAST:
        if number >= len(following) or not left:
            raise ValueError("a chain of its sectors runs in a circle or out of the file")
        yield number
        number, left = following[number], left - 1


class OldSheets(NoSheet):
    """How far the cells of the largest sheet of an xls reach.

    Raises
    ------
    ValueError
        As ``Compound``, and where it counts more strings than it can hold.
    """

    def __init__(self, raw: bytes) -> None:
        streams = Compound(raw).streams
        rows = columns = 0
        for kind, data in _records(next((streams[name] for name in _STREAMS if name in streams), b"")):
            if kind == _BEGIN:
                rows = columns = 0
            elif kind == _STRINGS and len(data) >= 8 and struct.unpack_from("<I", data, 4)[0] > len(raw):
                raise ValueError("it counts more strings than it can hold")
            elif kind == _DIMENSIONS and len(data) >= 12:
                last_row, _, last_column = struct.unpack_from("<IHH", data, 4)
                rows, columns = max(rows, last_row), max(columns, last_column)
            elif kind in _CELLS and len(data) >= 6:
                row, column = struct.unpack_from("<HH", data)
                last = struct.unpack_from("<H", data, len(data) - 2)[0] if kind in _SEVERAL else column
                rows, columns = max(rows, row + 1), max(columns, column + 1, last + 1)
            if rows * columns > self.rows * self.columns:
                self.rows, self.columns = rows, columns


def _records(stream: bytes) -> Iterator[tuple[int, bytes]]:
    at = 0
    while at + 4 <= len(stream):
        kind, length = struct.unpack_from("<HH", stream, at)
        yield kind, stream[at + 4 : at + 4 + length]
        at += 4 + length

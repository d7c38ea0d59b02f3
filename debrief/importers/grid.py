"""Cells in rows: the shape that all kinds of file have in common once they are opened.

A grid is kept by its columns, each different cell once, so that what is alike in many rows is read once.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from itertools import zip_longest
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa

from debrief.importers import limits
from debrief.importers.notices import Notice
from debrief.importers.places import Places
from debrief.model.axis import Bools, Ints
from debrief.model.columns import Codebook, Codes, Repeated

Cell = str | float | datetime | date | time | timedelta
"""Text as written, or what a workbook holds behind what it shows."""

Cells = Repeated[Cell | None]
"""One column of a grid; null where a row ends before it."""

SAMPLE = 200
"""Rows from which the width of a grid is taken."""
_CHUNK = 50_000


@dataclass(frozen=True)
class Grid:
    """One table of a file. Blank rows are left out, places are kept.

    ``names`` are the names of the columns, where they do not stand in a row of the grid; ``sheet`` is null
    but in a workbook. ``beyond`` holds what stands in a row to the right of all columns. ``in_order`` is
    false where the rows do not stand in the order in which they were recorded. ``event`` names the one
    event that a grid holds, and ``about`` is what the file says of it, by the keys of event.json.
    """

    columns: tuple[Cells, ...]
    places: Places
    names: tuple[str, ...] | None = None
    sheet: str | None = None
    decimal_comma: bool = False
    beyond: Mapping[int, tuple[Cell, ...]] = field(default_factory=dict)
    in_order: bool = True
    event: str | None = None
    about: Mapping[str, Any] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.places)

    def row(self, number: int) -> tuple[Cell, ...]:
        """Return the cells of one row, as many as it has."""
        cells = [column[number] for column in self.columns]
        return (*(cell for cell in cells if cell is not None), *self.beyond.get(number, ()))

    def head(self, count: int) -> list[tuple[Cell, ...]]:
        """Return the first rows."""
        return [self.row(number) for number in range(min(count, len(self)))]

    def take(self, rows: Ints | Bools) -> "Grid":
        """Return some rows, by number or by a mask."""
        kept = np.flatnonzero(rows) if rows.dtype == np.bool_ else rows
        beyond = self.beyond
        if beyond:
            beyond = {new: beyond[old] for new, old in enumerate(kept.tolist()) if old in beyond}
        return replace(
            self,
            columns=tuple(column.take(kept) for column in self.columns),
            places=self.places.take(kept),
            beyond=beyond,
        )


class GridMaker:
    """Takes rows as they are read and makes a grid of them.

    The first rows decide how many columns there are. A file of too many cells is refused before it fills
    the memory.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._books: list[Codebook[Cell | None]] = []
        self._codes: list[list[Codes]] = []
        self._numbers: list[Ints] = []
        self._beyond: dict[int, tuple[Cell, ...]] = {}
        self._rows: list[Sequence[Cell]] = []
        self._places: list[int] = []
        self._names: dict[str, int] = {}
        self._count = 0

    def add(self, number: int, cells: Sequence[Cell]) -> None:
        """Take one row, and its number in the file."""
        self._rows.append(cells)
        self._places.append(number)
        if len(self._rows) == _CHUNK:
            self._flush()

    def add_named(self, number: int, cells: Mapping[str, Cell]) -> None:
        """Take one row whose cells have names; a name that was not there before is a new column."""
        for name in cells:
            if name not in self._names:
                self._names[name] = len(self._names)
                limits.check_columns(self._path, len(self._names))
        self.add(number, [cells.get(name, "") for name in self._names])

    def _flush(self) -> None:
        """Put the rows that were taken into columns."""
        if not self._rows:
            return
        width = len(self._books)
        if self._names:
            width = len(self._names)
            self._rows = [[*cells, *[""] * (width - len(cells))] for cells in self._rows]
        elif not width:
            width = min(max(map(len, self._rows[:SAMPLE])), limits.MAX_COLUMNS)
        while len(self._books) < width:
            book = Codebook[Cell | None]()
            self._books.append(book)
            self._codes.append([np.full(self._count, book[""], np.int32)] if self._count else [])
        for row, cells in enumerate(self._rows):
            if len(cells) > width:
                self._beyond[self._count + row] = tuple(cells[width:])
                self._rows[row] = cells[:width]
        self._count += len(self._rows)
        limits.check_cells(self._path, self._count, width)
        columns = list(zip_longest(*self._rows))
        columns += [(None,) * len(self._rows)] * (width - len(columns))
        for book, codes, cells in zip(self._books, self._codes, columns, strict=True):
            codes.append(book.encode(cells))
        self._numbers.append(np.array(self._places, np.int64))
        self._rows, self._places = [], []

    def grid(self, prefix: str = "", **about: Any) -> Grid:  # noqa: ANN401 - as the fields of a grid
        """Return all rows as a grid; ``prefix`` stands before the number of each in its place."""
        self._flush()
        numbers = np.concatenate([np.zeros(0, np.int64), *self._numbers])
        columns = tuple(
            Repeated(list(book), np.concatenate(codes))
            for book, codes in zip(self._books, self._codes, strict=True)
        )
        if self._names:
            about["names"] = tuple(self._names)
        return Grid(columns, Places(prefix, numbers), beyond=self._beyond, **about)


@dataclass(frozen=True)
class Contents:
    """An opened file: its tables, and how it was opened.

    ``marks`` is what the file holds where it is a table of our own schema, and then there is nothing to read.
    """

    grids: tuple[Grid, ...]
    encoding: str | None = None
    delimiter: str | None = None
    notices: tuple[Notice, ...] = field(default=())
    marks: pa.Table | None = None


@dataclass(frozen=True)
class Importer:
    """One kind of file. ``claims`` sees the path and the first bytes; ``read`` opens the file.

    ``read`` raises ``UnreadableFile``, with the remedy, where the file cannot be opened.
    """

    name: str
    claims: Callable[[Path, bytes], bool]
    read: Callable[[Path], Contents]


def text_of(cell: Cell | None) -> str:
    """Return a cell as text: whole numbers without a point, times in ISO form, seconds if there are any."""
    if isinstance(cell, str):
        return cell.strip()
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, (int, float)):
        return f"{cell:.12g}"
    if isinstance(cell, datetime):
        return f"{cell.date().isoformat()} {text_of(cell.time())}"
    if isinstance(cell, time):
        return _clock_text(cell, seconds=bool(cell.second or cell.microsecond))
    if isinstance(cell, timedelta):
        return _duration_text(cell)
    return cell.isoformat()


def text_of_times(cells: Sequence[Cell | None]) -> list[str]:
    """Return the different cells of a column of times as text.

    A workbook does not say whether ``14:03`` was meant to the minute. Where no time of the column has
    seconds, all are written to the minute; else all with seconds.
    """
    if all(isinstance(cell, str) for cell in cells):
        return [text_of(cell) for cell in cells]
    cells = _with_midnights(_from_day_fractions(cells))
    kept = [cell for cell in cells if isinstance(cell, (datetime, time))]
    seconds = any(cell.second or cell.microsecond for cell in kept)
    found = []
    for cell in cells:
        if isinstance(cell, datetime):
            found.append(f"{cell.date().isoformat()} {_clock_text(cell.time(), seconds)}")
        elif isinstance(cell, time):
            found.append(_clock_text(cell, seconds))
        else:
            found.append(text_of(cell))
    return found


def _from_day_fractions(cells: Sequence[Cell | None]) -> Sequence[Cell | None]:
    """Return bare numbers that can only be a workbook's days as the times they stand for: ``0.58`` is 14:03.

    They all lie within one day, as times of day or as dates since 1900; as seconds they would lie within
    one second.
    """
    numbers = [cell for cell in cells if isinstance(cell, float)]
    if (
        len(numbers) < 2
        or max(numbers) - min(numbers) >= 1
        or len(numbers) == sum(map(float.is_integer, numbers))
    ):
        return cells
    if not (max(numbers) < 1 or (min(numbers) > 30_000 and max(numbers) < 60_000)):
        return cells
    start = datetime(1899, 12, 30)  # noqa: DTZ001 - a wall time
    moments = [
        start + timedelta(seconds=round(86_400 * cell)) if isinstance(cell, float) else cell for cell in cells
    ]
    return [each.time() if isinstance(each, datetime) and each.year < 1900 else each for each in moments]


def _with_midnights(cells: Sequence[Cell | None]) -> Sequence[Cell | None]:
    """Return bare dates among dates with times as what they are: midnight to the second."""
    if not any(isinstance(cell, datetime) for cell in cells):
        return cells
    bare = [isinstance(cell, date) and not isinstance(cell, datetime) for cell in cells]
    return [
        datetime.combine(cell, time()) if is_bare and isinstance(cell, date) else cell
        for cell, is_bare in zip(cells, bare, strict=True)
    ]


def _clock_text(clock: time, seconds: bool) -> str:
    """Return a time of day, to the millisecond at most: a workbook's fraction of a day holds no more."""
    text = clock.isoformat(timespec="milliseconds")
    return text.removesuffix(".000") if seconds else text[:5]


def _duration_text(duration: timedelta) -> str:
    total_ms = round(duration / timedelta(milliseconds=1))
    sign, total_ms = ("-" if total_ms < 0 else ""), abs(total_ms)
    whole_s, ms = divmod(total_ms, 1000)
    text = f"{sign}{whole_s // 3600}:{whole_s // 60 % 60:02}:{whole_s % 60:02}"
    return f"{text}.{ms:03}" if ms else text

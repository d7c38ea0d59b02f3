"""Cells in rows: the shape that text files and workbooks have in common once they are opened."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path

from debrief.importers.notices import Notice

Cell = str | float | datetime | date | time | timedelta
"""Text as written, or what a workbook holds behind what it shows."""


@dataclass(frozen=True)
class Row:
    """One row, and its physical place: ``14`` in a text file, ``Log!14`` in a workbook."""

    place: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Grid:
    """One table of a file. ``sheet`` is null in a text file. Blank rows are left out, places are kept."""

    rows: list[Row]
    sheet: str | None = None
    decimal_comma: bool = False


@dataclass(frozen=True)
class Contents:
    """An opened file: its tables, and how it was opened."""

    grids: tuple[Grid, ...]
    encoding: str | None = None
    delimiter: str | None = None
    notices: tuple[Notice, ...] = field(default=())


@dataclass(frozen=True)
class Importer:
    """One kind of file. ``claims`` sees the path and the first bytes; ``read`` opens the file.

    ``read`` raises ``UnreadableFile``, with the remedy, where the file cannot be opened.
    """

    name: str
    claims: Callable[[Path, bytes], bool]
    read: Callable[[Path], Contents]


def text_of(cell: Cell) -> str:
    """Return a cell as text: whole numbers without a point, times in ISO form, seconds if there are any."""
    if isinstance(cell, str):
        return cell.strip()
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


def text_of_times(cells: list[Cell]) -> list[str]:
    """Return a column of times as text.

    A workbook does not say whether ``14:03`` was meant to the minute. Where no time of the column has
    seconds, all are written to the minute; else all with seconds.
    """
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


def _from_day_fractions(cells: list[Cell]) -> list[Cell]:
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


def _with_midnights(cells: list[Cell]) -> list[Cell]:
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

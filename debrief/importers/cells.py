"""Columns of a grid as cells and as text."""

import numpy as np

from debrief.importers.grid import Cell, Grid, text_of
from debrief.importers.notices import Notice, notice
from debrief.model.columns import Repeated, grouped, repeated, same


def cells_of(grid: Grid, index: int) -> Repeated[Cell | None]:
    """Return a column of a grid; empty where it has no such column."""
    return grid.columns[index] if index < len(grid.columns) else same("", len(grid))


def texts_of(grid: Grid, index: int) -> Repeated[str]:
    """Return a column of a grid as text."""
    return cells_of(grid, index).map(text_of)


def beyond_columns(grid: Grid, width: int) -> tuple[list[Repeated[str]], list[Notice]]:
    """Return what stands right of the last column, and tell of rows that are too long or too short."""
    notices = []
    further = [texts_of(grid, index) for index in range(width, len(grid.columns))]
    if grid.beyond:
        rest = ["; ".join(map(text_of, grid.beyond.get(row, ()))) for row in range(len(grid))]
        further.append(repeated(rest))
    long = np.zeros(len(grid), np.bool_)
    for column in further:
        long |= column.where(bool)
    if long.any():
        notices.append(notice("row_long", grid.places.take(long), width=width))
    short = cells_of(grid, width - 1).where(lambda cell: cell is None)
    if width and short.any():
        notices.append(notice("row_short", grid.places.take(short), width=width))
    return further, notices


def joined_texts(columns: list[Repeated[str]], count: int) -> Repeated[str | None]:
    """Return the texts of several columns together, null where none of them holds any."""
    held = [column for column in columns if column.where(bool).any()]
    group, first = grouped([(column.codes, len(column.values)) for column in held], count)
    joined = ["; ".join(filter(None, (column[row] for column in held))) or None for row in first.tolist()]
    return Repeated(joined, group.astype(np.int32))

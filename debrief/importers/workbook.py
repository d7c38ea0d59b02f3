"""Workbooks (xlsx): every sheet as a grid, with the dates of both epochs."""

from pathlib import Path

import python_calamine as calamine

from debrief.importers.grid import Cell, Contents, Grid, Importer, Row
from debrief.importers.limits import MAX_ROWS, check_archive, check_size, refused

_SUFFIXES = {".xlsx", ".xlsm"}


def claims(path: Path, head: bytes) -> bool:
    """Tell whether this is a workbook: by its name, and by beginning like an archive."""
    return path.suffix.lower() in _SUFFIXES and head.startswith(b"PK")


def read(path: Path) -> Contents:
    """Open a workbook, each sheet that holds anything as one grid.

    Raises
    ------
    UnreadableFile
        Where it is broken, empty, or over the limits of what may be opened.
    """
    check_size(path)
    check_archive(path)
    try:
        book = calamine.CalamineWorkbook.from_path(str(path))
        grids = [
            _grid(path, book, sheet.name)
            for sheet in book.sheets_metadata
            if sheet.typ == calamine.SheetTypeEnum.WorkSheet
        ]
    except calamine.CalamineError as error:
        raise refused(path, "broken_workbook", reason=error) from error
    kept = tuple(grid for grid in grids if grid.rows)
    if not kept:
        raise refused(path, "empty_workbook", sheets=", ".join(book.sheet_names))
    return Contents(kept)


def _grid(path: Path, book: calamine.CalamineWorkbook, name: str) -> Grid:
    rows = []
    for number, cells in enumerate(book.get_sheet_by_name(name).to_python(skip_empty_area=False), start=1):
        if any(cell != "" for cell in cells):
            rows.append(Row(f"{name}!{number}", tuple(_cell(cell) for cell in cells)))
    if len(rows) > MAX_ROWS:
        raise refused(path, "too_many_rows", limit=MAX_ROWS)
    return Grid(rows, sheet=name)


def _cell(cell: Cell | bool) -> Cell:
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return cell.strip() if isinstance(cell, str) else cell


IMPORTER = Importer("workbook", claims, read)

"""Workbooks (xlsx, xls, ods): every sheet as a grid, with the dates of both epochs."""

import zipfile
from pathlib import Path

import python_calamine as calamine

from debrief.importers.grid import Cell, Contents, Grid, GridMaker, Importer
from debrief.importers.limits import (
    BROKEN,
    MAX_COLUMNS,
    check_old_workbook,
    check_size,
    check_workbook,
    refused,
)

_OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""How an xls begins, and a workbook behind a password."""
_PANIC = "PanicException"
"""What calamine raises where it gives up within itself; it has no name to import."""
_SUFFIXES = {".xlsx", ".xlsm", ".xlsb", ".ods"}
_OPEN_DOCUMENT = b"application/vnd.oasis.opendocument.spreadsheet"


def claims(path: Path, head: bytes) -> bool:
    """Tell whether this is a workbook, whatever its name."""
    return head.startswith(_OLD) or (head.startswith(b"PK") and is_workbook(path))


def is_workbook(path: Path) -> bool:
    """Tell whether an archive is a workbook: by its name, so that a broken one says so, or its content."""
    if path.suffix.lower() in _SUFFIXES:
        return True
    try:
        with zipfile.ZipFile(path) as archive:
            if "mimetype" in archive.namelist():
                return archive.open("mimetype").read(len(_OPEN_DOCUMENT)) == _OPEN_DOCUMENT
            return "xl/workbook.xml" in archive.namelist()
    except BROKEN:
        return False


def read(path: Path) -> Contents:
    """Open a workbook, each sheet that holds anything as one grid.

    Raises
    ------
    UnreadableFile
        Where it is broken, empty, or over the limits of what may be opened.
    """
    check_size(path)
    with path.open("rb") as file:
        check = check_old_workbook if file.read(len(_OLD)) == _OLD else check_workbook
        check(path)
        file.seek(0)
        try:
            book = calamine.CalamineWorkbook.from_filelike(file)
            grids = [
                _grid(path, book, sheet.name)
                for sheet in book.sheets_metadata
                if sheet.typ == calamine.SheetTypeEnum.WorkSheet
            ]
        except calamine.CalamineError as error:
            raise refused(path, "broken_workbook", reason=error) from error
        except BaseException as error:
            if type(error).__name__ != _PANIC:
                raise
            raise refused(path, "broken_workbook", reason=error) from error
    kept = tuple(grid for grid in grids if len(grid))
    if not kept:
        raise refused(path, "empty_workbook", sheets=", ".join(book.sheet_names))
    return Contents(kept)


def _grid(path: Path, book: calamine.CalamineWorkbook, name: str) -> Grid:
    sheet = book.get_sheet_by_name(name)
    left = [""] * (sheet.start[1] if sheet.start else 0)
    rows = [(number, [*left, *map(_cell, cells)]) for number, cells in enumerate(sheet.iter_rows(), start=1)]
    lengths = [
        max((at for at, cell in enumerate(cells, start=1) if cell != ""), default=0) for _, cells in rows
    ]
    width = min(max(lengths, default=0), MAX_COLUMNS)
    maker = GridMaker(path)
    for (number, cells), length in zip(rows, lengths, strict=True):
        if length:
            maker.add(number, cells[: max(length, width)])
    return maker.grid(f"{name}!", sheet=name)


def _cell(cell: Cell | bool) -> Cell:
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return cell.strip() if isinstance(cell, str) else cell


IMPORTER = Importer("workbook", claims, read)

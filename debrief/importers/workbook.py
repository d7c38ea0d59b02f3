"""Workbooks (xlsx, xls, ods): every sheet as a grid, with the dates of both epochs."""

import zipfile
from pathlib import Path

import python_calamine as calamine

from debrief.importers.grid import Cell, Contents, Grid, GridMaker, Importer
from debrief.importers.limits import BROKEN, check_size, check_workbook, refused

_OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""How an xls begins, and a workbook behind a password."""
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
        if not file.read(len(_OLD)).startswith(_OLD):
            check_workbook(path)
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
    kept = tuple(grid for grid in grids if len(grid))
    if not kept:
        raise refused(path, "empty_workbook", sheets=", ".join(book.sheet_names))
    return Contents(kept)


def _grid(path: Path, book: calamine.CalamineWorkbook, name: str) -> Grid:
    sheet = book.get_sheet_by_name(name)
    left = [""] * (sheet.start[1] if sheet.start else 0)
    maker = GridMaker(path)
    for number, cells in enumerate(sheet.iter_rows(), start=1):
        if any(cell != "" for cell in cells):
            maker.add(number, [*left, *map(_cell, cells)])
    return maker.grid(f"{name}!", sheet=name)


def _cell(cell: Cell | bool) -> Cell:
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return cell.strip() if isinstance(cell, str) else cell


IMPORTER = Importer("workbook", claims, read)

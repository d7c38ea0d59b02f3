"""How far the cells of a sheet reach, told from its bytes as they are unpacked.

A reader of workbooks makes room for every cell up to the last before anybody can count them.
"""

import re
from typing import Any
from xml.parsers import expat

_REFERENCE = re.compile(rb'<c r="([A-Z]{1,3})(\d{1,7})"')
_TABLE, _ROW = "table:table", "table:table-row"
_CELLS = ("table:table-cell", "table:covered-table-cell")
_ROWS_REPEATED, _COLUMNS_REPEATED = "table:number-rows-repeated", "table:number-columns-repeated"


class DocumentType(ValueError):
    """A document declares a type, by which it could grow without limit."""


class NoSheet:
    """A member of a workbook that holds no cells."""

    rows = columns = 0

    def feed(self, chunk: bytes) -> None:
        """Look at the next bytes."""


class ReferencedCells(NoSheet):
    """A sheet whose cells say where they stand (xlsx)."""

    def __init__(self) -> None:
        self._tail = b""

    def feed(self, chunk: bytes) -> None:
        """Look at the next bytes."""
        chunk = self._tail + chunk
        for letters, row in _REFERENCE.findall(chunk):
            self.rows = max(self.rows, int(row))
            self.columns = max(self.columns, _column_number(letters))
        self._tail = chunk[-32:]


class RepeatedCells(NoSheet):
    """All sheets of a document whose cells and rows say how often they are repeated (ods)."""

    def __init__(self) -> None:
        self._row = self._column = self._repeat = self._across = 0
        self._filled = 0
        self._parser = expat.ParserCreate()
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._parser.CharacterDataHandler = self._text
        self._parser.StartDoctypeDeclHandler = self._refuse

    def feed(self, chunk: bytes) -> None:
        """Look at the next bytes.

        Raises
        ------
        ValueError
            Where they are no XML.
        """
        try:
            self._parser.Parse(chunk)
        except expat.ExpatError as error:
            raise ValueError(str(error)) from error

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        if name == _TABLE:
            self._row = 0
        elif name == _ROW:
            self._repeat, self._column, self._filled = int(attributes.get(_ROWS_REPEATED, 1)), 0, 0
        elif name in _CELLS:
            self._across = int(attributes.get(_COLUMNS_REPEATED, 1))
            self._column += self._across
            if "office:value-type" in attributes:
                self._filled = self._column

    def _text(self, text: str) -> None:
        if text.strip():
            self._filled = self._column

    def _end(self, name: str) -> None:
        if name == _ROW:
            self._row += self._repeat
            if self._filled:
                self.rows = max(self.rows, self._row)
                self.columns = max(self.columns, self._filled)

    def _refuse(self, *declared: Any) -> None:  # noqa: ANN401 - as the parser has it
        raise DocumentType(f"it declares the document type {declared[0]}")


def extent_of(member: str) -> NoSheet:
    """Return what looks at a member of a workbook."""
    if member.startswith("xl/worksheets/"):
        return ReferencedCells()
    return RepeatedCells() if member == "content.xml" else NoSheet()


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number

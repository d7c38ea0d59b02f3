"""Tables as files: CSV, a workbook, Parquet, JSON. What a spreadsheet would run is made harmless."""

import csv
import io
import json
import re
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import xlsxwriter

from debrief import __version__
from debrief.errors import BadSetting, NotKept
from debrief.words import say

FORMATS = ("csv", "xlsx", "parquet", "json")
FORMAT = "debrief-export-1"
MOST_ROWS = 1_048_575
MOST_LETTERS = 32_767
"""What a sheet of a workbook, and a cell of it, can hold."""
_RUNS = tuple("=+-@\t\r\uff1d\uff0b\uff0d\uff20")
_NUMBER = re.compile(r"[+-]?\d+(?:[.,:]\d+)*")
_EPOCH = datetime(1980, 1, 1, tzinfo=UTC).replace(tzinfo=None)
"""When a workbook says that it was made: the same content gives the same bytes."""


def defused(text: str) -> str:
    """Return a text as it can stand in CSV: with ``'`` before it where a spreadsheet would run it."""
    return f"'{text}" if text.startswith(_RUNS) and not _NUMBER.fullmatch(text) else text


def as_csv(rows: list[dict[str, Any]], columns: list[str]) -> str:
    """Return rows as CSV with a heading; null is empty, true and false are words."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([defused(name) for name in columns])
    writer.writerows([_csv_cell(row[name]) for name in columns] for row in rows)
    return text.getvalue()


def _csv_cell(value: Any) -> Any:  # noqa: ANN401 - what a column holds
    if isinstance(value, bool):
        return "true" if value else "false"
    return defused(value) if isinstance(value, str) else value


def write_tables(tables: Mapping[str, pa.Table], output: Path, form: str) -> None:
    """Write tables: CSV and Parquet as a file each into a folder, a workbook and JSON as one file.

    Parameters
    ----------
    tables
        By their names.
    output
        A folder, made where there is none, or a file.
    form
        One of `FORMATS`.

    Raises
    ------
    NotKept
        Where it cannot be written; no file is then left half written.
    BadSetting
        Where a workbook cannot hold so many rows.
    """
    try:
        several = form in ("csv", "parquet")
        home = output if several else output.parent
        home.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(dir=home, prefix=".export-") as name:
            draft = Path(name)
            if several:
                for table, content in tables.items():
                    _one_file(content, draft / f"{table}.{form}", form)
            elif form == "xlsx":
                _workbook(tables, draft / output.name)
            else:
                _json(tables, draft / output.name)
            for made in draft.iterdir():
                made.replace(home / made.name)
    except OSError as error:
        raise NotKept(say("registry.no_export", output=output, reason=error.strerror or error)) from error


def write_rows(rows: list[dict[str, Any]], columns: list[str], output: Path) -> None:
    """Write rows to one file: a workbook where it ends in ``.xlsx``, else CSV.

    Raises
    ------
    NotKept, BadSetting
        As `write_tables`.
    """
    if output.suffix.lower() == ".xlsx":
        data = {name: pa.array([row[name] for row in rows], pa.string()) for name in columns}
        write_tables({"events": pa.table(data)}, output, "xlsx")
        return
    try:
        output.write_text(as_csv(rows, columns), encoding="utf-8-sig", newline="")
    except OSError as error:
        raise NotKept(say("registry.no_export", output=output, reason=error.strerror or error)) from error


def _one_file(content: pa.Table, path: Path, form: str) -> None:
    if form == "parquet":
        pq.write_table(content, path)
    else:
        path.write_text(as_csv(content.to_pylist(), content.schema.names), encoding="utf-8-sig", newline="")


def _json(tables: Mapping[str, pa.Table], path: Path) -> None:
    made = {"format": FORMAT, "software": f"debrief {__version__}", "caution": say("pages.caution")}
    rows = {name: content.to_pylist() for name, content in tables.items()}
    path.write_text(json.dumps(made | rows, ensure_ascii=False, allow_nan=False, indent=1), encoding="utf-8")


def _workbook(tables: Mapping[str, pa.Table], path: Path) -> None:
    for name, content in tables.items():
        if len(content) > MOST_ROWS:
            raise BadSetting(say("registry.too_many_rows", table=name, count=len(content), most=MOST_ROWS))
    with xlsxwriter.Workbook(path, {"constant_memory": True, "in_memory": False}) as book:
        book.set_properties({"created": _EPOCH})
        bold = book.add_format({"bold": True})
        for name, content in tables.items():
            sheet = book.add_worksheet(name)
            sheet.freeze_panes(1, 0)
            for at, column in enumerate(content.schema.names):
                sheet.write_string(0, at, column, bold)
            for number, row in enumerate(content.to_pylist(), start=1):
                for at, value in enumerate(row.values()):
                    _cell(sheet, number, at, value)


def _cell(sheet: Any, row: int, column: int, value: Any) -> None:  # noqa: ANN401 - the package has no types
    """Write a value as what it is: a text is never a formula, a link or a number there."""
    if isinstance(value, bool):
        sheet.write_boolean(row, column, value)
    elif isinstance(value, str) and value:
        sheet.write_string(row, column, value[:MOST_LETTERS])
    elif value is not None and value != "":
        sheet.write_number(row, column, value)

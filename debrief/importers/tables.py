"""Parquet and Arrow files: tables of marks in our own schema, and plain tables with known columns."""

import datetime as dt
from collections.abc import Iterator
from math import isfinite, isnan
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa

from debrief.importers.grid import Cell, Contents, Grid, Importer
from debrief.importers.limits import MAX_BYTES, check_cells, check_columns, check_size, refused
from debrief.importers.places import Places
from debrief.model import marks
from debrief.model.columns import Repeated, ints_of

_PARQUET, _FILE, _STREAM = b"PAR1", b"ARROW1", b"\xff\xff\xff\xff"


def claims(path: Path, head: bytes) -> bool:
    """Tell whether this is a Parquet or an Arrow file, whatever its name."""
    return head.startswith((_PARQUET, _FILE, _STREAM))


def read(path: Path) -> Contents:
    """Open a table as one grid; one of our own schema is held to it and kept as it is.

    Raises
    ------
    UnreadableFile
        Where it is damaged, too large, empty, or marked as our own and does not fit the schema.
    """
    check_size(path)
    with path.open("rb") as file:
        parquet = file.read(4) == _PARQUET
    try:
        table = _parquet(path) if parquet else _ipc(path)
        table.validate(full=True)  # what stands in the buffers of a damaged file leads anywhere
        if not len(table):
            raise refused(path, "heading_only")
        if _is_ours(table):
            table = marks.check(_plain(table))
            return Contents((_grid(table),), marks=table)
        return Contents((_grid(table),))
    except (pa.ArrowException, OSError, ValueError, OverflowError) as error:
        raise refused(path, "broken_table", reason=str(error).splitlines()[0][:200]) from error


def _parquet(path: Path) -> pa.Table:
    import pyarrow.parquet as pq  # noqa: PLC0415 - takes longer than to read a text file

    with pq.ParquetFile(path) as file:
        about = file.metadata
        check_columns(path, about.num_columns)
        check_cells(path, about.num_rows, about.num_columns)
        if sum(about.row_group(at).total_byte_size for at in range(about.num_row_groups)) > MAX_BYTES:
            raise refused(path, "table_too_large", limit=MAX_BYTES // 1_000_000)
        texts = [field.name for field in file.schema_arrow if pa.types.is_string(field.type)]
    return pq.read_table(path, read_dictionary=texts)


def _ipc(path: Path) -> pa.Table:
    with pa.memory_map(str(path)) as source:
        batches = []
        held = 0
        for batch in _batches(source):
            held += batch.nbytes
            if held > MAX_BYTES:
                raise refused(path, "table_too_large", limit=MAX_BYTES // 1_000_000)
            batches.append(batch)
        table = pa.Table.from_batches(batches)
        check_columns(path, table.num_columns)
        check_cells(path, table.num_rows, table.num_columns)
        return table


def _batches(source: pa.NativeFile) -> Iterator[pa.RecordBatch]:
    if source.read(len(_FILE)) == _FILE:
        reader = pa.ipc.open_file(source)
        yield from (reader.get_batch(number) for number in range(reader.num_record_batches))
    else:
        source.seek(0)
        yield from pa.ipc.open_stream(source)


def _is_ours(table: pa.Table) -> bool:
    return b"debrief.marks" in (table.schema.metadata or {}) or table.schema.names == marks.SCHEMA.names


def _plain(table: pa.Table) -> pa.Table:
    """Return a table with coded columns as plain ones."""
    fields = [
        pa.field(field.name, field.type.value_type, metadata=field.metadata)
        if pa.types.is_dictionary(field.type)
        else field
        for field in table.schema
    ]
    return table.cast(pa.schema(fields, metadata=table.schema.metadata))


def _grid(table: pa.Table) -> Grid:
    """Return a table as a grid whose places count its rows from 1."""
    columns = tuple(_cells(table.column(at)) for at in range(table.num_columns))
    return Grid(columns, Places("", np.arange(1, len(table) + 1)), names=tuple(table.schema.names))


def _cells(column: pa.ChunkedArray) -> Repeated[Cell | None]:
    """Return a column as cells, its different values each once; null is empty."""
    kind = column.type
    if pa.types.is_dictionary(kind):
        coded = column.unify_dictionaries().combine_chunks()
    else:
        if pa.types.is_timestamp(kind):
            column = column.cast(pa.timestamp("us", kind.tz), safe=False)
        elif pa.types.is_time(kind):
            column = column.cast(pa.time64("us"), safe=False)
        elif pa.types.is_duration(kind):
            column = column.cast(pa.duration("us"), safe=False)
        elif pa.types.is_nested(kind) or pa.types.is_binary(kind) or pa.types.is_large_binary(kind):
            texts = [None if value is None else str(value) for value in column.to_pylist()]
            column = pa.chunked_array([pa.array(texts, pa.string())])
        coded = column.combine_chunks().dictionary_encode()
    digits = 7 if kind == pa.float32() else 15
    values = _texts(coded.dictionary.to_pylist(), digits)
    return Repeated([*values, ""], ints_of(coded.indices, len(values)).astype(np.int32))


def _texts(values: list[Any], digits: int) -> list[Cell]:
    """Return values as they would stand in a text file; times as finely as the finest of them needs."""
    moments = [value for value in values if isinstance(value, (dt.datetime, dt.time))]
    if any(value.microsecond for value in moments):
        spec = "milliseconds" if all(value.microsecond % 1000 == 0 for value in moments) else "microseconds"
    else:
        spec = "seconds" if any(value.second for value in moments) else "minutes"
    return [_text(value, spec, digits) for value in values]


def _text(value: Any, spec: str, digits: int) -> Cell:  # noqa: ANN401 - whatever a table can hold
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, dt.datetime):
        return value.isoformat(" ", timespec=spec)
    if isinstance(value, dt.time):
        return value.isoformat(timespec=spec)
    if isinstance(value, float):
        return f"{value:.{digits}g}" if isfinite(value) else "" if isnan(value) else str(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (dt.date, dt.timedelta)):
        return value
    return "" if value is None else str(value)


IMPORTER = Importer("table", claims, read)

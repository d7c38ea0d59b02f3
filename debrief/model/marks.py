"""The marks table and its gate: one Arrow schema at which every importer ends.

Arrow enforces neither nulls nor unknown keys when a table is made, so the gate does.
"""

import json
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
import pyarrow as pa

from debrief.model.axis import Floats, Ints
from debrief.model.columns import Repeated, float_array, int_array, same, text_array
from debrief.words import KINDS

FORMAT = "1"
_MARK = b"debrief.marks"
"""The key of the schema's metadata that holds the version."""


def _field(name: str, kind: pa.DataType, about: str, unit: str = "", nullable: bool = True) -> pa.Field:
    metadata = {"about": about} | ({"unit": unit} if unit else {})
    return pa.field(name, kind, nullable=nullable, metadata=metadata)


SCHEMA = pa.schema(
    [
        _field("event_id", pa.string(), "the resuscitation", nullable=False),
        _field("source_id", pa.string(), "one file or sitting, with one clock", nullable=False),
        _field(
            "place", pa.string(), "physical place in the file: line, sheet!row, JSON pointer", nullable=False
        ),
        _field("time_text", pa.string(), "the time as written", nullable=False),
        _field("source_time", pa.int64(), "the time on the source's own clock (point time)", "us"),
        _field("cell", pa.int64(), "how wide a stretch the written time stands for", "us"),
        _field("time", pa.int64(), "the time on the reference clock of the event, after alignment", "us"),
        _field("kind", pa.string(), "what was marked", nullable=False),
        _field("detail", pa.string(), "rhythm, drug, cause, method"),
        _field("amount", pa.float64(), "energy, dose or reading, in `unit`"),
        _field("unit", pa.string(), "canonical unit of the amount"),
        _field("route", pa.string(), "how a drug was given"),
        _field("length", pa.int64(), "how long it lasted", "us"),
        _field("role", pa.string(), "who, by role only"),
        _field("note", pa.string(), "free text of the row"),
        _field("origin", pa.string(), "person, device or detected", nullable=False),
        _field("label", pa.string(), "the source's own word for the mark", nullable=False),
    ],
    metadata={_MARK: FORMAT},
)
REQUIRED = tuple(field.name for field in SCHEMA if not field.nullable)
ORIGINS = ("person", "device", "detected")


def empty() -> pa.Table:
    """Return a marks table with no rows."""
    return pa.Table.from_arrays([pa.nulls(0, field.type) for field in SCHEMA], schema=SCHEMA)


def gate(rows: Iterable[Mapping[str, Any]]) -> pa.Table:
    """Return rows as a marks table, or refuse them.

    Raises
    ------
    ValueError
        Where a row has an unknown column, lacks a required one, or holds an unknown kind or origin.
    """
    rows = list(rows)
    known = set(SCHEMA.names)
    for number, row in enumerate(rows):
        if extra := set(row) - known:
            raise ValueError(
                f"row {number}: unknown column {sorted(extra)[0]!r}; known: {', '.join(SCHEMA.names)}"
            )
        for name in REQUIRED:
            if row.get(name) is None:
                raise ValueError(f"row {number}: {name!r} must not be empty")
        if row["kind"] not in KINDS:
            raise ValueError(f"row {number}: unknown kind {row['kind']!r}")
        if row["origin"] not in ORIGINS:
            raise ValueError(
                f"row {number}: unknown origin {row['origin']!r}; write one of {', '.join(ORIGINS)}"
            )
    return pa.Table.from_pylist(rows, schema=SCHEMA)


Texts = Repeated[str | None] | Repeated[str]


def gate_columns(columns: Mapping[str, Texts | Ints | Floats | pa.Array | str], rows: int) -> pa.Table:
    """Return columns as a marks table, or refuse them by the rules of ``gate``.

    Parameters
    ----------
    columns
        Texts, whole numbers (``MISSING`` for null), numbers (NaN for null), an Arrow array, or one text for
        all rows. What is not given is null.
    rows
        How many rows there are.

    Raises
    ------
    ValueError
        As ``gate``, and where a column is not as long as that.
    """
    if extra := set(columns) - set(SCHEMA.names):
        raise ValueError(f"unknown column {sorted(extra)[0]!r}; known: {', '.join(SCHEMA.names)}")
    full = {name: same(given, rows) if isinstance(given, str) else given for name, given in columns.items()}
    for name, given in full.items():
        if len(given) != rows:
            raise ValueError(f"{name!r} has {len(given)} rows of {rows}")
    arrays = [_array(full.get(field.name), field, rows) for field in SCHEMA]
    for name in REQUIRED if rows else ():
        if arrays[SCHEMA.names.index(name)].null_count:
            raise ValueError(f"{name!r} must not be empty")
    _refuse_strange(full, "kind", KINDS)
    _refuse_strange(full, "origin", ORIGINS)
    return pa.Table.from_arrays(arrays, schema=SCHEMA)


def _array(given: Texts | Ints | Floats | pa.Array | None, field: pa.Field, rows: int) -> pa.Array:
    if given is None:
        return pa.nulls(rows, field.type)
    if isinstance(given, pa.Array):
        return given
    if isinstance(given, Repeated):
        return text_array(given)
    if pa.types.is_integer(field.type):
        return int_array(given.astype(np.int64))
    return float_array(given.astype(np.float64))


def _refuse_strange(columns: Mapping[str, Any], name: str, known: Iterable[str]) -> None:
    column = columns.get(name)
    if column is None:
        return
    held = column.held() if isinstance(column, Repeated) else column.unique().to_pylist()
    if strange := {value for value in held if value is not None} - set(known):
        raise ValueError(f"unknown {name} {sorted(strange)[0]!r}; known: {', '.join(known)}")


def check(table: pa.Table) -> pa.Table:
    """Return a table read from elsewhere as a marks table, or refuse it.

    Raises
    ------
    ValueError
        Where columns, types, format version, nulls, kinds or origins are not those of the schema.
    """
    version = (table.schema.metadata or {}).get(_MARK, b"").decode("utf-8", "replace")
    if version and version != FORMAT:
        raise ValueError(f"marks of format {version}; this version reads format {FORMAT}")
    if table.schema.names != SCHEMA.names:
        raise ValueError(f"columns {', '.join(table.schema.names)}; expected {', '.join(SCHEMA.names)}")
    try:
        table = table.cast(SCHEMA)
    except (pa.ArrowException, OverflowError) as error:
        raise ValueError(f"columns of other types ({error})") from error
    for name in REQUIRED:
        if table[name].null_count:
            raise ValueError(f"{name!r} must not be empty")
    if strange := set(table["kind"].unique().to_pylist()) - set(KINDS):
        raise ValueError(f"unknown kind {sorted(strange)[0]!r}")
    if strange := set(table["origin"].unique().to_pylist()) - set(ORIGINS):
        raise ValueError(f"unknown origin {sorted(strange)[0]!r}")
    return table.replace_schema_metadata(SCHEMA.metadata)


def describe() -> str:
    """Return the schema as JSON, for a data dictionary."""
    return json.dumps(
        [
            {
                "name": field.name,
                "type": str(field.type),
                "required": not field.nullable,
                **{key.decode(): value.decode() for key, value in field.metadata.items()},
            }
            for field in SCHEMA
        ]
    )

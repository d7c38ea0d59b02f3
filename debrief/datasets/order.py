"""One order for marks, whatever the order in which they come: by the event's place on the ring, then time."""

import re
from collections.abc import Callable
from typing import Any
from zlib import crc32

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from debrief.model.axis import Bools, Ints
from debrief.model.columns import MISSING, bool_array, int_array, ints_of
from debrief.model.marks import SCHEMA

RING = 1 << 32
COLUMNS = tuple(name for name in SCHEMA.names if name not in ("role", "note", "label"))
"""What figures and problems need of a mark; free text and roles stay where they are."""
ROWS = pa.schema([SCHEMA.field(name).with_nullable(True).remove_metadata() for name in COLUMNS])
"""Marks on their way; what must not be null is looked at when they are measured."""
_PARTS = re.compile(r"(\d+)")


def empty(schema: pa.Schema) -> pa.Table:
    """Return a table without rows, without the lists by which Arrow would import pandas."""
    return pa.Table.from_arrays([pa.nulls(0, kind) for kind in schema.types], schema=schema)


def ring(event_id: str | None) -> int:
    """Return an event's place on the ring: the CRC-32 of its name in UTF-8."""
    return crc32((event_id or "").encode("utf-8", "surrogatepass"))


def partition_of(events: pa.Array, partitions: int) -> Ints:
    """Return the partition of each event: int64, shape (n,)."""
    coded = events.dictionary_encode()
    of = [ring(name) * partitions // RING for name in coded.dictionary.to_pylist()]
    found: Ints = np.array([*of, 0], np.int64)[ints_of(coded.indices, -1)]
    return found


def in_order(marks: pa.Table) -> tuple[pa.Table, Ints, list[str], Ints]:
    """Return marks by event, source, time and place, each mark once.

    Returns
    -------
    marks
        Of `ROWS`.
    event
        The number of each mark's event: int64, shape (n,).
    events
        The names of the events, in the order of the ring.
    twice
        How many marks of each event stood there again, alike in every column: int64, shape (events,).
    """
    marks = marks.combine_chunks()
    events, event = _ranked(marks["event_id"], lambda name: (ring(name), name))
    source = _ranked(marks["source_id"], lambda name: name)[1]
    time = ints_of(pc.coalesce(marks["time"], marks["source_time"]), MISSING)
    turn = np.lexsort((time, source, event))
    beside = _beside(event[turn], source[turn], time[turn])
    tied = np.sort(turn[_either(beside, len(turn))])
    place, rest = np.zeros((2, len(event)), np.int64)
    if len(tied):
        rows = marks.take(int_array(tied))
        place[tied] = _ranked(rows["place"], _natural)[1]
        for name in COLUMNS:
            rest[tied] = _paired(rest[tied], _ranked(rows[name], lambda value: value)[1])
    turn = np.lexsort((rest, place, time, source, event))
    again = _beside(*(key[turn] for key in (event, source, time, place, rest)))
    again &= np.isin(turn[1:], tied)
    twice = np.bincount(event[turn[1:][again]], minlength=len(events))
    turn = turn[np.append(True, ~again)[: len(turn)]]
    return marks.take(int_array(turn)), event[turn], events, twice


def only(marks: pa.Table, rows: Bools) -> pa.Table:
    """Return some rows of a table. ``rows``: bool, shape (n,)."""
    return marks if rows.all() else marks.filter(bool_array(rows))


def _beside(*keys: Ints) -> Bools:
    """Return which rows but the first are as the one before them in every key: bool, shape (n - 1,)."""
    alike = np.ones(max(len(keys[0]) - 1, 0), np.bool_)
    for key in keys:
        alike &= key[1:] == key[:-1]
    return alike


def _either(beside: Bools, rows: int) -> Bools:
    """Return which rows are as the one before or after them: bool, shape (rows,)."""
    found: Bools = np.append(False, beside) | np.append(beside, False)
    return found[:rows]


def _ranked(column: pa.ChunkedArray, key: Callable[[Any], Any]) -> tuple[list[Any], Ints]:
    """Return the values of a column in the order of a key, null last, and which of them each row holds."""
    coded = column.combine_chunks().dictionary_encode()
    values = coded.dictionary.to_pylist()
    turn = sorted(range(len(values)), key=lambda at: key(values[at]))
    rank = np.empty(len(values) + 1, np.int64)
    rank[turn] = np.arange(len(values))
    rank[-1] = len(values)
    return [values[at] for at in turn], rank[ints_of(coded.indices, -1)]


def _paired(first: Ints, second: Ints) -> Ints:
    """Return ranks by two ranks, the first before the second."""
    both = first * (int(second.max(initial=0)) + 1) + second
    return np.asarray(np.unique(both, return_inverse=True)[1], np.int64)


def _natural(place: str) -> tuple[tuple[int, str], ...]:
    """Return a place so that it sorts as rows stand: ``9`` before ``10``."""
    return tuple((int(part), "") if part.isdecimal() else (-1, part) for part in _PARTS.split(place))

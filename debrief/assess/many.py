"""All figures of many events in one call, from one table of marks.

The table is `model.marks.SCHEMA` with ``time`` filled in and each mark an occurrence of its own: events that
several sources saw are reconciled before they come here. Events are taken in blocks of bounded size; integer
sums and order statistics make the result the same whatever the blocks.
"""

from collections.abc import Collection, Iterator

import numpy as np
import pyarrow as pa

from debrief.clocks.lateness import LAG_S
from debrief.course import decide, place
from debrief.measures import Why, measure
from debrief.model.axis import Bools, Ints
from debrief.model.occurrences import RANKS, Sources, from_marks
from debrief.model.structure import Course, People, PointTimes
from debrief.model.times import to_us

COLUMNS = (
    "event_id",
    "source_id",
    "kind",
    "detail",
    "amount",
    "unit",
    "route",
    "time",
    "cell",
    "length",
    "origin",
)
"""Columns of the marks table that figures need; a reader may leave the rest in the file."""

TEXTS = ("event_id", "source_id", "kind", "detail", "unit", "route", "origin")
"""Columns best read as dictionaries."""

BLOCK_MARKS = 500_000
"""Marks taken at once: some 10,000 events of 50 marks."""


def figures_of(
    marks: pa.Table,
    people: People | None = None,
    *,
    only: Collection[str] = (),
    min_pause_s: float = 1.0,
    block_marks: int = BLOCK_MARKS,
) -> pa.Table:
    """Return one row an event: ``event_id``, and for each figure its value and why there is none.

    Parameters
    ----------
    marks : pyarrow.Table
        Sorted so that each event's marks stand together; ``time`` nowhere null.
    people : People, optional
        One entry an event, in the order in which events appear; without, adults of unknown weight.
    only : collection of str
        Names of the figures to compute; none for all.
    min_pause_s : float
        Shortest gap that is a pause. [s]
    """
    parts = [
        _figures(block, None if people is None else _some(people, first, last), only, to_us(min_pause_s))
        for block, first, last in _blocks(marks, block_marks)
    ]
    return pa.concat_tables(parts)


def _blocks(marks: pa.Table, size: int) -> Iterator[tuple[pa.Table, int, int]]:
    """Yield whole events, some ``size`` marks at once, with the number of the first and after the last."""
    starts = _starts(marks)
    edges = np.append(starts, len(marks))
    first = 0
    while first < len(starts):
        last = int(np.searchsorted(edges, edges[first] + size, "right")) - 1
        last = min(max(last, first + 1), len(starts))
        yield marks.slice(int(edges[first]), int(edges[last] - edges[first])), first, last
        first = last


def _starts(marks: pa.Table) -> Ints:
    """Return the first row of each event."""
    if not len(marks):
        return np.zeros(0, np.int64)
    ids = _dictionary(marks["event_id"]).indices.to_numpy()
    return np.append(0, np.flatnonzero(ids[1:] != ids[:-1]) + 1)


def _dictionary(column: pa.ChunkedArray) -> pa.DictionaryArray:
    joined = column.combine_chunks()
    return joined if pa.types.is_dictionary(joined.type) else joined.dictionary_encode()


def _some(people: People, first: int, last: int) -> People:
    return People(people.adult[first:last], people.newborn[first:last], people.weight[first:last])


def _figures(marks: pa.Table, people: People | None, only: Collection[str], min_pause_us: int) -> pa.Table:
    starts = _starts(marks)
    if people is None:
        adults = np.ones(len(starts), np.bool_)
        people = People(adults, ~adults, np.full(len(starts), np.nan))
    answers = measure(course_of(marks, people, min_pause_us), only)
    names = np.array([why.name.lower() for why in Why], dtype=object)
    columns: dict[str, pa.Array] = {"event_id": marks["event_id"].take(pa.array(starts)).combine_chunks()}
    reasons = pa.array(names)
    for name, answer in answers.items():
        missing = np.isnan(answer.value)
        columns[name] = pa.array(answer.value, mask=missing)
        code = pa.array(answer.why.astype(np.int8), mask=answer.why == 0)
        columns[f"{name}_because"] = pa.DictionaryArray.from_arrays(code, reasons)
    return pa.table(columns)


def course_of(marks: pa.Table, people: People, min_pause_us: int, window_us: int | None = None) -> Course:
    """Return the course of events, one slot each, in the order in which they stand in a marks table.

    Parameters
    ----------
    marks, people
        As `figures_of`.
    min_pause_us, window_us
        As `decide` and `place` have them. [us]
    """
    starts = _starts(marks)
    event = np.repeat(np.arange(len(starts)), np.diff(np.append(starts, len(marks))))
    sources, source = _sources(marks, event)
    occ = from_marks(marks, sources, source)
    return place(decide(occ, people, min_pause_us=min_pause_us), PointTimes(occ), window_us=window_us)


def _sources(marks: pa.Table, event: Ints) -> tuple[Sources, Ints]:
    """Return the sources of all events, and the row of its source for each mark."""
    coded = _dictionary(marks["source_id"])
    count = len(coded.dictionary)
    key = event * count + coded.indices.to_numpy()
    new = np.append(True, key[1:] != key[:-1])
    if (key[1:] >= key[:-1]).all():
        found, source = key[new], np.cumsum(new) - 1
    else:
        found, source = np.unique(key, return_inverse=True)
    person = _dictionary(marks["origin"])
    single = _dictionary(marks["kind"])
    rank = np.full(len(found), RANKS["device"])
    rank[source[_is(person, "person")]] = RANKS["person"]
    rank[source[_is(single, "compression")]] = RANKS["sensor"]
    none = np.zeros(len(found), np.int64)
    lag = np.where(rank == RANKS["person"], to_us(LAG_S), 0)
    return Sources(found // count, rank, none, none, none, none, lag, none > 0), source


def _is(column: pa.DictionaryArray, name: str) -> Bools:
    names = column.dictionary.to_pylist()
    if name not in names:
        return np.zeros(len(column), np.bool_)
    return np.asarray(column.indices.to_numpy() == names.index(name))

"""Occurrences as columns: what happened once, for one event or for a hundred thousand.

Rows are sorted by event, then time, then the order in which their source wrote them. Text columns are
coded: an integer column and the list of names it points into.
"""

from dataclasses import dataclass, field, replace

import numpy as np
import pyarrow as pa

from debrief.model.axis import Bools, Floats, Ints
from debrief.model.columns import floats_of, int_array, ints_of
from debrief.model.times import US
from debrief.words import KINDS

RANKS = {"sensor": 0, "device": 1, "person": 2}
"""Which kind of source sees better, best first."""


@dataclass(frozen=True)
class Coded:
    """A text column: ``names[code[i]]`` is the text of row ``i``; code -1 is no text."""

    code: Ints
    names: tuple[str, ...]

    def among(self, *names: str) -> Bools:
        """Return which rows hold one of the names: bool, shape (n,)."""
        wanted = np.array([name in names for name in self.names] + [False])
        return wanted[self.code]

    def text(self, row: int) -> str | None:
        """Return the text of one row, null where it has none."""
        code = self.code[row]
        return None if code < 0 else self.names[code]


@dataclass(frozen=True)
class Sources:
    """The sources behind the occurrences, one row each.

    ``rank`` orders kinds of source, best first (`RANKS`). ``shift`` was added to the source's own times;
    ``off`` is the part of it that sets a wrong clock right, the rest brings it onto the reference's scale;
    ``low`` and ``high`` bound how far from that its clock may stand; ``lag`` bounds how late its marks are
    written. [us] ``nearest``: its times are rounded to the nearest; else a clock shows what has begun.
    """

    event: Ints
    rank: Ints
    shift: Ints
    off: Ints
    low: Ints
    high: Ints
    lag: Ints
    nearest: Bools


@dataclass(frozen=True)
class Occurrences:
    """What happened, one row an occurrence. Times on the event's reference clock. [us]

    ``kind`` holds codes of ``words.KINDS``; ``half`` is half the written cell; ``length`` is -1 where none
    was written; ``amount`` is NaN where none was written.
    """

    events: int
    event: Ints
    kind: Ints
    detail: Coded
    amount: Floats
    unit: Coded
    route: Coded
    time: Ints
    half: Ints
    length: Ints
    source: Ints
    sources: Sources
    row: Ints
    """Row of each in the marks table it came from."""
    _found: dict[tuple[str, ...], Bools] = field(default_factory=dict, repr=False, compare=False)

    def __len__(self) -> int:
        return len(self.time)

    def cells(self) -> tuple[Ints, Ints]:
        """Return where the cell of each begins and ends, from its point time: int64, shape (n,) each. [us]

        The point time of a cell up to a second is where it begins, unless its source rounds; of a wider one
        it is the middle.
        """
        cut = (2 * self.half <= US) & ~self.sources.nearest[self.source]
        return np.where(cut, 0, -self.half), np.where(cut, 2 * self.half, self.half)

    def of(self, *kinds: str) -> Bools:
        """Return which rows are of one of the kinds: bool, shape (n,); the array is kept and not writable."""
        if kinds not in self._found:
            wanted = np.zeros(len(KINDS), np.bool_)
            wanted[[KINDS[kind].code for kind in kinds]] = True
            chosen = wanted[self.kind]
            chosen.flags.writeable = False
            self._found[kinds] = chosen
        return self._found[kinds]

    def first(self, chosen: Bools) -> Ints:
        """Return the first chosen row of each event, -1 where there is none: int64, shape (events,)."""
        return self.first_of(np.flatnonzero(chosen))

    def first_of(self, rows: Ints) -> Ints:
        """Return the first of the rows in each event, -1 where there is none: int64, shape (events,)."""
        found = np.full(self.events, -1)
        found[self.event[rows[::-1]]] = rows[::-1]
        return found

    def last(self, chosen: Bools) -> Ints:
        """Return the last chosen row of each event, -1 where there is none: int64, shape (events,)."""
        rows = np.flatnonzero(chosen)
        found = np.full(self.events, -1)
        found[self.event[rows]] = rows
        return found

    def when(self, row: Ints, missing: int) -> Ints:
        """Return the time of each row, ``missing`` where the row is -1. [us]"""
        if not len(self.time):
            return np.full(len(row), missing)
        return np.where(row >= 0, self.time[row], missing)


def from_marks(marks: pa.Table, sources: Sources, source: Ints) -> Occurrences:
    """Return marks as occurrences, each mark one occurrence.

    Parameters
    ----------
    marks : pyarrow.Table
        Of ``model.marks.SCHEMA``, ``time`` nowhere null.
    source : int64, shape (n,)
        Row of ``sources`` of each mark.
    """
    time, event = ints_of(marks["time"], 0), sources.event[source]
    if _unsorted(event, time):
        turn = np.lexsort((time, event))
        ordered = from_marks(marks.take(int_array(turn)), sources, source[turn])
        return replace(ordered, row=turn)
    kinds = _coded(marks, "kind")
    codes = np.array([KINDS[name].code for name in kinds.names], np.int64)
    return Occurrences(
        events=int(sources.event.max(initial=-1)) + 1,
        event=event,
        kind=codes[kinds.code],
        detail=_coded(marks, "detail"),
        amount=floats_of(marks["amount"]),
        unit=_coded(marks, "unit"),
        route=_coded(marks, "route"),
        time=time,
        half=ints_of(marks["cell"], 0) // 2,
        length=ints_of(marks["length"], -1),
        source=source,
        sources=sources,
        row=np.arange(len(time)),
    )


def _unsorted(event: Ints, time: Ints) -> bool:
    same = event[1:] == event[:-1]
    return bool((event[1:] < event[:-1]).any() or (same & (time[1:] < time[:-1])).any())


def _coded(marks: pa.Table, name: str) -> Coded:
    column = marks[name].combine_chunks()
    if not pa.types.is_dictionary(column.type):
        column = column.dictionary_encode()
    return Coded(ints_of(column.indices, -1), tuple(column.dictionary.to_pylist()))

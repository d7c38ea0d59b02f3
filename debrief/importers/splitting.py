"""Which events a grid holds, and which rows belong to each.

By a column that names the event of each row; one event a row; or by more than an hour without a mark where
another arrest begins behind it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from debrief.importers.cells import texts_of
from debrief.importers.grid import Grid
from debrief.importers.headings import Layout
from debrief.importers.notices import Notice, notice
from debrief.importers.places import Places
from debrief.importers.times import Times
from debrief.model.axis import Bools, Ints
from debrief.model.columns import MISSING, Repeated
from debrief.model.times import HOUR_US
from debrief.words import KINDS, say

_BEGIN = {"recognition", "pulseless", "call", "rearrest"}
_BEGIN_FAMILIES = {"compressions", "shocks"}
_MOST_NAMED = 12
_FEWEST = 2
"""Marks of an arrest in a stretch that is an event of its own; a single one may be a slip of the pen."""


def named(events: Sequence[str]) -> str:
    """Return the names of events for reading, a dozen of them at most."""
    shown = ", ".join(map(repr, events[:_MOST_NAMED]))
    return f"{shown} ..." if len(events) > _MOST_NAMED else shown


def several_events(events: Sequence[str], place: Places | str | None, all_taken: bool) -> Notice:
    """Return the notice that a file holds several events, and what was done with them."""
    taken = say("importing.all_taken") if all_taken else say("importing.first_taken", first=events[0])
    return notice("several_events", place, count=len(events), names=named(events), taken=taken)


@dataclass(frozen=True)
class Split:
    """The names of the events in the order of the file, and which of them each row belongs to, shape (n,)."""

    names: tuple[str, ...]
    group: Ints

    def rows(self, name: str) -> Bools:
        """Return which rows belong to an event."""
        return np.asarray(self.group == self.names.index(name))


def by_row(rows: Grid, layout: Layout) -> Split:
    """Return every row as an event, named by its column of events, else by its number."""
    column = layout.one("event_id")
    ids = list(texts_of(rows, column.index)) if column else [""] * len(rows)
    numbers = rows.places.number.tolist()
    twice = {name for name in ids if ids.count(name) > 1} if len(set(ids)) < len(ids) else set()
    names = [
        str(number) if not name else f"{name} ({number})" if name in twice else name
        for name, number in zip(ids, numbers, strict=True)
    ]
    return Split(tuple(names), np.arange(len(rows)))


def by_column(rows: Grid, layout: Layout) -> Split | None:
    """Return the events that a column names; a row without a name belongs to the event before it."""
    column = layout.one("event_id")
    if column is None:
        return None
    ids = texts_of(rows, column.index)
    named = np.flatnonzero(ids.where(bool))
    if not len(named):
        return None
    before = np.zeros(len(rows), np.int64)
    before[named] = np.arange(len(named))
    codes = ids.codes[named[np.maximum.accumulate(before)]]
    found, first, group = np.unique(codes, return_index=True, return_inverse=True)
    order = np.argsort(first)
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    names: dict[str, int] = {}
    renamed = np.array([names.setdefault(ids.values[found[at]], len(names)) for at in order])
    return Split(tuple(names), renamed[rank[group]])


def by_gaps(times: Times, kinds: Repeated[str]) -> tuple[Split, Ints]:
    """Return the events between which an hour passes, and the rows that come more than an hour after another.

    A stretch in which no arrest begins, such as a transfer much later, belongs to the event before it.
    """
    known = np.flatnonzero(times.source_time != MISSING)
    order = known[np.argsort(times.source_time[known], kind="stable")]
    late = np.flatnonzero(np.diff(times.source_time[order]) > HOUR_US) + 1
    stretch = np.zeros(len(order), np.int64)
    stretch[late] = 1
    stretch = np.cumsum(stretch)
    begins = kinds.where(lambda kind: kind in _BEGIN or KINDS[kind].family in _BEGIN_FAMILIES)[order]
    counts = np.bincount(stretch[begins], minlength=int(stretch.max(initial=0)) + 1)
    arrests = np.flatnonzero(counts >= _FEWEST)
    event = np.maximum(np.searchsorted(arrests, stretch, side="right") - 1, 0)
    group = np.zeros(len(kinds), np.int64)
    group[order] = event
    unplaced = np.flatnonzero(times.source_time == MISSING)
    if len(known) and len(unplaced):
        nearest = known[np.maximum(np.searchsorted(known, unplaced) - 1, 0)]
        group[unplaced] = group[nearest]
    count = max(1, len(arrests))
    return Split(tuple(str(number + 1) for number in range(count)), group), order[late]

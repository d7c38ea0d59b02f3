"""Occurrences as columns: what happened once, for one event or for a hundred thousand.

Rows are sorted by event, then time, then the order in which their source wrote them. Text columns are
coded: an integer column and the list of names it points into.
"""

from dataclasses import dataclass

import numpy as np

from debrief.model.axis import Bools, Floats, Ints
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

    ``rank`` orders kinds of source, best first (`RANKS`). ``low`` and ``high`` bound how far the source's
    clock may stand from where it was placed. [us]
    """

    event: Ints
    rank: Ints
    low: Ints
    high: Ints


@dataclass(frozen=True)
class Occurrences:
    """What happened, one row an occurrence. Times on the event's reference clock. [us]

    ``kind`` holds codes of ``words.KINDS``; ``half`` is half the written cell; ``length`` is -1 where none was
    written; ``amount`` is NaN where none was written.
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

    def __len__(self) -> int:
        return len(self.time)

    def of(self, *kinds: str) -> Bools:
        """Return which rows are of one of the kinds: bool, shape (n,)."""
        wanted = np.zeros(len(KINDS), np.bool_)
        wanted[[KINDS[kind].code for kind in kinds]] = True
        return wanted[self.kind]

    def first(self, chosen: Bools) -> Ints:
        """Return the first chosen row of each event, -1 where there is none: int64, shape (events,)."""
        rows = np.flatnonzero(chosen)
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

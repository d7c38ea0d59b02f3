"""Sets of spans on the long axis, and what can be done with them, exactly, for all events at once.

A `Spans` is a set of half-open stretches ``[start, end)`` of whole microseconds: sorted, disjoint, none
empty. Every function takes and gives such sets; all are one or two binary searches and a running sum.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from debrief.model.axis import SLOT_US, Bools, Ints, slot_of


@dataclass(frozen=True)
class Spans:
    """A set of half-open stretches, sorted, disjoint, none empty: int64, shape (n,) each. [us]"""

    start: Ints
    end: Ints

    def __len__(self) -> int:
        return len(self.start)

    @property
    def length(self) -> Ints:
        """Length of each stretch: int64, shape (n,). [us]"""
        return self.end - self.start

    @property
    def slot(self) -> Ints:
        """Slot that owns each stretch: int64, shape (n,)."""
        return slot_of(self.start)

    def only(self, chosen: Bools | Ints) -> "Spans":
        """Return the chosen stretches."""
        return Spans(self.start[chosen], self.end[chosen])


NONE = Spans(np.empty(0, np.int64), np.empty(0, np.int64))


def spans(pairs: Iterable[tuple[int, int]]) -> Spans:
    """Return pairs in any order, overlapping or empty, as a set of spans."""
    flat = np.array(list(pairs), np.int64).reshape(-1, 2)
    return merge(flat[:, 0], flat[:, 1])


def merge(start: Ints, end: Ints, gap_us: int = 0) -> Spans:
    """Return stretches in any order as a set; those no further apart than ``gap_us`` become one.

    Empty and backward stretches are left out. With ``gap_us`` 0, touching stretches become one. The slot of
    a stretch bounds it: a gap from one slot to the next is never closed.
    """
    real = end > start
    if not real.all():
        start, end = start[real], end[real]
    if len(start) < 2:
        return Spans(start, end)
    if (start[1:] < start[:-1]).any():
        order = np.argsort(start, kind="stable")
        start, end = start[order], end[order]
    reach = np.maximum.accumulate(end)
    opens = np.empty(len(start), np.bool_)
    opens[0] = True
    np.greater(start[1:], reach[:-1] + gap_us, out=opens[1:])
    if gap_us:
        opens[1:] |= slot_of(start[1:]) != slot_of(reach[:-1])
    first = np.flatnonzero(opens)
    return Spans(start[first], reach[np.append(first[1:], len(start)) - 1])


def union(*sets: Spans) -> Spans:
    """Return what any of the sets covers."""
    return merge(np.concatenate([s.start for s in sets]), np.concatenate([s.end for s in sets]))


def intersect(a: Spans, b: Spans) -> Spans:
    """Return what both sets cover."""
    return intersect_keeping(a, b)[0]


def intersect_keeping(a: Spans, b: Spans) -> tuple[Spans, Ints]:
    """Return what both sets cover, and which stretch of ``a`` each piece came from: int64, shape (n,)."""
    first = np.searchsorted(b.end, a.start, "right")
    count = np.searchsorted(b.start, a.end, "left") - first
    total = int(count.sum())
    mine = np.repeat(np.arange(len(a)), count)
    theirs = np.arange(total) - np.repeat(np.cumsum(count) - count - first, count)
    return Spans(np.maximum(a.start[mine], b.start[theirs]), np.minimum(a.end[mine], b.end[theirs])), mine


def subtract(a: Spans, b: Spans) -> Spans:
    """Return what the first set covers and the second does not."""
    if not len(b) or not len(a):
        return a
    far = np.iinfo(np.int64)
    return intersect(a, Spans(np.append(far.min, b.end), np.append(b.start, far.max)))


def totals(a: Spans, slots: int) -> Ints:
    """Return how much of each slot the set covers: int64, shape (slots,). [us]"""
    return amount_within(a, np.arange(slots) * SLOT_US, np.arange(1, slots + 1) * SLOT_US)


def amount_before(a: Spans, position: Ints) -> Ints:
    """Return how much the set covers before each position, counted from the start of the axis. [us]"""
    sums = np.append(0, np.cumsum(a.length))
    index = np.searchsorted(a.start, position, "right")
    last = np.maximum(index - 1, 0)
    over = np.maximum(a.end[last] - position, 0) if len(a) else np.zeros(len(position), np.int64)
    return sums[index] - np.where(index > 0, over, 0)


def amount_within(a: Spans, start: Ints, end: Ints) -> Ints:
    """Return how much of each stretch ``[start, end)`` the set covers; the stretches may overlap. [us]"""
    return amount_before(a, end) - amount_before(a, start)


def holding(a: Spans, position: Ints) -> Ints:
    """Return which stretch holds each position, -1 where none does: int64, shape (n,)."""
    index = np.searchsorted(a.start, position, "right") - 1
    if not len(a):
        return index
    return np.where((index >= 0) & (position < a.end[index]), index, -1)


def touching(a: Spans, position: Ints) -> Ints:
    """As `holding`, with the end of a stretch counted as part of it."""
    index = np.searchsorted(a.start, position, "right") - 1
    if not len(a):
        return index
    return np.where((index >= 0) & (position <= a.end[index]), index, -1)

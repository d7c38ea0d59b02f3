"""Draws: times that could also have been, given cells, clocks and the lateness of pens.

A draw takes each source's clock from its spread, each mark within its cell, and a person's mark up to a
minute earlier than written. Marks keep the order in which their source wrote them. A device's or sensor's
hands-on is shifted whole. Seeded by kinds, times and cells alone, so that a note changes nothing.
"""

import hashlib
from dataclasses import dataclass

import numpy as np

from debrief.clocks.reconcile import LAG_US
from debrief.model.axis import Bools, Ints
from debrief.model.hands import STARTS, STOPS
from debrief.model.occurrences import RANKS, Occurrences


@dataclass(frozen=True)
class Drawn:
    """Drawn times of one event; ``Times`` of ``model.structure``.

    ``column``: the column of ``times`` that holds each occurrence, -1 for single compressions; ``times``:
    int64, shape (draws, k); ``shift``: of each source, int64, shape (draws, sources). [us]
    """

    occurrences: Occurrences
    draws: int
    column: Ints
    times: Ints
    shift: Ints

    def of_marks(self, rows: Ints) -> Ints:
        """Return the drawn times of rows: int64, shape (draws, n). [us]"""
        column = self.column[rows]
        if (column < 0).all():
            return self._whole(rows)
        if (column >= 0).all():
            return self.times[:, column]
        return np.where(column >= 0, self.times[:, column], self._whole(rows))

    def of_edges(self, rows: Ints) -> Ints:
        """As `of_marks`; what a device or sensor saw is shifted whole. [us]"""
        occ = self.occurrences
        person = occ.sources.rank[occ.source[rows]] == RANKS["person"]
        if not person.any():
            return self._whole(rows)
        return np.where(person, self.of_marks(rows), self._whole(rows))

    def _whole(self, rows: Ints) -> Ints:
        occ = self.occurrences
        return occ.time[rows] + self.shift[:, occ.source[rows]]


def draw(occ: Occurrences, draws: int) -> Drawn:
    """Draw the times of one event's occurrences."""
    rng = np.random.Generator(np.random.Philox(key=_seed(occ)))
    rows = np.flatnonzero(~occ.of("compression"))
    column = np.full(len(occ), -1)
    column[rows] = np.arange(len(rows))
    sources = occ.sources
    span = (sources.high - sources.low)[None, :]
    shift = sources.low + np.rint(rng.random((draws, len(sources.rank))) * span).astype(np.int64)
    source, half = occ.source[rows], occ.half[rows]
    within = (2 * rng.random((draws, len(rows))) - 1) * half
    late = rng.random((draws, len(rows))) * np.where(sources.rank[source] == RANKS["person"], LAG_US, 0)
    times = occ.time[rows] + shift[:, source] + np.rint(within - late).astype(np.int64)
    whole = occ.time[rows] + shift[:, source]
    for number in np.unique(source):
        mine = np.flatnonzero(source == number)
        if sources.rank[number] == RANKS["person"]:
            times[:, mine] = _in_order(times[:, mine], occ.time[rows[mine]], half[mine])
        else:
            fixed = occ.of(*STARTS, *STOPS, "pause")[rows[mine]]
            held = _between(times[:, mine], whole[:, mine], fixed)
            times[:, mine] = _in_order(held, occ.time[rows[mine]], half[mine])
    return Drawn(occ, draws, column, times, shift)


def _seed(occ: Occurrences) -> int:
    digest = hashlib.blake2b(digest_size=16)
    for column in (occ.kind, occ.time - occ.time.min(initial=0), occ.half):
        digest.update(np.ascontiguousarray(column, np.int64).tobytes())
    return int.from_bytes(digest.digest(), "little")


def _between(times: Ints, whole: Ints, fixed: Bools) -> Ints:
    """Return drawn times held between the fixed ones around them, the fixed ones at their whole shift."""
    far = np.iinfo(np.int64).max // 2
    low = np.maximum.accumulate(np.where(fixed, whole, -far), axis=1)
    high = np.minimum.accumulate(np.where(fixed, whole, far)[:, ::-1], axis=1)[:, ::-1]
    return np.where(fixed, whole, np.clip(times, low, high))


def _in_order(times: Ints, written: Ints, half: Ints) -> Ints:
    """Return drawn times in row order: those of one written time sorted, the rest by running maximum."""
    new = np.append(True, (written[1:] != written[:-1]) | (half[1:] != half[:-1]))[: len(written)]
    first = np.flatnonzero(new)
    for start, end in zip(first, np.append(first[1:], len(written)), strict=True):
        if end - start > 1:
            times[:, start:end] = np.sort(times[:, start:end], axis=1)
    return np.maximum.accumulate(times, axis=1)

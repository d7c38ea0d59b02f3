"""Draws: times that could also have been, given cells, clocks and the lateness of pens.

A draw takes each source's clock and how late it was written from its spread, each mark within its cell, and a
person's mark so much earlier than written at most. Marks keep the order in which their source wrote them. A
device's or sensor's hands-on is shifted whole, within its cells too. Seeded by kinds, times and cells alone,
so that a note changes nothing.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from debrief.clocks.lateness import Spread, even
from debrief.model.axis import Bools, Ints
from debrief.model.hands import STARTS, STOPS
from debrief.model.occurrences import RANKS, Occurrences, Sources


@dataclass(frozen=True)
class Sure:
    """Sources of which something is taken to be known: where the clock stands, how late, where in a cell."""

    clocks: tuple[int, ...] = ()
    lags: tuple[int, ...] = ()
    cells: tuple[int, ...] = ()


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


def draw(occ: Occurrences, draws: int, spreads: Sequence[Spread] | None = None, sure: Sure = Sure()) -> Drawn:
    """Draw the times of one event's occurrences.

    Parameters
    ----------
    spreads
        How the clock of each source may stand otherwise; without, anything between its bounds.
    sure
        What is taken to be known, to see what it would be worth to know it.
    """
    rng = np.random.Generator(np.random.Philox(key=_seed(occ)))
    rows = np.flatnonzero(~occ.of("compression"))
    column = np.full(len(occ), -1)
    column[rows] = np.arange(len(rows))
    sources = occ.sources
    state = rng.random((draws, len(sources.rank)))
    clock, lag = np.zeros(state.shape, np.int64), np.zeros(state.shape, np.int64)
    for number in range(len(sources.rank)):
        spread = _spread(sources, number) if spreads is None else spreads[number]
        at = (state[:, number] * len(spread.shift)).astype(np.int64)
        clock[:, number] = 0 if number in sure.clocks else spread.shift[at]
        lag[:, number] = 0 if number in sure.lags else spread.lag[at]
    begins, ends = (np.where(np.isin(occ.source, sure.cells), 0, edge) for edge in occ.cells())
    shift = clock + _phase(occ, begins, ends, rng, draws)
    source, half = occ.source[rows], occ.half[rows]
    within = begins[rows] + rng.random((draws, len(rows))) * (ends - begins)[rows]
    late = rng.random((draws, len(rows))) * lag[:, source]
    times = occ.time[rows] + clock[:, source] + np.rint(within - late).astype(np.int64)
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


def _phase(occ: Occurrences, begins: Ints, ends: Ints, rng: np.random.Generator, draws: int) -> Ints:
    """Return where in its cells a device's hands-on begins and ends: int64, shape (draws, sources). [us]

    Alike for all of it. Half of the draws take it as written, as of a device that tells its cycles when
    they turn.
    """
    low, high = np.zeros((2, len(occ.sources.rank)), np.int64)
    edges = occ.of(*STARTS, *STOPS, "pause", "compression")
    np.minimum.at(low, occ.source[edges], begins[edges])
    np.maximum.at(high, occ.source[edges], ends[edges])
    cut = rng.random((draws, len(low))) < 0.5
    return np.where(cut, np.rint(low + rng.random(cut.shape) * (high - low)).astype(np.int64), 0)


def _spread(sources: Sources, number: int) -> Spread:
    return even(int(sources.low[number]), int(sources.high[number]), int(sources.lag[number]))


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

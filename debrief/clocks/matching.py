"""Find where one clock stands on another by the marks that both sources saw.

Every pair of marks that could be one votes for the difference of their times; where many agree is a
candidate. Under each candidate the marks are paired in order, one to one, and what the pairs tell of the
offset is looked at closely (`lateness`). The candidate that explains most is taken; the others are told.
"""

from dataclasses import dataclass, replace

import numpy as np

from debrief.clocks.anchors import Anchors
from debrief.clocks.lateness import (
    JITTER_S,
    LAG_S,
    Posterior,
    assumed,
    glance,
    posterior,
)
from debrief.clocks.pairs import in_order
from debrief.model.axis import Bools, Ints
from debrief.model.times import HOUR_US, MINUTE_US, US, to_s

CANDIDATES, WORTH_A_LOOK = 6, 3
FURTHEST_US = 92 * MINUTE_US
"""How far two clocks of the same day may stand apart. [us]"""

WHOLE_HOURS = 14
NEAR_HOUR_US = 10 * MINUTE_US
"""A clock may be whole hours off, zones apart or never moved, and so much beside. [us]"""

NEAR_S = 150.0
"""Clocks mostly stand within minutes of each other: on the whole 1 min 45 s off (Cordell WH et al., Ann Emerg
Med 1994;23:1032-6), those of automated defibrillators 412 s (Castren M et al., Resuscitation 2005;64:293-5).
[s]"""

SHARED = float(np.log(0.7 / 0.3**2))
"""What a pair speaks for, against two marks that one source has alone: three of ten are missing in one."""

UNLIKE = -1.5
"""What it speaks against a pair that energies or doses differ."""

CLEAR = 3.0
"""A match that explains less than this more than another is no match: odds of 20 to 1, in logs."""


@dataclass(frozen=True)
class Match:
    """One way in which the marks of two sources may be the same.

    ``pairs``: rows of the anchors of the source and of the other, int64, shape (n, 2), in time order;
    ``score``: log of how well it explains the marks, against their having nothing in common.
    """

    pairs: Ints
    found: Posterior
    score: float

    @property
    def bounds_s(self) -> tuple[float, float, float]:
        """The middle offset and its 95 % bounds. [s]"""
        return self.found.bounds_s()

    def stretch(self, cells: tuple[int, int]) -> tuple[int, int]:
        """Return which differences of one occurrence are likely, once the offset is. [us]"""
        _, low_s, high_s = self.found.bounds_s(0.99)
        cell_s, (before, after) = to_s(sum(cells)) / 2, self.found.lags_s()
        if self.found.lateness.jitter:
            before = after = before / 2
        return round((low_s - before - cell_s) * US), round((high_s + after + cell_s) * US)


@dataclass(frozen=True)
class Sides:
    """What is known of two sources beside their marks.

    ``source_writes``, ``other_writes``: a person does; ``any_offset``: one counts from a zero of its own.
    """

    source_writes: bool
    other_writes: bool
    any_offset: bool

    def reach_s(self) -> float:
        """How far apart the times of one occurrence may lie beside their cells. [s]"""
        return LAG_S if self.source_writes or self.other_writes else JITTER_S[1]


def matches(
    source: Anchors, other: Anchors, sides: Sides, known_us: tuple[int, int] | None = None
) -> list[Match]:
    """Return the ways in which the marks of two sources may be the same, the best first.

    Times of both are taken on one scale; ``known_us`` bounds the offset where a check of the clocks does.
    """
    mine, theirs = (np.flatnonzero(np.isin(a.key, b.key)) for a, b in ((source, other), (other, source)))
    source, other = source.take(mine), other.take(theirs)
    if not len(source):
        return []
    apart = other.time[None, :] - source.time[:, None]
    can_be = source.key[:, None] == other.key[None, :]
    cells = (int(2 * source.half.max()), int(2 * other.half.max()))
    cell_us, reach_us = sum(cells) // 2, round(sides.reach_s() * US)
    if known_us is not None:
        early = reach_us if sides.source_writes else 0 if sides.other_writes else reach_us // 2
        late = reach_us if sides.other_writes else 0 if sides.source_writes else reach_us // 2
        stretches = [(known_us[0] - early - cell_us, known_us[1] + late + cell_us)]
    else:
        can_be &= _allowed(apart, sides)
        width_us = 2 * cell_us + reach_us
        centres = _candidates(apart, can_be, other, source, width_us)
        stretches = [(centre - width_us, centre + width_us) for centre in centres]
    two = Two(source, other, apart, can_be, cells, sides, known_us)
    found = two.matches(stretches)
    return [
        replace(match, pairs=np.column_stack([mine[match.pairs[:, 0]], theirs[match.pairs[:, 1]]]))
        for match in found
    ]


def _allowed(apart: Ints, sides: Sides) -> Bools:
    """Return which differences two clocks can have: bool, of the shape of ``apart``."""
    if sides.any_offset:
        return np.ones(apart.shape, np.bool_)
    to_hour = np.abs((apart + HOUR_US // 2) % HOUR_US - HOUR_US // 2)
    whole = (np.abs(apart) <= WHOLE_HOURS * HOUR_US) & (to_hour <= NEAR_HOUR_US)
    return np.asarray((np.abs(apart) <= FURTHEST_US) | whole)


def _candidates(apart: Ints, can_be: Bools, other: Anchors, source: Anchors, width_us: int) -> list[int]:
    """Return the differences for which most marks vote, rare ones more than frequent ones. [us]

    A mark votes once for a stretch of differences, however many others it could be there.
    """
    mine, theirs = np.nonzero(can_be)
    if not len(mine):
        return []
    half_us = max(width_us // 2, 1)
    _, number, times = np.unique(other.key, return_inverse=True, return_counts=True)
    rare = 1.0 + np.log(len(other) / times)[number]
    bins = apart[mine, theirs] // half_us
    low = int(bins.min())
    votes = np.zeros(int(bins.max()) - low + 3)
    once, at = np.unique((bins - low) * len(source) + mine, return_index=True)
    np.add.at(votes, once // len(source) + 1, rare[theirs[at]])
    window = votes[:-1] + votes[1:]
    found: list[int] = []
    for start in np.argsort(-window, kind="stable")[: 4 * CANDIDATES].tolist():
        if window[start] < 0.5 * window.max() or len(found) == CANDIDATES:
            break
        inside = (bins - low + 1 == start) | (bins - low + 1 == start + 1)
        if inside.any():
            centre = int(np.median(apart[mine, theirs][inside]))
            if all(abs(centre - known) > half_us // 2 for known in found):
                found.append(centre)
    return found


@dataclass(frozen=True)
class Two:
    """Two sources as they are matched: ``apart`` [us] and ``can_be`` of shape (source, other)."""

    source: Anchors
    other: Anchors
    apart: Ints
    can_be: Bools
    cells: tuple[int, int]
    sides: Sides
    known_us: tuple[int, int] | None

    def matches(self, stretches: list[tuple[int, int]]) -> list[Match]:
        """Return the matches within stretches of differences, the best first and looked at closely."""
        rough: list[tuple[float, Ints]] = []
        for stretch in stretches:
            pairs = self.paired(stretch)
            if len(pairs) and not any(np.array_equal(pairs, known) for _, known in rough):
                rough.append((self.speaks_for(pairs), pairs))
        rough.sort(key=lambda entry: -entry[0])
        found: list[Match] = []
        for speaks_for, pairs in rough[:WORTH_A_LOOK]:
            if speaks_for < rough[0][0] / 2 and len(found) > 1:
                break
            likely = self.match(pairs).stretch(self.cells)
            if self.known_us is not None:
                likely = max(likely[0], stretches[0][0]), min(likely[1], stretches[0][1])
            again = self.paired(likely)
            match = self.match(again if len(again) else pairs)
            if not any(np.array_equal(match.pairs, known.pairs) for known in found):
                found.append(match)
        found.sort(key=lambda match: -match.score)
        return [self.match(found[0].pairs, closely=True), *found[1:]] if found else []

    def match(self, pairs: Ints, closely: bool = False) -> Match:
        """Return what pairs tell of the offset."""
        known_s = None if self.known_us is None else (to_s(self.known_us[0]), to_s(self.known_us[1]))
        difference_s = self.apart[pairs[:, 0], pairs[:, 1]] / US
        lateness = assumed(len(pairs), self.cells, (self.sides.source_writes, self.sides.other_writes))
        found = (posterior if closely else glance)(difference_s, self.cells, lateness, known_s)
        return Match(
            pairs, found, self.speaks_for(pairs) + found.fits + _prior(self.sides, found.bounds_s()[0])
        )

    def speaks_for(self, pairs: Ints) -> float:
        """Return the log of what pairs speak for, against two sources with nothing in common, times aside."""
        lasts_s = max(to_s(int(np.ptp(self.source.time))), to_s(int(np.ptp(self.other.time))), 300.0)
        keys, times = np.unique(self.other.key, return_counts=True)
        often = times[np.searchsorted(keys, self.other.key[pairs[:, 1]])] / lasts_s
        unlike = np.nan_to_num(self.source.amount[pairs[:, 0]] - self.other.amount[pairs[:, 1]])
        return float((SHARED - np.log(often)).sum() + UNLIKE * np.count_nonzero(unlike))

    def paired(self, stretch: tuple[int, int]) -> Ints:
        """Return pairs one to one and in order: as many as can be, then as near as can be; (n, 2)."""
        low, high = stretch
        can_be = self.can_be & (self.apart >= low) & (self.apart <= high)
        mine, theirs = np.nonzero(can_be)
        # marks that can be one with a single other are a pair, and cross no other pair of a stretch
        alone = (np.bincount(mine, minlength=len(self.source))[mine] == 1) & (
            np.bincount(theirs, minlength=len(self.other))[theirs] == 1
        )
        found = [np.column_stack([mine[alone], theirs[alone]])]
        rest, others = np.unique(mine[~alone]), np.unique(theirs[~alone])
        for key in np.unique(self.source.key[rest]).tolist():
            rows, columns = rest[self.source.key[rest] == key], others[self.other.key[others] == key]
            block = np.ix_(rows, columns)
            near = np.abs(self.apart[block] - (low + high) // 2)
            pairs = in_order(np.where(can_be[block], near, -1))
            found += [np.array([(rows[i], columns[j]) for i, j in pairs], np.int64).reshape(-1, 2)]
        joined = np.concatenate(found)
        return joined[np.lexsort((joined[:, 1], joined[:, 0]))]


def _prior(sides: Sides, offset_s: float) -> float:
    """Return the log of how likely an offset is before the marks are looked at."""
    if sides.any_offset:
        return -float(np.log(2 * to_s(FURTHEST_US)))
    near = 1 / (np.pi * NEAR_S * (1 + (offset_s / NEAR_S) ** 2))
    return float(np.log(0.5 / (2 * to_s(FURTHEST_US)) + 0.5 * near))

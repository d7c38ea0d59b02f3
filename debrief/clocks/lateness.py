"""How far the times of one occurrence in two sources can lie apart, and what that tells of a clock.

Each source reads its clock to a cell, and a person writes some time after. So the difference of two times is
the offset of the clocks, plus the place in each cell, less the lateness of who wrote: a sum of uniform
quantities, whose density is a convolution of boxes. Lateness and offset cannot be told apart by shared marks
alone: what is assumed of lateness is here, in `assumed`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from debrief.model.axis import Floats, Ints
from debrief.model.times import MINUTE_US, US, to_s

LAG_S = 60.0
"""How late a person may write a mark down, where nothing tells. Common practice. [s]"""

LONGEST_LAG_S = 120.0
JITTER_S = (0.1, 10.0)
"""Devices tell the same thing some time apart: a button is pressed, a detector makes up its mind. [s]"""

RUNGS = 20
"""Orders of magnitude of lateness that are looked at."""

FEW = 2
"""Up to so many shared marks tell next to nothing of lateness."""

STRAY = 0.05
"""Share of pairs that are no pairs at all, lying anywhere within `STRAY_S`."""
STRAY_S = 600.0
FLOOR = STRAY / STRAY_S

GLANCE, CLOSE = 240, 360
"""Steps of the offset that are looked at."""
FINEST = 800
"""No step is finer than this part of the widest difference that can be."""

KEPT = 2000
"""Equally likely offsets that stand for a spread."""


@dataclass(frozen=True)
class Lateness:
    """What may be true of lateness, each with how likely it is. Float64, shape (k,). [s]

    ``own`` and ``other``: how late the source and the one beside it are written at most. With ``jitter``
    neither is written, and ``own`` is how far apart the two may tell of one thing, either way.
    """

    own: Floats
    other: Floats
    prior: Floats
    jitter: bool = False

    def widest_s(self, cells_us: tuple[int, int]) -> float:
        """Return how far apart two times of one occurrence can lie about their middle, both ways. [s]"""
        return sum(map(to_s, cells_us)) + float((self.own + self.other).max())

    def middle_s(self) -> Floats:
        """Return how far the middle of the differences lies from the offset: float64, shape (k,). [s]"""
        return np.zeros(len(self.own)) if self.jitter else (self.other - self.own) / 2

    def boxes(self, cells_us: tuple[int, int]) -> tuple[tuple[float, ...], ...]:
        """Return how wide each part of a difference is, for each lateness. [s]"""
        cells_s = tuple(map(to_s, cells_us))
        return tuple(cells_s + pair for pair in zip(self.own.tolist(), self.other.tolist(), strict=True))


@dataclass(frozen=True)
class Spread:
    """Equally likely states of a clock: int64, shape (k,), by shift. [us]

    ``shift``: what to add to the source's times; ``lag``: how late its marks are at most.
    """

    shift: Ints
    lag: Ints

    def bounds(self) -> tuple[int, int, int]:
        """Return the middle of the shift and its 2.5 and 97.5 percentiles. [us]"""
        last = len(self.shift) - 1
        return tuple(int(self.shift[round(share * last)]) for share in (0.5, 0.025, 0.975))  # type: ignore[return-value]

    def some(self, count: int) -> "Spread":
        """Return so many of them, drawn evenly."""
        at = ((np.arange(count) + 0.5) / max(count, 1) * len(self.shift)).astype(np.int64)
        return Spread(self.shift[at], self.lag[at])

    def lag_bounds(self) -> tuple[int, int]:
        """Return the middle and the 97.5 percentile of the longest lateness. [us]"""
        ordered = np.sort(self.lag)
        last = len(ordered) - 1
        return int(ordered[round(0.5 * last)]), int(ordered[round(0.975 * last)])


def even(low: int, high: int, lag: int) -> Spread:
    """Return a spread in which every shift from low to high is as likely. [us]"""
    shift = np.rint(np.linspace(low, high, KEPT)).astype(np.int64)
    return Spread(shift, np.full(KEPT, lag))


def chained(own: Spread, through: Spread) -> Spread:
    """Return the spread of a clock known by way of another's, the two independent of each other."""
    # a stride that shares no factor with their number pairs each state with a different one, evenly
    partner = (np.arange(KEPT) * 1237 + 619) % KEPT
    shift = own.shift + through.shift[partner]
    order = np.argsort(shift, kind="stable")
    return Spread(shift[order], own.lag[order])


def assumed(pairs: int, cells_us: tuple[int, int], writes: tuple[bool, bool]) -> Lateness:
    """Return what is assumed of lateness before the shared marks are looked at.

    Of a sheet kept to the minute up to a minute, as common practice is, unless the marks say otherwise; of a
    finer one anything up to two minutes, by its order of magnitude, the more so up to a minute where few
    marks are shared.

    Parameters
    ----------
    pairs
        How many marks are shared.
    cells_us
        The cells of the source and of the one beside it. [us]
    writes
        Whether a person writes the source, and the other.
    """
    if not any(writes):
        longest = np.geomspace(*JITTER_S, RUNGS)
        return Lateness(longest, np.zeros(RUNGS), np.full(RUNGS, 1 / RUNGS), jitter=True)
    rungs = RUNGS if sum(writes) == 1 else RUNGS // 2
    (own, prior), (other, others) = (
        _ladder(pairs, cell_us, rungs) if by_person else (np.zeros(1), np.ones(1))
        for cell_us, by_person in zip(cells_us, writes, strict=True)
    )
    return Lateness(np.repeat(own, len(other)), np.tile(other, len(own)), np.outer(prior, others).ravel())


def _ladder(pairs: int, cell_us: int, rungs: int) -> tuple[Floats, Floats]:
    """Return longest latenesses of one writer, the usual one last, and how likely each is. [s]"""
    share = 0.95 if cell_us >= MINUTE_US else 0.5 if pairs <= FEW else 0.0
    prior = np.append(np.full(rungs, (1 - share) / rungs), share)
    longest = np.append(np.geomspace(1.0, LONGEST_LAG_S, rungs), LAG_S)
    held = prior > 0
    return longest[held], prior[held]


def density(widths_s: Sequence[float], step_s: float, half: int) -> Floats:
    """Return the density of a sum of uniform quantities around its middle, by step. [1/s]

    Parameters
    ----------
    widths_s
        How wide each of them is. [s]
    half
        Steps to either side of the middle: the density is float64, shape (2 * half + 1,).
    """
    found = np.zeros(2 * half + 1)
    found[half] = 1.0
    for width_s in widths_s:
        reach = int(np.ceil((width_s / step_s - 1) / 2))
        if reach < 1:
            continue
        # a running mean over the whole steps of the box, and the parts of steps at its edges
        edge = (width_s - (2 * reach - 1) * step_s) / (2 * width_s)
        padded = np.pad(found, reach)
        total = np.concatenate(([0.0], np.cumsum(padded)))
        whole = total[2 * reach : -1] - total[1 : -2 * reach]
        found = whole * (step_s / width_s) + edge * (padded[: -2 * reach] + padded[2 * reach :])
    return found / step_s


@lru_cache(maxsize=64)
def _gains(boxes: tuple[tuple[float, ...], ...], step_s: float, half: int) -> Floats:
    """Return what a pair so far from the middle speaks for, in logs, for each choice of boxes."""
    dense = np.array([density(widths_s, step_s, half) for widths_s in boxes])
    gains = np.log1p((1 - STRAY) * dense / FLOOR)
    gains.flags.writeable = False
    return gains


@dataclass(frozen=True)
class Posterior:
    """How likely each offset and each longest lateness is, by the shared marks.

    ``offset``: float64, shape (m,) [s]; ``weight``: float64, shape (k, m), adding up to 1; ``fits``: log of
    how well the marks fit on the whole.
    """

    offset: Floats
    weight: Floats
    lateness: Lateness
    fits: float

    def bounds_s(self, share: float = 0.95) -> tuple[float, float, float]:
        """Return the middle offset, and bounds that hold the share. [s]"""
        total = np.cumsum(self.weight.sum(axis=0))
        at = np.searchsorted(total, [0.5, (1 - share) / 2, (1 + share) / 2])
        middle, low, high = self.offset[np.minimum(at, len(self.offset) - 1)].tolist()
        return middle, low, high

    def lags_s(self, share: float = 0.975) -> tuple[float, float]:
        """Return how late the source and the other are at most, as surely as the share. [s]"""
        by_lag = self.weight.sum(axis=1)
        found = []
        for longest in (self.lateness.own, self.lateness.other):
            order = np.argsort(longest)
            at = int(np.searchsorted(np.cumsum(by_lag[order]), share))
            found.append(float(longest[order][min(at, len(order) - 1)]))
        return found[0], found[1]

    def spread(self) -> Spread:
        """Return equally likely states drawn evenly from it."""
        order = np.argsort(self.lateness.own, kind="stable")
        total = np.cumsum(self.weight.T[:, order].ravel())
        cell = np.searchsorted(total, (np.arange(KEPT) + 0.5) / KEPT * total[-1])
        at, lag = np.divmod(np.minimum(cell, total.size - 1), len(order))
        lag_s = np.zeros(KEPT) if self.lateness.jitter else self.lateness.own[order][lag]
        return Spread(np.rint(self.offset[at] * US).astype(np.int64), np.rint(lag_s * US).astype(np.int64))


def glance(
    difference_s: Floats,
    cells_us: tuple[int, int],
    lateness: Lateness,
    known_s: tuple[float, float] | None = None,
) -> Posterior:
    """Return roughly what the differences of shared marks tell of the offset.

    Parameters
    ----------
    difference_s : float64, shape (n,)
        Time in the other source less time in this one. [s]
    cells_us
        The cells of the two sources. [us]
    known_s
        Bounds within which the offset is known to lie, by a check of the clocks. [s]
    """
    widest_s = lateness.widest_s(cells_us)
    middle_s = float(np.median(difference_s))
    return _over(
        difference_s, cells_us, lateness, (middle_s - widest_s, middle_s + widest_s), known_s, GLANCE
    )


def posterior(
    difference_s: Floats,
    cells_us: tuple[int, int],
    lateness: Lateness,
    known_s: tuple[float, float] | None = None,
) -> Posterior:
    """As `glance`, looked at again closely where offset and lateness are likely to be."""
    rough = glance(difference_s, cells_us, lateness, known_s)
    likely = np.flatnonzero(rough.weight.sum(axis=0) > 1e-5)
    step_s = rough.offset[1] - rough.offset[0]
    near = (rough.offset[likely[0]] - 2 * step_s, rough.offset[likely[-1]] + 2 * step_s)
    closer = _closer(lateness, rough.weight.sum(axis=1))
    steps = min(CLOSE, max(int((near[1] - near[0]) / (closer.widest_s(cells_us) / FINEST)), 8))
    return _over(difference_s, cells_us, closer, near, known_s, steps)


def _closer(lateness: Lateness, weight: Floats) -> Lateness:
    """Return the same lateness of one writer, looked at more finely where it is likely."""
    one = lateness.own if lateness.own.any() else lateness.other
    if not RUNGS <= len(one) <= RUNGS + 1:
        return lateness
    likely = np.flatnonzero(weight[:RUNGS] > 1e-3 * weight[:RUNGS].max())
    low, high = max(likely[0] - 1, 0), min(likely[-1] + 1, RUNGS - 1)
    finer = np.append(np.geomspace(one[low], one[high], RUNGS), one[RUNGS:])
    share = lateness.prior[0] * (high - low + 1) / RUNGS  # as much for each as the ladder gave its like
    prior = np.append(np.full(RUNGS, share), lateness.prior[RUNGS:])
    none = np.zeros(len(finer))
    own, other = (finer, none) if lateness.own.any() else (none, finer)
    return Lateness(own, other, prior, lateness.jitter)


def _over(
    difference_s: Floats,
    cells_us: tuple[int, int],
    lateness: Lateness,
    within_s: tuple[float, float],
    known_s: tuple[float, float] | None,
    steps: int,
) -> Posterior:
    """Return the posterior over so many steps of the offset within bounds."""
    offset = np.linspace(*within_s, steps + 1)
    step_s = float(within_s[1] - within_s[0]) / steps
    half = int(np.ceil(lateness.widest_s(cells_us) / 2 / step_s)) + 1
    gains = _gains(lateness.boxes(cells_us), step_s, half)
    late = np.rint(lateness.middle_s() / step_s).astype(np.int64)
    # differences by step; those too far off for any offset within the bounds are strays
    room = half + int(np.abs(late).max())
    place = np.rint((difference_s - within_s[0]) / step_s).astype(np.int64) + room
    count = np.bincount(
        place[(place >= 0) & (place < len(offset) + 2 * room)], minlength=len(offset) + 2 * room
    )
    # a difference speaks for an offset with the density of what lies between them
    size = 1 << (len(count) + gains.shape[1]).bit_length()
    told = np.fft.irfft(np.fft.rfft(count, size) * np.fft.rfft(gains[:, ::-1], size), size)
    first = room + half + late
    log = told[np.arange(len(gains))[:, None], first[:, None] + np.arange(len(offset))]
    log += np.log(lateness.prior)[:, None]
    if known_s is not None:
        known = (offset >= known_s[0] - step_s) & (offset <= known_s[1] + step_s)
        log = np.where(known, log, -np.inf) if known.any() else log
    top = log.max()
    weight = np.exp(log - top)
    total = weight.sum()
    fits = float(top + np.log(total * step_s) + len(difference_s) * np.log(FLOOR))
    return Posterior(offset, weight / total, lateness, fits)

"""Control charts after Shewhart: p and u with subgroups of any size, and individual values (XmR).

Formulas: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (individuals), 6.3.3.1 (u), 6.3.3.2 (p).
Limits are three standard errors from the centre, for each point by the size of its own subgroup.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from debrief.cohorts.points import Phase, Point, points, signalled, stretches
from debrief.model.axis import Bools, Floats

SIGMAS = 3.0

E2 = 2.66
"""Three standard deviations in mean moving ranges of two: 3 / 1.128."""

D4 = 3.267
"""Upper limit of a moving range of two, in mean moving ranges."""


@dataclass(frozen=True)
class Individuals:
    """An XmR chart: the values, and how far each lies from the one before."""

    values: tuple[Point, ...]
    ranges: tuple[Point, ...]


def p_chart(count: ArrayLike, n: ArrayLike, phases: Sequence[Phase] = ()) -> tuple[Point, ...]:
    """Return shares with limits by subgroup size, clamped to [0, 1].

    Parameters
    ----------
    count, n : array_like, shape (points,)
        So many of so many. A point with ``n`` 0 has no value and no limits.
    """
    counts, sizes = np.asarray(count, np.float64), np.asarray(n, np.float64)
    centre = _centres(counts, sizes, phases)
    return _by_size(counts, sizes, centre, centre * (1 - centre), 1.0, phases)


def u_chart(count: ArrayLike, exposure: ArrayLike, phases: Sequence[Phase] = ()) -> tuple[Point, ...]:
    """Return rates, such as arrests in 1,000 admissions, with limits by exposure, none below 0.

    Parameters
    ----------
    count, exposure : array_like, shape (points,)
        So many in so much. A point without exposure has no value and no limits.
    """
    counts, sizes = np.asarray(count, np.float64), np.asarray(exposure, np.float64)
    centre = _centres(counts, sizes, phases)
    return _by_size(counts, sizes, centre, centre, np.inf, phases)


def xmr_chart(value: ArrayLike, phases: Sequence[Phase] = ()) -> Individuals:
    """Return values with limits from their moving ranges. A missing value (NaN) is passed over.

    Parameters
    ----------
    value : array_like, shape (points,)
        In order of time.
    """
    values = np.asarray(value, np.float64)
    centre, spread, moved = (np.full(len(values), np.nan) for _ in range(3))
    for stretch, baseline in stretches(len(values), phases):
        known = np.arange(len(values))[stretch][np.isfinite(values[stretch])]
        moved[known[1:]] = np.abs(np.diff(values[known]))
        centre[stretch] = _mean(values[baseline])
        spread[stretch] = _mean(moved[baseline])
    level = points(values, None, centre, centre - E2 * spread, centre + E2 * spread)
    ranges = points(moved, None, spread, np.zeros(len(values)), D4 * spread)
    return Individuals(signalled(level, phases), signalled(ranges, phases))


def _centres(counts: Floats, sizes: Floats, phases: Sequence[Phase]) -> Floats:
    """Return the pooled share or rate of each point's phase, NaN where it has no subgroup."""
    centre = np.full(len(counts), np.nan)
    for stretch, baseline in stretches(len(counts), phases):
        total = sizes[baseline].sum()
        if total:
            centre[stretch] = counts[baseline].sum() / total
    return centre


def _by_size(
    counts: Floats, sizes: Floats, centre: Floats, variance: Floats, most: float, phases: Sequence[Phase]
) -> tuple[Point, ...]:
    some: Bools = sizes > 0
    size = np.where(some, sizes, np.nan)
    half = SIGMAS * np.sqrt(variance / size)
    lower, upper = np.maximum(centre - half, 0.0), np.minimum(centre + half, most)
    return signalled(points(counts / size, sizes, centre, lower, upper), phases)


def _mean(values: Floats) -> float:
    known = values[np.isfinite(values)]
    return float(known.mean()) if len(known) else np.nan

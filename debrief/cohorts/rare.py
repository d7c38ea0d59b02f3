"""Charts for what is seldom missed, where a share by month is mostly 1: how much lies between two misses.

g chart: events between misses are geometric; limits are the 0.135 and 99.865 percentiles of that distribution
and the centre is its median, so that half of the points lie on either side (probability limits instead of the
three standard deviations of Kaminsky FC et al., J Qual Technol 1992;24:63-9, and Benneyan JC, Health Care
Manag Sci 2001;4:305-18, which the skew of that distribution makes one-sided; cited from memory).
t chart: days between misses are nearly normal once raised to 1/3.6 (Nelson LS, J Qual Technol 1994;26:239-40;
cited from memory); the limits are those of individual values there, and are brought back.
High is good in both: much lies between two misses. What follows the last miss is not over yet, and no point.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import log1p

import numpy as np
from numpy.typing import ArrayLike

from debrief.cohorts.points import Phase, Point, points, signalled, stretches
from debrief.cohorts.shewhart import xmr_chart

TAIL = 0.00135
"""What chance alone puts beyond a limit: as much as lies beyond three standard deviations."""

POWER = 3.6


def g_chart(between: ArrayLike, phases: Sequence[Phase] = ()) -> tuple[Point, ...]:
    """Return how many events lay between each two misses, with limits.

    Parameters
    ----------
    between : array_like, shape (points,)
        Whole numbers from 0 on: the events between a miss and the next, neither of them counted.
    """
    values = np.asarray(between, np.float64)
    centre, lower, upper = (np.full(len(values), np.nan) for _ in range(3))
    for stretch, baseline in stretches(len(values), phases):
        missed = 1 / (values[baseline].mean() + 1)
        centre[stretch] = _quantile(0.5, missed)
        lower[stretch] = _quantile(TAIL, missed)
        upper[stretch] = _quantile(1 - TAIL, missed)
    return signalled(points(values, None, centre, lower, upper), phases)


def t_chart(days: ArrayLike, phases: Sequence[Phase] = ()) -> tuple[Point, ...]:
    """Return the time between each two misses, with limits.

    Parameters
    ----------
    days : array_like, shape (points,)
        From 0 on. [d]
    """
    return tuple(
        replace(
            point,
            value=_back(point.value),
            centre=_back(point.centre),
            lower=_back(point.lower),
            upper=_back(point.upper),
        )
        for point in xmr_chart(np.asarray(days, np.float64) ** (1 / POWER), phases).values
    )


def _quantile(share: float, missed: float) -> float:
    """Return the fewest events that come before a miss in at least this share of cases."""
    if missed == 1:
        return 0.0
    return max(0.0, float(np.ceil(log1p(-share) / log1p(-missed) - 1 - 1e-12)))


def _back(raised: float | None) -> float | None:
    return None if raised is None else max(raised, 0.0) ** POWER

"""Run charts: the median, and whether points run or cross it as chance alone would have them.

Rules and their names: Perla RJ, Provost LP, Murray SK, BMJ Qual Saf 2011;20:46-51 (read in summaries): six or
more in a row on one side (shift), five or more in a row going one way (trend), too few or too many runs.
Critical numbers of runs are worked out exactly from their distribution (Swed FS, Eisenhart C, Ann Math Stat
1943;14:66-87).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb

import numpy as np
from numpy.typing import ArrayLike

from debrief.cohorts.points import Phase, Point, points, signalled, stretches
from debrief.model.axis import Floats

SHIFT = 6
TREND = 5
TAIL = 0.025
"""What chance alone may take of fewer, and of more, runs than the critical numbers."""


@dataclass(frozen=True)
class Runs:
    """How often the points of a phase that do not lie on the median change sides, and one more.

    Chance alone gives ``fewest`` to ``most`` in 95 of 100 series; ``signal``: ``too_few_runs``,
    ``too_many_runs`` or null.
    """

    start: int
    runs: int
    fewest: int
    most: int
    signal: str | None


@dataclass(frozen=True)
class RunChart:
    """Points around the median of their phase, without limits, and the runs of each phase."""

    values: tuple[Point, ...]
    runs: tuple[Runs, ...]


def run_chart(value: ArrayLike, phases: Sequence[Phase] = ()) -> RunChart:
    """Return values around their median. A missing value (NaN) is passed over.

    Parameters
    ----------
    value : array_like, shape (points,)
        In order of time.
    """
    values = np.asarray(value, np.float64)
    centre = np.full(len(values), np.nan)
    counted = []
    for stretch, baseline in stretches(len(values), phases):
        known = values[baseline][np.isfinite(values[baseline])]
        if len(known):
            centre[stretch] = np.median(known)
            counted.append(_runs_of(values[stretch] - centre[stretch], stretch.start))
    none = np.full(len(values), np.nan)
    chart = points(values, None, centre, none, none)
    return RunChart(signalled(chart, phases, SHIFT, TREND), tuple(counted))


def _runs_of(off: Floats, start: int) -> Runs:
    side = np.sign(off[np.isfinite(off) & (off != 0)])
    runs = int((np.diff(side) != 0).sum()) + (len(side) > 0)
    fewest, most = critical_runs(int((side > 0).sum()), int((side < 0).sum()))
    signal = "too_few_runs" if runs < fewest else "too_many_runs" if runs > most else None
    return Runs(start, runs, fewest, most, signal)


def critical_runs(above: int, below: int) -> tuple[int, int]:
    """Return the fewest and the most runs that do not signal, at 2.5 % on either side.

    Parameters
    ----------
    above, below
        How many points lie on either side of the median.
    """
    ways = [_ways(above, below, runs) for runs in range(above + below + 1)]
    cut = TAIL * sum(ways)
    fewest = next(runs for runs in range(len(ways)) if sum(ways[: runs + 1]) > cut)
    most = next(runs for runs in reversed(range(len(ways))) if sum(ways[runs:]) > cut)
    return fewest, most


def _ways(above: int, below: int, runs: int) -> int:
    """Return in how many orders points of two sides make so many runs."""
    if not above or not below or not runs:
        return int(runs == (above + below > 0))
    half, odd = divmod(runs, 2)
    if not odd:
        return 2 * _parts(above, half) * _parts(below, half)
    return _parts(above, half + 1) * _parts(below, half) + _parts(above, half) * _parts(below, half + 1)


def _parts(count: int, parts: int) -> int:
    """Return in how many ways so many can be parted in order, none of the parts empty."""
    return comb(count - 1, parts - 1) if parts else 0

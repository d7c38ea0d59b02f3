"""Points of a chart, its phases, and the rules by which points signal.

Rules of control charts are those of the NIST/SEMATECH e-Handbook, 6.3.2, that need no zones: a point outside
the limits, eight in a row on one side of the centre, six in a row going one way. A signal says that chance
alone seldom looks like this; not why, and not whether it is good.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise
from math import isclose
from operator import itemgetter

import numpy as np

from debrief.errors import BadSetting
from debrief.model.axis import Floats
from debrief.words import say

SHIFT = 8
"""So many points in a row on one side of the centre of a control chart signal."""

TREND = 6
"""So many points in a row, each above (or each below) the one before, signal."""


@dataclass(frozen=True)
class Phase:
    """A stretch of points with a centre and limits of its own, from point ``start`` on.

    ``baseline``: how many of its first points settle centre and limits, which are then frozen; null for all.
    ``label``: what began there, for reading.
    """

    start: int = 0
    baseline: int | None = None
    label: str = ""


@dataclass(frozen=True)
class Point:
    """A point with its centre and limits. ``value`` null: nothing was known; ``lower``, ``upper``: no limit.

    ``n``: what it rests on, such as events or hours. ``signal``: null, or the key of a sentence,
    ``trends.signal.<signal>``.
    """

    value: float | None
    n: float | None
    centre: float | None
    lower: float | None = None
    upper: float | None = None
    signal: str | None = None


def stretches(count: int, phases: Sequence[Phase]) -> Iterator[tuple[slice, slice]]:
    """Yield the points of each phase, and those that settle its centre.

    Raises
    ------
    BadSetting
        Where phases do not begin one after the other within the points, or a baseline is empty.
    """
    starts = [0, *(phase.start for phase in phases if phase.start > 0), count]
    known = {phase.start: phase for phase in phases}
    wrong = [start for before, start in pairwise(starts[:-1]) if not before < start < count]
    if wrong or len(known) < len(phases) or min(known, default=0) < 0:
        raise BadSetting(say("trends.bad_phases", points=count))
    for start, stop in pairwise(starts):
        baseline = known.get(start, Phase()).baseline
        if baseline is not None and baseline < 1:
            raise BadSetting(say("trends.bad_baseline", read=baseline))
        settling = stop if baseline is None else min(stop, start + baseline)
        yield slice(start, stop), slice(start, settling)


def points(
    values: Floats, n: Floats | None, centre: Floats, lower: Floats, upper: Floats
) -> tuple[Point, ...]:
    """Return points from columns, NaN as null, without signals."""
    columns = (values, np.full(len(values), np.nan) if n is None else n, centre, lower, upper)
    cells = ([None if np.isnan(cell) else float(cell) for cell in column] for column in columns)
    return tuple(Point(*row) for row in zip(*cells, strict=True))


def signalled(
    chart: Sequence[Point], phases: Sequence[Phase], shift: int = SHIFT, trend: int = TREND
) -> tuple[Point, ...]:
    """Return the points with their signals; of several, a point has the first of: outside, shift, trend.

    Points without a value are passed over. A point on the centre neither breaks a run nor adds to it, and one
    as high as the point before is passed over in a trend. No run goes across phases.
    """
    found: list[str | None] = [None] * len(chart)
    for stretch, _ in stretches(len(chart), phases):
        known = [row for row in range(len(chart))[stretch] if chart[row].value is not None]
        for way, rows in _runs(_moves(chart, known)):
            if len(rows) >= trend - 1:
                for row in known[known.index(rows[0]) - 1 : known.index(rows[-1]) + 1]:
                    found[row] = "trend_up" if way > 0 else "trend_down"
        for way, rows in _runs(_sides(chart, known)):
            if len(rows) >= shift:
                for row in rows:
                    found[row] = "shift_above" if way > 0 else "shift_below"
    return tuple(
        replace(point, signal=outside(point) or name) for point, name in zip(chart, found, strict=True)
    )


def outside(point: Point) -> str | None:
    """Return whether a point lies outside its limits, and on which side."""
    if point.value is None:
        return None
    if point.upper is not None and point.value > point.upper and not _alike(point.value, point.upper):
        return "above"
    if point.lower is not None and point.value < point.lower and not _alike(point.value, point.lower):
        return "below"
    return None


def _sides(chart: Sequence[Point], known: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Yield the points that lie on a side of the centre: their row, and 1 above or -1 below."""
    for row in known:
        value, centre = chart[row].value, chart[row].centre
        if value is not None and centre is not None and not _alike(value, centre):
            yield row, 1 if value > centre else -1


def _moves(chart: Sequence[Point], known: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Yield the points that differ from the one before: their row, and 1 up or -1 down."""
    for earlier, row in pairwise(known):
        before, value = chart[earlier].value, chart[row].value
        if value is not None and before is not None and not _alike(value, before):
            yield row, 1 if value > before else -1


def _runs(steps: Iterator[tuple[int, int]]) -> Iterator[tuple[int, list[int]]]:
    """Yield the rows that follow each other with one way, and the way."""
    for way, run in groupby(steps, key=itemgetter(1)):
        yield way, [row for row, _ in run]


def _alike(one: float, other: float) -> bool:
    """Return whether two numbers differ by no more than arithmetic."""
    return isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)

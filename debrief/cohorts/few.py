"""Small numbers are not shown: where a site says so, fewer events than its limit stand in no point.

What is hidden cannot be worked out from what is shown beside it: of the points that settle one centre at
least two are hidden, which hold the limit together, or none.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from debrief.cohorts.points import Phase, Point, stretches
from debrief.cohorts.survival import Curve
from debrief.cohorts.trends import Trend, TrendPoint
from debrief.errors import BadSetting
from debrief.words import say


def guarded(trend: Trend, fewest: int | None) -> Trend:
    """Return a trend without what fewer events than the limit would show.

    Parameters
    ----------
    trend
        Any trend.
    fewest
        The limit of the site; null for none.

    Raises
    ------
    BadSetting
        Where the trend is of what lies between two misses: its points are single events.
    """
    if fewest is None:
        return trend
    if trend.by == "miss":
        raise BadSetting(say("trends.single_events", read=trend.chart, fewest=fewest))
    sizes = [int(each.rests_on) for each in trend.points]
    hidden = too_few(sizes, fewest, trend.phases)
    uncentred = _uncentred(sizes, fewest, trend.phases)
    points = tuple(_shown(each, row in hidden, row in uncentred) for row, each in enumerate(trend.points))
    signals = () if hidden else trend.signals
    notes = (say("trends.note_hidden", fewest=fewest), *trend.notes) if hidden else trend.notes
    return replace(trend, points=points, fewest=fewest, signals=signals, notes=notes)


def guarded_curve(curve: Curve, fewest: int | None) -> Curve:
    """Return a curve without the steps at which fewer than the limit were watched; of few events, no step."""
    if fewest is None:
        return curve
    steps = tuple(step for step in curve.steps if step.at_risk >= fewest and curve.n >= fewest)
    median = curve.median if any(step.time == curve.median for step in steps) else None
    return replace(curve, steps=steps, median=median)


def too_few(sizes: Sequence[int], fewest: int, phases: Sequence[Phase] = ()) -> set[int]:
    """Return which points are hidden: too small, or needed so that those cannot be worked out."""
    hidden: set[int] = set()
    before = None
    while hidden != before:  # what one centre hides may lay open what another did
        before = set(hidden)
        for rows in _together(len(sizes), phases):
            hidden |= _hidden_among(rows, sizes, fewest, hidden)
    return hidden


def _hidden_among(rows: range, sizes: Sequence[int], fewest: int, hidden: set[int]) -> set[int]:
    small = {row for row in rows if row in hidden or 0 < sizes[row] < fewest}
    others = sorted((row for row in rows if sizes[row] and row not in small), key=lambda row: sizes[row])
    while small and others and (len(small) < 2 or sum(sizes[row] for row in small) < fewest):
        small.add(others.pop(0))
    return small


def _together(count: int, phases: Sequence[Phase]) -> Iterable[range]:
    """Yield the points that settle one centre, and all of them, whose sum is told."""
    for _, settling in stretches(count, phases) if count else ():
        yield range(count)[settling]
    yield range(count)


def _uncentred(sizes: Sequence[int], fewest: int, phases: Sequence[Phase]) -> set[int]:
    """Return the points whose centre is settled by too few events."""
    return {
        row
        for stretch, settling in (stretches(len(sizes), phases) if sizes else ())
        if sum(sizes[settling]) < fewest
        for row in range(len(sizes))[stretch]
    }


def _shown(each: TrendPoint, hidden: bool, uncentred: bool) -> TrendPoint:
    point = each.point
    if uncentred:
        point = replace(point, centre=None, lower=None, upper=None, signal=None)
    if not hidden:
        return replace(each, point=point, more=each.more | {"suppressed": False})
    nothing = dict.fromkeys(each.more)
    return replace(each, point=Point(None, None, point.centre), more=nothing | {"suppressed": True})

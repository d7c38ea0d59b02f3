"""A measure over time or by unit, as one chart.

What is judged, and what is yes or no, is a share: a p-chart over time, a funnel by unit. Any other figure is
a median: individual values (XmR) over time; units have no order, so their medians have no limits. Points of
two versions of the definitions are never one, and a chart begins anew where the version changes.
"""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import pairwise
from math import inf
from typing import Any

from debrief.cohorts.cohort import By, Cohort
from debrief.cohorts.drawing import ChartName, Group, draw, groups
from debrief.cohorts.points import Phase, Point
from debrief.cohorts.summary import is_few, summary_of
from debrief.errors import BadSetting
from debrief.model.contract import Target
from debrief.words import say

ENOUGH_POINTS = 12
"""Below this limits are told to be provisional; common practice."""

ENOUGH_MISSES = 2
"""With fewer expected in a point (of what is seldomer, met or missed) limits of shares are told to be rough.

Of charts in which nothing changed 1 in 8 signals with many, 1 in 5 with so many, half with far fewer:
``tests/benchmarks/signals.py``.
"""


@dataclass(frozen=True)
class TrendPoint:
    """A point with its label, the version of its definitions, and what else there is to tell of it.

    ``events``: how many are in it, known or not.
    """

    label: str
    definitions: int
    point: Point
    more: dict[str, Any]
    events: int = 0

    @property
    def rests_on(self) -> float:
        """How many events its value rests on; where it has none, how many are in it."""
        return self.point.n or self.events


@dataclass(frozen=True)
class Trend:
    """A chart of a measure.

    ``unit``: of the values; ``targets``: all that judge any of the events; ``signals``: of the whole chart;
    ``notes``: sentences on what to mind; ``fewest``: fewer events than this are not shown, null for no limit.
    """

    cohort: Cohort
    by: By
    chart: ChartName
    unit: str
    points: tuple[TrendPoint, ...]
    targets: tuple[Target, ...]
    signals: tuple[str, ...] = ()
    phases: tuple[Phase, ...] = ()
    notes: tuple[str, ...] = ()
    fewest: int | None = None

    @property
    def centre(self) -> float | None:
        """The centre of the last phase."""
        return self.points[-1].point.centre if self.points else None

    @property
    def target(self) -> Target | None:
        """What is asked, where the same is asked of all events."""
        return self.targets[0] if len(self.targets) == 1 else None

    def to_dict(self) -> dict[str, Any]:
        """Return the trend for other programs; shares are 0 to 1, null where nothing is known or shown."""
        few = is_few(len(self.cohort.rows), self.fewest)
        left_out = self.cohort.left_out
        return {
            "measure": self.cohort.measure,
            "by": self.by,
            "chart": self.chart,
            "unit": self.unit,
            "target": None if self.target is None else _asked(self.target),
            "targets": [_asked(target) for target in self.targets],
            "centre": self.centre,
            "read": None if few else self.cohort.read,
            "counted": None if few else len(self.cohort.rows),
            "summary": summary_of(self.cohort.rows).to_dict(self.fewest),
            "fewest_shown": self.fewest,
            "not_asked_for": self.cohort.not_asked,
            "filters": [asdict(one) for one in self.cohort.filters],
            "excluded": {reason: len(ids) for reason, ids in left_out.items()},
            "excluded_events": {reason: list(ids) for reason, ids in left_out.items() if not self.fewest},
            "points": [_row(each) for each in self.points],
            "phases": [asdict(phase) for phase in self.phases],
            "signals": list(self.signals),
            "notes": list(self.notes),
        }


def trend(
    chosen: Cohort,
    by: By,
    chart: ChartName | None = None,
    baseline: int | None = None,
    phases: Sequence[str] = (),
) -> Trend:
    """Return the chart of a measure.

    Parameters
    ----------
    chosen
        The events that count, chosen for the same ``by``.
    by
        What they are put together by; ``miss`` for charts of what lies between two misses.
    chart
        Which chart; null for the one that fits. By unit it is a funnel, or medians without limits.
    baseline
        How many points of each phase settle centre and limits; null for all.
    phases
        Labels at which a new phase begins.

    Raises
    ------
    BadSetting
        Where the measure has no such chart, a phase no such point, or a baseline no points.
    """
    rows = chosen.rows
    shares = any(row.target is not None or isinstance(row.value, bool) for row in rows)
    name = _chart_name(chosen, by, chart, shares)
    made = groups(rows, by)
    stretches = _phases(made, baseline, phases)
    drawn = draw(name, made, stretches, shares)
    points = tuple(
        TrendPoint(group.label, group.definitions, point, more, len(group.rows))
        for group, point, more in zip(made, drawn.points, drawn.more, strict=True)
    )
    targets = {row.target["id"]: row.target for row in rows if row.target is not None}
    unit = {"p": "1", "funnel": "1", "g": "count", "t": "d"}.get(name)
    if unit is None:
        unit = "1" if (name == "run" and shares) or not rows else rows[0].figure_unit
    found = Trend(chosen, by, name, unit, points, tuple(targets.values()), drawn.signals, tuple(stretches))
    return replace(found, notes=tuple(_notes(found)))


def _chart_name(chosen: Cohort, by: By, chart: ChartName | None, shares: bool) -> ChartName:
    if by == "unit":
        if chart is not None:
            raise BadSetting(say("trends.no_order", read=chart))
        return "funnel" if shares else "medians"
    if chart in ("p", "g", "t") and not shares and chosen.rows:
        raise BadSetting(say("trends.nothing_judged", read=chart, measure=chosen.measure))
    if chart == "xmr" and any(isinstance(row.value, bool) for row in chosen.rows):
        raise BadSetting(say("trends.yes_or_no", measure=chosen.measure))
    return chart or ("p" if shares else "xmr")


def _phases(made: Sequence[Group], baseline: int | None, labels: Sequence[str]) -> list[Phase]:
    """Return where phases begin: at the first point, at each label, and where the definitions change."""
    starts = {0: ""} if made else {}
    for label in labels:
        at = next((row for row, group in enumerate(made) if group.label >= label), None)
        if at is None:
            raise BadSetting(say("trends.no_phase", read=label))
        starts[at] = label
    for row, (before, group) in enumerate(pairwise(made), start=1):
        if group.definitions != before.definitions:
            starts[row] = say("trends.definitions", version=group.definitions)
    return [Phase(start, baseline, label) for start, label in sorted(starts.items())]


def _notes(found: Trend) -> Iterator[str]:
    """Yield what to mind about a chart."""
    rows, values = found.cohort.rows, [each for each in found.points if each.point.value is not None]
    if not rows:
        yield say("trends.note_empty", read=found.cohort.read)
        return
    if found.by == "miss" and not found.points:
        yield say("trends.note_no_misses")
    elif not values:
        yield say("trends.note_nothing_known", events=len(rows))
    elif len(rows) == 1:
        yield say("trends.note_one")
    elif found.by != "unit" and len(values) < ENOUGH_POINTS:
        yield say("trends.note_few", points=len(values), enough=ENOUGH_POINTS)
    stale = sum(row.stale for row in rows)
    if stale:
        yield say("trends.note_stale", events=stale)
    populations = sorted({row.population for row in rows})
    if len(populations) > 1:
        yield say("trends.note_populations", populations=", ".join(populations))
    if len(found.targets) > 1:
        yield say("trends.note_targets", rules="; ".join(target["rule"] for target in found.targets))
    if any(each.definitions != found.points[0].definitions for each in found.points):
        yield say("trends.note_definitions")
    if found.chart == "p" and values and _expected(values) < ENOUGH_MISSES:
        yield say("trends.note_small")
    uncertain = sum(row.outcome == "uncertain" for row in rows)
    if uncertain and found.chart in ("p", "funnel", "run"):
        yield say("trends.note_uncertain", events=uncertain)
    missing = sum(row.value is None for row in rows)
    if missing and found.chart in ("xmr", "medians"):
        yield say("trends.note_missing", events=missing)


def _expected(values: Sequence[TrendPoint]) -> float:
    """Return how many of what is seldomer, met or missed, a point should have; no end where one is never."""
    rarer = [min(each.point.centre or 0.0, 1 - (each.point.centre or 0.0)) for each in values]
    sizes = [each.point.n or 0.0 for each in values]
    return sum(n * share for n, share in zip(sizes, rarer, strict=True)) / len(values) or inf


def _row(each: TrendPoint) -> dict[str, Any]:
    names = ("n", "value", "lower", "upper", "signal", "centre")
    point = {name: getattr(each.point, name) for name in names}
    return {"label": each.label, **point, "definitions": each.definitions, **each.more}


def _asked(target: Target) -> dict[str, Any]:
    """Return a target without the verdict, which is that of one event."""
    return {name: value for name, value in target.items() if name != "verdict"}

"""Rows into the points of a chart: which rows make a point, and which numbers of them are drawn."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Any, Literal

import numpy as np

from debrief.cohorts.cohort import By, Row
from debrief.cohorts.funnel import funnel
from debrief.cohorts.points import Phase, Point
from debrief.cohorts.proportions import Tally, tally
from debrief.cohorts.rare import g_chart, t_chart
from debrief.cohorts.runs import run_chart
from debrief.cohorts.shewhart import p_chart, xmr_chart

ChartName = Literal["p", "xmr", "run", "g", "t", "funnel", "medians"]


@dataclass(frozen=True)
class Group:
    """The rows of a point. In charts of what lies between two misses the first and the last row are those."""

    label: str
    definitions: int
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Drawn:
    """Points with what else there is to tell of each, and signals of the whole chart."""

    points: Sequence[Point]
    more: Sequence[dict[str, Any]]
    signals: tuple[str, ...] = ()


def groups(rows: Sequence[Row], by: By) -> list[Group]:
    """Return the rows of each point, those of older definitions first, then by label."""
    if by == "miss":
        return _misses(rows)
    found: dict[tuple[int, str], list[Row]] = {}
    for row in rows:
        found.setdefault((row.definitions, str(getattr(row, by))), []).append(row)
    return [Group(label, version, tuple(found[version, label])) for version, label in sorted(found)]


def _misses(rows: Sequence[Row]) -> list[Group]:
    """Return the rows from each miss to the next, in order of time."""
    told = [row for row in rows if row.outcome in ("met", "not_met")]
    ordered = sorted(told, key=lambda row: (row.definitions, row.date or "", row.at or "", row.event_id))
    missed = [place for place, row in enumerate(ordered) if row.outcome == "not_met"]
    return [
        Group(str(ordered[last].date), ordered[last].definitions, tuple(ordered[first : last + 1]))
        for first, last in pairwise(missed)
        if ordered[first].definitions == ordered[last].definitions
    ]


def draw(name: ChartName, made: Sequence[Group], phases: Sequence[Phase], shares: bool) -> Drawn:
    """Return the points of a chart.

    Parameters
    ----------
    name
        Which chart.
    made
        What makes each point.
    phases
        Where centre and limits begin anew.
    shares
        Whether the points of a run chart are shares; else medians.
    """
    if name == "run":
        return _run_of_shares(made, phases) if shares else _run_of_medians(made, phases)
    return _CHARTS[name](made, phases)


def _p(made: Sequence[Group], phases: Sequence[Phase]) -> Drawn:
    counts = _tallies(made)
    sizes = [each.share.n for each in counts]
    return Drawn(_sized(p_chart([each.met for each in counts], sizes, phases), sizes), _told(counts))


def _funnel(made: Sequence[Group], phases: Sequence[Phase]) -> Drawn:
    counts = _tallies(made)
    units = funnel([each.met for each in counts], [each.share.n for each in counts])
    inner = [{"inner_lower": unit.inner_lower, "inner_upper": unit.inner_upper} for unit in units]
    return Drawn(units, [told | more for told, more in zip(_told(counts), inner, strict=True)])


def _run_of_shares(made: Sequence[Group], phases: Sequence[Phase]) -> Drawn:
    counts = _tallies(made)
    shares = [each.share.value for each in counts]
    return _run(shares, [each.share.n for each in counts], _told(counts), phases)


def _run_of_medians(made: Sequence[Group], phases: Sequence[Phase]) -> Drawn:
    medians, sizes, more = _medians(made)
    return _run(medians, sizes, more, phases)


def _run(
    values: Sequence[float | None],
    sizes: Sequence[int],
    more: Sequence[dict[str, Any]],
    phases: Sequence[Phase],
) -> Drawn:
    chart = run_chart(_column(values), phases)
    signals = tuple(runs.signal for runs in chart.runs if runs.signal)
    return Drawn(_sized(chart.values, sizes), more, signals)


def _xmr(made: Sequence[Group], phases: Sequence[Phase]) -> Drawn:
    medians, sizes, more = _medians(made)
    return Drawn(_sized(xmr_chart(_column(medians), phases).values, sizes), more)


def _unordered(made: Sequence[Group], phases: Sequence[Phase]) -> Drawn:
    medians, sizes, more = _medians(made)
    known = [value for value in medians if value is not None]
    centre = float(np.median(known)) if known else None
    return Drawn([Point(value, n, centre) for value, n in zip(medians, sizes, strict=True)], more)


def _g(made: Sequence[Group], phases: Sequence[Phase]) -> Drawn:
    between = [len(group.rows) - 2 for group in made]
    return Drawn(_sized(g_chart(between, phases), between), _after(made))


def _t(made: Sequence[Group], phases: Sequence[Phase]) -> Drawn:
    days = [_days(group.rows[0], group.rows[-1]) for group in made]
    return Drawn(_sized(t_chart(days, phases), [len(group.rows) - 2 for group in made]), _after(made))


_CHARTS: dict[ChartName, Callable[[Sequence[Group], Sequence[Phase]], Drawn]] = {
    "p": _p,
    "xmr": _xmr,
    "g": _g,
    "t": _t,
    "funnel": _funnel,
    "medians": _unordered,
}


def _tallies(made: Sequence[Group]) -> list[Tally]:
    return [tally(row.outcome for row in group.rows) for group in made]


def _told(counts: Sequence[Tally]) -> list[dict[str, Any]]:
    """Return counts of verdicts, the share's interval, and the share if all uncertain ones went one way."""
    return [
        {
            **{name: getattr(each, name) for name in ("met", "not_met", "uncertain", "no_data")},
            "low": each.share.low,
            "high": each.share.high,
            "worst": each.worst.value,
            "best": each.best.value,
        }
        for each in counts
    ]


def _medians(made: Sequence[Group]) -> tuple[list[float | None], list[int], list[dict[str, Any]]]:
    """Return the median of each point, of how many values, and its quartiles by interpolation."""
    medians, sizes, more = [], [], []
    for group in made:
        values = [float(row.value) for row in group.rows if row.value is not None]
        low, middle, high = np.percentile(values, (25, 50, 75)).tolist() if values else (None, None, None)
        medians.append(middle)
        sizes.append(len(values))
        missing = len(group.rows) - len(values)
        more.append({"lower_quartile": low, "upper_quartile": high, "no_data": missing})
    return medians, sizes, more


def _after(made: Sequence[Group]) -> list[dict[str, Any]]:
    return [{"after": group.rows[0].date} for group in made]


def _days(first: Row, last: Row) -> float:
    """Return the days between two events: by the hour where both have one, else whole days."""
    if first.at is not None and last.at is not None:
        return (datetime.fromisoformat(last.at) - datetime.fromisoformat(first.at)) / timedelta(days=1)
    return float((date.fromisoformat(str(last.date)) - date.fromisoformat(str(first.date))).days)


def _column(values: Sequence[float | None]) -> list[float]:
    return [np.nan if value is None else value for value in values]


def _sized(points: Sequence[Point], sizes: Sequence[int]) -> list[Point]:
    return [replace(point, n=n) for point, n in zip(points, sizes, strict=True)]

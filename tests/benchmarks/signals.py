"""How often charts of 24 points signal although nothing changed: ``python -m tests.benchmarks.signals``."""

from collections.abc import Callable, Sequence

import numpy as np

from debrief.cohorts.points import Point
from debrief.cohorts.rare import g_chart, t_chart
from debrief.cohorts.runs import run_chart
from debrief.cohorts.shewhart import p_chart, xmr_chart

POINTS = 24
Chart = Callable[[np.random.Generator], Sequence[Point]]


def share_that_signals(chart: Chart, charts: int, seed: int = 1) -> float:
    """Return the share of charts of random numbers in which any point signals."""
    random = np.random.default_rng(seed)
    return sum(any(point.signal for point in chart(random)) for _ in range(charts)) / charts


def xmr(random: np.random.Generator) -> Sequence[Point]:
    """Return individual values from one normal distribution."""
    return xmr_chart(random.normal(size=POINTS)).values


def run(random: np.random.Generator) -> Sequence[Point]:
    """Return a run chart of them, and a point more that signals as the number of runs does."""
    chart = run_chart(random.normal(size=POINTS))
    return (*chart.values, Point(None, None, None, signal=chart.runs[0].signal))


def p(events: int, missed: float) -> Chart:
    """Return a maker of p-charts with so many events a point, of which so large a share is missed."""
    return lambda random: p_chart(random.binomial(events, 1 - missed, POINTS), [events] * POINTS)


def g(random: np.random.Generator) -> Sequence[Point]:
    """Return a g chart where one event in ten is missed."""
    return g_chart(random.geometric(0.1, POINTS) - 1)


def t(mean_days: float, rounded: bool) -> Chart:
    """Return a maker of t charts with so long between misses, to the whole day or finer."""

    def chart(random: np.random.Generator) -> Sequence[Point]:
        days = random.exponential(mean_days, POINTS)
        return t_chart(days.round() if rounded else days)

    return chart


def main() -> None:
    """Print the shares."""
    print(f"XmR: {share_that_signals(xmr, 2000):.0%}; run chart: {share_that_signals(run, 2000):.0%}")
    print(f"g: {share_that_signals(g, 2000):.0%}")
    for days in (3, 10, 60):
        fine, whole = (share_that_signals(t(days, rounded), 2000) for rounded in (False, True))
        print(f"t, {days} days between misses: {fine:.0%}; known to whole days: {whole:.0%}")
    for missed in (0.1, 0.3):
        for events in (3, 5, 10, 20, 30, 50):
            found = share_that_signals(p(events, missed), 2000)
            print(f"p, {events} events a point, {missed:.0%} missed: {found:.0%}")


if __name__ == "__main__":
    main()

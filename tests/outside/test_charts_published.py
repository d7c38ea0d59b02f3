"""Control charts against published numbers and constants."""

from itertools import groupby, permutations
from math import comb, pi, sqrt

import numpy as np
import pytest

from debrief.cohorts.rare import g_chart, t_chart
from debrief.cohorts.runs import critical_runs
from debrief.cohorts.shewhart import D4, E2, p_chart, u_chart, xmr_chart

FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
"""NIST/SEMATECH e-Handbook 6.3.2.2, ten batches; data and answers seen in test suites that cite it."""

WAFERS = [
    *(12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22),
    *(8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6),
]
"""NIST/SEMATECH e-Handbook 6.3.3.2: defective chips of 50 on each of 30 wafers."""

DEFECTS = [
    *(16, 14, 28, 16, 12, 20, 10, 12, 10, 17, 19, 17, 14),
    *(16, 15, 13, 14, 16, 11, 20, 11, 19, 16, 31, 13),
]
"""NIST/SEMATECH e-Handbook 6.3.3.1: defects on each of 25 wafers; data and answers from memory."""


def test_individuals_are_those_of_the_handbook():
    """Published with 3 / 1.128 where we have 2.66: hence a thousandth."""
    chart = xmr_chart(FLOW)
    first = chart.values[0]

    assert first.centre == pytest.approx(50.81, abs=5e-3)
    assert (first.lower, first.upper) == pytest.approx((45.8159, 55.8041), abs=1e-3)
    assert chart.ranges[1].centre == pytest.approx(1.8778, abs=5e-5)
    assert chart.ranges[1].upper == pytest.approx(6.1347, abs=5e-4)
    assert chart.ranges[0].value is None
    assert not any(point.signal in ("above", "below") for point in (*chart.values, *chart.ranges))


def test_shares_are_those_of_the_handbook():
    chart = p_chart(WAFERS, [50] * 30)

    assert chart[0].centre == pytest.approx(0.2313, abs=5e-5)
    assert (chart[0].lower, chart[0].upper) == pytest.approx((0.0524, 0.4102), abs=5e-5)
    assert [row for row, point in enumerate(chart, 1) if point.signal == "above"] == [15, 23]


def test_without_the_two_wafers_another_signals():
    """Montgomery, Introduction to Statistical Quality Control, the same numbers as cans of juice."""
    kept = [count for row, count in enumerate(WAFERS, 1) if row not in (15, 23)]
    chart = p_chart(kept, [50] * 28)

    assert chart[0].centre == pytest.approx(0.2150, abs=5e-5)
    assert (chart[0].lower, chart[0].upper) == pytest.approx((0.0407, 0.3893), abs=5e-5)
    assert [kept[row] for row, point in enumerate(chart) if point.signal == "above"] == [20]


def test_unequal_subgroups_have_limits_of_their_own():
    """Worked by hand: 94 of 120, limits three standard errors away, clamped."""
    chart = p_chart([18, 22, 15, 9, 30], [20, 25, 20, 15, 40])

    assert [point.lower for point in chart] == pytest.approx(
        [0.5070, 0.5361, 0.5070, 0.4642, 0.5879], abs=5e-5
    )
    assert [point.upper for point in chart] == pytest.approx([1, 1, 1, 1, 0.9787], abs=5e-5)
    assert {point.signal for point in chart} == {None}


def test_counts_are_those_of_the_handbook():
    """Equal wafers are one unit of exposure each; 28 lies on the limit and not outside."""
    chart = u_chart(DEFECTS, [1] * 25)

    assert (chart[0].centre, chart[0].lower, chart[0].upper) == (16, 4, 28)
    assert [row for row, point in enumerate(chart, 1) if point.signal] == [24]


def test_constants_are_those_of_the_tables():
    """Shewhart's constants for two values, d2 and d3, from their closed forms; tables have 2.66 and 3.267."""
    d2, d3 = 2 / sqrt(pi), sqrt(2 - 4 / pi)

    assert (round(d2, 3), round(d3, 3)) == (1.128, 0.853)
    assert pytest.approx(3 / d2, abs=2e-3) == E2
    assert pytest.approx(1 + 3 * d3 / d2, abs=5e-4) == D4


def test_the_distribution_of_runs_is_the_one_that_was_published():
    """Orders of 11 and 14 by their number of runs, from a public note on the Wald-Wolfowitz test."""
    ways = [
        *(2, 23, 260, 1365, 7020, 22230, 68640, 145860, 300300, 450450, 648648, 702702, 720720, 566280),
        *(411840, 231660, 115830, 45045, 14300, 3575, 572, 78),
    ]
    share = np.array(ways) / comb(25, 11)
    runs = np.arange(2, 24)
    fewest, most = critical_runs(11, 14)

    assert sum(ways) == comb(25, 11)
    assert share[runs < fewest].sum() <= 0.025 < share[runs <= fewest].sum()
    assert share[runs > most].sum() <= 0.025 < share[runs >= most].sum()


@pytest.mark.parametrize(
    ("half", "too_few", "too_many"),
    [
        *[(5, 2, 10), (6, 3, 11), (7, 3, 13), (8, 4, 14), (9, 5, 15), (10, 6, 16), (11, 7, 17)],
        *[(12, 7, 19), (13, 8, 20), (14, 9, 21), (15, 10, 22), (16, 11, 23), (17, 11, 25)],
        *[(18, 12, 26), (19, 13, 27), (20, 14, 28)],
    ],
)
def test_critical_numbers_of_runs_are_the_published_ones(half, too_few, too_many):
    """Swed and Eisenhart 1943, Ann Math Stat 14:66-87, 2.5 % on either side, equal halves; from memory."""
    assert critical_runs(half, half) == (too_few + 1, too_many - 1)


@pytest.mark.parametrize(("above", "below"), [(3, 3), (4, 3), (5, 2), (1, 6)])
def test_critical_numbers_of_runs_are_those_of_all_orders(above, below):
    orders = set(permutations([1] * above + [-1] * below))
    runs = np.array([len(list(groupby(order))) for order in orders])
    fewest, most = critical_runs(above, below)

    assert (runs < fewest).mean() <= 0.025 < (runs <= fewest).mean()
    assert (runs > most).mean() <= 0.025 < (runs >= most).mean()


def test_events_between_misses_have_the_limits_of_the_geometric_distribution():
    """Against scipy, whose geometric distribution counts the miss itself."""
    stats = pytest.importorskip("scipy.stats")
    between = [3, 0, 25, 11, 40, 7, 19, 2]
    miss = 1 / (np.mean(between) + 1)
    point = g_chart(between)[0]

    assert point.centre == stats.geom.ppf(0.5, miss) - 1
    assert point.upper == stats.geom.ppf(1 - 0.00135, miss) - 1
    assert point.lower == 0


def test_days_between_misses_are_individuals_on_the_scale_of_their_root():
    """Nelson 1994: the 3.6th root of an exponential is nearly normal; the chart of that, brought back."""
    days = np.array([5.0, 12, 1, 30, 8, 0, 21, 3])
    chart, rooted = t_chart(days), xmr_chart(days ** (1 / 3.6)).values

    assert [point.value for point in chart] == pytest.approx(days)
    assert chart[0].centre == pytest.approx(rooted[0].centre ** 3.6)
    assert chart[0].upper == pytest.approx(rooted[0].upper ** 3.6)
    assert chart[0].lower == 0.0

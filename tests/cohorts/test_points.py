"""The rules by which points signal, phases and frozen baselines."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.cohorts.points import SHIFT, TREND, Phase
from debrief.cohorts.runs import run_chart
from debrief.cohorts.shewhart import p_chart, u_chart, xmr_chart
from debrief.errors import BadSetting
from tests.benchmarks import signals as signals_of

NAN = float("nan")


def signals(chart):
    return [point.signal for point in chart]


def test_eight_in_a_row_on_one_side_signal_and_seven_do_not():
    up, down = [10.0, 6.0] * 4, [4.0, 0.0] * 4
    chart = xmr_chart(up + down).values

    assert signals(chart) == ["shift_above"] * 8 + ["shift_below"] * 8
    assert set(signals(xmr_chart(up[1:] + down[1:]).values)) == {None}


def test_six_points_going_one_way_signal_and_five_do_not():
    assert signals(xmr_chart([3, 1, 2, 3, 4, 5, 6, 2]).values) == [None, *["trend_up"] * 6, None]
    assert set(signals(xmr_chart([3, 2, 3, 4, 5, 6, 2]).values)) == {None}
    assert signals(xmr_chart([4, 6, 5, 4, 3, 2, 1, 5]).values) == [None, *["trend_down"] * 6, None]


def test_a_missing_point_neither_breaks_a_run_nor_signals():
    values = [10.0, 6.0, NAN, *[10.0, 6.0] * 3, *[4.0, 0.0] * 4]

    assert signals(xmr_chart(values).values)[:9] == ["shift_above"] * 2 + [None] + ["shift_above"] * 6


def test_a_point_on_the_centre_neither_breaks_a_run_nor_adds_to_it():
    chart = run_chart([5, 1, 1, 1, 3, 1, 1, 5, 5, 5, 5, 3, 5]).values

    assert [point.centre for point in chart] == [3] * 13
    assert signals(chart) == [None] * 13
    assert signals(run_chart([5, 1, 1, 1, 3, 1, 1, 1, 5, 5, 5, 5, 5]).values)[1:8] == [
        *["shift_below"] * 3,
        None,
        *["shift_below"] * 3,
    ]


def test_outside_the_limits_comes_before_a_run():
    chart = u_chart([9, 9, 9, 9, 9, 9, 9, 40], [1] * 8, [Phase(0, baseline=7)])

    assert chart[7].signal == "above"


def test_a_frozen_baseline_settles_centre_and_limits_of_all_that_follows():
    first = p_chart([5, 6, 4, 5], [10] * 4)
    frozen = p_chart([5, 6, 4, 5, 10, 10], [10] * 6, [Phase(0, baseline=4)])

    assert {point.centre for point in frozen} == {first[0].centre}
    assert frozen[:4] == first
    assert signals(frozen)[4:] == ["above", "above"]


def test_a_phase_begins_anew_and_no_run_goes_across():
    up, down = [10.0, 9.0] * 4, [1.0, 0.0] * 4
    chart = xmr_chart(up + down, [Phase(8, label="new defibrillators")]).values

    assert [chart[0].centre, chart[8].centre] == [9.5, 0.5]
    assert set(signals(chart)) == {None}


def test_the_first_range_of_a_phase_does_not_reach_back():
    ranges = xmr_chart([1, 2, 50, 52], [Phase(2)]).ranges

    assert [point.value for point in ranges] == [None, 1, None, 2]


@pytest.mark.parametrize(
    "phases", [[Phase(9)], [Phase(2), Phase(1)], [Phase(1), Phase(1)], [Phase(-1)], [Phase(0, baseline=0)]]
)
def test_phases_that_cannot_be_are_refused(phases):
    with pytest.raises(BadSetting):
        xmr_chart([1, 2, 3], phases)


def test_nothing_at_all_is_no_error():
    assert p_chart([], []) == xmr_chart([]).values == run_chart([]).values == ()


def test_a_point_without_events_has_neither_value_nor_limits():
    point = p_chart([3, 0], [4, 0])[1]

    assert (point.value, point.lower, point.upper, point.centre) == (None, None, None, 0.75)


def test_one_value_has_no_limits():
    point = xmr_chart([4.0]).values[0]

    assert (point.value, point.centre, point.lower, point.upper, point.signal) == (4, 4, None, None, None)


@given(st.lists(st.integers(1, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), min_size=1))
def test_limits_of_shares_lie_around_the_centre_within_none_and_all(pairs):
    counts, sizes = zip(*pairs, strict=True)
    for point in p_chart(counts, sizes):
        assert 0 <= point.lower <= point.centre <= point.upper <= 1


@given(st.floats(-1e6, 1e6), st.integers(2, 40))
def test_what_never_changes_never_signals(value, count):
    assert set(signals(xmr_chart([value] * count).values)) == {None}


@given(st.lists(st.integers(-9, 9), min_size=1, max_size=30))
def test_signals_are_those_of_a_slow_reading(values):
    """Each window of eight, of six, read one by one."""
    chart = xmr_chart(values).values
    centre = float(np.mean(values))
    sided = [row for row, value in enumerate(values) if abs(value - centre) > 1e-9]
    shifted = set()
    for first in range(len(sided) - SHIFT + 1):
        window = sided[first : first + SHIFT]
        if len({values[row] > centre for row in window}) == 1:
            shifted.update(window)
    moved = [row for row in range(len(values)) if row == 0 or values[row] != values[row - 1]]
    trending = set()
    for first in range(len(moved) - TREND + 1):
        steps = np.diff([values[row] for row in moved[first : first + TREND]])
        if (steps > 0).all() or (steps < 0).all():
            trending.update(moved[first : first + TREND])
    for row, point in enumerate(chart):
        if point.signal in ("above", "below"):
            continue
        assert (point.signal or "").startswith("shift") == (row in shifted)
        if row not in shifted and row in trending:
            assert point.signal.startswith("trend")


@pytest.mark.parametrize(
    ("chart", "share"),
    [
        (signals_of.xmr, 0.12),
        (signals_of.run, 0.36),
        (signals_of.g, 0.07),
        (signals_of.t(10, False), 0.10),
        (signals_of.t(10, True), 0.26),
        (signals_of.p(50, 0.3), 0.10),
        (signals_of.p(20, 0.1), 0.18),
    ],
)
def test_chance_alone_signals_as_often_as_the_guide_says(chart, share):
    assert signals_of.share_that_signals(chart, 400) == pytest.approx(share, abs=0.06)


class TestRuns:
    """How often a run chart crosses its median."""

    def test_two_blocks_cross_too_seldom(self):
        (runs,) = run_chart([1, 2, 1, 2, 1, 2, 8, 9, 8, 9, 8, 9]).runs
        assert (runs.runs, runs.fewest, runs.signal) == (2, 4, "too_few_runs")

    def test_a_saw_crosses_too_often(self):
        (runs,) = run_chart([1, 9] * 6).runs
        assert (runs.runs, runs.signal) == (12, "too_many_runs")

    def test_a_flat_line_has_no_runs(self):
        (runs,) = run_chart([3, 3, 3]).runs
        assert (runs.runs, runs.fewest, runs.most, runs.signal) == (0, 0, 0, None)

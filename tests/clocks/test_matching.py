"""Clocks by shared marks: the arithmetic against slow and obvious readings of it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from debrief.clocks.evidence import apart_words
from debrief.clocks.lateness import KEPT, Lateness, Spread, assumed, chained, density, even, posterior
from debrief.clocks.midway import in_turn
from debrief.model.times import US, to_us

MINUTE_US = 60 * US
STEP_S = 0.05


def test_the_density_of_two_equal_cells_is_a_triangle():
    """The sum of two uniform quantities of one width is triangular; elementary."""
    half = 1500
    at = np.arange(-half, half + 1) * STEP_S
    triangle = np.clip(1 - np.abs(at) / 60, 0, None) / 60

    assert density([60.0, 60.0], STEP_S, half) == pytest.approx(triangle, abs=2e-5)


@given(widths=st.lists(st.floats(0.2, 30), min_size=1, max_size=4))
def test_a_density_adds_up_to_one_and_has_the_variance_of_its_parts(widths):
    """The variance of a uniform quantity is a twelfth of its width squared, and variances add up."""
    half = int(sum(widths) / 2 / STEP_S) + 4
    found = density(widths, STEP_S, half) * STEP_S
    at = np.arange(-half, half + 1) * STEP_S

    assert found.sum() == pytest.approx(1)
    assert (found * at**2).sum() == pytest.approx(sum(width**2 for width in widths) / 12, rel=0.05, abs=0.01)
    assert found == pytest.approx(found[::-1], abs=1e-12)


def slow_posterior(differences, cells_s, lag_s, offsets):
    """Return the posterior of the offset at one known longest lateness, by adding up a fine grid of it."""
    fine = np.linspace(0, lag_s, 2001)
    own, other = cells_s
    weight = np.zeros(len(offsets))
    for difference in differences:
        # what is left after offset and lateness is the place in two cells: a trapezoid
        left = np.abs(difference - offsets[:, None] + fine[None, :])
        flat, reach = abs(own - other) / 2, (own + other) / 2
        cell = np.clip((reach - left) / (reach - flat), 0, 1) / max(own, other)
        weight += np.log(0.95 * cell.mean(axis=1) + 0.05 / 600)
    weight = np.exp(weight - weight.max())
    return weight / weight.sum()


@settings(max_examples=25)
@given(lags=st.lists(st.floats(0, 60), min_size=1, max_size=8), offset_s=st.floats(-5000, 5000))
def test_the_posterior_is_that_of_adding_up_every_lateness(lags, offset_s):
    differences = offset_s - np.array(lags)
    lateness = Lateness(np.array([60.0]), np.zeros(1), np.ones(1))
    found = posterior(differences, (MINUTE_US, US), lateness)
    slow = slow_posterior(differences, (60.0, 1.0), 60.0, found.offset)

    assert np.cumsum(found.weight[0]) == pytest.approx(np.cumsum(slow), abs=0.02)


@given(st.lists(st.floats(-100, 100), min_size=1, max_size=12), st.floats(-3000, 3000))
def test_a_shift_of_all_differences_shifts_the_offset_alone(differences, by_s):
    lateness = assumed(len(differences), (US, US), (True, False))
    one, moved = (
        posterior(np.array(differences) + shift, (US, US), lateness).bounds_s() for shift in (0.0, by_s)
    )

    # but for a step, where a difference lies between two of them
    assert np.array(moved) - by_s == pytest.approx(np.array(one), abs=2)


def test_a_clock_check_tells_lateness_from_offset():
    """Every mark is 40 to 50 s late; that the clocks agree is known, so the lateness is found."""
    late = np.linspace(40, 50, 12)
    lateness = assumed(12, (US, US), (True, False))
    open_to = posterior(-late, (US, US), lateness)
    known = posterior(-late, (US, US), lateness, (-1.0, 1.0))

    assert open_to.bounds_s()[2] < -30  # the marks alone say: a clock that is ahead, written at once
    assert -1.5 <= known.bounds_s()[1] <= known.bounds_s()[2] <= 1.5
    assert known.lags_s()[0] >= 50


def test_of_two_who_write_either_may_be_late():
    """One is written at once and one up to a minute late, and no mark tells which is which."""
    rng = np.random.default_rng(5)
    late = rng.uniform(0, 60, 20)
    found = posterior(late, (US, US), assumed(20, (US, US), (True, True)))
    _, low_s, high_s = found.bounds_s()

    assert low_s <= 0 <= high_s
    assert low_s <= 60 <= high_s


@given(
    st.lists(st.integers(0, 50), min_size=1, max_size=9), st.lists(st.integers(0, 50), min_size=1, max_size=9)
)
def test_in_turn_is_the_best_share_over_every_moment(first, second):
    def right(moment, before, after):
        return sum(one < moment for one in before) + sum(one >= moment for one in after)

    # times that are alike are taken in the order first, second
    early = [2 * one for one in first]
    late = [2 * one + 1 for one in second]
    best = max(max(right(m, early, late), right(m, late, early)) for m in range(-1, 105))

    assert in_turn(np.array(first), np.array(second)) == pytest.approx(best / (len(first) + len(second)))


@given(st.integers(-500, 500), st.integers(0, 300), st.integers(0, 200))
def test_a_chained_spread_has_the_middle_and_the_width_of_both(low, width, other_width):
    own = even(to_us(low), to_us(low + width), 7)
    both = chained(own, even(to_us(-other_width / 2), to_us(other_width / 2), 0))

    assert (np.diff(both.shift) >= 0).all()
    assert abs(both.shift.mean() - own.shift.mean()) <= 2
    variance = (to_us(width) ** 2 + to_us(other_width) ** 2) / 12
    assert both.shift.var() == pytest.approx(variance, rel=0.02, abs=10)
    assert (both.lag == 7).all()


def test_some_of_a_spread_are_drawn_evenly():
    whole = Spread(np.arange(KEPT), np.arange(KEPT))

    assert abs(whole.some(100).shift.mean() - whole.shift.mean()) < 1
    assert len(whole.some(0).shift) == 0


@pytest.mark.parametrize(
    ("offset_s", "words"),
    [(0, "right"), (102, "1 min 42 s behind"), (-3, "3 s ahead"), (3600, "1 h behind"), (0.4, "right")],
)
def test_how_far_a_clock_is_wrong_in_words(offset_s, words):
    assert apart_words(to_us(offset_s)) == words

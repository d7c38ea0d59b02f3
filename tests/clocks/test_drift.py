"""What a clock loses or gains in a day, since it was last set."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.clocks.drift import drift, drift_words
from debrief.clocks.readings import read_checks
from debrief.model.times import US
from tests.clocks.test_checks import check


def drift_of(*checks):
    readings, _ = read_checks(checks)
    return drift(readings)


@given(
    st.sets(st.integers(0, 365), min_size=2, max_size=20),
    st.floats(-9, 9),
    st.floats(-600, 600),
)
def test_the_drift_of_a_clock_that_drifts_evenly_is_within_its_bounds(days, rate, offset):
    found = drift_of(*(check(day, offset + rate * day) for day in days))

    assert found.low <= rate * US <= found.high
    assert found.slope == pytest.approx(rate * US, abs=US / 50)


def test_what_was_before_the_clock_was_set_does_not_count():
    found = drift_of(check(0, 0), check(10, 90, then_set=True), check(20, 5))

    assert found.slope / US == pytest.approx(0.5, abs=0.01)


def test_one_check_or_several_of_one_day_show_no_drift():
    assert drift_of(check(0, 5)) is drift_of(check(0, 5), check(0.4, 6)) is drift_of() is None


def test_checks_without_a_date_show_no_drift():
    assert drift_of(check(0, 5, dated=False), check(9, 6, dated=False)) is None


@pytest.mark.parametrize(
    ("slope_s", "words"), [(0.5, "It loses 0.50 s a day."), (-1.25, "It gains 1.25 s a day.")]
)
def test_losing_and_gaining_are_said_apart(slope_s, words):
    assert drift_words(slope_s * US) == words

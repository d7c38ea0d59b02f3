"""Intervals of shares and limits of funnels against published numbers, scipy and statsmodels."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, binomtest
from statsmodels.stats.proportion import proportion_confint

from debrief.cohorts.funnel import funnel, limits
from debrief.cohorts.proportions import share_of

some = st.integers(1, 300).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@pytest.mark.parametrize(
    ("count", "n", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_intervals_are_those_of_newcombe(count, n, low, high):
    """Newcombe RG, Stat Med 1998;17:857-72, Table I, method 3; the four results from memory."""
    share = share_of(count, n)

    assert (share.low, share.high) == pytest.approx((low, high), abs=5e-5)


@given(some)
def test_intervals_are_those_of_two_libraries(pair):
    count, n = pair
    share = share_of(count, n)
    other = binomtest(count, n).proportion_ci(0.95, method="wilson")

    assert (share.low, share.high) == pytest.approx((other.low, other.high), abs=1e-12)
    assert (share.low, share.high) == pytest.approx(proportion_confint(count, n, method="wilson"), abs=1e-12)


@pytest.mark.parametrize(
    ("n", "tail", "lower"),
    [(50, 0.025, 0.0844), (50, 0.001, 0.0348), (100, 0.025, 0.1197), (100, 0.001, 0.0810)],
)
def test_lower_limits_are_those_of_the_published_formula(n, tail, lower):
    """Spiegelhalter DJ, Stat Med 2005;24:1185-202, around 0.2; formula from memory, worked out apart."""
    assert limits(n, 0.2, tail)[0] == pytest.approx(lower, abs=5e-5)


@given(some, st.integers(1, 99), st.sampled_from([0.001, 0.025]))
def test_a_unit_lies_outside_exactly_where_chance_seldom_goes(pair, percent, tail):
    count, n = pair
    share = percent / 100
    lower, upper = limits(n, share, tail)
    few, many = binom.cdf(count, n, share), binom.sf(count - 1, n, share)

    if abs(few - tail) > 1e-9:
        assert (count / n < lower) == (few < tail)
    if abs(many - tail) > 1e-9:
        assert (count / n > upper) == (many < tail)


def test_units_stand_around_the_share_of_all():
    units = funnel([40, 18, 0, 2], [50, 20, 0, 40])

    assert units[0].centre == pytest.approx(60 / 110)
    assert [unit.signal for unit in units] == ["above", "above", None, "below"]
    assert (units[2].value, units[2].lower) == (None, None)
    assert units[0].lower < units[0].inner_lower < units[0].inner_upper < units[0].upper

"""The robust line and its bounds against scipy and against least squares with certified values.

Data: NIST/ITL StRD, Norris (calibration of ozone monitors), typed here as published, with the certified
estimates and residual standard deviation of its least squares line.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import theilslopes

from debrief.clocks.line import robust_line

# (x, y)
NORRIS = np.array(
    [
        *[(0.2, 0.1), (337.4, 338.8), (118.2, 118.1), (884.6, 888.0), (10.1, 9.2), (226.5, 228.1)],
        *[(666.3, 668.5), (996.3, 998.5), (448.6, 449.1), (777.0, 778.9), (558.2, 559.2), (0.4, 0.3)],
        *[(0.6, 0.1), (775.5, 778.1), (666.9, 668.8), (338.0, 339.3), (447.5, 448.9), (11.6, 10.8)],
        *[(556.0, 557.7), (228.1, 228.3), (995.8, 998.0), (887.6, 888.8), (120.2, 119.6), (0.3, 0.3)],
        *[(0.3, 0.6), (556.8, 557.6), (339.1, 339.3), (887.2, 888.0), (999.0, 998.5), (779.0, 778.9)],
        *[(11.1, 10.2), (118.3, 117.6), (229.2, 228.9), (669.1, 668.4), (448.9, 449.2), (0.5, 0.2)],
    ]
)
INTERCEPT, SLOPE, RESIDUAL_SD = -0.262323073774029, 1.00211681802045, 0.884796396144373


def test_the_published_data_are_typed_as_published():
    x, y = NORRIS.T
    slope, intercept = np.polyfit(x, y, 1)

    assert (slope, intercept) == pytest.approx((SLOPE, INTERCEPT), rel=1e-10)


def test_on_published_data_the_line_is_that_of_scipy():
    x, y = NORRIS.T
    line, other = robust_line(x, y), theilslopes(y, x, method="joint")

    assert (line.slope, line.intercept) == pytest.approx((other.slope, other.intercept), rel=1e-12)


def test_on_published_data_the_line_is_close_to_the_certified_least_squares():
    """Bounds of the slope hold the certified one; no value differs by a residual standard deviation."""
    x, y = NORRIS.T
    line = robust_line(x, y)

    assert line.low < SLOPE < line.high
    assert np.abs(line.at(x) - (INTERCEPT + SLOPE * x)).max() < RESIDUAL_SD


def test_a_wild_point_moves_least_squares_and_not_the_line():
    x, y = NORRIS.T.copy()
    y[7] += 500

    assert robust_line(x, y).slope == pytest.approx(SLOPE, abs=0.002)
    assert abs(np.polyfit(x, y, 1)[0] - SLOPE) > 0.05


@given(
    st.lists(st.integers(-1000, 1000), min_size=2, max_size=40, unique=True),
    st.integers(0, 2**32),
)
def test_line_and_bounds_are_those_of_scipy(whole, seed):
    """Without ties, for which scipy narrows its bounds by a term of its own."""
    x = np.array(whole, np.float64)
    y = 2.5 * x + np.random.default_rng(seed).normal(0, 50, len(x))
    line, other = robust_line(x, y), theilslopes(y, x, method="joint")

    expected = (other.slope, other.intercept, other.low_slope, other.high_slope)
    assert (line.slope, line.intercept, line.low, line.high) == pytest.approx(expected)

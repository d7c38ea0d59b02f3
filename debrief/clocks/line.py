"""The line through points that may hold slips: the middle one of all slopes between two points."""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_Z = 1.959963984540054
"""Standard deviations within which 95 % of a normal distribution lie."""


@dataclass(frozen=True)
class Line:
    """``y = intercept + slope * x``; ``low`` and ``high`` bound the slope in 95 of 100 samples."""

    slope: float
    intercept: float
    low: float
    high: float

    def at(self, x: Floats) -> Floats:
        """Return the line's values."""
        return self.intercept + self.slope * x


def robust_line(x: Floats, y: Floats, apart: float = 0.0) -> Line:
    """Return the line through points, shape (n,), whose slope is the median of those between two points.

    Only points at least so far ``apart`` in x make a slope, and at least two have to be. The intercept
    is the median of what the slope leaves. The bounds are Sen's, from how slopes rank (P. K. Sen,
    J Am Stat Assoc 1968;63:1379-89); of a few points they are the extremes.
    """
    first, second = np.triu_indices(len(x), 1)
    run, rise = x[second] - x[first], y[second] - y[first]
    far = (np.abs(run) >= apart) & (run != 0)
    slopes = np.sort(rise[far] / run[far])
    n, pairs = len(x), len(slopes)
    reach = _Z * sqrt(n * (n - 1) * (2 * n + 5) / 18)
    low = max(0, round((pairs - reach) / 2) - 1)
    high = min(pairs - 1, round((pairs + reach) / 2))
    slope = float(np.median(slopes))
    return Line(slope, float(np.median(y - slope * x)), float(slopes[low]), float(slopes[high]))

"""Two times written to the minute: how far apart they can have been.

Each lies anywhere in its minute, so their difference follows the triangular distribution on minus to plus one
minute around the difference as written (elementary: the sum of two uniform variables; `scipy.stats.triang`).
Case R: of a recorded m minutes, both ends cut down to the minute, the true interval lies in (m - 1, m + 1)
minutes; so "within 2 min" can be told of a recorded 1 or less and of 3 or more, and of 2 it cannot. The case
is constructed and its arithmetic done by hand; the rounding is that of Chan, Arch Intern Med 2009;169:2162-6.
"""

import numpy as np
import pytest
from scipy.stats import kstest, triang

from debrief.assess import assess
from debrief.clocks.draws import draw
from debrief.model.times import US
from tests.made import occurrences, row
from tests.strategies import MINUTE_S, mark, write

DRAWS = 4000


def apart_s(minutes):
    """Return drawn differences of a recognition and a shock, so many whole minutes apart by a device. [s]"""
    rows = [row(30.0, "recognition", cell_s=60), row(30.0 + 60 * minutes, "shock", cell_s=60)]
    times = draw(occurrences(rows), DRAWS).of_marks(np.arange(2))
    return (times[:, 1] - times[:, 0]) / US


@pytest.mark.parametrize("minutes", [2, 3, 10])
def test_the_difference_of_two_minutes_is_triangular(minutes):
    """At one in a thousand; the draws are the same every time."""
    found = kstest(apart_s(minutes), triang(c=0.5, loc=60 * (minutes - 1), scale=120).cdf)

    assert found.pvalue > 0.001, found


def test_the_comparison_would_tell_a_lag_of_five_seconds_from_none():
    late = apart_s(2) + 5

    assert kstest(late, triang(c=0.5, loc=60, scale=120).cdf).pvalue < 1e-6


@pytest.mark.parametrize("minutes", [2, 3, 10])
def test_of_recorded_minutes_no_draw_is_a_minute_away(minutes):
    apart = apart_s(minutes)

    assert 60 * (minutes - 1) < apart.min() < 60 * (minutes - 1) + 15
    assert 60 * (minutes + 1) - 15 < apart.max() < 60 * (minutes + 1)


def time_to_first_shock(tmp_path, minutes):
    """Return the figure of a device that writes whole minutes. Limits of it: 2 minutes (shockable rhythm)."""
    rows = [
        mark(0, "recognition", source="monitor", cell=MINUTE_S),
        mark(0, "rhythm", "vf", source="monitor", cell=MINUTE_S),
        mark(60 * minutes, "shock", amount=200, unit="J", source="monitor", cell=MINUTE_S),
        mark(60 * minutes + 600, "rosc", source="monitor", cell=MINUTE_S),
    ]
    report = assess([write(rows, tmp_path / "case")]).to_dict()
    return next(figure for figure in report["figures"] if figure["name"] == "time_to_first_shock")


@pytest.mark.parametrize(("minutes", "verdict"), [(1, "met"), (2, "uncertain"), (3, "not_met")])
def test_within_two_minutes_cannot_be_told_of_a_recorded_two(tmp_path, minutes, verdict):
    figure = time_to_first_shock(tmp_path, minutes)

    assert figure["value"] == 60 * minutes
    assert 60 * (minutes - 1) < figure["low"] < figure["high"] < 60 * (minutes + 1)
    assert figure["verdict"] == verdict

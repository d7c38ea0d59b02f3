"""The bounds of clock checks hold the truth of invented clocks that wander, as often as bounds should.

A clock's rate differs from clock to clock (0.5 s a day, one standard deviation) and wanders (0.15 s a day in
a month); it is read to the second, each time up to a second late or early. Common practice, for how clocks
wander was found nowhere in print.
"""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from debrief.clocks.checks import fitted
from debrief.clocks.readings import read_checks
from debrief.model.event import ClockCheck
from debrief.model.times import US

CLOCKS, DAYS, FIRST = 300, 200, 20
START = datetime(2026, 1, 1, 7, tzinfo=UTC)
START_US = round((START - datetime(1970, 1, 1, tzinfo=UTC)) / timedelta(microseconds=1))


def wandering(rng):
    """Return what has to be added to an invented clock, day by day. [s]"""
    rate = rng.normal(0, 0.5) + np.cumsum(rng.normal(0, 0.15 / np.sqrt(30), DAYS))
    return rng.normal(0, 60) + np.cumsum(rate)


def read(day, offset_s, rng):
    here = START + timedelta(days=day)
    other = here + timedelta(seconds=rng.uniform(-1, 1))
    own = here - timedelta(seconds=offset_s)
    return ClockCheck(f"{own:%H:%M:%S}", f"{other:%H:%M:%S}", f"{other:%Y-%m-%d}")


@pytest.mark.parametrize(
    ("checks", "after", "widest_s"),
    [(1, (0, 30), 70), (4, (-60, -30), 25), (4, (0, 30), 40)],
    ids=["one check", "between checks", "after checks"],
)
def test_monthly_checks_bound_wandering_clocks(checks, after, widest_s):
    """At least 95 of 100 clocks: fewer than 279 of 300 would come by chance one time in 20."""
    rng = np.random.default_rng(7)
    inside, widths = 0, []
    for _ in range(CLOCKS):
        offsets = wandering(rng)
        days = FIRST + 30 * np.arange(checks) + rng.uniform(0, 0.4, checks)
        event = days[-1] + rng.uniform(*after)
        at = {day: float(np.interp(day, np.arange(DAYS), offsets)) for day in (*days, event)}
        readings, _ = read_checks([read(day, at[day], rng) for day in days])
        found = fitted(readings, START_US + round((event * 86400 - at[event]) * US), reference="network time")
        inside += found.low <= at[event] * US <= found.high
        widths.append((found.high - found.low) / US)

    assert inside >= 279
    assert np.quantile(widths, 0.9) < widest_s

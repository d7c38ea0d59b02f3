"""The days on which clocks change, against the time zone database by way of ``zoneinfo``.

Europe/Paris 2026: forward 29 March 02:00 to 03:00, back 25 October 03:00 to 02:00.
America/New_York 2026: forward 8 March, back 1 November. Australia/Lord_Howe 2026: by half an hour,
back 5 April 02:00 to 01:30, forward 4 October 02:00 to 02:30. Source: IANA time zone database (``tzdata``).
"""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.importers import times
from debrief.importers.places import Places
from debrief.importers.times import Rules
from debrief.model.columns import repeated

CHANGES = {
    "Europe/Paris": (datetime(2026, 3, 29, 1, tzinfo=UTC), datetime(2026, 10, 25, 1, tzinfo=UTC)),
    "America/New_York": (datetime(2026, 3, 8, 7, tzinfo=UTC), datetime(2026, 11, 1, 6, tzinfo=UTC)),
    "Australia/Lord_Howe": (datetime(2026, 10, 3, 15, 30, tzinfo=UTC), datetime(2026, 4, 4, 15, tzinfo=UTC)),
}


def read(walls, zone):
    places = Places("", np.arange(len(walls)))
    return times.read(repeated(walls), places, Rules(zone=ZoneInfo(zone)))


def utc(found):
    return [
        datetime(1970, 1, 1, tzinfo=UTC) + timedelta(microseconds=start)
        for start in found.source_time.tolist()
    ]


@pytest.mark.parametrize("zone", CHANGES)
def test_the_changes_are_those_of_the_database(zone):
    forward, back = CHANGES[zone]
    for change, sign in ((forward, 1), (back, -1)):
        before = (change - timedelta(seconds=1)).astimezone(ZoneInfo(zone)).utcoffset()
        after = change.astimezone(ZoneInfo(zone)).utcoffset()
        assert (after - before) * sign > timedelta(0)


@given(
    zone=st.sampled_from(sorted(CHANGES)),
    which=st.integers(0, 1),
    start_s=st.integers(-2 * 3600, 2 * 3600),
    steps_s=st.lists(st.integers(1, 600), min_size=1, max_size=40),
)
def test_an_event_over_a_change_keeps_its_distances(zone, which, start_s, steps_s):
    """True moments are written as local times by ``zoneinfo`` and read back with their distances.

    They are the true moments, unless the event lies wholly in the repeated hour, where nobody can tell.
    """
    moments = [CHANGES[zone][which] + timedelta(seconds=start_s)]
    for step_s in steps_s:
        moments.append(moments[-1] + timedelta(seconds=step_s))
    local = [moment.astimezone(ZoneInfo(zone)).replace(tzinfo=None) for moment in moments]

    found = read([f"{wall:%Y-%m-%d %H:%M:%S}" for wall in local], zone)

    told = [each.code for each in found.notices]
    assert "hour_missing" not in told
    assert [after - before for before, after in pairwise(utc(found))] == [
        timedelta(seconds=s) for s in steps_s
    ]
    if told.count("hour_twice") < len(moments):
        assert utc(found) == moments


@pytest.mark.parametrize(
    ("zone", "wall", "code"),
    [
        ("Europe/Paris", "2026-03-29 02:30:00", "hour_missing"),
        ("Europe/Paris", "2026-10-25 02:30:00", "hour_twice"),
        ("America/New_York", "2026-03-08 02:30:00", "hour_missing"),
        ("America/New_York", "2026-11-01 01:30:00", "hour_twice"),
        ("Australia/Lord_Howe", "2026-10-04 02:15:00", "hour_missing"),
        ("Australia/Lord_Howe", "2026-04-05 01:45:00", "hour_twice"),
    ],
)
def test_the_missing_and_the_repeated_hour_are_told(zone, wall, code):
    found = read([wall], zone)

    assert [each.code for each in found.notices] == [code]
    expected = datetime.fromisoformat(wall).replace(tzinfo=ZoneInfo(zone)).astimezone(UTC)
    assert utc(found) == [expected]


def test_a_clock_that_nobody_moved_runs_on_through_the_missing_hour():
    found = read(["2026-03-29 01:58:00", "2026-03-29 02:01:00", "2026-03-29 02:20:00"], "Europe/Paris")

    gaps = [after - before for before, after in pairwise(utc(found))]
    assert gaps == [timedelta(minutes=3), timedelta(minutes=19)]


def test_first_rows_in_the_repeated_hour_stand_by_the_first_sure_row():
    found = read(["2026-10-25 02:58:00", "2026-10-25 03:01:00"], "Europe/Paris")

    assert utc(found)[1] - utc(found)[0] == timedelta(minutes=3)


def test_an_ordinary_time_is_what_zoneinfo_says():
    for zone in CHANGES:
        wall = datetime.fromisoformat("2026-07-01 14:03:22")
        assert utc(read([str(wall)], zone)) == [wall.replace(tzinfo=ZoneInfo(zone)).astimezone(UTC)]

"""How clocks stand today: the last check that counts, whether it is stale, where the clock is now."""

from dataclasses import replace
from datetime import date

import pytest

from debrief.clocks.log import Entry
from debrief.clocks.standing import standings
from debrief.model.event import ClockCheck
from debrief.model.times import US

TODAY = date(2026, 3, 31)


def entry(day, reads="14:03:20", beside="14:05:02", **more):
    check = ClockCheck(reads, beside, f"2026-03-{day:02}", "network time", more.pop("then_set", False))
    return Entry(f"{day}", "Defibrillator 2", check, at=f"2026-03-{day:02}T20:00:00+00:00", **more)


def stand(*entries, limit=None):
    return standings([entries], TODAY, limit)[0]


@pytest.mark.parametrize(
    ("day", "limit", "stale"), [(1, None, False), (1, 29, True), (30, 1, False), (29, 1, True)]
)
def test_a_clock_is_stale_after_the_limit(day, limit, stale):
    found = stand(entry(day), limit=limit)

    assert found.stale == stale == found.is_stale(found.last)
    assert found.days_since(found.last) == 31 - day


def test_a_check_that_was_withdrawn_is_not_the_last_and_tells_nothing():
    first, second = entry(1), entry(30, beside="14:15:02", withdrawn=True)
    found = stand(first, second)

    assert found.last is first
    assert found.entries == (first, second)
    assert [reading.offset for reading in found.readings] == [102 * US]


def test_where_no_check_counts_nothing_is_known_and_it_is_to_be_checked():
    found = stand(entry(30, withdrawn=True))

    assert (found.last, found.now, found.drift, found.stale) == (None, None, None, True)


def test_today_it_is_taken_to_have_drifted_on():
    found = stand(entry(1, beside="14:05:02"), entry(11, beside="14:05:12"), entry(21, beside="14:05:22"))

    assert found.drift.slope / US == pytest.approx(1, abs=0.01)
    assert found.now.offset / US == pytest.approx(102 + 30, abs=0.5)
    assert found.now.low < found.now.offset < found.now.high


def test_after_it_was_set_it_is_right_again():
    found = stand(entry(30, then_set=True))

    assert found.now.offset == 0
    assert len(found.readings) == 2


def test_a_device_is_called_as_it_was_last_written():
    older, newer = entry(1), replace(entry(2), device="DEFIBRILLATOR 2")

    assert stand(older, newer).device == "DEFIBRILLATOR 2"
    assert standings([], TODAY) == []

"""Where a clock stood at an event, by checks of it on that day and on others."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from debrief.clocks.checks import STALE_DAYS, fitted, from_checks
from debrief.clocks.drift import DRIFT_US, STEP_US
from debrief.clocks.readings import read_checks
from debrief.model.event import ClockCheck, Source
from debrief.model.times import DAY_US, HOUR_US, US, to_us

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
DAY_0 = datetime(2026, 3, 4, 14, tzinfo=UTC)


def on_clock(day, offset_s=0.0):
    """Return that many days after the first, on a clock that lacks so much. [us]"""
    return round((DAY_0 - EPOCH) / timedelta(microseconds=1)) + round(day * DAY_US) - to_us(offset_s)


def check(day, offset_s, *, dated=True, then_set=False, against=None):
    """Return a check, that many days after the first, of a clock to which so much is to be added."""
    reference = DAY_0 + timedelta(days=day)
    own = reference - timedelta(seconds=offset_s)
    texts = [moment.time().isoformat("milliseconds") for moment in (own, reference)]
    return ClockCheck(*texts, reference.date().isoformat() if dated else None, against, then_set)


def fit(checks, day=0.0, offset_s=0.0, **more):
    readings, problems = read_checks(checks)
    assert not problems
    return fitted(readings, on_clock(day, offset_s), reference="the log", **more)


def codes(found):
    return [told.code for told in found.problems]


def seconds(us):
    return us / US


def test_one_check_is_taken_as_it_stands_and_its_bounds_grow_by_a_second_a_day():
    near, far = fit([check(0, 102)]), fit([check(0, 102)], day=10)

    assert (near.offset, far.offset, near.rate, far.rate) == (to_us(102), to_us(102), 1, 1)
    assert far.high - near.high == pytest.approx(10 * US, abs=US // 100)
    assert near.high - near.offset == near.offset - near.low == pytest.approx(US, abs=US // 100)
    assert "2026-03-04" in near.text


def test_a_check_without_a_date_is_one_of_the_day_of_the_event():
    assert fit([check(0, 102, dated=False)], day=500).high == fit([check(500, 102)], day=500).high


def test_between_two_checks_a_clock_is_on_the_line_between_them():
    found = fit([check(0, 10), check(20, 30)], day=5)

    assert found.offset == pytest.approx(to_us(15), abs=US // 1000)
    assert found.rate == pytest.approx(1 + 1 / 86400, abs=1e-9)
    assert not found.problems


@given(
    st.lists(st.tuples(st.integers(2, 60), st.floats(-9, 9)), min_size=1, max_size=8),
    st.floats(0.01, 0.99),
)
def test_between_any_checks_it_is_as_numpy_interpolates(steps, share):
    days = np.cumsum([0, *(step for step, _ in steps)])
    offsets = np.round(np.cumsum([0.0, *(step * rate for step, rate in steps)]), 3)
    at = share * days[-1]
    expected = np.interp(at, days, offsets)
    checks = [check(int(day), offset) for day, offset in zip(days, offsets, strict=True)]
    found = fit(checks, at, expected)

    assert seconds(found.offset) == pytest.approx(expected, abs=0.02)
    assert found.low < found.offset < found.high


@given(
    st.lists(st.floats(-200, 200), min_size=1, max_size=12),
    st.floats(-200, 200),
    st.floats(-1, 1),
    st.floats(-3000, 3000),
)
def test_a_clock_that_drifts_evenly_is_always_within_the_bounds(days, at, rate, offset):
    """Up to a second a day; however many checks there are, and on whichever side of the event."""
    found = fit([check(day, offset + rate * day) for day in days], day=at)

    assert seconds(found.low) - 0.01 <= offset + rate * at <= seconds(found.high) + 0.01
    assert found.low <= found.offset <= found.high
    assert not {"checks_contradict", "clock_was_set"} & set(codes(found))


def test_a_fast_drift_that_checks_show_is_followed_beyond_them():
    found = fit([check(day, 5.0 * day) for day in (0, 10, 20)], day=30)

    assert seconds(found.offset) == pytest.approx(150, abs=0.1)
    assert found.rate == pytest.approx(1 / (1 - 5 / 86400), abs=1e-9)  # counted on the slower clock
    assert found.high - found.offset < to_us(10)


def test_a_slip_among_many_checks_does_not_move_the_line():
    slip = [check(day, 0.5 * day + (40 if day == 20 else 0)) for day in range(0, 70, 10)]
    found = fit(slip, day=70)

    assert seconds(found.offset) == pytest.approx(35, abs=0.5)
    assert found.high - found.offset > to_us(39)


def test_checks_a_day_apart_do_not_show_a_drift_that_reaches_months():
    """Two seconds of reading over one day could be four seconds of drift a day; clocks are better."""
    found = fit([check(0, 10), check(1, 12)], day=31)

    assert (found.offset, found.rate) == (to_us(12), 1)
    assert found.high - found.offset == pytest.approx(to_us(31), abs=US // 100)


def test_checks_of_one_day_show_no_drift():
    assert fit([check(0, 10), check(0.5, 11)], day=0.25).rate == 1


def test_contradictory_checks_of_the_day_are_told_and_the_bounds_hold_both():
    found = fit([check(0, 10), check(0.01, 70)], day=0.02)

    assert codes(found) == ["checks_contradict"]
    assert seconds(found.offset) == 70
    assert seconds(found.low) < 10 < 70 < seconds(found.high)
    message = found.problems[0].message
    assert "13:59:50" in message
    assert "then_set" in message


@pytest.mark.parametrize(("day", "offset"), [(-3, 10), (3, 10), (17, 600), (25, 600)])
def test_where_the_clock_was_set_between_two_checks_the_nearer_leads_and_the_bounds_hold_both(day, offset):
    found = fit([check(0, 10), check(20, 600)], day=day)

    assert seconds(found.offset) == offset
    if 0 < day < 20:
        assert codes(found) == ["checks_contradict"]
        assert seconds(found.low) < 10 < 600 < seconds(found.high)
    else:
        assert codes(found) == ["clock_was_set"]
        assert found.high - found.low < to_us(20)


@pytest.mark.parametrize("offset_s", [300, -300])
def test_a_clock_that_was_set_after_a_check_is_off_before_and_right_after(offset_s):
    checks = [check(0, offset_s, then_set=True)]
    before, after = fit(checks, day=-0.1), fit(checks, day=0.1)

    assert (before.offset, after.offset) == (to_us(offset_s), 0)
    assert codes(before) == codes(after) == []


def test_after_a_setting_only_later_checks_show_the_drift():
    found = fit([check(0, 300, then_set=True), check(20, 10)], day=10)

    assert seconds(found.offset) == pytest.approx(5, abs=0.1)
    assert not found.problems


@given(st.floats(0.02, 300), st.floats(-3600, 3600), st.floats(-3600, 3600))
def test_a_step_is_told_just_where_no_drift_explains_it(days, first, second):
    drift_us = DRIFT_US if days < 1 else STEP_US
    beyond = to_us(abs(second - first)) - 2 * US - round(days * drift_us)
    assume(abs(beyond) > US // 50)
    found = fit([check(0, first), check(days, second)], day=days / 2)

    assert ("checks_contradict" in codes(found)) == (beyond > 0)


@pytest.mark.parametrize(
    ("days", "limit", "told"), [(31, STALE_DAYS, True), (29, STALE_DAYS, False), (8, 7, True)]
)
def test_a_check_is_stale_after_the_limit_of_the_site(days, limit, told):
    found = fit([check(0, 1)], day=days, stale_after_days=limit)

    assert codes(found) == (["check_stale"] if told else [])


def test_where_the_day_of_the_event_is_not_known_the_last_check_is_taken_and_the_bounds_hold_all():
    readings, _ = read_checks([check(0, 5), check(10, 8)])
    found = fitted(readings, 14 * HOUR_US, reference="the log", dated=False)

    assert codes(found) == ["check_event_undated"]
    assert seconds(found.offset) == 8
    assert seconds(found.high) == pytest.approx(8 + 31, abs=0.01)
    assert seconds(found.low) == pytest.approx(5 - 31, abs=0.01)


def source(name, *checks, scale="local"):
    return Source(name, f"{name}.csv", "device", "text", scale, name=f"The {name}", checks=checks)


@pytest.mark.parametrize("against", [None, "log", "the LOG", "log.csv"])
def test_checks_against_the_reference_go_by_any_of_its_names(against):
    found, problems = from_checks(source("sheet", check(0, 9, against=against)), source("log"), on_clock(0))

    assert (found.offset, problems) == (to_us(9), ())


def test_clocks_that_were_checked_against_the_same_third_are_brought_together():
    mine, theirs = check(0, 9, against="network time"), check(3, -4, against="Network time")
    found, problems = from_checks(source("sheet", mine), source("log", theirs), on_clock(1))

    assert seconds(found.offset) == 13
    assert found.high - found.offset == pytest.approx(to_us(1 + 1 + 1 + 2), abs=US // 100)
    assert problems == ()
    assert "network time" in found.text


def test_a_check_against_a_clock_that_the_reference_never_met_says_nothing_and_is_told():
    found, problems = from_checks(
        source("sheet", check(0, 9, against="wall clock")), source("log"), on_clock(0)
    )

    assert found is None
    assert [(told.code, told.source_id) for told in problems] == [("check_against_other", "sheet")]
    assert "The log" in problems[0].message


def test_a_source_without_a_date_has_the_day_of_the_reference():
    sheet = source("sheet", check(-10, 9), scale="clock")
    found, problems = from_checks(sheet, source("log"), 14 * HOUR_US, base=on_clock(0) - 14 * HOUR_US)

    assert (seconds(found.offset), found.at, problems) == (9, 14 * HOUR_US, ())
    assert found.high - found.offset == pytest.approx(to_us(1 + 10), abs=US // 100)


def test_a_source_from_its_own_zero_is_placed_by_a_third_clock_that_the_reference_was_checked_against():
    sheet = source("sheet", ClockCheck("10:00", "14:05:00", against="watch"), scale="elapsed")
    log = source("log", check(0, 30, against="watch"))
    found, _ = from_checks(sheet, log, 600 * US, base=on_clock(0) - 14 * HOUR_US)

    assert (found.offset, found.at) == (14 * HOUR_US - 330 * US, 600 * US)
    assert found.high - found.low < to_us(8)


def test_a_reference_from_its_own_zero_cannot_be_met_through_a_third_clock():
    mine, theirs = check(0, 9, against="watch"), ClockCheck("10:00", "14:05:00", against="watch")
    found, problems = from_checks(source("sheet", mine), source("log", theirs, scale="elapsed"), on_clock(0))

    assert found is None
    assert [told.code for told in problems] == ["check_against_other"]


def test_what_is_wrong_with_the_checks_of_the_reference_is_told_of_the_reference():
    mine, theirs = check(0, 9, against="network time"), check(-40, -4, against="network time")
    found, problems = from_checks(source("sheet", mine), source("log", theirs), on_clock(1))

    assert found is not None
    assert [(told.code, told.source_id) for told in problems] == [("check_stale", "log")]


@pytest.mark.parametrize(("day", "told"), [(20, False), (30, True)])
def test_a_check_from_before_the_hours_changed_is_told(day, told):
    """In 2026 the hours of Dublin changed on 29 March, 25 days after the first."""
    here = Source("sheet", "sheet.csv", "device", "text", "utc", zone="Europe/Dublin", checks=(check(0, 9),))
    found, problems = from_checks(here, source("log"), on_clock(day), stale_after_days=90)

    assert seconds(found.offset) == 9
    assert [one.code for one in problems] == (["check_other_hour"] if told else [])


def test_a_check_against_the_reference_itself_goes_before_one_by_a_third_clock():
    checks = (check(0, 9, against="network time"), check(0, 20))
    found, problems = from_checks(
        source("sheet", *checks), source("log", check(0, 1, against="network time")), on_clock(0)
    )

    assert (seconds(found.offset), problems) == (20, ())


def test_no_checks_say_nothing():
    assert from_checks(source("sheet"), source("log"), on_clock(0)) == (None, ())


def test_a_source_that_counts_from_its_own_zero_is_placed_by_one_reading():
    sheet = source("sheet", ClockCheck("10:00", "14:05:00"), scale="elapsed")
    found, problems = from_checks(sheet, source("log"), 600 * US)

    assert (found.offset, problems) == (14 * HOUR_US - 300 * US, ())

"""What a clock check says: how far a clock was off, as well as the two readings were written."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.clocks.readings import READING_US, Reading, read_check, read_checks
from debrief.model.event import ClockCheck
from debrief.model.times import DAY_US, HOUR_US, MINUTE_US, US, to_us

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
FORMS = {
    MINUTE_US: lambda moment: f"{moment:%H:%M}",
    US: lambda moment: f"{moment:%H:%M:%S}",
    US // 10: lambda moment: f"{moment:%H:%M:%S}.{moment.microsecond // 100_000}",
}


@pytest.mark.parametrize(
    ("source", "reference", "offset_s", "half_s"),
    [
        ("14:03:20", "14:05:02", 102, 1 + 1),
        ("14:05:02", "14:03:20", -102, 1 + 1),
        ("14:03", "14:05", 120, 60 + 1),
        ("14:03:20.5", "14:03:20", 20.5 - 20.55, 0.55 + 1),
        ("23:59:50", "00:00:10", 20, 1 + 1),
        ("0:00:10", "23:59:50", -20, 1 + 1),
        ("2026-03-04T23:59:50", "2026-03-05 00:00:10", 20, 1 + 1),
        ("2019-03-04T14:00:00", "2026-03-04T14:00:00", 2557 * 86400, 1 + 1),
    ],
)
def test_a_check_says_how_far_a_clock_was_off(source, reference, offset_s, half_s):
    read = read_check(ClockCheck(source, reference))

    assert (read.offset, read.half) == (to_us(offset_s), to_us(half_s))


@pytest.mark.parametrize(
    "text", ["", "25:00", "14:60", "14.03", "1403", "2 pm", "2026-02-30T14:00", "-1:00:00"]
)
def test_what_is_no_reading_of_a_clock_is_a_problem_with_its_text(text):
    for check in (ClockCheck(text, "14:05:02"), ClockCheck("14:05:02", text)):
        told = read_check(check)

        assert told.code == "check_unreadable"
        assert f"'{text}'" in told.message


@given(
    st.integers(20_000 * DAY_US, 20_365 * DAY_US),
    st.integers(-DAY_US // 2 + 2 * MINUTE_US, DAY_US // 2 - 2 * MINUTE_US),
    st.sampled_from(list(FORMS)),
    st.sampled_from(list(FORMS)),
    st.integers(-READING_US, READING_US),
)
def test_however_the_readings_are_written_the_true_offset_is_within_them(
    moment, offset, cell, other, between
):
    own = EPOCH + timedelta(microseconds=moment - offset)
    then = EPOCH + timedelta(microseconds=moment + between)
    read = read_check(ClockCheck(FORMS[cell](own), FORMS[other](then), f"{then:%Y-%m-%d}"))

    assert abs(read.offset - offset) <= read.half
    assert abs(read.at - (moment - offset)) <= cell + other + READING_US


def test_a_clock_that_counts_from_its_own_zero_is_read_in_minutes_and_seconds():
    read = read_check(ClockCheck("12:30", "14:05:02"), elapsed=(True, False))

    assert read.offset == 14 * HOUR_US + 5 * MINUTE_US + 2 * US - (12 * MINUTE_US + 30 * US)
    assert read.at == 12 * MINUTE_US + 30 * US + US // 2
    assert read_check(ClockCheck("1:12:30", "14:05:02"), elapsed=(True, False)).at == read.at + HOUR_US


@pytest.mark.parametrize("offset_s", [102, -102])
def test_a_clock_that_was_then_set_reads_right_from_then_on(offset_s):
    reference = datetime(2026, 3, 4, 14, 5, 2, tzinfo=UTC)
    own = reference - timedelta(seconds=offset_s)
    check = ClockCheck(f"{own:%H:%M:%S}", f"{reference:%H:%M:%S}", "2026-03-04", then_set=True)
    (before, after), problems = read_checks([check])

    assert (before.offset, after.offset, problems) == (to_us(offset_s), 0, [])
    assert after.at > before.at


def test_bad_checks_are_told_and_the_others_used():
    readings, problems = read_checks([ClockCheck("14:03", "nonsense"), ClockCheck("14:03", "14:04")])

    assert [type(each) for each in readings] == [Reading]
    assert [told.code for told in problems] == ["check_unreadable"]

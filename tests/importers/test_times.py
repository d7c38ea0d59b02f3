"""What a column of written times is read as."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.importers import times
from debrief.importers.days import on_their_days
from debrief.importers.notices import gather
from debrief.importers.places import Places
from debrief.importers.times import Rules
from debrief.importers.written import parse
from debrief.model.columns import MISSING, repeated

US = 1_000_000
DAY = 86_400


def read(*texts, days=None, **rules):
    places = Places("", np.arange(len(texts)) + 2)
    return times.read(repeated(texts), places, Rules(**rules), repeated(days) if days else None)


def listed(column):
    return [None if value == MISSING else value for value in column.tolist()]


def starts(found):
    return listed(found.source_time)


def cells(found):
    return listed(found.cell)


def seconds(found):
    return [None if start is None else start / US for start in starts(found)]


def told(found):
    return [(each.code, each.place) for each in gather(found.notices, None)]


def codes(found):
    return [each.code for each in found.notices]


def text_of(second):
    second %= DAY
    return f"{second // 3600:02}:{second // 60 % 60:02}:{second % 60:02}"


@given(
    first=st.integers(0, DAY - 1),
    steps=st.lists(st.integers(-DAY // 2 + 1, DAY // 2 - 1), max_size=30),
)
def test_bare_times_follow_the_row_before_over_any_midnight(first, steps):
    """Whatever the steps under half a day, they come back to the second."""
    moments = [first]
    for step in steps:
        moments.append(moments[-1] + step)
    clocks = np.array([moment % DAY * US for moment in moments])

    found = on_their_days(clocks, np.full(len(clocks), MISSING), None, None)

    assert (found // US).tolist() == moments


@given(st.lists(st.integers(0, 40_000), min_size=1, max_size=30))
def test_elapsed_seconds_come_back_as_written(counts):
    found = read(*map(str, counts), said="elapsed")

    assert [start for start in starts(found) if start is not None] == [
        count * US for count in counts if abs(count - sorted(counts)[(len(counts) - 1) // 2]) <= DAY
    ]


@given(st.integers(0, DAY * US - 1), st.integers(0, 6))
def test_decimals_give_cell_and_time(moment, decimals):
    step = 10 ** (6 - decimals)
    moment -= moment % step
    fraction = f".{moment % US // step:0{decimals}}" if decimals else ""

    found = read(f"{text_of(moment // US)}{fraction}")

    assert (starts(found), cells(found)) == ([moment], [step])


@pytest.mark.parametrize(
    ("rounding", "point"),
    [("unknown", 14 * 3600 + 210), ("down", 14 * 3600 + 210), ("nearest", 14 * 3600 + 180)],
)
def test_a_minute_is_read_at_its_middle_unless_rounded_to_the_nearest(rounding, point):
    found = read("14:03", rounding=rounding)

    assert (seconds(found), cells(found)) == ([point], [60 * US])


def test_decimals_of_one_row_are_the_cell_of_all_rows_to_the_second():
    found = read("61.5", "20", "1:02")

    assert found.scale == "elapsed"
    assert cells(found) == [100_000] * 3
    assert seconds(found) == [61.5, 20, 62]


def test_a_minute_among_seconds_keeps_its_minute():
    assert cells(read("14:03:22.5", "14:05", "14:06:00")) == [100_000, 60 * US, 100_000]


def test_a_late_entry_is_told_and_not_moved():
    found = read("14:03:22", "14:05:00", "14:04:10", "14:06:00")

    assert seconds(found) == sorted(seconds(found)[:2]) + seconds(found)[2:]
    assert told(found) == [("out_of_order", "4")]


def test_a_minute_before_a_second_within_it_is_in_order():
    assert codes(read("14:03:22", "14:03", "14:03:40")) == []


def test_a_first_part_over_23_makes_the_column_elapsed():
    found = read("09:10", "24:10")

    assert (found.scale, seconds(found), codes(found)) == ("elapsed", [550, 1450], ["elapsed_assumed"])


@pytest.mark.parametrize(
    "texts", [("0:10", "2:30", "9:40"), ("00:00:10", "03:00:30"), ("1000", "1400"), ("0:00:00", "0:05:00")]
)
def test_where_both_fit_and_a_clock_is_doubtful_it_asks_and_takes_the_clock(texts):
    found = read(*texts)

    assert found.scale == "clock"
    assert codes(found) == ["times_ambiguous"]
    assert [(each.key, each.assumed) for each in found.questions] == [("times", "clock")]


def test_two_part_times_within_three_hours_are_clock_times_without_a_question():
    found = read("10:05", "13:04")

    assert (found.scale, found.questions, codes(found)) == ("clock", [], [])


def test_four_digits_with_a_leading_zero_are_a_clock():
    found = read("0903", "1005")

    assert (found.scale, codes(found), seconds(found)[0]) == ("clock", [], 9 * 3600 + 210)


@pytest.mark.parametrize("rules", [{"said": "elapsed"}, {"heading": "elapsed"}])
def test_somebody_or_the_heading_can_say_elapsed(rules):
    assert seconds(read("10:05", "13:04", **rules)) == [605, 784]


def test_what_somebody_says_stands_before_the_heading():
    assert read("10:05", said="clock", heading="elapsed").scale == "clock"


@pytest.mark.parametrize(
    ("text", "elapsed_s"),
    [
        ("152", 152),
        ("61.5", 61.5),
        ("61,5", 61.5),
        ("2:32", 152),
        ("1:02:03", 3723),
        ("+01:30", 90),
        ("-00:30", -30),
        ("T+90", 90),
        ("90 s", 90),
        ("1m30s", 90),
        ("2 min", 120),
    ],
)
def test_elapsed_forms(text, elapsed_s):
    assert parse(text).elapsed == elapsed_s * US


def test_plain_numbers_take_the_unit_of_their_heading():
    found = read("2", "2.5", heading="elapsed", unit_s=60.0)

    assert (seconds(found), cells(found)) == ([123, 153], [6 * US] * 2)


def test_counts_of_milliseconds_are_exact():
    found = read("1500", "1501", heading="elapsed", unit_s=0.001)

    assert (starts(found), cells(found)) == ([1_500_000, 1_501_000], [1000, 1000])


@pytest.mark.parametrize(
    ("text", "clock"),
    [
        ("14:03", "14:03:00"),
        ("2:03 PM", "14:03:00"),
        ("2:03:22 p.m.", "14:03:22"),
        ("12:00 AM", "00:00:00"),
        ("12:30 pm", "12:30:00"),
        ("14h03", "14:03:00"),
    ],
)
def test_clock_forms(text, clock):
    assert text_of(parse(text).clock // US) == clock


@pytest.mark.parametrize(
    "text",
    [
        "2026-03-04 14:03:22",
        "2026-03-04T14:03:22",
        "04.03.2026 14:03:22",
        "4.3.26 14:03:22",
        "2026/03/04 14:03:22",
        "4 Mar 2026 14:03:22",
        "04-Mar-2026 14:03:22",
        "March 4, 2026 2:03:22 PM",
        "Wed 4 March 2026, 14:03:22",
        "20260304T140322",
        "20260304140322",
        "14:03:22 04.03.2026",
    ],
)
def test_date_forms(text):
    found = read(text)

    assert (found.scale, seconds(found), codes(found)) == ("local", [1_772_633_002], [])


@pytest.mark.parametrize(
    "text", ["14:6x", "25:61:00", "14:60", "noon", "2026-03-04", "2026-02-30 14:03", "13 pm", "7:5"]
)
def test_what_is_no_time_is_told_and_kept(text):
    found = read("14:03:22", text)

    assert starts(found)[1] is None
    assert told(found) == [("time_unreadable", "3")]


def test_a_row_without_a_time_is_told():
    assert codes(read("14:03", "")) == ["time_missing"]


def test_one_date_order_for_a_whole_column():
    """A row that only fits one order decides for all rows before it."""
    found = read("03/04/2026 14:03:00", "13/04/2026 14:03:00")

    assert seconds(found)[0] == (date(2026, 4, 3) - date(1970, 1, 1)).days * DAY + 14 * 3600 + 180
    assert "dates_ambiguous" not in codes(found)


@pytest.mark.parametrize(
    ("rules", "day"),
    [
        ({}, date(2026, 4, 3)),
        ({"date": date(2026, 3, 5)}, date(2026, 3, 4)),
        ({"date": date(2026, 4, 2)}, date(2026, 4, 3)),
    ],
)
def test_where_both_orders_fit_it_asks_and_takes_the_one_near_the_event(rules, day):
    found = read("03/04/2026 14:03:00", "03/04/2026 14:05:00", **rules)

    assert seconds(found)[0] == (day - date(1970, 1, 1)).days * DAY + 14 * 3600 + 180
    assert codes(found) == ["dates_ambiguous"]
    assert [each.key for each in found.questions] == ["dates"]


def test_an_answer_about_dates_ends_the_question():
    found = read("03/04/2026 14:03:00", dates="month_first")

    assert (seconds(found), codes(found), found.questions) == ([1_772_632_980], [], [])


def test_a_date_that_does_not_fit_the_order_of_the_column_is_told():
    found = read("13/04/2026 14:03", "14/04/2026 14:03", "04/13/2026 14:05")

    assert starts(found)[2] is None
    assert codes(found) == ["date_other_form"]


@pytest.mark.parametrize("text", ["1899-12-30 14:03", "2150-03-04 14:03", "31.12.1899 14:03"])
def test_an_absurd_date_is_told_and_placed_nowhere(text):
    found = read("2026-03-04 14:03", text)

    assert starts(found)[1] is None
    assert codes(found) == ["date_absurd"]


def test_days_away_from_the_bulk_is_told_and_placed_nowhere():
    found = read("2026-03-04 14:03", "2026-03-09 14:05", "2026-03-04 14:06")

    assert starts(found)[1] is None
    assert codes(found) == ["time_far"]


def test_dates_in_a_column_of_their_own():
    found = read("23:59:50", "00:00:10", days=["04.03.2026", "05.03.2026"])

    assert (found.scale, found.source_time[1] - found.source_time[0]) == ("local", 20 * US)


def test_bare_times_beside_dated_ones_take_their_day():
    found = read("23:58:00", "2026-03-05 00:01:00", "00:04:00", "23:59:00")

    start = (date(2026, 3, 5) - date(1970, 1, 1)).days * DAY
    assert seconds(found) == [start - 120, start + 60, start + 240, start - 60]


def test_the_event_date_is_that_of_the_first_row():
    found = read("23:58:00", "00:01:00", date=date(2026, 3, 4))

    assert (found.scale, seconds(found)[0]) == ("local", 1_772_582_400 + 23 * 3600 + 58 * 60)
    assert found.source_time[1] - found.source_time[0] == 180 * US


def test_offsets_and_zones_give_utc():
    with_offset = read("2026-03-04T14:03:22+01:00", "2026-03-04T13:04:22Z", "14:05:22")
    with_zone = read("2026-03-04 14:03:22", zone=ZoneInfo("Europe/Paris"))

    assert (with_offset.scale, with_offset.zone) == ("utc", "Etc/GMT-1")
    assert [start - 1_772_629_402 for start in seconds(with_offset)] == [0, 60, 120]
    assert (with_zone.scale, with_zone.zone, seconds(with_zone)) == ("utc", "Europe/Paris", [1_772_629_402])


def test_a_zone_without_a_date_changes_nothing():
    assert read("14:03:22", zone=ZoneInfo("Europe/Paris")).scale == "clock"


def test_seconds_from_1970_are_known_by_their_digits():
    found = read("1772629402", "1772629402500")

    assert (found.scale, seconds(found)) == ("utc", [1_772_629_402, 1_772_629_402.5])


def test_a_source_that_follows_another_starts_on_the_nearest_day():
    late = (23 * 3600 + 58 * 60) * US

    assert seconds(read("00:01:00", near=late)) == [DAY + 60]
    assert seconds(read("23:57:00", near=60 * US)) == [-180]


@given(st.integers(0, DAY - 1), st.timedeltas(timedelta(0), timedelta(hours=11)))
def test_no_time_lies_outside_its_cell(second, gap):
    """The point time is never before the written start, nor after its cell's end."""
    for text in (text_of(second), text_of(second)[:5]):
        found = read(text)
        start = parse(text).clock

        assert start <= found.source_time[0] <= start + found.cell[0]

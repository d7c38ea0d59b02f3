"""Dates and times of workbooks in both epochs, written by openpyxl, an independent implementation.

Epochs: ECMA-376 Part 1, 18.17.4.1 (1900 and 1904 date systems), by way of ``openpyxl.utils.datetime``.
"""

import datetime as dt

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900

from debrief.importers import read_event

FIRST, LAST = dt.datetime.fromisoformat("1970-01-02"), dt.datetime.fromisoformat("2099-12-30")
EPOCHS = {"1900": CALENDAR_WINDOWS_1900, "1904": CALENDAR_MAC_1904}


def read(path, epoch, values):
    book = openpyxl.Workbook()
    book.epoch = EPOCHS[epoch]
    book.active.append(["Time", "Event"])
    for value in values:
        book.active.append([value, "CPR started"])
    book.save(path)
    return read_event([path])


@pytest.mark.parametrize("epoch", EPOCHS)
@settings(deadline=None, max_examples=25)
@given(
    start=st.datetimes(FIRST, LAST),
    steps_ms=st.lists(st.integers(1, 3_600_000), min_size=1, max_size=6),
)
def test_dates_come_back_to_the_millisecond(tmp_path_factory, epoch, start, steps_ms):
    """A cell holds days as a binary fraction: a millisecond is what survives."""
    start = start.replace(microsecond=start.microsecond // 1000 * 1000)
    moments = [start + dt.timedelta(milliseconds=sum(steps_ms[:count])) for count in range(len(steps_ms) + 1)]

    event = read(tmp_path_factory.mktemp("dates") / "a.xlsx", epoch, moments)

    assert event.sources[0].scale == "local"
    cells = event.marks["cell"].to_pylist()
    for moment, found, cell in zip(moments, event.marks["source_time"].to_pylist(), cells, strict=True):
        middle = cell // 2 if cell > 1_000_000 else 0
        assert FIRST + dt.timedelta(days=-1, microseconds=found - middle) == moment


@pytest.mark.parametrize("epoch", EPOCHS)
@settings(deadline=None, max_examples=25)
@given(clock=st.times())
def test_times_of_day_come_back(tmp_path_factory, epoch, clock):
    clock = clock.replace(microsecond=clock.microsecond // 1000 * 1000)

    event = read(tmp_path_factory.mktemp("times") / "a.xlsx", epoch, [clock, clock.replace(second=30)])

    (found, _) = event.marks["source_time"].to_pylist()
    since = dt.datetime.combine(FIRST, clock) - FIRST
    assert event.sources[0].scale == "clock"
    assert dt.timedelta(microseconds=found) == since


@pytest.mark.parametrize("epoch", EPOCHS)
def test_durations_come_back(tmp_path, epoch):
    durations = [dt.timedelta(seconds=10), dt.timedelta(minutes=2, seconds=30.5), dt.timedelta(hours=23)]

    event = read(tmp_path / "a.xlsx", epoch, durations)

    assert event.sources[0].scale == "elapsed"
    assert event.marks["source_time"].to_pylist() == [
        each // dt.timedelta(microseconds=1) for each in durations
    ]

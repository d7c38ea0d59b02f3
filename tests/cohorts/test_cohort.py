"""Rows of events, filters, and who is left out and why."""

import pytest

from debrief.assess import assess
from debrief.cohorts.cohort import (
    FILTERS,
    MEASURE_NAMES,
    REASONS,
    _is_weekend,
    _when,
    cohort,
    filter_named,
    measure_named,
    row_of,
)
from debrief.errors import BadSetting
from debrief.resources import shipped
from debrief.words import sentences


@pytest.fixture(scope="module")
def report():
    return assess([shipped("sample_events") / "vf_log_and_sheet"], draws=0).to_dict()


def test_a_row_tells_what_the_report_tells(report):
    row = row_of(report, "time_to_first_shock")
    figure = next(figure for figure in report["figures"] if figure["name"] == "time_to_first_shock")

    assert (row.event_id, row.unit, row.population) == ("vf-log-and-sheet", "Alder ward", "adult")
    assert (row.date, row.month, row.quarter) == ("2025-11-06", "2025-11", "2025-Q4")
    assert (row.shift, row.weekend, row.shockable) == ("day", False, True)
    assert (row.witnessed, row.monitored) == (True, True)
    assert (row.value, row.verdict, row.target) == (figure["value"], figure["verdict"], figure["target"])


def test_every_measure_can_be_asked_for(report):
    assert {figure["name"] for figure in report["figures"]} == set(MEASURE_NAMES)


@pytest.mark.parametrize(
    ("wall", "weekend"),
    [
        ("2026-03-06T22:59:59", False),
        ("2026-03-06T23:00:00", True),
        ("2026-03-08T12:00:00", True),
        ("2026-03-09T06:59:59+01:00", True),
        ("2026-03-09T07:00:00", False),
    ],
)
def test_the_weekend_is_from_friday_night_to_monday_morning(wall, weekend):
    assert _is_weekend(*_when(wall, None)) is weekend


def test_without_an_hour_a_friday_and_a_monday_can_be_either():
    found = [_is_weekend(*_when(None, f"2026-03-{day:02}")) for day in range(6, 11)]

    assert found == [None, True, True, None, False]


def test_the_hour_alone_stands_on_the_day_that_is_stated():
    assert [str(part) for part in _when("14:03:20", "2026-03-06")] == ["2026-03-06", "14:03:20"]


def test_a_quarter_begins_in_january_april_july_and_october(make):
    found = [make(date=f"2026-{month:02}-01").quarter[-1] for month in range(1, 13)]

    assert found == list("111222333444")


def test_each_event_counts_is_not_asked_for_or_is_left_out_with_a_reason(make, target):
    again = make()
    rows = [
        again,
        again,
        make(ended_as="not_an_arrest"),
        make(ended_as="do_not_attempt"),
        make(witnessed=False),
        make(witnessed=True, verdict="not_applicable", value=None),
        make(witnessed=True, verdict="no_target", target=None),
        make(witnessed=True, date=None),
        make(witnessed=True),
    ]
    found = cohort(rows, "time_to_first_shock", [filter_named("witnessed=yes")], "month")

    assert {reason: len(ids) for reason, ids in found.left_out.items()} == {
        "same_again": 1,
        "not_an_arrest": 1,
        "do_not_attempt": 1,
        "filter_unknown": 1,
        "not_applicable": 1,
        "no_target": 1,
        "no_date": 1,
    }
    assert (found.read, found.not_asked, len(found.rows)) == (len(rows), 1, 1)


def test_a_date_is_needed_for_time_and_a_unit_for_units(make):
    rows = [make(date=None), make(unit=None)]

    assert list(cohort(rows, "time_to_first_shock", by="unit").left_out) == ["no_unit"]
    assert list(cohort(rows, "time_to_first_shock", by="month").left_out) == ["no_date"]


def test_without_any_target_nobody_is_left_out_for_want_of_one(make):
    rows = [make(verdict="no_target", target=None), make(verdict="no_data", target=None, value=None)]

    assert len(cohort(rows, "resuscitation_duration").rows) == 2


@pytest.mark.parametrize(
    ("text", "admitted"),
    [
        ("from=2026-03-04", True),
        ("from=2026-03-05", False),
        ("to=2026-03-04", True),
        ("to=2026-03-03", False),
        ("unit = Alder", True),
        ("population=child", False),
        ("first_rhythm=shockable", True),
        ("first_rhythm=not_shockable", False),
        ("shift=night", None),
        ("monitored=no", None),
    ],
)
def test_a_filter_admits_refuses_or_cannot_tell(make, text, admitted):
    assert filter_named(text).admits(make()) is admitted


@pytest.mark.parametrize("text", ["ward=Alder", "unit", "unit=", "witnessed=maybe", "from=soon"])
def test_a_filter_that_cannot_be_is_refused_with_what_can_be_said(text):
    with pytest.raises(BadSetting, match=r"--where.*Write"):
        filter_named(text)


def test_a_measure_that_is_none_is_refused_with_what_is_near():
    with pytest.raises(BadSetting, match="time_to_first_shock"):
        measure_named("first_shock")


def test_help_names_every_filter_and_every_reason_has_a_sentence():
    told = sentences()

    assert all(f"{key}=" in told["trends.help_where"] for key in FILTERS)
    assert all(f"trends.reason.{reason}" in told for reason in REASONS)


def test_events_that_were_not_asked_for_do_not_settle_whether_a_measure_is_judged(make):
    judged_elsewhere = [make(unit="Alder ward"), make(unit=None)]
    here = [make(unit="Beech ward", verdict="no_target", target=None) for _ in range(2)]

    found = cohort([*judged_elsewhere, *here], "longest_pause", [filter_named("unit=Beech ward")])

    assert len(found.rows) == 2
    assert {reason: len(ids) for reason, ids in found.left_out.items()} == {"filter_unknown": 1}
    assert found.not_asked == 1

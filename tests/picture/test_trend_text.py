"""Charts in words: limits that cannot be, signals as sentences, and a sentence for each."""

from dataclasses import replace

import pytest

from debrief.assess import assess
from debrief.cohorts.cohort import cohort, row_of
from debrief.cohorts.trends import trend
from debrief.picture.trend_text import IDS_SHOWN, trend_text
from debrief.resources import shipped
from debrief.words import say, sentences


@pytest.fixture(scope="module")
def row():
    report = assess([shipped("sample_events") / "vf_log_and_sheet"], draws=0).to_dict()
    return row_of(report, "resuscitation_duration")


@pytest.fixture
def rows(row):
    """An event a month, half a year; each lasts longer than the one before."""
    return [
        replace(row, event_id=f"e{month}", date=f"2026-{month:02}-01", value=600.0 * month)
        for month in range(1, 7)
    ]


def told(rows, width=200, **but):
    return trend_text(trend(cohort(rows, "resuscitation_duration", by="month"), "month", **but), width)


def test_a_signal_is_a_sentence_at_its_point(rows):
    text = told(rows)

    for row in rows:
        assert say("trends.signal_at", label=row.month, sentence=say("trends.signal.trend_up")) in text
    assert "2026-01 *" in text
    assert say("trends.no_signal") not in text


def test_a_limit_below_what_can_be_is_none(row):
    """Medians of 10 and 50 min: centre 30 min, limits 2.66 times 40 min away."""
    rows = [
        replace(row, event_id=day, date=day, value=value)
        for day, value in (("2026-01-01", 600.0), ("2026-02-01", 3000.0))
    ]

    assert say("trends.up_to", high="2:16:24") in told(rows)


def test_those_left_out_are_named_up_to_a_few_and_counted(rows):
    out = [replace(row, date=None, event_id=f"lost{n}") for n, row in enumerate(rows)]
    text = told(rows + out)

    assert f"{len(out)} {say('trends.reason.no_date')} (lost0" in text
    assert f"lost{IDS_SHOWN - 1}, ..." in text
    assert f"lost{IDS_SHOWN}" not in text


def test_lines_are_no_longer_than_the_screen(rows):
    assert max(map(len, told(rows, 60).splitlines())) <= 60


@pytest.mark.parametrize(
    "signal",
    [
        *("above", "below", "shift_above", "shift_below", "trend_up", "trend_down"),
        *("too_few_runs", "too_many_runs"),
    ],
)
def test_every_signal_has_a_sentence_that_blames_nobody(signal):
    assert "chance alone" in sentences()[f"trends.signal.{signal}"]

"""Clocks in words: how far, how sure, what is assumed."""

import pytest

from debrief.picture.clock_words import (
    apart_words,
    clock_lines,
    clocks_of,
    drift_words,
    reference_of,
    standing,
    standing_in_short,
)


def plain(text):
    """A text with ordinary spaces."""
    return text.replace("\u202f", " ").replace("\u00a0", " ")


@pytest.fixture
def told(make):
    """Return the sentence on a sheet whose clock has these values."""

    def tell(offset, low, high, **changes):
        report = make.report()
        sheet = make.source("sheet", "sheet.csv", "person") | changes
        if sheet["clock"]:
            sheet["clock"] |= {"offset": offset, "low": low, "high": high}
            sheet["clock"]["evidence"][0]["kind"] = "shared_marks"
        report["sources"][1] = sheet
        return plain(standing(report, sheet))

    return tell


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0, "0 s"),
        (-12, "12 s"),
        (2.34, "2.3 s"),
        (60, "1 min"),
        (102, "1 min 42 s"),
        (3600, "1 h"),
        (3634, "1 h 34 s"),
        (3672, "1 h 1 min 12 s"),
        (59.7, "1 min"),
    ],
)
def test_a_length_of_time_is_said_as_people_say_it(seconds, words):
    assert plain(apart_words(seconds)) == words


@pytest.mark.parametrize(
    ("clock", "sentence"),
    [
        ((102, 80, 123), "is 1 min 42 s behind that of log.csv, 1 min 20 s to 2 min 3 s."),
        ((-102, -123, -80), "is 1 min 42 s ahead of that of log.csv, 1 min 20 s to 2 min 3 s."),
        ((20, -10, 50), "is 20 s behind that of log.csv; it may be 10 s ahead to 50 s behind."),
        ((-20, -50, 10), "is 20 s ahead of that of log.csv; it may be 50 s ahead to 10 s behind."),
        ((0, -5, 5), "agrees with that of log.csv; it may be 5 s ahead to 5 s behind."),
        ((0, 0, 0), "agrees with that of log.csv."),
        ((90, 90, 90), "is 1 min 30 s behind that of log.csv."),
    ],
)
def test_a_clock_that_has_to_be_added_to_is_behind(told, clock, sentence):
    assert told(*clock) == f"The clock of sheet.csv {sentence}"


def test_a_clock_that_counts_from_its_own_zero_says_when_that_was(told):
    text = told(11_540, 11_538, 11_542, scale="elapsed")
    assert text.endswith("stands at 03:12:20 on the clock of log.csv, 03:12:18 to 03:12:22.")


def test_where_the_reference_counts_from_its_own_zero_the_other_clock_says_when_that_was(make):
    report = make.report()
    report["sources"][0]["scale"] = "elapsed"
    report["sources"][1]["clock"] |= {"offset": -11_540.0, "low": -11_550.0, "high": -11_530.0}
    text = standing(report, report["sources"][1])

    assert text == "0:00 of log.csv is 03:12:20 on the clock of sheet.csv, 03:12:10 to 03:12:30."
    assert standing_in_short(report["sources"][1], report["sources"][0]) == "03:12:20 is 0:00"


def test_what_stands_apart_says_whether_nothing_ties_it_or_too_much(told):
    assert "nothing ties its clock" in told(0, 0, 0, group=2, clock=None)
    offers = [{"offset": 1.0, "low": 0.0, "high": 2.0, "pairs": 1}]
    assert "in more than one way" in told(0, 0, 0, group=2, clock=None, offers=offers)
    assert "is not used" in told(0, 0, 0, group=0, clock=None)


def test_the_reference_stands_first_and_what_a_reviewer_added_has_no_clock(make):
    report = make.report()
    added = make.source("added", "added.csv", "person")
    report["sources"] = [added, *reversed(report["sources"])]

    assert reference_of(report)["source_id"] == "log"
    assert [one["source_id"] for one in clocks_of(report)] == ["log", "sheet"]


def test_a_clock_that_slows_loses_seconds_a_day(make):
    clock = make.source("sheet", "sheet.csv", "person")["clock"]
    assert drift_words(clock) == []
    assert "loses 2" in plain(*drift_words(clock | {"rate": 1 + 2 / 86_400}))
    assert "gains 2" in plain(*drift_words(clock | {"rate": 1 - 2 / 86_400}))


def test_lines_tell_each_clock_how_many_marks_and_which_lateness_is_assumed(make):
    report = make.report()
    pair = {"mark": "sheet:1", "other": "log:1", "residual": 1.0}
    report["sources"][1]["clock"]["evidence"][0]["pairs"] = [pair, pair | {"mark": "sheet:2"}]
    first, second = map(plain, clock_lines(report))

    assert first == "log.csv is the reference: all times are told on its clock."
    assert "2 min 17 s behind that of log.csv. 2 marks are seen by both." in second
    assert second.endswith("It is taken to be written 0 s to 1 min late.")
    assert clock_lines(report | {"sources": report["sources"][:1]}) == ()

"""An event as plain text: one line a figure, the reasons gathered, problems with place and remedy."""

import pytest

from debrief.model.problems import Problem
from debrief.picture.text import folded, problems_text, report_text


@pytest.fixture
def report(events):
    """The invented adult arrest with four shocks."""
    return events["vf"]()


def test_a_figure_is_a_line_with_shape_value_bounds_and_what_is_asked(report):
    lines = report_text(report, width=200).splitlines()
    longest = next(line for line in lines if "Longest pause " in line)
    assert [part for part in longest.split(" ") if part] == [
        *("▲", "Longest", "pause", "61\u202fs", "60", "to", "62"),
        *("Asked:", "under", "10", "s,", "AHA", "2020:", "not", "met."),
    ]


def test_figures_without_a_value_are_gathered_by_their_reason(report):
    text = report_text(report, width=140)
    assert "◌ No source holds single compressions. (Compression rate, Compression depth)" in text
    assert "◌ Only 1:50 was seen after ROSC. (Sustained ROSC)" in text


def test_each_gap_between_doses_has_its_own_verdict(report):
    assert "Each gap: 4:15 met, 5:45 cannot be told." in report_text(report)


def test_a_target_from_memory_is_said_to_be_one(report):
    assert "(from memory); shown, not judged." in report_text(report)


def test_in_short_only_the_figures_asked_for_are_shown(report):
    text = report_text(report, only=("longest_pause",))
    assert "Longest pause" in text
    assert "First shock" not in text
    assert "Problems" not in text


@pytest.mark.parametrize("width", [80, 100, 200])
def test_no_line_is_longer_than_asked(any_report, width):
    assert max(map(len, report_text(any_report, width).splitlines())) <= width


def test_a_problem_has_its_severity_its_place_and_its_remedy():
    told = problems_text(
        [Problem("x", "check", "Write it so.", "sheet", "line 3"), Problem("y", "note", "Fine.")]
    )
    assert told == "  check: sheet, line 3: Write it so.\n  note: Fine."


def test_a_text_is_broken_into_lines():
    assert folded("one two three", 7) == "one two\nthree"


def test_each_clock_is_a_line_where_there_is_more_than_one(report):
    lines = report_text(report, width=200).splitlines()
    start = lines.index("Clocks:")

    assert lines[start + 1] == "  log.csv is the reference: all times are told on its clock."
    assert lines[start + 2].startswith(
        "  The clock of sheet.csv is 2\u202fmin\u00a017\u202fs behind that of log.csv."
    )
    assert "Clocks:" not in report_text(report, only=("longest_pause",))
    assert "Clocks:" not in report_text(report | {"sources": report["sources"][:1]})


def test_what_would_settle_a_figure_stands_beneath_it(report):
    figure = next(one for one in report["figures"] if one["name"] == "chest_compression_fraction")
    figure["settled_by"] = "A check of the clock of sheet.csv would settle it."
    lines = report_text(report, width=200).splitlines()
    beneath = lines[next(n for n, line in enumerate(lines) if "Hands on the chest " in line) + 1]

    assert beneath.strip() == "A check of the clock of sheet.csv would settle it."

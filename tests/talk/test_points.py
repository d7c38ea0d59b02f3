"""Talking points: each rule with an event that triggers it and one that does not; no grade, no name."""

import re
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from debrief import words
from debrief.assess import Asked, assess, assess_event
from debrief.importers import Settings, read_event
from debrief.resources import shipped
from debrief.talk.points import CHOOSE, MOST, longest_stretch, rules, talking_points
from tests.made import assessed, compressions, row
from tests.strategies import events, write

START = (row(0, "recognition"), row(1, "rhythm", "vf"))
GRADES = re.compile(
    r"\b(good|bad|poor|excellent|fail\w*|pass|passed|score|fault|blame|mistake|wrong|nurse|doctor|you|he|she)\b"
)


def points(*rows, draws=0, **context):
    """The points of an event, by rule."""
    report = assessed([*START, *rows], draws=draws, **context).to_dict()
    return {point.rule: point for point in talking_points(report)}


HANDS_ON = compressions((5, 200), (204, 400))


def test_every_rule_of_the_table_knows_how_it_chooses_and_has_a_question():
    for name, rule in rules().items():
        assert rule["choose"] in CHOOSE
        assert rule["choose"] == "cause" or f"talk.question.{name}" in words.sentences()
    assert all(f"talk.question.{cause}" in words.sentences() for cause in words.CAUSES)


# what went well


def test_a_target_that_was_met_is_what_went_well():
    point = points(*HANDS_ON)["went_well"]

    assert point.about == "chest_compression_fraction"
    assert point.told.verdict == "met"
    assert "99" in point.sentence
    assert point.marks


def test_where_no_target_was_met_a_long_stretch_of_compressions_is_what_went_well():
    stretches = [(start, start + 12) for start in range(150, 800, 30)]
    point = points(*compressions(*stretches, (850, 925)), row(940, "efforts_ended"))["went_well"]

    assert point.about == "stretch"
    assert point.window == ((850.0, 925.0),)
    assert "1:15" in point.sentence


def test_where_nothing_was_met_and_no_stretch_was_long_the_question_is_open():
    point = points(row(400, "shock"))["went_well"]

    assert (point.about, point.sentence, point.window, point.marks) == ("", "", (), ())
    assert point.question == "What went well?"


# the cause that took the most hands-off seconds


def test_the_cause_that_took_the_most_seconds_is_asked_about():
    rows = compressions((5, 100), (112, 200), (230, 400))
    point = points(*rows, row(105, "shock"), row(215, "airway", "tube"))["hands_off"]

    assert point.about == "cause:advanced_airway"
    assert point.window == ((200.0, 230.0),)
    assert point.sentence == "Airway: hands were off for 30\u202fs; 71\u202f% of all hands-off time."
    assert point.marks == ("log:200", "log:230")


def test_pauses_that_no_mark_explains_are_asked_about_where_they_took_the_most():
    assert points(*compressions((5, 100), (130, 400)))["hands_off"].about == "cause:unexplained"


def test_a_few_hands_off_seconds_are_not_asked_about():
    assert "hands_off" not in points(*HANDS_ON)


def test_breaths_are_not_asked_about():
    rows = compressions((5, 100), (108, 200), (206, 400))
    breaths = [row(104, "ventilation"), row(203, "ventilation")]

    assert "hands_off" not in points(*rows, *breaths)


# the first shock


def test_a_first_shock_past_its_limit_is_asked_about():
    point = points(*HANDS_ON, row(202, "shock", amount=200))["first_shock"]

    assert point.about == "time_to_first_shock"
    assert "3:22" in point.sentence
    assert "2 min" in point.target
    assert "log:202" in point.marks


def test_a_shock_that_never_came_is_asked_about_in_other_words():
    point = points(*HANDS_ON, row(202, "charge"), row(210, "disarm"))["first_shock"]

    assert point.question == "What was decided about a first shock?"
    assert "not seen" in point.sentence


def test_a_first_shock_within_its_limit_is_not_asked_about():
    assert "first_shock" not in points(*HANDS_ON, row(60, "shock"))


def test_no_shock_is_asked_about_in_a_rhythm_that_asks_for_none():
    assert "first_shock" not in points(*HANDS_ON, first_rhythm="asystole")


# the first dose


def test_a_first_dose_past_its_limit_is_asked_about():
    rows = [*HANDS_ON, row(380, "drug", "epinephrine", amount=1, unit="mg", route="iv")]

    assert points(*rows, first_rhythm="pea")["first_dose"].about == "time_to_first_epinephrine"


def test_with_shocks_the_first_dose_is_told_by_the_shocks_before_it():
    shocks = [row(at, "shock") for at in (60, 180, 300)]
    rows = [*HANDS_ON, *shocks, row(380, "drug", "epinephrine", amount=1, unit="mg", route="iv")]

    assert points(*rows)["first_dose"].about == "shocks_before_epinephrine"


def test_a_first_dose_within_its_limit_is_not_asked_about():
    rows = [*HANDS_ON, row(120, "drug", "epinephrine", amount=1, unit="mg", route="iv")]

    assert "first_dose" not in points(*rows, first_rhythm="pea")


# gaps between doses


def doses(*times):
    return [row(at, "drug", "epinephrine", amount=1, unit="mg", route="iv") for at in times]


def test_a_gap_outside_the_range_is_asked_about_with_all_gaps_beside_it():
    point = points(*compressions((5, 1000)), *doses(100, 340, 800), first_rhythm="pea")["gaps"]

    assert point.about == "gaps:epinephrine"
    assert point.sentence == "Epinephrine gaps: 4:00 and 7:40."
    assert point.marks == ("log:340", "log:800")


def test_gaps_inside_the_range_are_not_asked_about():
    assert "gaps" not in points(*compressions((5, 1000)), *doses(100, 340, 580), first_rhythm="pea")


# what cannot be told


def test_of_what_cannot_be_told_the_widest_bounds_for_its_target_are_asked_about():
    sheet = {"source": "sheet", "cell_s": 60}
    rows = [row(0, "recognition", **sheet), row(90, "compressions_start", **sheet)]
    report = assessed(rows, draws=200).to_dict()
    point = {point.rule: point for point in talking_points(report)}["uncertain"]

    assert point.about == "time_to_first_compression"
    assert point.told.bounds


def test_where_all_can_be_told_nothing_is_asked_about_it():
    assert "uncertain" not in points(*HANDS_ON, row(60, "shock"), draws=200)


# all of them


def test_what_was_talked_about_is_not_asked_about_again():
    """A first shock that cannot be told is a point once, not also as the most uncertain figure."""
    sheet = {"source": "sheet", "cell_s": 60}
    rows = [row(0, "recognition", **sheet), row(1, "rhythm", "vf", **sheet), row(100, "shock", **sheet)]
    report = assessed(rows, draws=200).to_dict()
    found = talking_points(report)

    assert [point.about for point in found].count("time_to_first_shock") == 1


@given(events())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_whatever_the_event_there_are_one_to_five_points_the_same_each_time(made):
    with tempfile.TemporaryDirectory() as folder:
        event = read_event([write(made, Path(folder) / "made")], Settings())
    report = assess_event(event, Asked(draws=0)).to_dict()
    found = talking_points(report)

    assert 1 <= len(found) <= MOST
    assert found[0].rule == "went_well"
    assert found == talking_points(report)
    assert len({point.rule for point in found}) == len(found)


def test_a_limit_cuts_the_last_of_the_table():
    report = assess([shipped("sample_events") / "vf_log_and_sheet"]).to_dict()

    assert [point.rule for point in talking_points(report, 2)] == ["went_well", "hands_off"]


def test_no_question_grades_or_names_anybody():
    questions = [text for key, text in words.said_in("english").items() if key.startswith("talk.question.")]

    assert questions
    for question in questions:
        assert not GRADES.search(question.casefold()), question
        assert question.endswith("?")


@pytest.mark.parametrize(
    ("spans", "longest"),
    [
        ([], (0.0, 0.0)),
        ([(0, 50), (60, 100), (111, 150)], (0, 100)),
        ([(0, 30), (50, 80)], (0, 30)),
    ],
)
def test_the_longest_stretch_runs_over_pauses_of_up_to_10_s(spans, longest):
    report = {"hands_on": [{"start": start, "end": end} for start, end in spans]}

    assert longest_stretch(report) == longest

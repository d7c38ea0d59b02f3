"""Figures in words: each value with its bounds, its target and its verdict; never a grade."""

import re

import pytest

from debrief import words
from debrief.assess import assess
from debrief.measures import MEASURES
from debrief.picture.sentences import (
    SHAPES,
    bounds_text,
    causes,
    figure_definition,
    figure_title,
    head_line,
    sentences,
    summary_line,
    value_text,
    verdict_words,
)
from debrief.resources import shipped

SAMPLES = sorted(path for path in shipped("sample_events").iterdir() if path.name[0] not in "._")


def by_figure(report):
    return {one.figure: one for one in sentences(report)}


@pytest.mark.parametrize("name", [measure.name for measure in MEASURES])
def test_every_figure_has_a_title_a_sentence_and_a_definition(name):
    table = words.sentences()
    assert figure_title(name) == table[f"figures.{name}.title"]
    assert "{value}" in table[f"figures.{name}.sentence"]
    assert figure_definition(name).endswith(".")


@pytest.mark.parametrize(
    ("name", "value", "unit", "text"),
    [
        ("chest_compression_fraction", 0.834, "1", "83\u202f%"),
        ("longest_pause", 61.0, "s", "61\u202fs"),
        ("longest_pause", 4.25, "s", "4.2\u202fs"),
        ("longest_pause", 0.0, "s", "0\u202fs"),
        ("time_to_first_shock", 284.0, "s", "4:44"),
        ("time_to_first_compression", 70.0, "s", "1:10"),
        ("time_to_first_compression", 19.0, "s", "19\u202fs"),
        ("pauses_over_10_s", 5.0, "count", "5"),
        ("first_shock_energy", 200.0, "J", "200\u202fJ"),
        ("compression_rate", 111.6, "/min", "112\u202fper min"),
        ("any_rosc", True, "", "yes"),
        ("any_rosc", False, "", "no"),
    ],
)
def test_a_value_is_written_as_it_is_read(make, name, value, unit, text):
    assert value_text(make.figure(name, value, unit)) == text


@pytest.mark.parametrize(
    ("name", "value", "unit", "low", "high", "text"),
    [
        ("chest_compression_fraction", 0.83, "1", 0.78, 0.86, "78 to 86"),
        ("time_to_first_shock", 284.0, "s", 283.0, 285.0, "4:43 to 4:45"),
        ("time_to_first_shock", 58.0, "s", 30.0, 90.0, "0:30 to 1:30"),
        ("longest_pause", 61.0, "s", 60.9, 61.1, ""),
        ("time_to_first_shock", 284.0, "s", 284.0, None, "4:44 or longer"),
        ("longest_pause", None, "s", 60.0, 62.0, ""),
        ("any_rosc", True, "", None, None, ""),
    ],
)
def test_bounds_are_told_where_they_say_something(make, name, value, unit, low, high, text):
    assert bounds_text(make.figure(name, value, unit, low, high)) == text


def test_sentences_come_in_the_order_of_a_talk(events):
    order = [one.figure for one in sentences(events["vf"]())]
    talk = ["chest_compression_fraction", "longest_pause", "time_to_first_shock", "pre_shock_pause_max"]
    assert [name for name in order if name in talk] == talk
    flags = [one.talk for one in sentences(events["vf"]())]
    assert flags == sorted(flags, reverse=True)


def test_every_figure_is_told_once_or_rides_along(any_report):
    told = [name for one in sentences(any_report) for name in one.figures]
    assert len(told) == len(set(told))
    assert {figure["name"] for figure in any_report["figures"]} - set(told) <= {"compression_coverage"}


def test_a_figure_reads_as_a_sentence(events):
    told = by_figure(events["vf"]())
    pause = told["longest_pause"]
    assert (pause.lead, pause.value, pause.tail) == (
        "The longest pause was ",
        "61\u202fs",
        ", for the airway.",
    )
    assert pause.bounds == "60 to 62"
    assert pause.target == "Asked: under 10 s, AHA 2020: not met."
    assert (pause.shape, pause.verdict_words, pause.spans) == ("triangle", "not met", ((612.0, 673.0),))
    fraction = told["chest_compression_fraction"]
    assert fraction.text == "Hands were on the chest for 88\u202f% of 20:40 of arrest seen. (78 to 89)"
    assert told["time_to_first_shock"].text == "The first shock came 4:44 after recognition. (4:43 to 4:45)"


def test_each_gap_has_its_own_verdict(events):
    gaps = by_figure(events["vf"]())["epinephrine_interval_in_range"]
    assert gaps.value == "4:15 and 5:45"
    assert gaps.target == "Asked of each: 3 min to 5 min, AHA 2020; in order: met, cannot be told."
    assert gaps.spans == ((330.0, 585.0), (585.0, 930.0))
    assert gaps.shape == "half_disc"


def test_a_target_from_memory_says_so_and_is_not_judged(events):
    before = by_figure(events["vf"]())["pre_shock_pause_max"]
    assert before.other_targets == ("Asked: under 10 s, AHA 2020 (from memory); shown, not judged.",)
    assert (before.shape, before.target) == ("ring", "")


def test_a_confirmed_target_from_memory_still_says_so(make):
    aim = make.target("under 10 s", "met", basis="memory", judged=True)
    figures = [make.figure("longest_pause", 8.0, "s", 8, 8, "met", target=aim)]
    told = by_figure(make.report(figures=figures))["longest_pause"]
    assert told.target == "Asked: under 10 s, AHA 2020 (from memory, confirmed by the site): met."


def test_what_was_not_recorded_is_gathered_by_its_reason(events):
    told = by_figure(events["vf"]())["compression_rate"]
    assert told.text == "Compression rate and compression depth: not recorded."
    assert (told.note, told.shape) == ("No source holds single compressions.", "dashed_ring")


def test_what_was_looked_for_and_not_seen_is_told_as_such(make):
    figures = [
        make.figure(
            "time_to_first_shock", None, "s", 600.0, None, "not_met", "None was marked in the 10:00 seen."
        )
    ]
    told = by_figure(make.report(figures=figures))["time_to_first_shock"]
    assert told.text == "First shock: not seen."
    assert (told.shape, told.note) == ("triangle", "None was marked in the 10:00 seen.")


def test_the_breaths_note_stands_beside_the_fraction_only_without_an_advanced_airway(make):
    assert by_figure(make.report())["chest_compression_fraction"].note == ""
    without = [one for one in make.report()["occurrences"] if one["kind"] != "airway"]
    note = by_figure(make.report(occurrences=without))["chest_compression_fraction"].note
    assert "76 to 84" in note


def test_no_sentence_grades(any_report):
    text = " ".join(
        " ".join((one.text, one.target, *one.other_targets, one.note)) for one in sentences(any_report)
    )
    assert not re.search(r"\b(good|bad|poor|excellent|fail|failed|pass|passed|score)\b", text, re.IGNORECASE)


def test_shapes_differ_by_verdict():
    assert len(set(SHAPES.values())) == len(SHAPES) == 6
    assert len({verdict_words(verdict) for verdict in SHAPES}) == 6


def test_the_head_line_says_what_could_not_be_seen(events):
    assert head_line(events["vf"]()) == (
        "Could not be seen: compressions before 1:10; the second of each dose (by hand, to the minute); "
        "the rhythm before 2:30; depth and rate of compressions."
    )
    assert "whether hands stayed on" in head_line(events["starts_alone"]())
    assert "time zero is assumed" in head_line(events["nothing"]())


def test_a_source_that_was_left_out_is_named(make):
    lost = {**make.source("other", "other.csv", "device"), "clock": None}
    report = make.report()
    report["sources"].append(lost)
    assert "other.csv (left out: its clock is not tied to the others)" in head_line(report)


def test_the_summary_tells_when_what_and_from_where(events):
    assert summary_line(events["vf"]()) == (
        "14 March 2026, 03:12 · adult, first rhythm VF · log.csv and sheet.csv, clocks 2:17 apart, mended"
    )


def test_causes_add_up_to_all_hands_off_seconds(events):
    found = causes(events["vf"]())
    assert found.heading == "Where 147 hands-off seconds went"
    assert sum(bar.seconds for bar in found.bars) == 147
    assert sum(bar.share for bar in found.bars) == pytest.approx(1)
    assert found.bars[0].cause == "advanced_airway"
    assert found.bars[-1].cause == "unexplained"
    assert sum(sum(bar.pauses) for bar in found.bars) == 147


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_what_if_is_the_measured_fraction_with_every_pause_cut(path):
    """The same sum as the measure's, from what the page holds alone; uncut it is the fraction itself."""
    report = assess([path], draws=0).to_dict()
    figures = {figure["name"]: figure for figure in report["figures"]}
    fraction = figures["chest_compression_fraction"]["value"]
    found = causes(report)
    if fraction is None:
        assert found is None
        return

    assert found.fraction(found.cap_s) == pytest.approx(report["parameters"]["what_if_fraction"], abs=1e-9)
    assert found.fraction(1e9) == pytest.approx(fraction, abs=1e-9)


def test_without_pauses_there_are_no_causes(events):
    assert causes(events["nothing"]()) is None


def test_what_would_settle_a_figure_is_said_with_its_sentence(events):
    report = events["vf"]()
    next(one for one in report["figures"] if one["name"] == "chest_compression_fraction")["settled_by"] = (
        "So."
    )
    told = by_figure(report)

    assert told["chest_compression_fraction"].settled_by == "So."
    assert told["longest_pause"].settled_by == ""


def test_a_source_that_stands_apart_is_told_from_one_left_out_and_from_one_that_repeats_another(events, make):
    def loose(source_id):
        return make.source(source_id, f"{source_id}.csv", "person") | {"group": 0, "clock": None}

    report = events["vf"]()
    report["sources"] += [loose("apart") | {"group": 2}, loose("lost"), loose("again")]
    report["problems"] = [
        {"source_id": "again", "code": "same_marks_twice", "severity": "note", "place": None, "message": ""}
    ]
    report["apart"] = [events["vf"]() | {"sources": [make.source("apart", "apart.csv", "person")]}]
    line = head_line(report)

    assert "apart.csv on this timeline (its clock is not tied to the others, so it stands apart)" in line
    assert "lost.csv (left out" in line
    assert "again.csv" not in line


def test_a_clock_that_counts_from_its_own_zero_is_not_said_to_be_hours_apart(events):
    report = events["vf"]()
    assert "clocks 2:17 apart" in summary_line(report)
    report["sources"][1]["scale"] = "elapsed"
    assert "apart" not in summary_line(report)


def test_a_figure_from_a_group_that_stands_apart_counts_from_the_time_zero_of_that_group(events, make):
    report = events["vf"]()
    basis = {"wall": None, "basis": "pulseless", "marks": []}
    sheet = make.source("apart", "apart.csv", "person")
    report["apart"] = [events["vf"]() | {"time_zero": basis, "sources": [sheet]}]
    rosc = next(one for one in report["figures"] if one["name"] == "time_to_rosc")
    assert "after recognition" in by_figure(report)["time_to_rosc"].text
    rosc["marks"] = ["apart:7"]

    assert "after loss of the pulse" in by_figure(report)["time_to_rosc"].text

"""Odd clocks: what can be told is told, what cannot be told is not guessed, and a problem says so."""

import pytest
from scipy.stats import binom

from debrief.assess import Asked, assess_event
from tests import clock_variants
from tests.clock_judge import judge

SEEDS = range(8)
CHANCE = 0.001


def report(variant, seed):
    """Return the report on one event, without draws."""
    return assess_event(getattr(clock_variants, variant)(seed).event, Asked(draws=0)).to_dict()


def sheets(variant, name="sheet"):
    """Return the clock of one source held against the truth, event by event."""
    made = getattr(clock_variants, variant)
    return [judge(seed, made(seed), name=name, figures=False) for seed in SEEDS]


@pytest.mark.parametrize(
    ("variant", "code"),
    [("no_shared", "clock_unknown"), ("one_shared", "clock_unclear"), ("of_another_day", "another_day")],
)
def test_a_sheet_that_cannot_be_placed_stands_apart_and_a_problem_says_why(variant, code):
    for seed in SEEDS:
        made = report(variant, seed)
        log, sheet = made["sources"]

        assert sheet["clock"] is None
        assert sheet["group"] != log["group"]
        assert len(made["apart"]) == 1
        assert code in [problem["code"] for problem in made["problems"] if problem["source_id"] == "sheet"]


def test_an_hour_off_is_offered_as_a_clock_never_moved():
    for seed in SEEDS:
        codes = [problem["code"] for problem in report("an_hour_off", seed)["problems"]]

        assert "clock_never_moved" in codes


def test_a_clock_set_midway_is_told_where_either_part_has_marks_enough():
    """Bounds hold the offset before it, and that after it."""
    told = 0
    for seed, entry in zip(SEEDS, sheets("corrected"), strict=True):
        codes = [problem["code"] for problem in report("corrected", seed)["problems"]]
        midway = "clock_set_midway" in codes
        told += midway
        if midway:
            assert entry.low_s <= 0
            assert entry.high_s >= clock_variants.CORRECTED_S

    assert told >= len(SEEDS) / 2


@pytest.mark.parametrize(
    ("variant", "name"),
    [
        ("an_hour_off", "sheet"),
        ("pressed_twice", "sheet"),
        ("strict_cycles", "sheet"),
        ("two_sheets", "other"),
        ("three_sources", "sheet"),
        ("three_sources", "other"),
        ("newest_first", "sheet"),
        ("two_unlike_sheets", "other"),
        ("with_sensor", "sheet"),
        ("with_sensor", "sensor"),
    ],
)
def test_odd_events_are_aligned_about_as_often_as_their_bounds_say(variant, name):
    """At one in a thousand; none is a cycle of two minutes away."""
    aligned = [entry for entry in sheets(variant, name) if entry.aligned]

    assert len(aligned) >= binom.ppf(CHANCE, len(SEEDS), 0.8)
    assert sum(entry.inside for entry in aligned) >= binom.ppf(CHANCE, len(aligned), 0.95)
    assert max(abs(entry.error_s) for entry in aligned) < 60


def test_a_sheet_of_which_every_row_stands_in_reverse_reads_the_same():
    for ahead, reverse in zip(sheets("plain"), sheets("newest_first"), strict=True):
        assert ahead == reverse

"""Why hands were off: one cause a pause, by the order, the rest beside it."""

import pytest

from tests.made import assessed, compressions, row

BASE = [row(0, "recognition"), *compressions((20, 100), (112, 300), (310, 600)), row(600, "rosc")]


def pauses(rows):
    """Return (cause, also) of each pause."""
    return [(pause["cause"], pause["also"]) for pause in assessed(rows).to_dict()["pauses"]]


@pytest.mark.parametrize(
    ("marks", "cause", "also"),
    [
        ([], "unexplained", []),
        ([row(108, "shock"), row(103, "rhythm_check", "vf")], "shock", ["rhythm_or_pulse_check"]),
        ([row(108, "shock"), row(104, "airway", "tube")], "advanced_airway", ["shock"]),
        ([row(104, "airway", "bag_mask")], "unexplained", []),
        ([row(104, "analysis", "advised"), row(110, "shock")], "shock", ["analysis"]),
        ([row(97.5, "pulse_check")], "rhythm_or_pulse_check", []),
        ([row(96.5, "pulse_check")], "unexplained", []),
        ([row(85, "ultrasound", length_s=13)], "ultrasound", []),
        ([row(70, "access", "io", cell_s=60, source="sheet")], "access", []),
        ([row(69, "access", "io", cell_s=60, source="sheet")], "unexplained", []),
        ([row(104, "compressor_change")], "compressor_change", []),
        ([row(105, "transfer")], "moving", []),
    ],
)
def test_a_mark_within_3_s_or_its_own_cell_speaks_for_a_pause(marks, cause, also):
    assert pauses([*BASE, *marks])[0] == (cause, also)


def test_a_pause_may_name_its_cause():
    rows = [row(0, "recognition"), row(20, "compressions_start"), row(60, "pause", "moving", length_s=12)]

    assert pauses([*rows, row(300, "rosc")]) == [("moving", [])]


def test_a_device_explains_the_pause_in_which_it_was_put_on_and_no_later_one():
    rows = [row(0, "recognition"), row(20, "compressions_start"), row(100, "compressions_stop")]
    rows += [row(130, "mechanical_start"), row(250, "mechanical_stop"), row(252, "rhythm_check", "pea")]
    rows += [row(256, "mechanical_start"), row(400, "mechanical_stop"), row(400, "rosc")]

    assert pauses(rows) == [("mechanical_device", []), ("rhythm_or_pulse_check", [])]


def pattern(compressions_a_run, pause_s, runs=5):
    """Return single compressions in runs with pauses between."""
    at, rows = 20.0, [row(0, "recognition")]
    for _ in range(runs):
        for _ in range(compressions_a_run):
            rows.append(row(round(at, 2), "compression", source="puck"))
            at += 0.5
        at += pause_s
    return [*rows, row(round(at, 2), "rosc")]


@pytest.mark.parametrize(
    ("run", "pause_s", "found"), [(30, 4, 4), (32, 4, 4), (15, 3, 4), (33, 4, 0), (30, 12, 0)]
)
def test_two_breaths_are_known_by_their_pattern_and_said(run, pause_s, found):
    report = assessed(pattern(run, pause_s)).to_dict()

    assert [pause["cause"] for pause in report["pauses"]].count("ventilation") == found
    assert ("breaths_inferred" in [problem["code"] for problem in report["problems"]]) == bool(found)


def test_two_pauses_make_no_pattern():
    assert [pause["cause"] for pause in assessed(pattern(30, 4, runs=3)).to_dict()["pauses"]] == [
        "unexplained"
    ] * 2


def test_seconds_add_up_by_cause_and_what_if_caps_every_pause():
    report = assessed([*BASE, row(108, "shock")]).to_dict()

    assert report["parameters"]["off_by_cause_s"] == {"shock": 12, "unexplained": 10}
    assert report["parameters"]["what_if_fraction"] == pytest.approx(1 - 20 / 580)

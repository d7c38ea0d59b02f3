"""The invented events that ship: each says that it is invented, and is measured as written beside this file.

``pytest tests/test_sample_events.py --update-golden`` writes ``tests/sample_events/`` anew; the difference
is what gets reviewed.
"""

import json
from pathlib import Path

import pytest

from debrief.assess import assess
from debrief.resources import shipped

SAMPLES = sorted(path for path in shipped("sample_events").iterdir() if not path.name.startswith("."))
EXPECTED = Path(__file__).parent / "sample_events"


def settled(value):
    """Return a report's values with numbers to the microsecond, and without what changes by itself."""
    if isinstance(value, dict):
        return {key: settled(entry) for key, entry in value.items() if key not in ("software", "sha256")}
    if isinstance(value, list):
        return [settled(entry) for entry in value]
    return round(value, 6) if isinstance(value, float) else value


def measured(name):
    """Return the report on one sample event, without draws."""
    return assess([shipped("sample_events") / name], draws=0).to_dict()


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_each_is_measured_as_written(path, golden):
    """The whole report, bounds included."""
    report = settled(assess([path]).to_dict())

    golden(EXPECTED / f"{path.stem}.json", json.dumps(report, indent=1, ensure_ascii=False) + "\n")


def test_nothing_is_expected_of_an_event_that_is_gone():
    """Every expected file has its event."""
    assert {path.stem for path in EXPECTED.iterdir()} == {path.stem for path in SAMPLES}


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_each_says_that_it_is_invented(path):
    """In the setting of its event.json, or in the one file that it is."""
    told = path / "event.json" if path.is_dir() else path

    assert "invented" in told.read_text(encoding="utf-8").casefold()


def test_the_log_and_the_sheet_tell_one_event():
    """Six shocks seen by both sources, in the device's seconds; the doses from the sheet alone."""
    report = measured("vf_log_and_sheet")
    shocks = report["shocks"]

    assert [(shock["pre_shock_pause"], shock["post_shock_pause"]) for shock in shocks] == [
        (7.0, 3.0),
        (12.0, 5.0),
        (22.0, 5.0),
        (7.0, 2.0),
        (10.0, 3.0),
        (10.0, 2.0),
    ]
    assert all(len(shock["marks"]) == 2 for shock in shocks)
    assert [pause["length"] for pause in report["pauses"]] == [10, 17, 27, 14, 9, 3, 13, 9, 12, 4]
    assert report["first_rhythm"]["rhythm"] == "vf"


def test_the_longest_pause_of_the_child_is_for_the_airway():
    """64 s, from 09:46:30 to 09:47:34."""
    pauses = measured("pea_child_airway")["pauses"]

    assert [pause["length"] for pause in pauses] == [10, 9, 64, 10, 4, 12, 10]
    assert pauses[2]["cause"] == "advanced_airway"


def test_the_sheet_to_the_minute_gives_no_fraction_and_says_why():
    """Compressions were started and never stopped, so the fraction is null; time crosses midnight."""
    report = measured("asystole_night_sheet.csv")
    figures = {figure["name"]: figure for figure in report["figures"]}

    assert figures["chest_compression_fraction"]["value"] is None
    assert figures["chest_compression_fraction"]["because"]
    assert figures["time_to_first_compression"]["value"] == 60.0
    assert report["end"]["time"] == 23 * 60.0
    assert "starts_alone" in {problem["code"] for problem in report["problems"]}


def test_every_fault_of_the_untidy_sheet_is_shown():
    """Each fault is a problem of its own, and the shock pressed twice counts once."""
    report = measured("vf_untidy_sheet")

    assert {problem["code"] for problem in report["problems"]} >= {
        "encoding_assumed",
        "time_unreadable",
        "time_missing",
        "out_of_order",
        "detail_unknown",
        "unit_odd",
        "label_unmapped",
        "amount_large",
        "amount_not_positive",
        "amount_unreadable",
        "strength_missing",
        "unit_unknown",
        "row_long",
        "duplicate_row",
        "pressed_again",
    }
    assert len(report["shocks"]) == 3

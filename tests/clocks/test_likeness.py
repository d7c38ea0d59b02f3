"""Two files that can hardly be of one patient are said to be so. The rule is common practice."""

import json

import pytest

from debrief.assess import assess


def told(folder, log, sheet, clock=None):
    """Return the codes of what is told of an event of a log and a sheet, shocks by their minutes."""
    folder.mkdir()
    for name, minutes in (("log.csv", log), ("sheet.csv", sheet)):
        day = "2026-03-05" if clock == "next day" and name == "sheet.csv" else "2026-03-04"
        rows = [f"{day} 14:{minute:02}:00,shock" for minute in minutes]
        rows = [f"{day} 14:00:00,recognition", *rows, f"{day} 14:40:00,rosc"] if clock != "late" else rows
        (folder / name).write_text("\n".join(["time,mark", *rows]) + "\n", encoding="utf-8")
    sources = [{"file": "log.csv", "kind": "device"}, {"file": "sheet.csv", "clock": {"offset": 0}}]
    if clock == "next day":
        del sources[1]["clock"]
    (folder / "event.json").write_text(json.dumps({"sources": sources}), encoding="utf-8")
    report = assess([folder], draws=0).to_dict()
    return [
        (one["severity"], one["source_id"]) for one in report["problems"] if one["code"] == "another_patient"
    ]


@pytest.mark.parametrize(
    ("log", "sheet", "odd"),
    [
        ((4, 8, 12, 16), (4,), True),
        ((4,), (4, 8, 12, 16), True),
        ((4, 8, 12), (4,), False),
        ((4, 8, 12, 16, 20, 24), (4, 8, 12), False),
        ((4, 8, 12, 16, 20, 24, 28), (4, 8, 12), True),
        ((4, 8, 12, 16), (), False),
    ],
)
def test_three_shocks_and_twice_as_many_are_too_far_apart_for_one_event(tmp_path, log, sheet, odd):
    assert told(tmp_path / "e", log, sheet) == ([("check", "sheet")] if odd else [])


def test_shocks_that_only_one_was_there_for_are_not_held_against_the_other(tmp_path):
    assert told(tmp_path / "e", (4, 5), (5, 8, 12, 16, 20, 24), clock="late") == []


def test_a_sheet_of_another_day_is_compared_as_a_whole(tmp_path):
    assert told(tmp_path / "e", (4, 8, 12, 16, 20), (31,), clock="next day") == [("check", "sheet")]

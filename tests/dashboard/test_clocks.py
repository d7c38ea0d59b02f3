"""What is said of clocks and written down: as found, another match, by hand, undone; where marks stand."""

import json
import re

import pytest

from debrief.clocks.log import add, new_check
from debrief.dashboard.clock_setting import choose_device, choose_reference, setting
from debrief.dashboard.clock_writing import set_clock, set_device, set_reference, undo_clock
from debrief.dashboard.event_folder import read_settings, write_settings
from debrief.dashboard.markup import to_html
from debrief.dashboard.pages import clocks
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.dashboard.stamps import reading, stamps
from debrief.errors import BadSetting, NothingMeasurable
from debrief.importers import corrections
from debrief.model.event import ClockCheck

LOG = """time,mark,amount,unit
2026-02-03 23:58:05,compressions start,,
2026-02-03 23:59:11,shock,200,J
2026-02-04 00:01:32,shock,200,J
2026-02-04 00:04:01,shock,300,J
2026-02-04 00:06:40,rosc,,
"""
SHEET = """time,mark,amount,unit
22:59,shock,200,J
23:01,shock,200,J
23:04,shock,300,J
23:07,rosc,,
"""
WATCH = """time,mark,amount,unit
1:00,compressions start,,
2:06,shock,200,J
4:27,shock,200,J
6:56,shock,300,J
"""


@pytest.fixture
def reports(tmp_path):
    return Reports(Shelf(tmp_path / "home"))


@pytest.fixture
def measured(reports, tmp_path):
    """An arrest over midnight: a log, a sheet an hour behind, a device that counts from its own zero."""
    folder = tmp_path / "three"
    folder.mkdir()
    for name, text in (("log", LOG), ("sheet", SHEET), ("watch", WATCH)):
        (folder / f"{name}.csv").write_text(text)
    sources = [
        {"file": "log.csv", "kind": "device"},
        {"file": "sheet.csv", "kind": "person", "times": "clock"},
        {"file": "watch.csv", "kind": "device", "times": "elapsed"},
    ]
    (folder / "event.json").write_text(json.dumps({"sources": sources}))
    [name] = reports.shelf.open(folder)
    return lambda: reports.get(name)


def source(measured, source_id):
    return next(one for one in measured.report["sources"] if one["source_id"] == source_id)


def last(measured):
    return corrections.read(measured.folder)[-1]


def test_every_mark_stands_on_two_clocks_and_hours_are_of_one_day(measured):
    by_name = {one.name: one for one in stamps(measured())}
    shock, written, counted = (by_name[name] for name in ("log:3", "sheet:2", "watch:3"))

    assert shock.at == -49.0, "before the midnight of the day in whose middle the marks lie"
    assert by_name["log:4"].at == 92.0
    assert written.at == 30.0 - 3660.0, "the middle of its minute"
    assert counted.at == 126.0
    assert abs(written.time - shock.time) < 60
    assert abs(counted.time - shock.time) < 2
    assert (shock.what, written.written) == ("shock 200 J", "22:59")


def test_a_mark_that_was_taken_out_is_not_drawn(measured):
    corrections.append(measured().folder, corrections.Correction("drop", "log:4"))
    assert "log:4" not in {one.name for one in stamps(measured())}


def test_a_reading_is_written_as_the_clock_shows_it(measured):
    assert reading(measured(), "log") == "23:58:05"
    assert reading(measured(), "watch") == "1:00"


def test_a_clock_kept_as_found_stays_where_it_was_found(measured):
    found = source(measured(), "sheet")["clock"]
    set_clock(measured(), "sheet", "accept", role="recorder", why="  looks\nright ")
    kept = source(measured(), "sheet")["clock"]

    assert {key: kept[key] for key in ("offset", "low", "high")} == pytest.approx(
        {key: found[key] for key in ("offset", "low", "high")}
    )
    assert kept["evidence"][0]["kind"] == "reviewer"
    assert (last(measured()).role, last(measured()).why) == ("recorder", "looks right")


def test_a_clock_is_set_by_hand_and_found_again_once_that_is_undone(measured):
    found = source(measured(), "sheet")["clock"]
    set_clock(measured(), "sheet", "by_hand", direction="behind", offset="1:00:10", spread="20")
    set_ = source(measured(), "sheet")["clock"]
    assert (set_["offset"], set_["low"], set_["high"]) == (3610.0, 3590.0, 3630.0)

    set_clock(measured(), "sheet", "by_hand", direction="ahead", offset="90", spread="0:05")
    assert source(measured(), "sheet")["clock"]["offset"] == -90.0
    undo_clock(measured(), "sheet")
    assert source(measured(), "sheet")["clock"] == found


def test_what_both_clocks_read_sets_one_of_them(measured):
    set_clock(measured(), "sheet", "readings", source_reads="22:59:00", reference_reads="23:59:12")
    clock = source(measured(), "sheet")["clock"]
    assert clock["offset"] == 3612.0
    assert 0 < clock["high"] - clock["low"] < 10

    set_clock(measured(), "watch", "readings", source_reads="2:06", reference_reads="23:59:11")
    assert source(measured(), "watch")["clock"]["offset"] == pytest.approx(23 * 3600 + 57 * 60 + 5, abs=1)


def test_another_match_is_chosen_from_what_is_offered(measured):
    event = measured()
    offer = {"offset": 10.0, "low": 5.0, "high": 15.0, "pairs": 2}
    source(event, "sheet")["clock"]["others"] = [offer]
    set_clock(event, "sheet", "other-0")

    assert last(event).clock.by == "another_match"
    assert source(measured(), "sheet")["clock"]["offset"] == 10.0
    with pytest.raises(BadSetting, match="no longer offered"):
        set_clock(event, "sheet", "other-1")


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"kind": ""}, "nothing was chosen"),
        ({"kind": "by_hand", "offset": "soon", "spread": "5"}, "Offset: read 'soon'. Write seconds or"),
        ({"kind": "by_hand", "offset": "-95", "spread": "5"}, "Offset: read '-95'"),
        ({"kind": "by_hand", "offset": "20:00:00", "spread": "5"}, "Offset: read '20:00:00'"),
        ({"kind": "by_hand", "offset": "95", "spread": "some"}, "Give or take: read 'some'. Write seconds"),
        (
            {"kind": "readings", "source_reads": "x", "reference_reads": "23:59:12"},
            "This clock: read 'x'. Write",
        ),
        (
            {"kind": "readings", "source_reads": "22:59", "reference_reads": "25:00"},
            "log: read '25:00'. Write",
        ),
    ],
)
def test_what_cannot_be_read_is_refused_in_words_and_changes_nothing(measured, said, told):
    with pytest.raises(BadSetting, match=told):
        set_clock(measured(), "sheet", **said)
    assert corrections.read(measured().folder) == []


def test_a_source_that_is_not_there_is_named(measured):
    with pytest.raises(BadSetting, match="nowhere"):
        set_clock(measured(), "nowhere", "accept")


LABELS = ["Defibrillator 2", "Monitor <4>"]


def chosen_of(page):
    options = re.findall(r"<option([^>]*)>", to_html(page))
    return [re.search('value="(.*?)"', option)[1] for option in options if " selected" in option]


def test_the_device_that_a_source_came_from_is_written_and_taken_out_again(measured, reports):
    kept = add(reports.shelf.clock_log, new_check(LABELS[1], ClockCheck("9:00:00", "9:00:30", against="log")))
    before = read_settings(measured().folder)
    assert chosen_of(choose_device(measured(), source(measured(), "sheet"), LABELS)) == [""]
    set_device(measured(), "sheet", LABELS[1])
    sheet = source(measured(), "sheet")

    assert read_settings(measured().folder)["sources"][1]["device"] == LABELS[1]
    assert measured().event.sources[1].checks == (kept.check,)
    assert sheet["clock"]["evidence"][0]["kind"] == "clock_check"
    assert chosen_of(choose_device(measured(), sheet, LABELS)) == ["Monitor &lt;4&gt;"]
    assert "<4>" not in to_html(choose_device(measured(), sheet, LABELS))
    set_device(measured(), "sheet", "")
    assert read_settings(measured().folder) == before


def test_a_source_from_its_own_zero_is_asked_for_no_device_nor_any_where_none_was_checked(measured):
    assert choose_device(measured(), source(measured(), "watch"), LABELS) is None
    assert choose_device(measured(), source(measured(), "sheet"), []) is None


def test_where_event_json_lists_no_source_the_files_that_were_read_are_listed(measured):
    write_settings(measured().folder, {})
    set_device(measured(), "log", LABELS[0])

    assert read_settings(measured().folder)["sources"] == [
        {"file": "log.csv", "device": LABELS[0]},
        {"file": "sheet.csv"},
        {"file": "watch.csv"},
    ]


def test_the_reference_is_written_into_the_settings_and_taken_out_again(measured):
    set_reference(measured(), "sheet")
    assert read_settings(measured().folder)["reference"] == "sheet"
    assert source(measured(), "sheet")["clock"]["evidence"][0]["kind"] == "reference"
    [chosen] = re.findall(r"<option[^>]* selected[^>]*>", to_html(choose_reference(measured())))
    assert 'value="sheet"' in chosen
    set_reference(measured(), "")
    assert "reference" not in read_settings(measured().folder)


def test_a_clock_that_counts_from_its_own_zero_is_set_by_readings_alone(measured):
    forms = {name: to_html(setting(measured(), source(measured(), name))) for name in ("sheet", "watch")}

    assert '<option value="by_hand">' in forms["sheet"]
    assert '<option value="by_hand">' not in forms["watch"]
    assert '<option value="readings">' in forms["watch"]


def test_what_was_set_is_told_newest_first_and_only_what_stands_can_be_undone(measured):
    set_clock(measured(), "sheet", "by_hand", offset="95", spread="5", role="recorder", why="wall clock")
    told = to_html(setting(measured(), source(measured(), "sheet")))
    assert 'data-set="clock-undone"' in told
    assert "recorder: by hand, 1\u202fmin\u00a035\u202fs behind" in told
    undo_clock(measured(), "sheet")
    told = to_html(setting(measured(), source(measured(), "sheet")))
    assert 'data-set="clock-undone"' not in told
    assert told.index("undone; found again") < told.index("Why: wall clock")


def test_the_page_holds_a_picture_before_one_after_and_a_strip_a_source(measured):
    parts = clocks.said(measured(), 900)

    assert parts[clocks.ROWS].count("<svg") == 2
    assert parts[clocks.SOURCES].count("<svg") == 2
    assert parts[clocks.TWIN].count("<tr>") == 1 + 13
    assert "log, 2026-02-03 23:59:11" in parts[clocks.TWIN]


def test_an_event_of_one_source_has_nothing_to_hold_it_against(reports):
    parts = clocks.said(reports.get("rosc_and_rearrest"), 900)

    assert "There is one source" in parts[clocks.LEAD]
    assert "data-submits" not in parts[clocks.SOURCES]


def test_the_clocks_of_what_cannot_be_measured_are_refused(reports, tmp_path):
    folder = tmp_path / "none"
    folder.mkdir()
    (folder / "log.csv").write_text("time,mark\nsoon,shock\n")
    [name] = reports.shelf.open(folder)

    with pytest.raises(NothingMeasurable):
        clocks.layout(reports, "", name)

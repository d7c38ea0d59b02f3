"""Reports computed once for a state of the folder, and pure functions that show them."""

import re

import pyarrow as pa
import pytest

from debrief.dashboard import column, review
from debrief.dashboard.markup import to_html
from debrief.dashboard.pages import event
from debrief.dashboard.reports import KEPT, Reports
from debrief.dashboard.shelf import Shelf
from debrief.dashboard.steps import steps
from debrief.dashboard.twin import twin
from debrief.dashboard.written import Row, rows, stands_behind
from debrief.errors import BadSetting, NothingMeasurable
from tests.dashboard.made import keep


@pytest.fixture
def reports(tmp_path):
    return Reports(Shelf(tmp_path))


def test_an_event_is_measured_once_until_something_of_it_changes(reports):
    first = reports.get("vf_log_and_sheet")

    assert reports.get("vf_log_and_sheet") is first
    assert reports.get("vf_log_and_sheet", "ERC 2021") is not first
    review.take(first, first.rows[3].name)
    assert reports.get("vf_log_and_sheet") is not first


def test_no_more_reports_are_held_than_said(reports, monkeypatch):
    for name in ("ERC 2021", "AHA 2020", None):
        reports.get("vf_log_and_sheet", name)
    monkeypatch.setattr("debrief.dashboard.reports.KEPT", 2)
    reports.get("vf_untidy_sheet")

    assert KEPT >= 2
    assert len(reports._kept) == 2


def test_a_mark_taken_out_stays_in_the_table_and_can_be_put_back(reports):
    measured = reports.get("vf_log_and_sheet")
    name = next(row.name for row in measured.rows if row.kind == "shock")
    review.take(measured, name)
    after = reports.get("vf_log_and_sheet")

    assert [row.name for row in after.rows if row.out] == [name]
    assert (
        len(after.report["shocks"]) == len(measured.report["shocks"]) - 1 or len(after.report["shocks"]) > 0
    )
    review.take(after, name)
    assert reports.get("vf_log_and_sheet").report["figures"] == measured.report["figures"]


def test_time_zero_moves_every_time_and_goes_back_to_the_rules(reports):
    measured = reports.get("vf_log_and_sheet")
    moment, _ = review.moments(measured)[5]
    review.set_moment(measured, "time_zero", moment)
    moved = reports.get("vf_log_and_sheet")

    assert moved.report["time_zero"]["basis"] == "reviewer"
    assert moved.moment(0.0) == moment
    review.set_moment(moved, "time_zero", "")
    assert reports.get("vf_log_and_sheet").report["time_zero"] == measured.report["time_zero"]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"time": "soon"}, "Time: read 'soon'"),
        ({"kind": ""}, "Choose what happened"),
        ({"amount": "lots"}, "Amount: read 'lots'"),
        ({"length": "long"}, "How long: read 'long'"),
    ],
)
def test_a_mark_that_cannot_be_added_is_refused_in_words(reports, changed, said):
    measured = reports.get("vf_log_and_sheet")
    given = {"time": "14:10:00", "kind": "note", "amount": "", "unit": "", "note": ""}
    with pytest.raises(BadSetting, match=said):
        review.add(measured, given | changed)


def test_a_mark_added_is_read_on_the_reference_clock(reports):
    measured = reports.get("vf_log_and_sheet")
    given = {
        "time": "14:10:00",
        "kind": "drug",
        "detail": "epinephrine",
        "amount": "1",
        "unit": "mg",
        "route": "io",
        "note": "said later",
    }
    review.add(measured, given)
    added = [row for row in reports.get("vf_log_and_sheet").rows if row.source == "added"]

    assert [(row.kind, row.detail, row.amount, row.note) for row in added] == [
        ("drug", "epinephrine", "1 mg io", "said later")
    ]
    assert added[0].time == pytest.approx(605, abs=1)


def test_a_length_is_read_in_seconds(reports):
    measured = reports.get("vf_log_and_sheet")
    review.add(measured, {"time": "14:10:00", "kind": "pause", "detail": "moving", "length": "12,5"})
    [added] = [row for row in reports.get("vf_log_and_sheet").rows if row.source == "added"]

    assert (added.kind, added.detail, added.amount) == ("pause", "moving", "for 0:12")


def test_a_run_of_compressions_is_taken_out_and_put_back_as_one(reports):
    measured = reports.get("sensor_then_device")
    run = max(measured.rows, key=lambda row: row.count)
    review.take(measured, run.name)
    after = reports.get("sensor_then_device")
    [out] = [row for row in after.rows if row.out]

    assert run.count > 100
    assert set(out.marks) == set(run.marks) == set(after.event.removed)
    review.take(after, out.name)
    assert reports.get("sensor_then_device").report["figures"] == measured.report["figures"]


def test_the_pages_of_the_table_hold_every_mark_once(reports, monkeypatch):
    monkeypatch.setattr(review, "MOST_ROWS", 40)
    measured = reports.get("sensor_then_device")
    pages = -(-len(measured.rows) // 40)
    shown = [to_html(review.table(measured, review.Listed(page=page))) for page in range(pages + 1)]
    names = [
        re.search('data-value="([^"]+)"', button)[1]
        for html in shown[:pages]
        for button in re.findall("<button[^>]+>", html)
        if f'data-set="{review.TAKEN}"' in button
    ]

    assert pages > 3
    assert names == [row.name for row in measured.rows]
    assert shown[pages] == shown[pages - 1]


def test_a_page_is_turned_only_among_the_marks_it_was_a_page_of():
    chosen = {"said": {"kind": "shock", "source": ""}}
    among_all = {"value": f"3|{review.Listed().among}"}

    assert review.Listed.of(None, among_all).page == 3
    assert review.Listed.of(chosen, among_all) == review.Listed("shock")


def mark(place, kind="compression", time_us=0, **more):
    blank = dict.fromkeys(("detail", "amount", "unit", "route", "length", "note"))
    return (
        blank
        | {
            "source_id": "s",
            "place": str(place),
            "time_text": str(time_us),
            "source_time": time_us,
            "kind": kind,
            "label": kind,
        }
        | more
    )


def test_single_compressions_are_folded_into_runs_and_nothing_else_is():
    marks = [mark(n, time_us=n * 500_000) for n in range(5)] + [mark(9, "shock", 1_100_000)]
    folded = rows(pa.Table.from_pylist(marks), {"s": 0}, frozenset())

    assert [(row.kind, row.count, row.time) for row in folded] == [
        ("compression", 3, 0.0),
        ("shock", 1, 1.1),
        ("compression", 2, 1.5),
    ]
    assert folded[0].where == "lines 0 to 2"


def test_a_mark_without_a_place_in_time_stands_last():
    found = rows(pa.Table.from_pylist([mark(1, "note", None), mark(2, "call", 5)]), {"s": 0}, frozenset())

    assert [(row.kind, row.time) for row in found] == [("call", 5e-6), ("note", None)]


@pytest.mark.parametrize(
    ("name", "place", "held"),
    [
        ("log:12", "12", True),
        ("log:10-20", "12", True),
        ("log:13-20", "12", False),
        ("log:Log!1-20", "12", False),
    ],
)
def test_a_run_of_marks_holds_its_own(name, place, held):
    row = Row(f"log:{place}", "log", place, "", 0.0, "", "compression", "", "", "")

    assert stands_behind(row, {name}) is held


def test_the_timeline_moves_to_a_stretch_with_room_and_never_beyond_the_event():
    assert column.stretch([(100.0, 110.0)], (0.0, 1000.0)) == (75.0, 135.0)
    assert column.stretch([(0.0, 900.0)], (0.0, 1000.0)) == (0.0, 1000.0)
    assert column.stretch([], (0.0, 1000.0)) == (0.0, 1000.0)


@pytest.mark.parametrize(
    ("search", "wanted"),
    [
        ("?from=10&to=20&edition=ERC+2021", event.Asked("ERC 2021", None, (10.0, 20.0))),
        ("?beside=ERC+2025&edition=none", event.Asked(None, "ERC 2025")),
        ("?from=20&to=10", event.Asked()),
        ("?from=nan&to=inf&edition=none", event.Asked()),
        ("?from=x", event.Asked()),
        ("", event.Asked()),
        (None, event.Asked()),
    ],
)
def test_what_an_address_asks_is_read_and_nonsense_left_out(search, wanted):
    assert event.asked(search) == wanted


def test_every_item_of_the_picture_is_in_its_table(reports):
    measured = reports.get("vf_log_and_sheet")
    table = to_html(twin(measured.picture))

    for item in measured.picture.items:
        if item.hover and item.lane != "axis":
            assert to_html(item.hover) in table


def test_a_second_edition_has_verdicts_of_its_own(reports):
    alone = reports.get("vf_log_and_sheet", "AHA 2020")
    both = reports.get("vf_log_and_sheet", "AHA 2020", "ERC 2025")
    line = "Asked: less than 5 s, ERC 2025: not met."

    assert line not in to_html(column.column(alone.report, alone.extent))
    assert line in to_html(column.column(both.report, both.extent))


def test_steps_are_every_mark_and_pause_with_what_was_written(reports):
    measured = reports.get("vf_log_and_sheet")
    told = to_html(steps(measured))

    assert told.count("<li") == len(measured.report["occurrences"]) + len(measured.report["pauses"])
    assert "2:22: shock 200 J. Written 2025-11-06 14:02:17 in monitor_log.csv." in told
    assert told.count("data-pause") == len(measured.report["pauses"])


def test_every_sentence_has_its_evidence(reports):
    measured = reports.get("vf_untidy_sheet")
    shown = to_html(column.column(measured.report, measured.extent))
    for name in {part.split('"')[0] for part in shown.split('data-value="')[1:]}:
        evidence = to_html(column.evidence(measured.report, name, measured.rows, measured.files))

        assert "<dt>" in evidence


def test_what_somebody_wrote_is_shown_as_text(tmp_path):
    shelf = Shelf(tmp_path)
    text = b"time,mark,note\n10:00:00,call,<img src=x onerror=alert(1)>\n10:01:00,CPR started,\n"
    measured = Reports(shelf).get(*keep(shelf, ("<b>.csv", text)))

    assert "<img" not in "".join(event.said(measured).values())


def test_a_change_that_leaves_nothing_to_measure_is_taken_back(tmp_path):
    shelf = Shelf(tmp_path)
    reports = Reports(shelf)
    measured = reports.get(*keep(shelf, ("one.csv", b"time,mark\n10:00:00,call\n")))

    def all_out():
        with reports.changing(measured.event_id) as folder:
            review.take(measured.at(folder), measured.rows[0].name)

    with pytest.raises(NothingMeasurable):
        all_out()
    assert reports.get(measured.event_id) is measured

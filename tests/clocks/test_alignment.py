"""Clocks of whole events: what shared marks place, what they leave apart, and what is said of it."""

from dataclasses import replace

import numpy as np
import pyarrow as pa
import pytest

from debrief.assess import Asked, assess_event
from debrief.clocks.align import align
from debrief.model.event import ClockCheck, Context, Event, Offset, Source
from debrief.model.marks import gate
from debrief.model.times import to_us
from tests.clock_variants import (
    an_hour_off,
    corrected,
    newest_first,
    no_shared,
    of_another_day,
    three_sources,
    two_sheets,
    with_sensor,
)
from tests.clock_world import two
from tests.made import figures, row

NOON_S = 12 * 3600.0
LOG = [
    *((40, "compressions_start"), (118, "compressions_stop"), (125, "shock"), (131, "compressions_start")),
    *((246, "compressions_stop"), (253, "shock"), (259, "compressions_start"), (402, "rosc")),
]
SHEET = [(5, "recognition"), (127, "shock"), (180, "drug"), (256, "shock"), (404, "rosc")]


def told(log=LOG, sheet=SHEET, offset_s=95.0, **changed):
    """Return an event as a log and a second sheet tell it, the sheet's clock behind by the offset."""
    rows = [row(NOON_S + at, kind, cell_s=1) for at, kind in log]
    rows += [
        row(NOON_S + at - offset_s, kind, "epinephrine" if kind == "drug" else None, source="sheet", cell_s=1)
        for at, kind in sheet
    ]
    sources = (
        Source("log", "log.csv", "device", "text", "clock"),
        replace(Source("sheet", "sheet.csv", "person", "text", "clock"), **changed),
    )
    return Event(Context("made"), sources, gate(rows), ())


def clock(event, source_id="sheet"):
    """Return the clock of one source, and the codes of problems."""
    made = align(event)
    codes = [problem.code for problem in made.problems]
    names = [source.source_id for source in made.members]
    return made.clocks[names.index(source_id)] if source_id in names else None, codes


def seconds(us):
    return us / 1e6


def test_three_shared_marks_place_a_sheet_and_raw_times_stay():
    event = told()
    before = event.marks
    found, codes = clock(event)
    made = align(event)

    assert codes == []
    assert seconds(found.low) <= 95 <= seconds(found.high)
    assert seconds(found.high - found.low) < 25
    assert {pair[:2] for pair in made.pairs[1]} == {
        (f"sheet:{NOON_S + at - 95:g}", f"log:{NOON_S + other:g}")
        for at, other in ((127, 125), (256, 253), (404, 402))
    }
    assert event.marks.equals(before)
    assert sorted(made.marks["source_time"].to_pylist()) == sorted(before["source_time"].to_pylist())


@pytest.mark.parametrize("by_s", [-4000.0, 0.0, 1234.0])
def test_a_clock_that_is_further_off_is_found_as_well(by_s):
    near, _ = clock(told(offset_s=95.0))
    far, _ = clock(told(offset_s=95.0 + by_s))

    assert seconds(far.offset) - by_s == pytest.approx(seconds(near.offset), abs=0.5)


def test_the_order_of_the_files_changes_nothing():
    event = told()
    turned = replace(
        event, sources=event.sources[::-1], marks=event.marks.take(pa.array(range(len(event.marks)))[::-1])
    )

    assert clock(turned)[0].offset == clock(event)[0].offset


def test_one_shared_mark_places_a_sheet_and_says_so():
    found, codes = clock(told(sheet=[(5, "recognition"), (404, "rosc")]))

    assert codes == ["clock_by_one_mark"]
    assert seconds(found.low) <= 95 <= seconds(found.high)
    assert seconds(found.high - found.low) > 30  # how late it was written is anybody's guess


def test_without_a_shared_mark_a_sheet_stands_apart():
    found, codes = clock(told(sheet=[(5, "recognition"), (180, "drug")]))

    assert found is None
    assert codes == ["clock_unknown"]
    assert clock(no_shared(3).event)[1] == ["clock_unknown"]


def test_marks_that_fit_in_two_ways_far_apart_leave_a_sheet_apart_and_are_offered():
    shocks = [(600.0 * n, "shock") for n in range(6)]
    made = align(told(log=shocks, sheet=shocks[1:3], offset_s=0.0))

    assert [problem.code for problem in made.problems] == ["clock_unclear"]
    assert [source.source_id for source in made.apart] == ["sheet"]
    assert len(made.offers["sheet"]) > 1


def test_a_clock_an_hour_off_is_said_to_look_unmoved():
    made = an_hour_off(2)
    found, codes = clock(made.event)

    assert "clock_never_moved" in codes
    assert seconds(found.low) <= made.offset_s["sheet"] <= seconds(found.high)


def test_a_source_of_another_day_is_left_out():
    assert clock(of_another_day(2).event) == (None, ["another_day"])


def test_the_same_marks_twice_are_counted_once():
    event = told()
    rows = event.marks.filter(np.array([name == "sheet" for name in event.marks["source_id"].to_pylist()]))
    copy = rows.set_column(1, rows.schema.field(1), pa.array(["copy"] * len(rows)))
    again = replace(
        event,
        sources=(*event.sources, replace(event.sources[1], source_id="copy", file="copy.csv")),
        marks=pa.concat_tables([event.marks, copy]),
    )
    made = align(again)

    assert [problem.code for problem in made.problems] == ["same_marks_twice"]
    assert made.problems[0].source_id == "copy"
    assert len(made.marks) == len(event.marks)


def test_two_sheets_without_a_device_are_set_by_the_finer_one():
    made = two_sheets(2)
    found = align(made.event)

    assert found.reference is not None
    assert {source.source_id for source in found.members} == {
        source.source_id for source in made.event.sources
    }


def test_a_sheet_whose_newest_row_stands_first_is_read_like_any_other():
    made = newest_first(4)
    found, _ = clock(made.event)

    assert seconds(found.low) <= made.offset_s["sheet"] <= seconds(found.high)


def test_a_clock_set_midway_is_seen_and_the_bounds_hold_both():
    seen = [corrected(seed) for seed in range(12)]
    found = [(made.offset_s["sheet"], *clock(made.event)) for made in seen]
    said = [(true, one) for true, one, codes in found if "clock_set_midway" in codes]

    assert len(said) >= 6
    for true, one in said:
        assert seconds(one.low) - 2 <= true
        assert true + 420 <= seconds(one.high) + 2


def test_three_sources_stand_on_one_clock():
    for made in (three_sources(3), with_sensor(3)):
        found = align(made.event)
        assert len(found.members) == 3
        assert found.apart == ()


def test_a_source_that_shares_nothing_with_the_reference_is_matched_with_another():
    """The puck shares its starts with the bag's log alone, which shares shocks with the reference."""
    rows = [row(NOON_S + at, "shock", cell_s=0.01) for at in (125.3, 253.9, 402.2)]
    rows += [row(NOON_S + at + 30, "shock", source="bag", cell_s=0.01) for at in (125.3, 253.9, 402.2)]
    starts = (40.2, 131.6, 259.1, 300.4)
    rows += [row(NOON_S + at + 30, "compressions_start", source="bag", cell_s=0.01) for at in starts]
    rows += [row(at, "compressions_start", source="puck", cell_s=0.01) for at in starts]
    sources = (
        Source("log", "log.csv", "device", "text", "clock"),
        Source("puck", "puck.csv", "sensor", "text", "elapsed"),
        Source("bag", "bag.csv", "device", "text", "clock"),
    )
    made = align(Event(Context("made"), sources, gate(rows), ()))
    by_name = dict(zip((source.source_id for source in made.members), made.clocks, strict=True))

    assert seconds(by_name["bag"].offset) == pytest.approx(-30, abs=0.1)
    assert seconds(by_name["puck"].offset) == pytest.approx(NOON_S, abs=0.1)  # from midnight
    assert "bag" in by_name["puck"].evidence[0].text


def test_a_stated_offset_that_the_marks_gainsay_is_kept_and_said():
    stated = Offset(0, 0, 0)
    found, codes = clock(told(clock=stated))

    assert found.offset == 0
    assert codes == ["clock_gainsaid"]


def test_a_stated_offset_tells_how_late_the_sheet_was_written():
    late = [(at + (0 if kind == "recognition" else 20), kind) for at, kind in SHEET]
    found, codes = clock(told(sheet=late, clock=Offset(to_us(95), to_us(94), to_us(96))))

    assert codes == []
    assert 22 <= seconds(found.lag) <= 90
    assert seconds(found.spread.lag_bounds()[0]) < 40
    assert [entry.kind for entry in found.evidence] == ["stated", "shared_marks"]


def test_a_clock_check_places_a_sheet_and_shared_marks_agree():
    check = ClockCheck("11:50:00", "11:51:35")
    found, codes = clock(told(checks=(check,)))

    assert codes == []
    assert [entry.kind for entry in found.evidence] == ["clock_check", "shared_marks"]
    assert seconds(found.low) <= 95 <= seconds(found.high)


def test_checks_that_contradict_each_other_are_said():
    checks = (ClockCheck("11:50:00", "11:51:35"), ClockCheck("11:55:00", "12:05:00"))

    assert "checks_contradict" in clock(told(checks=checks))[1]


def test_a_group_apart_gives_the_figures_that_only_it_can_with_its_own_zero():
    sheet = [(5, "recognition"), (180, "drug"), (420, "drug"), (700, "efforts_ended")]
    report = assess_event(told(sheet=sheet), Asked(draws=20)).to_dict()
    interval = figures(report)["epinephrine_interval_median"]

    assert [source["group"] for source in report["sources"]] == [1, 2]
    assert report["sources"][1]["clock"] is None
    assert len(report["apart"]) == 1
    assert report["apart"][0]["time_zero"]["basis"] == "recognition"
    assert interval["value"] == 240
    assert "sheet.csv" in interval["because"]


def test_an_uncertain_figure_says_what_would_settle_it():
    made = two(1, "minute")
    report = assess_event(made.event, Asked(draws=200)).to_dict()
    uncertain = [figure for figure in report["figures"] if figure["verdict"] == "uncertain"]

    assert uncertain
    assert all(figure["settled_by"] for figure in uncertain)
    assert all(figure["settled_by"] is None for figure in report["figures"] if figure not in uncertain)


def test_what_is_said_to_settle_a_verdict_does():
    """The sheet's one dose is 300 s after zero by its minute cells alone; to the second it would be sure."""
    rows = [
        row(0, "recognition", source="sheet", cell_s=1),
        row(30, "rhythm", "asystole", source="sheet", cell_s=1),
    ]
    rows += [row(270, "drug", "epinephrine", source="sheet", cell_s=60, amount=1, unit="mg", route="iv")]
    rows += [row(900, "efforts_ended", source="sheet", cell_s=1)]
    sources = (Source("sheet", "sheet.csv", "person", "text", "elapsed"),)
    report = assess_event(Event(Context("made"), sources, gate(rows), ()), Asked(draws=300)).to_dict()
    first = figures(report)["time_to_first_epinephrine"]

    assert first["verdict"] == "uncertain"
    assert "sheet.csv" in first["settled_by"]


def test_registry_minutes_never_mix_two_clocks():
    """The sheet's clock is half an hour behind; its recognition and the log's shock are two minutes apart."""
    event = told(offset_s=1800.0)
    rhythm = gate([row(NOON_S + 118, "rhythm", "vf", cell_s=1)])
    event = replace(event, marks=pa.concat_tables([event.marks, rhythm]))
    report = assess_event(event, Asked(draws=0)).to_dict()

    assert figures(report)["registry_first_shock"]["value"] == 2


def test_sources_that_agree_with_each_other_alone_stand_apart_together():
    sheet = [(5, "recognition"), (180, "drug"), (300, "airway"), (420, "drug"), (700, "efforts_ended")]
    event = told(sheet=sheet)
    second = [
        row(NOON_S + at + 40, kind, "epinephrine" if kind == "drug" else None, source="tablet", cell_s=1)
        for at, kind in sheet[1:]
    ]
    event = replace(
        event,
        sources=(*event.sources, Source("tablet", "tablet.csv", "person", "text", "clock")),
        marks=pa.concat_tables([event.marks, gate(second)]),
    )
    report = assess_event(event, Asked(draws=0)).to_dict()

    assert [source["group"] for source in report["sources"]] == [1, 2, 2]
    assert len(report["apart"]) == 1
    doses = [one for one in report["apart"][0]["occurrences"] if one["kind"] == "drug"]
    assert [len(one["marks"]) for one in doses] == [2, 2]


def test_a_shock_from_a_sheet_judges_no_pause_that_a_log_saw():
    """It lands in the log's compressions, where its pause would be none: that is not known, and not met."""
    log = [(at, kind) for at, kind in LOG if kind != "shock"]
    event = told(log=log, sheet=SHEET, clock=Offset(to_us(95), to_us(95), to_us(95)))
    report = assess_event(event, Asked(draws=20)).to_dict()
    longest = figures(report)["pre_shock_pause_max"]

    assert longest["verdict"] == "uncertain"
    assert "another source" in longest["because"]
    assert longest["low"] is None
    assert longest["high"] is None
    assert longest["settled_by"] == "Shocks from the log of a device would settle it."
    assert {shock["verdicts"]["pre_shock_pause"] for shock in report["shocks"]} == {"uncertain"}
    shared = assess_event(told(), Asked(draws=20)).to_dict()
    assert figures(shared)["pre_shock_pause_max"]["verdict"] != "uncertain"

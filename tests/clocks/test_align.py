"""Sources join the reference only where their clocks are known to agree, or to stand a stated offset off."""

import pyarrow as pa
import pytest

from debrief.clocks.align import align
from debrief.model.event import Context, Event, Offset, Source
from debrief.model.marks import gate
from debrief.model.times import DAY_US, HOUR_US, to_us
from tests.made import event, row

LOG = [row(100, "shock"), row(200, "shock")]
SHEET = [row(160, "drug", "epinephrine", source="sheet")]


def test_a_source_whose_clock_nobody_knows_is_left_out_and_said():
    made = align(event([*LOG, *SHEET], sources={"sheet": ("person", None)}))

    assert [source.source_id for source in made.apart] == ["sheet"]
    assert [problem.code for problem in made.problems] == ["zero_unknown"]
    assert set(made.marks["source_id"].to_pylist()) == {"log"}


def test_a_stated_offset_moves_a_source_and_leaves_its_own_times():
    made = align(event([*LOG, *SHEET], sources={"sheet": ("person", -25)}))

    moved = made.marks.filter(pa.array([name == "sheet" for name in made.marks["source_id"].to_pylist()]))
    assert moved["time"].to_pylist() == [to_us(135)]
    assert moved["source_time"].to_pylist() == [to_us(160)]


def test_the_first_device_is_the_reference_unless_another_is_named():
    rows = [*SHEET, *LOG]

    assert align(event(rows)).reference.source_id == "log"
    assert align(event(rows, reference="sheet")).reference.source_id == "sheet"


def test_a_mark_days_away_is_left_out_and_said():
    made = align(event([*LOG, row(150, "note"), row(3 * 86400, "shock")]))

    assert len(made.marks) == 3
    assert [(problem.code, problem.place) for problem in made.problems] == [("too_far", "259200")]


def test_removed_marks_are_left_out():
    made = event(LOG)
    made = Event(made.context, made.sources, made.marks, made.inputs, removed=frozenset({"log:100"}))

    assert align(made).marks["place"].to_pylist() == ["200"]


def with_scales(reference, other, reference_us, other_us, zone=None):
    """Return an event of two sources, one mark each, on clocks of two scales."""
    rows = [row(0, "shock"), row(0, "shock", source="sheet")]
    rows[0]["source_time"], rows[1]["source_time"] = reference_us, other_us
    zero = Offset(0, 0, 0)
    sources = (
        Source("log", "log.csv", "device", "text", reference, zone=zone),
        Source("sheet", "sheet.csv", "person", "text", other, clock=zero),
    )
    return Event(Context("made"), sources, gate(rows), ())


MARCH_US = 20_500 * DAY_US  # 2026-02-16


@pytest.mark.parametrize(
    ("reference", "other", "reference_us", "other_us", "zone"),
    [
        ("local", "clock", MARCH_US + 14 * HOUR_US, 14 * HOUR_US, None),
        ("clock", "local", 14 * HOUR_US, MARCH_US + 14 * HOUR_US, None),
        ("clock", "clock", 24 * HOUR_US + 60, 60, None),
        ("utc", "local", MARCH_US + 14 * HOUR_US, MARCH_US + 15 * HOUR_US, "Europe/Berlin"),
        ("utc", "clock", MARCH_US + 23 * HOUR_US, 0, "Europe/Berlin"),
    ],
)
def test_clocks_with_and_without_a_date_meet_on_the_reference_day(
    reference, other, reference_us, other_us, zone
):
    made = align(with_scales(reference, other, reference_us, other_us, zone))

    assert made.marks["time"].to_pylist() == [reference_us, reference_us]


def test_wall_time_is_that_of_the_reference():
    made = align(with_scales("utc", "utc", MARCH_US + 14 * HOUR_US, MARCH_US + 14 * HOUR_US, "Europe/Berlin"))

    assert made.wall(MARCH_US + 14 * HOUR_US) == "2026-02-16T15:00:00+01:00"


@pytest.mark.parametrize("text", ["15:00", "15:00:00", "2026-02-16T15:00:00", "2026-02-16 14:00:00+00:00"])
def test_a_reviewers_time_is_read_on_the_reference_clock(text):
    made = align(with_scales("utc", "utc", MARCH_US + 14 * HOUR_US, MARCH_US + 14 * HOUR_US, "Europe/Berlin"))

    assert made.read(text) == MARCH_US + 14 * HOUR_US


def test_seconds_are_read_on_an_elapsed_clock_and_nonsense_is_not():
    made = align(event(LOG))

    assert made.read("152.5") == to_us(152.5)
    assert made.read("2:32.5") == to_us(152.5)
    assert made.read("soon") is None

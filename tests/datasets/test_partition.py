"""A partition in columns: as each event by itself, whatever the order of its marks."""

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from debrief.assess import Asked, assess_event
from debrief.datasets import partition
from debrief.datasets.order import ROWS, in_order, ring
from debrief.datasets.partition import event_of, measured
from debrief.datasets.source import in_columns
from debrief.importers import Settings, read_event
from debrief.model.event import Context
from debrief.model.marks import SCHEMA
from debrief.resources import shipped
from tests import strategies
from tests.benchmarks.made_events import made

NO_DRAWS = Asked(draws=0)


def made_row(event_id="e", place="1", **columns):
    row = {name: None for name in SCHEMA.names}
    row |= {"event_id": event_id, "source_id": "log", "place": place, "time_text": "", "label": ""}
    row |= {"source_time": 0, "cell": 1_000_000, "time": 0, "kind": "note", "origin": "device"}
    return row | columns


def table(*rows):
    return in_columns(pa.Table.from_pylist(list(rows), SCHEMA))


def one_by_one(marks, known):
    """Return figures and problems by the way that any event goes."""
    figures, problems = [], []
    marks, _, events, _ = in_order(marks)
    for name in events:
        own = marks.filter(pa.compute.equal(marks["event_id"], name))
        found = assess_event(event_of(own, known.get(name, Context(event_id=name))), NO_DRAWS)
        for figure in found.judged():
            row = {"event_id": name} | {key: figure[key] for key in partition.FIGURES.names[1:]}
            figures.append(row | {"value": None if row["value"] is None else float(row["value"])})
        problems += [
            {"event_id": name} | {key: getattr(one, key) for key in partition.PROBLEMS.names[1:]}
            for one in found.problems
        ]
    return figures, problems


PEOPLE = (
    {},
    {"population": "child", "age_years": 4.0, "weight_kg": 16.0},
    {"population": "child", "weight_kg": 31.5},
    {"population": "newborn_at_birth", "weight_kg": 3.0},
    {"population": "infant", "age_years": 30.0},
    {"first_rhythm": "vf"},
)


@pytest.mark.parametrize("edition", ["AHA 2025", "ERC 2021"])
def test_figures_and_problems_in_columns_are_those_of_each_event_by_itself(marks, edition, monkeypatch):
    events = sorted(set(marks["event_id"].to_pylist()))
    known = {
        name: Context(event_id=name, **PEOPLE[number % len(PEOPLE)]) for number, name in enumerate(events)
    }
    marks = in_columns(marks)
    asked = Asked(edition=edition, draws=0)
    together = measured(marks, known, asked)
    monkeypatch.setattr(partition, "_plain", lambda marks, event, events: np.zeros(events, np.bool_))
    alone = measured(marks, known, asked)
    assert together.figures.to_pylist() == alone.figures.to_pylist()
    assert together.problems.to_pylist() == alone.problems.to_pylist()


def us(seconds):
    return None if seconds is None else round(seconds * 1_000_000)


def rows_of(event_id, event, one_source):
    """Return an event of hypothesis as rows of a dataset, its sources on one clock or all of it of one."""
    for at, row in enumerate(event):
        columns = {name: row[name] for name in ("kind", "detail", "amount", "unit", "route")}
        origin = "device" if one_source or row["source_kind"] != "person" else "person"
        source = "log" if one_source else row["source"]
        when = us(row["time"])
        columns |= {"length": us(row["length"]), "cell": us(row["cell"]), "origin": origin}
        yield made_row(event_id, str(at), source_id=source, time=when, source_time=when, **columns)


@settings(max_examples=20)
@given(
    st.lists(strategies.events(), min_size=1, max_size=3), st.booleans(), st.randoms(use_true_random=False)
)
def test_odd_events_together_are_those_of_each_event_by_itself(events, one_source, random):
    rows = [row for number, event in enumerate(events) for row in rows_of(f"e{number}", event, one_source)]
    random.shuffle(rows)
    made_of = measured(table(*rows), {}, NO_DRAWS)
    figures, problems = one_by_one(table(*rows), {})
    assert made_of.figures.to_pylist() == figures
    assert made_of.problems.to_pylist() == problems


@settings(max_examples=5)
@given(st.randoms(use_true_random=False))
def test_the_order_in_which_marks_come_shows_in_nothing(random):
    marks = in_columns(made(6, seed=3))
    order = list(range(len(marks)))
    random.shuffle(order)
    shuffled, first = measured(marks.take(order), {}, NO_DRAWS), measured(marks, {}, NO_DRAWS)
    assert shuffled.figures.equals(first.figures)
    assert shuffled.problems.equals(first.problems)


def test_events_stand_by_the_checksum_of_their_names():
    # 3421780262 is the check value of CRC-32 over "123456789" (ITU-T V.42)
    assert ring("123456789") == 3421780262
    _, _, events, _ = in_order(table(*(made_row(name) for name in "abcdefgh")))
    assert events == sorted("abcdefgh", key=ring)


def test_marks_of_one_time_stand_in_the_order_of_their_places():
    marks, *_ = in_order(table(*(made_row(place=place) for place in ("10", "9", "Log!2", "14.3", "14.12"))))
    assert marks["place"].to_pylist() == ["9", "10", "14.3", "14.12", "Log!2"]


def test_a_mark_that_stands_twice_counts_once_and_is_told():
    rows = [
        made_row(place=str(at), kind="shock", time=at * 60_000_000, amount=200.0, unit="J") for at in range(3)
    ]
    once, twice = measured(table(*rows), {}, NO_DRAWS), measured(table(*rows, rows[1]), {}, NO_DRAWS)
    assert once.figures.equals(twice.figures)
    assert "marks_twice" in twice.problems["code"].to_pylist()


def test_a_mark_outside_its_slot_is_left_out_and_told():
    day = 86_400_000_000
    rows = [made_row(place=str(at), kind="compressions_start", time=at * 1_000_000) for at in range(5)]
    far = made_row(place="9", kind="shock", time=2 * day, time_text="two days on")
    made_of = measured(table(*rows, far), {}, NO_DRAWS)
    assert made_of.figures.to_pylist() == measured(table(*rows), {}, NO_DRAWS).figures.to_pylist()
    assert "too_far" in made_of.problems["code"].to_pylist()


def test_an_event_with_a_malformed_mark_is_told_and_the_others_are_measured():
    good = [made_row("good", str(at), kind="pulseless", time=at) for at in range(2)]
    made_of = measured(table(*good, made_row("bad", kind="zap"), made_row("none", kind=None)), {}, NO_DRAWS)
    assert set(made_of.figures["event_id"].to_pylist()) == {"good"}
    told = {row["event_id"] for row in made_of.problems.to_pylist() if row["code"] == "mark_malformed"}
    assert told == {"bad", "none"}


def test_an_event_without_times_says_that_nothing_is_measured():
    rows = [made_row(place="1", time=None, source_id="a"), made_row(place="2", time=None, source_id="b")]
    made_of = measured(table(*rows), {}, NO_DRAWS)
    assert not len(made_of.figures)
    assert "nothing_timed" in made_of.problems["code"].to_pylist()


def test_one_source_alone_is_measured_by_its_own_clock():
    timed = in_columns(made(1, seed=4))
    at = timed.schema.get_field_index("time")
    bare = timed.set_column(at, "time", pa.nulls(len(timed), pa.int64())).cast(ROWS)
    assert measured(bare, {}, NO_DRAWS).figures.equals(measured(timed, {}, NO_DRAWS).figures)


def test_two_sources_on_one_clock_are_one_event_with_one_shock():
    rows = [
        made_row(place="1", kind="shock", source_id="log", time=60_000_000, amount=200.0, unit="J"),
        made_row(place="2", kind="shock", source_id="sheet", origin="person", time=61_000_000),
        made_row(place="3", kind="pulseless", source_id="log", time=0),
    ]
    figures = {row["name"]: row["value"] for row in measured(table(*rows), {}, NO_DRAWS).figures.to_pylist()}
    assert figures["time_to_first_shock"] == 60.0
    assert figures["shock_interval"] is None


def test_bounds_come_with_draws():
    figures = measured(in_columns(made(1, seed=4)), {}, Asked(draws=50)).figures.to_pylist()
    fraction = next(row for row in figures if row["name"] == "chest_compression_fraction")
    assert fraction["certainty"] == "assessed"
    assert fraction["low"] <= fraction["value"] <= fraction["high"]


def test_what_a_reviewer_set_by_the_clock_is_said_not_to_be_used(marks):
    name = marks["event_id"][0].as_py()
    known = {name: Context(event_id=name, time_zero="14:03:00")}
    codes = measured(in_columns(marks.slice(0, 40)), known, NO_DRAWS).problems["code"].to_pylist()
    assert "moment_not_used" in codes


def of_one_source():
    """Yield the sample events that one source alone tells."""
    for folder in sorted(shipped("sample_events").iterdir()):
        if folder.is_dir():
            event = read_event([folder], Settings())
            if len(event.sources) == 1:
                yield pytest.param(event, id=folder.name)


@pytest.mark.parametrize("event", list(of_one_source()))
def test_an_event_of_files_has_the_figures_that_its_files_give(event):
    known = {event.context.event_id: event.context}
    found = measured(in_columns(event.marks), known, NO_DRAWS).figures.to_pylist()
    names = partition.FIGURES.names[1:]
    expected = [{name: figure[name] for name in names} for figure in assess_event(event, NO_DRAWS).judged()]
    assert [{name: row[name] for name in names} for row in found] == expected

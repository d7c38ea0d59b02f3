"""Files of several events: which events they hold, and reading one of them."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from debrief.errors import BadSetting
from debrief.importers import Settings, find_events, read_event

CASES = "Case,Time,Event\n7,14:03:22,CPR started\n9,08:10:00,CPR started\n,08:20:00,ROSC\n7,14:12:00,ROSC\n"
GAPS = (
    "Time,Event\n2026-03-04 09:00:10,CPR started\n2026-03-04 09:09:00,ROSC\n2026-03-04 09:10:00,CPR stopped\n"
    "2026-03-04 10:30:00,transfer\n2026-03-06 17:00:00,CPR started\n2026-03-06 17:01:30,Shock 200 J\n"
)


def write(path, text):
    path.write_text(text, encoding="utf-8")
    return path


def codes(event):
    return [each.code for each in event.problems]


def test_a_column_of_events_parts_a_file(tmp_path):
    path = write(tmp_path / "log.csv", CASES)

    assert [(found.paths, found.only) for found in find_events(path)] == [((path,), "7"), ((path,), "9")]
    nine = read_event([path], Settings(only="9"))
    assert (nine.context.event_id, nine.marks["place"].to_pylist()) == ("9", ["3", "4"])
    assert "several_events" not in codes(nine)


def test_two_patients_in_one_log_are_never_read_as_one(tmp_path):
    path = write(tmp_path / "log.csv", CASES.replace("Case", "Patient"))

    event = read_event([path])

    assert event.marks["place"].to_pylist() == ["2", "5"]
    (told,) = [each for each in event.problems if each.code == "several_events"]
    assert (told.severity, told.place) == ("check", "column Patient")
    assert "2 events ('7', '9'). '7' alone was read." in told.message


def test_a_number_a_row_is_no_column_of_events(tmp_path):
    path = write(
        tmp_path / "log.csv", "Event no,Time,Action\n1,14:03,CPR started\n2,14:05,ROSC\n3,14:06,VF\n"
    )

    assert [found.only for found in find_events(path)] == [None]
    assert read_event([path]).marks.num_rows == 3


def test_an_hour_between_two_arrests_parts_a_file(tmp_path):
    path = write(tmp_path / "log.csv", GAPS)

    assert [found.only for found in find_events(path)] == ["1", "2"]
    first, second = (read_event([path], Settings(only=only)) for only in ("1", "2"))
    assert first.marks["kind"].to_pylist() == ["compressions_start", "rosc", "compressions_stop", "transfer"]
    assert second.marks["kind"].to_pylist() == ["compressions_start", "shock"]
    assert second.context.event_id == "log-2"
    assert second.marks["source_time"].null_count == 0
    assert {"time_far", "several_events", "label_unmapped"} & set(codes(second)) == set()


def test_read_whole_it_is_told_where_the_next_event_begins(tmp_path):
    event = read_event([write(tmp_path / "log.csv", GAPS.replace("2026-03-06", "2026-03-04"))])

    told = {each.code: each.place for each in event.problems}
    assert (told["several_events"], told["long_gap"]) == ("6", "5")
    assert event.marks.num_rows == 6


@pytest.mark.parametrize("late", ["transfer", "Shock 200 J"])
def test_a_late_entry_or_a_slip_in_a_date_is_no_event(tmp_path, late):
    text = f"Time,Event\n14:00:00,CPR started\n14:02:00,Shock 200 J\n16:30:00,{late}\n"

    assert [found.only for found in find_events(write(tmp_path / "log.csv", text))] == [None]


def test_event_json_names_the_event_of_a_file(tmp_path):
    write(tmp_path / "log.csv", CASES)
    write(tmp_path / "event.json", json.dumps({"sources": [{"file": "log.csv", "only": "9"}]}))

    assert read_event([tmp_path]).marks["place"].to_pylist() == ["3", "4"]
    write(tmp_path / "event.json", json.dumps({"sources": [{"file": "log.csv", "only": "8"}]}))
    with pytest.raises(BadSetting, match="holds no event '8'"):
        read_event([tmp_path])


def test_an_event_of_a_file_that_holds_one_is_refused_unless_it_is_that(tmp_path):
    path = write(tmp_path / "log.csv", "Time,Event\n14:00:00,CPR started\n14:02:00,ROSC\n")

    assert read_event([path], Settings(only="1")).marks.num_rows == 2
    with pytest.raises(BadSetting, match=r"holds no event '2'\. Write one of: '1'"):
        read_event([path], Settings(only="2"))


@settings(deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["", "a", "b", "c"]), st.integers(0, 59)), min_size=2, max_size=12))
def test_every_row_belongs_to_exactly_one_event(tmp_path_factory, rows):
    """The events of a file together are all of its rows."""
    lines = [f"{name},14:{minute:02}:00,CPR started" for name, minute in rows]
    path = write(tmp_path_factory.mktemp("cases") / "log.csv", "\n".join(["Case,Time,Event", *lines]) + "\n")

    found = find_events(path)
    read = [read_event([path], Settings(only=each.only)).marks["place"].to_pylist() for each in found]

    assert sorted(int(place) for places in read for place in places) == list(range(2, len(rows) + 2))

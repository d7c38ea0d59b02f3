"""JSON and JSON Lines: what holds marks, what is kept as written, and what is refused."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from debrief.errors import BadSetting, UnreadableFile
from debrief.importers import Settings, find_events, objects, read_event

MARKS = [{"time": "14:03:22", "mark": "compressions_start"}, {"time": "14:05:00", "mark": "rosc"}]


def write(path, value):
    path.write_text(value if isinstance(value, str) else json.dumps(value), encoding="utf-8")
    return path


def kinds(event):
    return event.marks["kind"].to_pylist()


@pytest.mark.parametrize(
    ("value", "places"),
    [
        (MARKS, ["/0", "/1"]),
        ({"marks": MARKS}, ["/marks/0", "/marks/1"]),
        ({"unit": "Hazel ward", "rows/of the~log": MARKS}, ["/rows~1of the~0log/0", "/rows~1of the~0log/1"]),
        ([["time", "mark"], ["14:03:22", "CPR started"], ["14:05:00", "ROSC"]], ["/1", "/2"]),
    ],
)
def test_a_place_is_a_pointer_into_the_file(tmp_path, value, places):
    event = read_event([write(tmp_path / "log.json", value)])

    assert (kinds(event), event.marks["place"].to_pylist()) == (["compressions_start", "rosc"], places)
    assert event.sources[0].importer == "json"


def test_what_stands_beside_the_marks_is_known_of_the_event(tmp_path):
    about = {"event_id": "bay-4", "population": "child", "weight_kg": 21.5, "age_years": 6, "witnessed": True}
    path = write(tmp_path / "log.json", about | {"marks": MARKS})

    event = read_event([path])

    assert {key: getattr(event.context, key) for key in about} == about
    assert set(event.marks["event_id"].to_pylist()) == {"bay-4"}


def test_event_json_stands_before_what_a_file_says(tmp_path):
    write(
        tmp_path / "log.json", {"event_id": "other", "population": "child", "unit": "Hazel", "marks": MARKS}
    )
    write(tmp_path / "event.json", {"event_id": "bay-4", "population": "adult"})

    context = read_event([tmp_path]).context

    assert (context.event_id, context.population, context.unit) == ("bay-4", "adult", "Hazel")


def test_a_wrong_value_beside_the_marks_names_the_file_and_what_to_write(tmp_path):
    with pytest.raises(
        BadSetting, match=r"log\.json, key 'population': read \"elderly\"\. Write for example"
    ):
        read_event([write(tmp_path / "log.json", {"population": "elderly", "marks": MARKS})])


def test_several_events_in_one_file_are_parted(tmp_path):
    events = [
        {"event_id": name, "weight_kg": weight, "marks": MARKS} for name, weight in (("a", 80), ("b", 70))
    ]
    path = write(tmp_path / "log.json", {"events": events})

    assert [found.only for found in find_events(path)] == ["a", "b"]
    second = read_event([path], Settings(only="b"))
    assert (second.context.event_id, second.context.weight_kg) == ("b", 70)
    assert second.marks["place"].to_pylist() == ["/events/1/marks/0", "/events/1/marks/1"]
    assert read_event([path]).problems[0].code == "several_events"
    with pytest.raises(BadSetting, match=r"holds no event 'c'\. Write one of: 'a', 'b'"):
        read_event([path], Settings(only="c"))


def test_numbers_stay_as_they_are_written(tmp_path):
    path = tmp_path / "log.json"
    digits = "9" * 5000
    path.write_text(
        '[{"t": 0.10, "mark": "shock", "amount": 200}, {"t": 1e400, "mark": "shock", "amount": Infinity},'
        f' {{"t": {digits}, "mark": "shock", "amount": {digits}}}]'
    )

    event = read_event([path])

    assert event.marks["time_text"].to_pylist() == ["0.10", "1e400", digits]
    assert event.marks["source_time"].to_pylist() == [100_000, None, None]
    assert {"time_unreadable", "amount_unreadable"} <= {each.code for each in event.problems}


def test_a_name_that_stands_twice_loses_nothing(tmp_path):
    path = write(tmp_path / "log.json", '[{"time": "14:03", "mark": "ROSC", "note": "one", "note": "two"}]')

    assert read_event([path]).marks["note"].to_pylist() == ["one; two"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[", r"line 1, column 2: is no JSON"),
        ('{"marks": [}', "is no JSON"),
        ("{}", "holds no list of marks, but an object of nothing"),
        ("[]", "but an empty list"),
        ("[1, 2]", "no list of marks"),
        ('{"a": [1], "b": [2]}', "an object of 'a', 'b'"),
        ("[" * 100_000, "nested too deep"),
        ('{"a":' * 100_000, "nested too deep"),
        ('[{"what": "CPR"}]', "no column 'time'"),
    ],
)
def test_what_is_no_list_of_marks_is_refused_with_a_remedy(tmp_path, text, says):
    with pytest.raises(UnreadableFile, match=says) as error:
        read_event([write(tmp_path / "log.json", text)])

    assert str(error.value).startswith("log.json")


def test_a_large_file_is_asked_for_in_lines(tmp_path, monkeypatch):
    monkeypatch.setattr(objects, "MAX_WHOLE_BYTES", 10)

    with pytest.raises(UnreadableFile, match="JSON Lines"):
        read_event([write(tmp_path / "log.json", MARKS)])
    lines = "\n".join(json.dumps(mark) for mark in MARKS)
    assert read_event([write(tmp_path / "log.jsonl", lines)]).marks.num_rows == 2


def test_lines_without_the_ending_for_lines_are_known_by_themselves(tmp_path):
    path = write(tmp_path / "log.json", "\n".join(json.dumps(mark) for mark in MARKS))

    assert read_event([path]).marks["place"].to_pylist() == ["1", "2"]


def test_a_line_where_writing_broke_off_is_told_and_the_others_read(tmp_path):
    path = write(tmp_path / "log.jsonl", json.dumps(MARKS[0]) + '\n{"time": "14:0')

    event = read_event([path])

    assert kinds(event) == ["compressions_start"]
    assert (event.problems[0].code, event.problems[0].place) == ("json_no_object", "2")


def test_a_column_that_comes_late_is_empty_before(tmp_path, monkeypatch):
    monkeypatch.setattr("debrief.importers.grid._CHUNK", 2)
    rows = [
        {"time": f"14:0{row}:00", "mark": "note"} | ({"note": f"n{row}"} if row > 3 else {})
        for row in range(7)
    ]

    event = read_event([write(tmp_path / "log.jsonl", "\n".join(map(json.dumps, rows)))])

    assert event.marks["note"].to_pylist() == [None, None, None, None, "n4", "n5", "n6"]


VALUE = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.text(max_size=3), inner, max_size=2),
    max_leaves=5,
)


@settings(deadline=None)
@given(
    st.lists(
        st.fixed_dictionaries({"time": VALUE, "mark": VALUE}, optional={"note": VALUE, "x": VALUE}),
        min_size=1,
        max_size=5,
    )
)
def test_no_object_is_lost_and_nothing_but_refusals_stops_reading(tmp_path_factory, items):
    """Whatever stands in the objects, halves of pairs of letters among it."""
    path = write(tmp_path_factory.mktemp("json") / "log.json", items)
    try:
        event = read_event([path])
    except UnreadableFile:
        return
    told = {place for each in event.problems if each.code == "heading_repeated" for place in [each.place]}
    assert len(event.marks) == len(items) or told
    assert event.marks["place"].to_pylist() == [f"/{number}" for number in range(len(items))]

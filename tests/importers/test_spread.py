"""Marks spread over columns: a column a kind, and a row an event."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from debrief.errors import BadSetting
from debrief.importers import Mapping, Settings, find_events, melting, read_event, understand
from debrief.importers.spread import kind_of, timed_kind


def write(path, *lines):
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def shown(event, *names):
    return [tuple(row[name] for name in names) for row in event.marks.to_pylist()]


@pytest.mark.parametrize(
    ("heading", "kind"),
    [
        ("Arrest time", "recognition"),
        ("Time of ROSC", "rosc"),
        ("First CPR", "compressions_start"),
        ("First shock time", "shock"),
        ("time first epi", "drug"),
        ("Time", None),
        ("Date", None),
        ("Notes", None),
        ("Ward", None),
    ],
)
def test_headings_that_name_the_time_of_a_mark(heading, kind):
    found = timed_kind(heading)

    assert (found and found.kind) == kind


@pytest.mark.parametrize(
    ("heading", "kind"), [("Rhythm", "rhythm"), ("CPR", "compressions_start"), ("Comment", None)]
)
def test_headings_that_name_a_mark(heading, kind):
    found = kind_of(heading)

    assert (found and found.kind) == kind


WIDE = (
    "Case,Arrest time,First CPR,ROSC time,Notes",
    "A1,14:02,14:03,14:21,x",
    "A2,23:58,23:59,00:04,y",
    "A2,01:00,01:02,,",
)


def test_each_row_is_an_event_of_its_own(tmp_path):
    path = write(tmp_path / "cases.csv", *WIDE)

    found = find_events(path)
    second = read_event([path], Settings(only=found[1].only))

    assert [each.only for each in found] == ["A1", "A2 (3)", "A2 (4)"]
    assert second.context.event_id == "A2 (3)"
    assert shown(second, "place", "kind", "label", "note") == [
        ("3.2", "recognition", "Arrest time", "y"),
        ("3.3", "compressions_start", "First CPR", None),
        ("3.4", "rosc", "ROSC time", None),
    ]
    times = second.marks["source_time"].to_pylist()
    assert [(time - times[0]) // 60_000_000 for time in times] == [0, 1, 6]


def test_columns_out_of_time_order_are_no_problem(tmp_path):
    path = write(tmp_path / "cases.csv", "ROSC time,Arrest time,First CPR", "14:21,14:02,14:03")

    event = read_event([path])

    assert "out_of_order" not in [each.code for each in event.problems]
    assert shown(event, "kind") == [("rosc",), ("recognition",), ("compressions_start",)]


def test_a_sheet_with_a_column_of_marks_is_no_row_an_event(tmp_path):
    path = write(tmp_path / "log.csv", "Call time,Arrival time,Event,Time", "14:01,14:02,CPR started,14:03")

    assert shown(read_event([path]), "kind", "time_text") == [("compressions_start", "14:03")]


def test_every_mark_of_a_row_is_read_with_what_stands_beside_it(tmp_path):
    path = write(
        tmp_path / "log.csv",
        "Time,Shock,Energy (J),Drug,Dose (mg),Route,By,Comment",
        "14:03:00,yes,200,Adrenaline,1,IV,nurse,both at once",
    )

    event = read_event([path])

    assert shown(event, "place", "kind", "detail", "amount", "unit", "route", "role", "note") == [
        ("2.2", "shock", None, 200, "J", None, "nurse", "both at once"),
        ("2.4", "drug", "epinephrine", 1, "mg", "iv", "nurse", None),
    ]
    assert event.problems[0].code == "source_kind_assumed"


def test_somebody_can_say_that_a_column_holds_marks(tmp_path):
    path = write(tmp_path / "log.csv", "Time,Event,Rhythm", "14:03,CPR started,VF", "14:05,,PEA")
    first = understand(path)

    answers = Mapping(columns={"Event": "marks", "Rhythm": "marks"})
    found = understand(path, Settings(mapping=answers))

    assert [column.meaning for column in first.columns] == ["time", "mark", "detail"]
    assert [mark.kind for mark in found.preview] == ["compressions_start", "rhythm", "rhythm"]


def test_a_cell_that_says_no_is_no_mark_and_is_told(tmp_path):
    path = write(tmp_path / "log.csv", "Time,Shock,CPR", "14:03,no,on", "14:04,-,off", "14:05,200 J,on")

    event = read_event([path])

    assert [each[0] for each in shown(event, "kind")].count("shock") == 1
    (told,) = [each for each in event.problems if each.code == "not_marked"]
    assert told.place == "2-3"


CELL = st.text(st.characters(codec="ascii", exclude_categories=["Cc"], exclude_characters=',"#'), max_size=8)


@settings(deadline=None)
@given(st.lists(st.tuples(CELL, CELL, CELL, CELL), min_size=1, max_size=6))
def test_every_cell_of_a_row_is_in_a_mark_or_told(tmp_path_factory, rows):
    """Each filled cell stands in a label, a detail, a note or an amount, or says no and is told."""
    lines = [",".join(("14:00", *cells)) for cells in rows]
    path = write(
        tmp_path_factory.mktemp("melt") / "log.csv", "Time,Rhythm,CPR,Route,Comment", "14:00,VF,on,,", *lines
    )

    event = read_event([path])

    denied = {each.place for each in event.problems if each.code == "not_marked"}
    held = {}
    for mark in event.marks.to_pylist():
        text = " ".join(str(mark[name] or "") for name in ("label", "note", "route"))
        held.setdefault(mark["place"].split(".")[0], []).append(text)
    for number, cells in enumerate(rows, start=3):
        text = " ".join(held[str(number)])
        for at in (0, 1, 3):
            cell = cells[at].strip()
            assert not cell or cell in text or denied or melting._key(cell) in melting._YES, (cell, text)


def test_an_event_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(BadSetting, match=r"holds no event 'B'\. Write one of: 'A1', 'A2"):
        read_event([write(tmp_path / "cases.csv", *WIDE)], Settings(only="B"))

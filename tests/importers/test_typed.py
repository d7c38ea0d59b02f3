"""Rows typed from paper: steps become times, and the file that is read back says the same."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.importers import Settings, read_event
from debrief.importers.typed import COLUMNS, times_of, to_csv
from debrief.model.times import DAY_US

MINUTES = st.builds(lambda h, m: (h * 60 + m, None), st.integers(0, 23), st.integers(0, 59))
SECONDS = st.builds(
    lambda h, m, s: (h * 60 + m, s), st.integers(0, 23), st.integers(0, 59), st.integers(0, 59)
)
STEPS = st.tuples(st.integers(0, 90), st.none() | st.integers(0, 59))


def row(time, mark="note", **more):
    return tuple({"time": time, "mark": mark, **more}.get(name, "") for name in COLUMNS)


def texts(rows, elapsed=False):
    return [one.text for one in times_of(rows, elapsed)]


@given(st.one_of(MINUTES, SECONDS), st.booleans(), st.lists(STEPS, max_size=8))
def test_steps_add_up_as_a_calendar_does(start, run_together, steps):
    """The slow reading: a date and a time of day, moved on by timedelta, told as finely as the row before."""
    minute, second = start
    moment = datetime(2026, 3, 4) + timedelta(minutes=minute, seconds=second or 0)  # noqa: DTZ001
    fine = second is not None
    written = moment.strftime("%H:%M:%S" if fine else "%H%M" if run_together else "%H:%M")
    rows, expected = [written], [written]
    for minutes, seconds in steps:
        rows.append(f"+{minutes}" if seconds is None else f"+{minutes}:{seconds:02}")
        moment += timedelta(minutes=minutes, seconds=seconds or 0)
        fine = fine or seconds is not None
        expected.append(moment.strftime("%H:%M:%S" if fine else "%H:%M"))

    assert texts(rows) == expected


@given(st.integers(0, 400), st.integers(0, 59), st.lists(STEPS, max_size=8))
def test_steps_on_a_sheet_from_zero_add_up_in_seconds(minute, second, steps):
    rows, total = [f"{minute}:{second:02}"], minute * 60 + second
    totals = [total]
    for minutes, seconds in steps:
        rows.append(f"+{minutes}" if seconds is None else f"+{minutes}:{seconds:02}")
        total += minutes * 60 + (seconds or 0)
        totals.append(total)
    told = [
        sum(int(part) * unit for part, unit in zip(text.split(":"), (60, 1), strict=True))
        for text in texts(rows, True)
    ]

    assert told == totals


@pytest.mark.parametrize(
    ("rows", "odd"),
    [
        (["+2"], ["from_nothing"]),
        (["", "+2", "+1"], [None, "from_nothing", "from_nothing"]),
        (["nonsense", "+2"], [None, "from_nothing"]),
        (["14:03", "+0:30", "+0:30"], [None, "from_minute", None]),
        (["14:03:00", "+0:30"], [None, None]),
    ],
)
def test_what_is_odd_about_a_step_is_said(rows, odd):
    assert [one.odd for one in times_of(rows, False)] == odd


@pytest.mark.parametrize("step", ["+2", "+1.5", "+1:75", "+-3", "+", "+12345"])
@pytest.mark.parametrize("elapsed", [False, True])
def test_a_step_that_cannot_be_taken_is_never_read_as_a_time(step, elapsed, tmp_path):
    event = read_back(tmp_path, [row("nonsense"), row(step)], elapsed)

    assert event.marks["source_time"].to_pylist()[1] is None
    assert any(problem.code == "time_unreadable" and step in problem.message for problem in event.problems)


def read_back(folder, rows, elapsed=False):
    path = folder / "typed.csv"
    path.write_text(to_csv(rows, elapsed)[0], encoding="utf-8")
    times = "elapsed" if elapsed else "clock"
    return read_event([path], Settings(kind="person", times=times))


def test_what_is_read_of_a_typed_sheet_is_what_the_same_sheet_says_as_a_file(tmp_path):
    typed = [
        row("2358", "arrest"),
        row("+1", "CPR started"),
        row("+0:30", "rhythm", detail="VF"),
        row("", "", note=""),
        row("+1", "shock", amount="200", unit="J"),
        row("00:04:10", "adr", amount="1", unit="mg", route="iv", note='said "now"; 2, then 3'),
    ]
    file = tmp_path / "marks.csv"
    file.write_text(
        "time,mark,detail,amount,unit,route,note\n2358,arrest\n23:59,CPR started\n23:59:30,rhythm,VF\n"
        '00:00:30,shock,,200,J\n00:04:10,adr,,1,mg,iv,"said ""now""; 2, then 3"\n'
    )
    by_hand = read_event([file], Settings(kind="person", times="clock"))
    found = read_back(tmp_path, typed)
    columns = [name for name in found.marks.column_names if name != "source_id"]

    assert (
        found.marks.select(columns)
        .drop_columns("event_id")
        .equals(by_hand.marks.select(columns).drop_columns("event_id"))
    )
    days = [time // DAY_US for time in found.marks["source_time"].to_pylist()]
    assert days == [0, 0, 0, 1, 1], "midnight passes"


@given(
    st.lists(
        st.tuples(*[st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=12)] * len(COLUMNS)),
        min_size=1,
        max_size=12,
    )
)
def test_whatever_is_typed_comes_back_row_by_row(tmp_path_factory, rows):
    text, _ = to_csv([row("14:03", "arrest"), *rows], elapsed=False)
    kept = [one for one in rows if any(map(str.strip, one))]
    folder = tmp_path_factory.mktemp("typed")
    (folder / "typed.csv").write_text(text, encoding="utf-8")
    event = read_event([folder / "typed.csv"], Settings(kind="person", times="clock"))

    places = list(map(int, event.marks["place"].to_pylist()))
    assert len(places) == len(set(places))
    assert set(places) <= set(range(2, len(kept) + 3))
    assert places[0] == 2

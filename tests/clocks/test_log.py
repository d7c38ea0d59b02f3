"""The log of clock checks: only ever added to, read line by line, joined to the sources of an event."""

import json
import multiprocessing
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.clocks.log import LOG, MOST, Entry, Log, add, checks_of, devices, new_check, read_log, withdraw
from debrief.errors import BadSetting, NotKept, UnreadableFile
from debrief.model.event import ClockCheck

CHECK = ClockCheck("14:03:20", "14:05:02", "2026-03-04", "network time")


def kept(path, device="Defibrillator 2", check=CHECK, role=""):
    return add(path, new_check(device, check, role))


@pytest.fixture
def path(tmp_path):
    return tmp_path / "deep" / LOG


def test_what_was_kept_is_read_again(path):
    first = kept(path, role="ward nurse")
    second = kept(path, "Monitor März", ClockCheck("14:03", "14:05", "2026-03-05", "Wanduhr", then_set=True))

    assert read_log(path) == Log((first, second))
    assert (first.device, first.check, first.role) == ("Defibrillator 2", CHECK, "ward nurse")
    assert first.reading.offset == 102_000_000


def test_without_a_log_there_are_no_checks(path):
    assert read_log(path) == Log()


def test_a_check_is_against_network_time_and_of_today_where_nothing_is_said():
    check = new_check("A", ClockCheck("14:03", "14:05")).check

    assert (check.against, check.date) == ("network time", date.today().isoformat())  # noqa: DTZ011 - a day here


@pytest.mark.parametrize(
    ("device", "check", "role", "said"),
    [
        ("", CHECK, "", "Device"),
        ("-- ", CHECK, "", "Device"),
        ("x" * (MOST + 1), CHECK, "", "Device"),
        ("A", ClockCheck("quarter past", "14:05:02"), "", "quarter past"),
        ("A", ClockCheck("14:05:02", "25:00"), "", "25:00"),
        ("A", ClockCheck("14:05", "14:05", "4.3.2026"), "", "4.3.2026"),
        ("A", ClockCheck("14:05", "14:05", "20260304"), "", "YYYY-MM-DD"),
        ("A", ClockCheck("14:05", "14:05", "2100-01-01"), "", "2100-01-01"),
        ("A", ClockCheck("14:05", "14:05", against="?"), "", "Against"),
        ("A", CHECK, "x" * (MOST + 1), "Role"),
    ],
)
def test_what_cannot_be_is_refused_with_what_was_read(device, check, role, said):
    with pytest.raises(BadSetting, match=said.replace("?", "[?]")):
        new_check(device, check, role)


BROKEN = [
    "not json",
    "[]",
    "17",
    '{"at": "x"}',
    '{"at": "x", "action": "erase", "id": "1"}',
    '{"at": "x", "action": "withdraw", "id": "nobody"}',
    '{"at": "x", "action": "check", "id": "1", "device": "A"}',
    '{"at": "x", "action": "check", "id": "1", "device": "A", "device_reads": "99:99", '
    '"reference_reads": "1:00", "date": "2026-03-04", "against": "wall"}',
    "[" * 5000,
]


@pytest.mark.parametrize("line", BROKEN)
def test_a_broken_line_is_named_and_the_others_count(path, line):
    first = kept(path)
    with path.open("a", encoding="utf-8") as file:
        file.write(line + "\n\n")
    last = kept(path)
    log = read_log(path)

    assert log.entries == (first, last)
    assert len(log.errors) == 1
    assert f"{LOG}, line 2" in log.errors[0]
    assert line[:80] in log.errors[0]


def test_bytes_that_are_no_text_are_a_broken_line(path):
    kept(path)
    with path.open("ab") as file:
        file.write(b"\xff\xfe\x00\n")

    assert len(read_log(path).errors) == 1


def test_a_log_cut_off_in_the_middle_loses_that_line_alone(path):
    first = kept(path)
    kept(path)
    path.write_bytes(path.read_bytes()[:-40])
    last = kept(path)
    log = read_log(path)

    assert log.entries == (first, last)
    assert len(log.errors) == 1


def test_a_check_that_is_withdrawn_stays_and_counts_no_more_until_it_is_restored(path):
    first, second = kept(path), kept(path)
    before = path.read_bytes()
    withdraw(path, first.id, role="ward nurse")

    assert read_log(path).counted == (second,)
    assert [entry.withdrawn for entry in read_log(path).entries] == [True, False]
    assert path.read_bytes().startswith(before)

    withdraw(path, first.id, restore=True)
    assert read_log(path).counted == (first, second)


def test_no_check_can_be_withdrawn_that_is_not_there(path):
    with pytest.raises(BadSetting, match="'abc'"):
        withdraw(path, "abc")
    assert not path.exists()


def test_a_log_that_cannot_be_read_or_written_is_an_error(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(NotKept):
        kept(tmp_path / "file" / LOG)
    with pytest.raises(UnreadableFile):
        read_log(tmp_path)


def write_many(path, name, count):
    for _ in range(count):
        add(path, new_check(name, CHECK))


def test_two_processes_lose_no_check(path):
    spawned = multiprocessing.get_context("spawn")
    writers = [spawned.Process(target=write_many, args=(path, name, 40)) for name in ("A", "B")]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    log = read_log(path)

    assert log.errors == ()
    assert sorted(entry.device for entry in log.entries) == ["A"] * 40 + ["B"] * 40


names = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=MOST)


@given(names, names, st.dates(date(1980, 1, 1), date(2026, 1, 1)), st.booleans())
def test_whatever_is_fit_to_be_kept_comes_back(tmp_path_factory, device, against, day, then_set):
    path = tmp_path_factory.mktemp("log") / LOG
    try:
        entry = new_check(device, ClockCheck("1:02", "01:02:03.4", day.isoformat(), against, then_set))
    except BadSetting:
        return
    assert read_log(path.with_name("other")) == Log()
    assert read_log(path) == Log()
    made = add(path, entry)

    assert read_log(path) == Log((made,))
    assert json.loads(path.read_text("utf-8"))["device"] == made.device


def test_checks_are_grouped_by_device_and_other_clock_the_earliest_first(path):
    late = kept(path, "b", ClockCheck("1:00", "1:00", "2026-03-05", "network time"))
    early = kept(path, "B", ClockCheck("1:00", "1:00", "2026-03-04", "Network Time"))
    other = kept(path, "B", ClockCheck("1:00", "1:00", "2026-03-04", "wall"))
    first = kept(path, "A", ClockCheck("1:00", "1:00", "2026-03-04", "wall"))
    log = read_log(path)

    assert log.by_device() == [[first], [early, late], [other]]
    assert devices(log.entries) == ["A", "B"]


def test_checks_that_count_are_those_of_their_device():
    entries = [
        Entry("1", "Defibrillator 2", CHECK),
        Entry("2", "Monitor", CHECK, withdrawn=True),
        Entry("3", "DEFIBRILLATOR  2", CHECK),
    ]

    assert checks_of(entries) == {"defibrillator 2": (CHECK, CHECK)}


def test_checks_reach_back_over_months(path):
    days = [date(2026, 1, 1) + timedelta(days=30 * n) for n in range(4)]
    for day in reversed(days):
        kept(path, check=ClockCheck("1:00", "1:00", day.isoformat()))

    assert [entry.check.date for entry in read_log(path).by_device()[0]] == [str(day) for day in days]

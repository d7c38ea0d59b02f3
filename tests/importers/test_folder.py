"""Event folders: every key of event.json, its sources, and corrections beside them."""

import json
from hashlib import sha256

import pytest

from debrief.errors import BadSetting, UnreadableFile
from debrief.importers import Settings, corrections, find_events, read_event
from debrief.importers.corrections import writing
from debrief.model.event import ClockCheck, Offset

LOG = "time,mark\n14:03:22,compressions_start\n14:05:00,rosc\n"


def folder(path, about=None, **files):
    path.mkdir(exist_ok=True)
    for name, text in files.items():
        (path / name.replace("_csv", ".csv")).write_text(text, encoding="utf-8")
    if about is not None:
        (path / "event.json").write_text(json.dumps(about), encoding="utf-8")
    return path


def codes(event):
    return [each.code for each in event.problems]


FULL = {
    "format": 1,
    "event_id": "bay-4",
    "population": "child",
    "age_years": 6,
    "weight_kg": 21.5,
    "date": "2026-03-04",
    "time_zone": "Europe/Dublin",
    "setting": "invented",
    "unit": "Hazel ward",
    "witnessed": True,
    "monitored": False,
    "first_rhythm": "vf",
    "outcome": "alive",
    "had_rosc": True,
    "survived_event": True,
    "discharged_alive": False,
    "cerebral_performance": 5,
    "local_reference": "x",
    "reference": "log",
    "time_zero": "14:03:22",
    "end": "14:05:00",
    "sources": [
        {
            "file": "log.csv",
            "name": "Monitor log",
            "kind": "device",
            "importer": "delimited",
            "times": "clock",
            "date": "2026-03-04",
            "rounding": "nearest",
            "clock": {"offset": -95, "low": -110.5, "high": -80},
        },
    ],
}


def test_every_key_arrives(tmp_path):
    event = read_event([folder(tmp_path / "e", FULL, log_csv=LOG)])

    for key, value in FULL.items():
        if key not in ("format", "sources"):
            assert getattr(event.context, key) == value
    (source,) = event.sources
    assert (source.source_id, source.kind, source.rounding, source.zone) == (
        "monitor-log",
        "device",
        "nearest",
        "Europe/Dublin",
    )
    assert source.clock == Offset(-95_000_000, -110_500_000, -80_000_000)
    assert source.scale == "utc"
    assert set(event.marks["event_id"].to_pylist()) == {"bay-4"}
    assert set(event.marks["origin"].to_pylist()) == {"device"}
    assert event.marks["time"].null_count == event.marks.num_rows
    assert event.inputs[0].sha256 == sha256(LOG.encode()).hexdigest()
    assert event.problems == ()


@pytest.mark.parametrize("key", sorted(FULL))
def test_every_key_is_optional_and_may_be_null(tmp_path, key):
    without = {name: value for name, value in FULL.items() if name not in (key, "reference")}
    for number, about in enumerate((without, without | {key: None})):
        assert read_event([folder(tmp_path / f"e{number}", about, log_csv=LOG)]).marks.num_rows == 2


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("format", 2),
        ("population", "elderly"),
        ("age_years", "six"),
        ("age_years", -1),
        ("age_years", True),
        ("weight_kg", "heavy"),
        ("date", "04.03.2026"),
        ("date", "2026-02-30"),
        ("time_zone", "Dublin"),
        ("time_zone", "../etc"),
        ("witnessed", "yes"),
        ("discharged_alive", "home"),
        ("cerebral_performance", 6),
        ("cerebral_performance", True),
        ("first_rhythm", "fibrillation"),
        ("unit", 4),
        ("sources", "log.csv"),
        ("sources", ["log.csv"]),
    ],
)
def test_a_wrong_value_names_the_key_and_what_to_write(tmp_path, key, value):
    with pytest.raises(BadSetting, match=rf"event\.json, key '{key}': read .*\. Write for example .+"):
        read_event([folder(tmp_path / "e", FULL | {key: value}, log_csv=LOG)])


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("kind", "robot"),
        ("times", "local"),
        ("date", "today"),
        ("rounding", "up"),
        ("clock", {"offset": "later"}),
        ("clock", {"offset": 1, "low": 2}),
        ("clock", {"low": 1}),
        ("file", ""),
        ("file", 3),
        ("clock_checks", "none"),
    ],
)
def test_a_wrong_value_of_a_source_names_it(tmp_path, key, value):
    with pytest.raises(BadSetting, match=rf"sources\[0\]\.{key}"):
        read_event([folder(tmp_path / "e", {"sources": [{"file": "log.csv"} | {key: value}]}, log_csv=LOG)])


@pytest.mark.parametrize("text", ["", "{", "[1]", '"text"', "{'a': 1}"])
def test_an_event_json_that_is_none_is_refused(tmp_path, text):
    path = folder(tmp_path / "e", None, log_csv=LOG)
    (path / "event.json").write_text(text)

    with pytest.raises(BadSetting):
        read_event([path])


@pytest.mark.parametrize(
    ("text", "said", "found"),
    [
        (LOG, {"name": "DEFIBRILLATOR 2"}, True),
        (LOG, {"name": "Defibrillator 3"}, False),
        (LOG, {"name": "Defibrillator 3", "device": "defibrillator  2"}, True),
        (LOG, {"name": "Defibrillator 2", "device": "Defibrillator 3"}, False),
        (LOG.replace("14:03:22", "0:22").replace("14:05:00", "75:00"), {"name": "Defibrillator 2"}, False),
    ],
)
def test_a_source_has_the_checks_of_the_device_that_it_is_or_is_called_as(tmp_path, text, said, found):
    """One that counts from its own zero has none: its zero is another every time."""
    stated = {"source_reads": "14:03:20", "reference_reads": "14:05:02"}
    about = {"sources": [{"file": "log.csv", "clock_checks": [stated], **said}]}
    kept = ClockCheck("9:00", "9:01", "2026-03-04", "network time")
    settings = Settings(clock_checks={"defibrillator 2": (kept,)})
    event = read_event([folder(tmp_path / "event", about, log_csv=text)], settings)

    assert event.sources[0].checks == (ClockCheck(**stated), *([kept] if found else []))


def test_unknown_keys_are_told_and_clock_checks_go_with_their_source(tmp_path):
    check = {"source_reads": "14:03:20", "reference_reads": "14:05:02", "date": "2026-03-04"}
    about = {"hospital": "x", "sources": [{"file": "log.csv", "colour": 1, "clock_checks": [check]}]}

    event = read_event([folder(tmp_path / "e", about, log_csv=LOG)])

    assert codes(event)[:2] == ["unknown_key", "unknown_key"]
    assert event.sources[0].checks == (ClockCheck("14:03:20", "14:05:02", "2026-03-04"),)
    assert "'sources[0].colour'" in event.problems[1].message


def test_a_missing_file_and_one_outside_are_told_and_the_others_read(tmp_path):
    (tmp_path / "other.csv").write_text(LOG)
    path = folder(tmp_path / "e", None, log_csv=LOG)
    (path / "link.csv").symlink_to(tmp_path / "other.csv")
    outside = ["../other.csv", str(tmp_path / "other.csv"), "link.csv"]
    folder(path, {"sources": [{"file": name} for name in ["log.csv", "gone.csv", *outside]]})

    event = read_event([path])

    assert [source.file for source in event.sources] == ["log.csv"]
    told = [(each.code, each.severity) for each in event.problems if each.severity == "blocking"]
    assert told == [("source_missing", "blocking"), *[("source_outside", "blocking")] * 3]


def test_a_source_that_cannot_be_read_is_told_and_the_others_read(tmp_path):
    about = {"sources": [{"file": "log.csv"}, {"file": "empty.csv"}]}

    event = read_event([folder(tmp_path / "e", about, log_csv=LOG, empty_csv="")])

    assert len(event.sources) == 1
    assert "source_unreadable" in codes(event)


def test_where_no_source_can_be_read_the_folder_is_refused(tmp_path):
    with pytest.raises(UnreadableFile, match=r"no source of this event can be read.*'gone\.csv'"):
        read_event([folder(tmp_path / "e", {"sources": [{"file": "gone.csv"}]})])


def test_without_sources_every_readable_file_is_one(tmp_path):
    path = folder(tmp_path / "e", {}, a_csv=LOG, b_csv=LOG)
    (path / "photo.png").write_bytes(b"\x89PNG....")
    (path / ".hidden.csv").write_text(LOG)

    event = read_event([path])

    assert [source.source_id for source in event.sources] == ["a", "b"]
    assert event.context.event_id == "e"
    assert codes(event).count("file_left_out") == 1


def test_files_joined_are_sources_with_names_of_their_own(tmp_path):
    first, second = (
        folder(tmp_path / "1", log_csv=LOG) / "log.csv",
        folder(tmp_path / "2", log_csv=LOG) / "log.csv",
    )

    event = read_event([first, second])

    assert [source.source_id for source in event.sources] == ["log", "log-2"]
    assert event.marks.num_rows == 4


def test_an_undated_sheet_takes_its_day_from_a_dated_log(tmp_path):
    log = "time,mark\n2026-03-04 23:58:10,compressions_start\n2026-03-05 00:05:00,rosc\n"
    sheet = "time,mark\n00:01,drug\n00:05,rosc\n"

    event = read_event([folder(tmp_path / "e", {"time_zone": "Europe/Dublin"}, a_csv=log, b_csv=sheet)])

    assert [source.scale for source in event.sources] == ["utc", "utc"]
    times = event.marks["source_time"].to_pylist()
    assert times[2] - times[0] == (3 * 60 + 20) * 1_000_000


def test_two_undated_sources_stand_on_one_day_over_midnight(tmp_path):
    event = read_event(
        [folder(tmp_path / "e", {}, a_csv="time,mark\n23:58:00,drug\n", b_csv="time,mark\n00:01:00,rosc\n")]
    )

    first, second = event.marks["source_time"].to_pylist()
    assert second - first == 180_000_000


def test_a_day_that_event_json_gives_a_source_stands(tmp_path):
    about = {"sources": [{"file": "a.csv", "date": "2026-03-04"}, {"file": "b.csv", "date": "2026-03-05"}]}

    event = read_event(
        [folder(tmp_path / "e", about, a_csv="time,mark\n14:00,drug\n", b_csv="time,mark\n14:00,rosc\n")]
    )

    first, second = event.marks["source_time"].to_pylist()
    assert second - first == 86_400_000_000


def test_find_events(tmp_path):
    (tmp_path / "loose.csv").write_text(LOG)
    (tmp_path / ".hidden").write_text("")
    one = folder(tmp_path / "one", {}, log_csv=LOG)
    folder(tmp_path / "plain", None, log_csv=LOG)

    def paths(path):
        return [found.paths for found in find_events(path)]

    assert paths(tmp_path) == [(tmp_path / "loose.csv",), (one,)]
    assert paths(one) == [(one,)]
    assert paths(tmp_path / "plain") == [(tmp_path / "plain" / "log.csv",)]
    assert paths(tmp_path / "loose.csv") == [(tmp_path / "loose.csv",)]
    assert [found.only for found in find_events(tmp_path)] == [None, None]
    with pytest.raises(UnreadableFile):
        find_events(tmp_path / "gone")


def test_corrections_take_marks_out_and_back(tmp_path):
    path = folder(tmp_path / "e", {}, log_csv=LOG)
    corrections.append(path, corrections.Correction("drop", "log:2", "pressed by mistake"))
    corrections.append(path, corrections.Correction("drop", "log:3"))
    corrections.append(path, corrections.Correction("restore", "log:3"))

    event = read_event([path])

    assert event.removed == {"log:2"}
    assert event.marks.num_rows == 2
    assert corrections.read(path)[0].why == "pressed by mistake"
    assert corrections.read(path)[0].at


@pytest.mark.parametrize("line", ["{", "[]", '{"action": "erase", "mark": "log:2"}', '{"action": "drop"}'])
def test_a_line_that_is_no_correction_is_named(tmp_path, line):
    path = folder(tmp_path / "e", {}, log_csv=LOG)
    (path / "corrections.jsonl").write_text(f"\n{line}\n")

    with pytest.raises(BadSetting, match=r"corrections\.jsonl, line 2"):
        read_event([path])


@pytest.mark.parametrize(
    ("log", "time", "gap"),
    [
        (LOG, "14:04:22", 60),
        ("time,mark\n23:59:22,compressions_start\n", "00:00:22", 60),
        ("time,mark\n2026-03-04 14:03:22,compressions_start\n", "14:04:22", 60),
        ("time,mark\n2026-03-04 14:03:22,compressions_start\n", "2026-03-04 14:04:22.5", 60.5),
        ("seconds,mark\n10,compressions_start\n", "70", 60),
    ],
)
def test_an_added_mark_stands_on_the_reference_clock(tmp_path, log, time, gap):
    path = folder(tmp_path / "e", {}, log_csv=log)
    said = {"time": time, "kind": "shock", "amount": 200, "unit": "J", "note": "seen on the film"}
    writing.add(path, read_event([path]), said)

    event = read_event([path])

    source, added = event.sources[-1], event.marks.to_pylist()[-1]
    assert (source.source_id, source.kind, source.clock, source.scale) == (
        "added",
        "person",
        Offset(0, 0, 0),
        event.sources[0].scale,
    )
    assert (added["kind"], added["amount"], added["origin"]) == ("shock", 200, "person")
    assert added["source_time"] - event.marks["source_time"].to_pylist()[0] == gap * 1_000_000


def test_settings_stand_where_event_json_says_nothing(tmp_path):
    path = folder(tmp_path / "e", None, log_csv="time,mark\n10:05,drug\n")

    event = read_event([path], Settings(times="elapsed", kind="sensor", rounding="nearest"))

    (source,) = event.sources
    assert (source.scale, source.kind, source.rounding) == ("elapsed", "sensor", "nearest")


@pytest.mark.parametrize("weight_kg", [0, -3, 0.1, 400])
def test_a_weight_that_nobody_has_is_told_and_not_used(tmp_path, weight_kg):
    event = read_event([folder(tmp_path / "e", {"weight_kg": weight_kg}, log_csv=LOG)])

    assert event.context.weight_kg is None
    (told,) = [each for each in event.problems if each.code == "weight_absurd"]
    assert (told.place, f"{weight_kg:g} kg" in told.message) == ("event.json", True)

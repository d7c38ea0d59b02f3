"""``debrief clocks``: a check is kept, listed, withdrawn; an event is brought onto its reference by it."""

import csv
import io
import json
import subprocess
import sys
from datetime import date, timedelta

import pytest
from click.testing import CliRunner

from debrief.cli import main
from debrief.clocks.log import LOG, read_log


@pytest.fixture(autouse=True)
def log(tmp_path, monkeypatch):
    monkeypatch.setenv("DEBRIEF_HOME", str(tmp_path / "home"))
    return tmp_path / "home" / LOG


def run(*arguments, code=0):
    result = CliRunner().invoke(main, ["clocks", *map(str, arguments)])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert result.exit_code == code, result.output
    return result


def days_ago(days):
    return (date.today() - timedelta(days=days)).isoformat()  # noqa: DTZ011 - as the commands take a day


def check(device="Defibrillator 2", reads="14:03:20", beside="14:05:02", *options):
    return run("check", device, "--device-reads", reads, "--reference-reads", beside, *options)


def test_a_check_is_kept_and_said_in_words(log):
    said = check("Defibrillator 2", "14:03:20", "14:05:02", "--role", "ward nurse", "--then-set").stdout
    entry = read_log(log).entries[0]

    assert "42\u202fs behind network time" in said
    assert "then set" in said
    assert entry.id in said
    assert (entry.role, entry.check.date, entry.check.then_set) == ("ward nurse", days_ago(0), True)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("A", "25:00", "14:00"), "25:00"),
        (("A", "14:00", "soon"), "soon"),
        (("", "14:00", "14:00"), "Device"),
        (("A", "14:00", "14:00", "--date", "3.4.2026"), "YYYY-MM-DD"),
        (("A", "14:00", "14:00", "--date", days_ago(-9)), "not a day to come"),
    ],
)
def test_what_cannot_be_is_refused_and_not_kept(log, arguments, said):
    result = run(
        "check", arguments[0], "--device-reads", arguments[1], "--reference-reads", *arguments[2:], code=2
    )

    assert said in result.stderr
    assert not log.exists()


def test_checks_are_listed_for_reading_with_what_the_clock_loses_and_whether_it_is_stale():
    for days, beside in ((90, "14:05:02"), (60, "14:05:17"), (40, "14:05:27")):
        check("Defibrillator 2", "14:03:20", beside, "--date", days_ago(days))
    check("Monitor", "9:00:00", "9:00:00")
    first, second = run("list").stdout.split("\n\n")

    assert "40 days ago, which is stale: more than 30 days" in first
    assert "It loses 0.50 s a day." in first
    assert first.count("behind") == 3
    assert "Last checked today." in second
    assert "not known" in second
    assert run("list", "MONITOR").stdout.strip() == second.strip()


def test_the_site_says_after_how_many_days_a_check_is_stale(tmp_path):
    check("A", "9:00", "9:00", "--date", days_ago(10))
    site = tmp_path / "site.toml"
    site.write_text("clock_check_days = 7\n")

    assert "stale" not in run("list").stdout
    assert "more than 7 days" in run("list", "--site", site).stdout


def test_the_list_for_programs_has_one_row_a_check():
    check("A", "14:03:20", "14:02:50", "--date", days_ago(31), "--against", "wall clock")
    check("A", "14:03", "14:05", "--date", days_ago(1), "--against", "wall clock", "--role", "porter")
    rows = json.loads(run("list", "--format", "json").stdout)
    table = list(csv.DictReader(io.StringIO(run("list", "--format", "csv").stdout)))

    assert [row["error_s"] for row in rows] == [30.0, -120.0]
    assert [row["within_s"] for row in rows] == [2.0, 61.0]
    assert [(row["days_since"], row["stale"]) for row in rows] == [(31, True), (1, False)]
    assert [row["role"] for row in rows] == ["", "porter"]
    assert [{key: str(value) for key, value in row.items()} for row in rows] == table


def test_an_empty_log_says_how_to_begin_and_an_unknown_device_what_there_is():
    assert "debrief clocks check" in run("list").stdout
    assert json.loads(run("list", "--format", "json").stdout) == []
    check("Monitor")

    assert "It knows: Monitor." in run("list", "Defibrillator", code=2).stderr


def test_a_broken_line_is_named_beside_the_list(log):
    check()
    with log.open("a") as file:
        file.write("broken\n")
    result = run("list", "--format", "json")

    assert len(json.loads(result.stdout)) == 1
    assert f"{LOG}, line 2" in result.stderr


def test_a_check_is_withdrawn_and_counts_again(log):
    check()
    check_id = read_log(log).entries[0].id
    run("withdraw", check_id)

    assert "withdrawn" in run("list").stdout
    assert "No check counts." in run("list").stdout
    run("withdraw", check_id, "--restore")
    assert "Last checked today." in run("list").stdout
    assert "no check of that id" in run("withdraw", "nobody", code=2).stderr


def test_two_processes_that_check_at_once_lose_nothing(log):
    command = [sys.executable, "-m", "debrief", "clocks", "check", "A", "--device-reads", "9:00"]
    started = [subprocess.Popen([*command, "--reference-reads", f"9:0{n}"], stdout=-3) for n in range(4)]

    assert [one.wait() for one in started] == [0] * 4
    assert sorted(entry.check.reference_reads for entry in read_log(log).entries) == [
        f"9:0{n}" for n in range(4)
    ]


def report_of(folder, *options):
    arguments = ["measure", str(folder), "--format", "json", "--draws", "0", *map(str, options)]
    return json.loads(CliRunner().invoke(main, arguments).stdout)


@pytest.fixture
def folder(tmp_path):
    """An event, and checks of both its devices three days later: 30 s and 2 min behind."""
    folder = tmp_path / "event"
    folder.mkdir()
    (folder / "defibrillator.csv").write_text(
        "time,mark\n14:00:00,pulseless\n14:02:00,shock\n14:09:00,rosc\n"
    )
    (folder / "monitor.csv").write_text("time,mark,detail\n14:00:40,rhythm,vf\n14:05:00,etco2,\n")
    sources = [
        {"file": f"{name}.csv", "name": f"{name} 2", "kind": "device"}
        for name in ("defibrillator", "monitor")
    ]
    about = {"format": 1, "date": days_ago(5), "sources": sources}
    (folder / "event.json").write_text(json.dumps(about))
    for device, reads in (("Defibrillator 2", "9:00:00"), ("Monitor 2", "8:58:30")):
        check(device, reads, "9:00:30", "--date", days_ago(2))
    return folder


def test_an_event_is_brought_onto_its_reference_by_the_checks_of_both_devices(folder):
    clock = report_of(folder)["sources"][1]["clock"]

    assert clock["offset"] == 90
    assert clock["low"] < 90 < clock["high"]
    assert [one["kind"] for one in clock["evidence"]] == ["clock_check"]
    assert "network time" in clock["evidence"][0]["text"]


def test_where_only_one_of_two_devices_was_checked_the_other_is_to_be_checked(folder, log):
    run("withdraw", read_log(log).entries[0].id)
    report = report_of(folder)
    told = [one for one in report["problems"] if one["code"] == "check_against_other"]

    assert [one["source_id"] for one in told] == ["monitor-2"]
    assert "Check defibrillator 2 against network time as well" in told[0]["message"]


def test_the_limit_of_the_site_tells_which_check_of_an_event_is_stale(folder, tmp_path):
    site = tmp_path / "site.toml"
    site.write_text("clock_check_days = 1\n")
    found = [report_of(folder, *options)["problems"] for options in ((), ("--site", site))]

    assert ["check_stale" in [one["code"] for one in problems] for problems in found] == [False, True]

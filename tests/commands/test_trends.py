"""``debrief trends``: events of a folder, measured, as a table, JSON and CSV."""

import csv
import io
import json
import shutil

import pytest
from click.testing import CliRunner

from debrief.cli import main
from debrief.resources import shipped
from debrief.words import say

HOURS = ["2026-01-05T10", "2026-01-20T23", "2026-02-03T02", "2026-02-08T12", "2026-03-10T09"]
FIRST_SHOCK_S = [60, 150, 90, 100, 200]


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """Five invented events of one ward, whose first shock came within two minutes but twice."""
    monkeypatch.setenv("DEBRIEF_HOME", str(tmp_path / "home"))
    for number, (hour, after) in enumerate(zip(HOURS, FIRST_SHOCK_S, strict=True)):
        event = tmp_path / "events" / f"e{number}"
        event.mkdir(parents=True)
        told = {"format": 1, "event_id": f"e{number}", "unit": "Alder", "population": "adult"}
        told["sources"] = [{"file": "log.csv", "kind": "device"}]
        (event / "event.json").write_text(json.dumps(told), encoding="utf-8")
        rows = [(0, "recognition", ""), (5, "compressions start", ""), (20, "rhythm", "VF")]
        rows += [(after, "shock", ""), (400, "ROSC", "")]
        lines = [f"{hour}:{s // 60:02}:{s % 60:02},{mark},{detail}" for s, mark, detail in rows]
        (event / "log.csv").write_text("\n".join(["time,mark,detail", *lines]), encoding="utf-8")
    return tmp_path / "events"


def run(*arguments, code=0):
    result = CliRunner().invoke(main, ["trends", *map(str, arguments)])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert result.exit_code == code, result.output
    return result


def trends_of(folder, *arguments):
    text = run(folder, "--measure", "time_to_first_shock", "--format", "json", *arguments).stdout
    return json.loads(text, parse_constant=pytest.fail)


def test_a_folder_of_events_is_a_chart_of_months(folder):
    found = trends_of(folder)

    assert (found["measure"], found["by"], found["chart"]) == ("time_to_first_shock", "month", "p")
    assert [(each["label"], each["n"], each["met"]) for each in found["points"]] == [
        *(("2026-01", 2, 1), ("2026-02", 2, 2), ("2026-03", 1, 0))
    ]
    assert found["centre"] == 3 / 5
    assert found["excluded"] == {}
    assert found["target"]["rule"] == "at most 2 min"


def test_events_can_be_chosen_and_put_together_otherwise(folder):
    assert [each["label"] for each in trends_of(folder, "--by", "quarter")["points"]] == ["2026-Q1"]
    assert trends_of(folder, "--by", "unit")["chart"] == "funnel"
    night = trends_of(folder, "--where", "shift=night")
    assert (night["counted"], night["not_asked_for"]) == (2, 3)
    assert [each["value"] for each in trends_of(folder, "--chart", "g")["points"]] == [2]


def test_the_table_tells_the_same_in_words(folder):
    text = run(folder, "--measure", "time_to_first_shock").stdout

    assert say("trends.who", read=5, counted=5) in text
    assert "2026-01  2  50 %" in text
    assert say("trends.no_signal") in text


def test_csv_has_the_points_of_json(folder, tmp_path):
    target = tmp_path / "points.csv"
    run(folder, "--measure", "time_to_first_shock", "--format", "csv", "-o", target)
    rows = list(csv.DictReader(io.StringIO(target.read_text(encoding="utf-8"))))

    assert [row["label"] for row in rows] == ["2026-01", "2026-02", "2026-03"]
    for row, point in zip(rows, trends_of(folder)["points"], strict=True):
        for key, value in point.items():
            assert row[key] == ("" if value is None else str(value))


def test_an_event_that_cannot_be_read_is_named_and_the_rest_is_kept(folder):
    (folder / "junk.bin").write_bytes(bytes(range(256)) * 8)
    result = run(folder, "--measure", "time_to_first_shock", "--format", "json", code=2)

    assert "junk.bin" in result.stderr
    assert json.loads(result.stdout)["counted"] == 5


def test_an_event_named_twice_counts_once(folder):
    found = trends_of(folder, folder / "e0")

    assert (found["counted"], found["excluded"]) == (5, {"same_again": 1})


def test_no_event_that_counts_is_an_answer_and_no_error(folder):
    found = trends_of(folder, "--where", "population=child")

    assert found["points"] == []
    assert found["notes"] == [say("trends.note_empty", read=5)]
    text = run(
        folder, "--measure", "time_to_first_shock", "--where", "population=child", "--format", "csv"
    ).stdout
    assert text.startswith("measure,by,chart,label,n,value,lower,upper,signal")
    assert len(text.splitlines()) == 1


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--measure", "first_shock"], "time_to_first_shock"),
        (["--measure", "any_rosc", "--where", "ward=Alder"], "unit"),
        (["--measure", "any_rosc", "--chart", "t", "--by", "unit"], "--by month"),
        (["--measure", "resuscitation_duration", "--chart", "p"], "--chart xmr"),
        (["--measure", "any_rosc", "--phase", "2031-01"], "2031-01"),
        (["--measure", "any_rosc", "--edition", "none"], "AHA 2020"),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_write(folder, options, said):
    assert said in run(folder, *options, code=2).stderr


def test_a_folder_that_is_not_there_is_named(tmp_path):
    assert "nowhere" in run(tmp_path / "nowhere", "--measure", "any_rosc", code=2).stderr


def test_the_sample_events_say_that_patients_differ(tmp_path, monkeypatch):
    monkeypatch.setenv("DEBRIEF_HOME", str(tmp_path / "home"))
    samples = tmp_path / "samples"
    for name in ("vf_log_and_sheet", "child_by_weight"):
        shutil.copytree(shipped("sample_events") / name, samples / name)
    text = run(samples, "--measure", "resuscitation_duration", "--draws", 0).stdout

    assert "adult, child" in text
    assert say("trends.chart.xmr") in " ".join(text.split())


def test_small_numbers_that_a_site_hides_are_hidden_on_the_command_line(folder, tmp_path):
    site = tmp_path / "site.toml"
    site.write_text("fewest_shown = 1000\n", encoding="utf-8")
    shown, hidden = trends_of(folder), trends_of(folder, "--site", site)

    assert any(point["value"] is not None for point in shown["points"])
    assert hidden["fewest_shown"] == 1000
    assert all(point["value"] is None and point["n"] is None for point in hidden["points"])

"""The registry's commands, by click's own runner."""

import csv
import io
import json
import shutil

import pytest
from click.testing import CliRunner

from debrief.cli import main
from debrief.resources import shipped

VF = shipped("sample_events") / "vf_log_and_sheet"


def run(*arguments, code=0):
    """Run a command in this process, and check how it ends; never with a traceback."""
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert result.exit_code == code, result.output
    return result


@pytest.fixture
def kept(tmp_path, monkeypatch):
    """The user's registry, with every sample in it."""
    monkeypatch.setenv("DEBRIEF_REGISTRY", str(tmp_path / "registry"))
    run("add", shipped("sample_events"))


def rows(*more):
    """Return what ``list`` gives."""
    return json.loads(run("list", "--format", "json", *more).stdout)


def test_samples_are_added_once_and_listed_with_what_needs_a_look(kept):
    again = run("add", shipped("sample_events")).stdout
    listed = rows()

    assert "kept already: 12" in again
    assert len(listed) == 12
    assert {"event_id", "date", "unit", "population", "status"} <= listed[0].keys()
    assert {row["event_id"]: row["status"] for row in listed}["vf-untidy-sheet"] == "needs_mapping"
    assert [row["date"] for row in listed if row["date"]] == sorted(
        row["date"] for row in listed if row["date"]
    )


def test_the_list_can_be_narrowed_and_comes_as_csv_and_as_a_table(kept):
    assert [row["event_id"] for row in rows("--unit", "ROWAN ward")] == ["three-clocks"]
    few = rows("--from", "2026-01-01", "--to", "2026-03-31")
    assert few
    assert all("2026-01-01" <= row["date"] <= "2026-03-31" for row in few)
    assert {row["status"] for row in rows("--status", "new")} == {"new"}
    table = list(csv.DictReader(io.StringIO(run("list", "--format", "csv").stdout)))
    assert [row["event_id"] for row in table] == [row["event_id"] for row in rows()]
    assert "Rowan ward" in run("list").stdout
    assert rows("--unit", "nowhere") == []


def test_an_event_is_measured_by_its_name_as_its_folder_is(kept):
    def figures(what):
        return json.loads(run("measure", what, "--format", "json", "--draws", 30).stdout)["figures"]

    assert figures("vf-log-and-sheet") == figures(VF)
    assert "vf-log-and-sheet" in run("check", "vf-log-and-sheet").stdout


def test_a_path_that_exists_stands_before_an_event_of_its_name(kept, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    shutil.copytree(shipped("sample_events") / "child_by_weight", tmp_path / "vf-log-and-sheet")

    report = json.loads(run("measure", "vf-log-and-sheet", "--format", "json", "--draws", 0).stdout)

    assert report["event"]["event_id"] == "child-by-weight"


def test_the_name_of_no_event_is_told(kept):
    assert "nobody" in run("measure", "nobody", code=2).output
    for command in ("remove", "restore", "rebuild"):
        assert "nobody" in run(command, "nobody", code=2).output
    assert "nobody" in run("export", "nobody", "-o", "out", code=2).output


def test_a_removed_event_is_gone_until_it_is_restored(kept):
    run("remove", "three-clocks", "--role", "lead", "--why", "a drill")
    assert len(rows()) == 11
    run("measure", "three-clocks", code=2)
    run("restore", "three-clocks")
    assert len(rows()) == 12


def test_rebuilding_gives_bounds_and_once_is_enough(kept):
    assert "Measured: 12" in run("rebuild", "--draws", 20).stdout
    assert {row["figures"] for row in rows()} == {"with_bounds"}
    assert "Measured: 0" in run("rebuild", "--draws", 20).stdout


def test_answers_given_with_a_file_are_remembered_for_its_layout(tmp_path, monkeypatch):
    monkeypatch.setenv("DEBRIEF_REGISTRY", str(tmp_path / "registry"))
    (tmp_path / "odd.csv").write_text("time,mark\n14:00:00,recognition\n14:01:00,zapp\n14:05:00,rosc\n")
    (tmp_path / "map.toml").write_text('format = 1\n[labels."zapp"]\nkind = "shock"\n')

    assert "not understood" in run("add", tmp_path / "odd.csv").stdout
    again = ("add", tmp_path / "odd.csv", "--map", tmp_path / "map.toml")

    assert "odd: measured anew with these answers." in run(*again).stdout
    assert [row["status"] for row in rows()] != ["needs_mapping"]
    assert "anew" not in run(*again).stdout
    report = json.loads(run("measure", "odd", "--format", "json", "--draws", 0).stdout)
    assert len(report["shocks"]) == 1


@pytest.mark.parametrize(("form", "made"), [("csv", "out/marks.csv"), ("xlsx", "out"), ("json", "out")])
def test_an_export_is_written_where_it_was_asked_for(kept, tmp_path, form, made):
    run("export", "--unit", "Rowan ward", "--format", form, "-o", tmp_path / "out")
    assert (tmp_path / made).stat().st_size > 1000


def test_what_cannot_be_read_is_named_and_the_rest_is_added(tmp_path):
    (tmp_path / "junk.bin").write_bytes(bytes(range(256)) * 8)

    result = run("add", tmp_path / "junk.bin", tmp_path / "gone", VF, "--registry", tmp_path / "r", code=2)

    assert "junk.bin" in result.output
    assert "gone" in result.output
    assert "added: 1" in result.output


def test_without_a_registry_reading_commands_say_how_to_make_one(tmp_path):
    for command in (["list"], ["rebuild"], ["export", "-o", tmp_path / "x"], ["remove", "a"]):
        assert "debrief add" in run(*command, "--registry", tmp_path / "none", code=2).output

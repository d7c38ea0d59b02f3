"""``debrief teach --keep`` and ``debrief cases``: a draft, approved, handed on and taken in elsewhere."""

import json

import pytest
from click.testing import CliRunner

from debrief.cli import main
from debrief.resources import shipped

EVENT = str(shipped("sample_events") / "vf_log_and_sheet")


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Run a command with a registry of its own; return its exit code, output and errors."""
    monkeypatch.setenv("DEBRIEF_HOME", str(tmp_path / "home"))

    def one(*words, registry="here"):
        done = CliRunner().invoke(main, [*map(str, words), "--registry", str(tmp_path / registry)])
        assert done.exception is None or isinstance(done.exception, SystemExit)
        return done.exit_code, done.stdout, done.stderr

    return one


def test_a_case_is_a_draft_until_it_is_approved_and_again_when_it_changes(run, tmp_path):
    keep = ("teach", EVENT, "--keep", "search", "--lesson", "pauses", "--difficulty", "first")
    assert run(*keep)[0] == 0
    assert run("cases", "search", "--hand-on", tmp_path / "x")[0] == 2
    assert not (tmp_path / "x").exists()
    assert run("cases", "search", "--approve", "Jane Roe")[0] == 2
    assert run("cases", "search", "--approve", "educator", "-o", tmp_path / "case.html")[0] == 0
    assert "Approved by the resuscitation educator" in (tmp_path / "case.html").read_text(encoding="utf-8")
    (row,) = json.loads(run("cases", "--format", "json")[1])
    assert (row["standing"], row["lessons"], row["difficulty"]) == ("approved", ["pauses"], "first")

    assert run(*keep)[0] == 0  # the same again changes nothing
    assert json.loads(run("cases", "--format", "json")[1])[0]["standing"] == "approved"
    run(*keep, "--title", "Another one")
    assert json.loads(run("cases", "--format", "json")[1])[0]["standing"] == "copy_changed"
    run("cases", "search", "-o", tmp_path / "case.html")
    assert "Not approved as it is" in (tmp_path / "case.html").read_text(encoding="utf-8")


def test_what_is_handed_on_is_a_draft_elsewhere_and_says_where_it_is_from(run, tmp_path):
    run("teach", EVENT, "--keep", "search")
    run("cases", "search", "--approve", "quality", "--hand-on", tmp_path / "x.json")
    code, _, told = run("cases", "taken", "--take-in", tmp_path / "x.json", registry="there")

    assert (code, "Draft" in told, "Look again" in told) == (0, True, False)
    (row,) = json.loads(run("cases", "--format", "json", registry="there")[1])
    assert (row["name"], row["standing"], row["elsewhere"]) == ("taken", "draft", True)
    assert (
        run("cases", "taken", "--take-in", tmp_path / "x.json", registry="there")[0] == 2
    )  # the name is taken
    assert run("cases", "taken", "--remove", registry="there")[0] == 0
    assert json.loads(run("cases", "--format", "json", registry="there")[1]) == []


def test_only_notes_that_were_passed_go_in_and_what_looks_like_an_identifier_is_told(run, tmp_path):
    run("add", EVENT)
    code, told, _ = run("teach", EVENT, "--check")
    assert code == 0
    assert "monitor-log:2  pads on" in told
    passed = ("--note", "monitor-log:2", "--note", "recorders-sheet:7=seen by Dr Ashgrove")
    code, _, warned = run("teach", EVENT, "-o", tmp_path / "case.html", *passed)
    text = (tmp_path / "case.html").read_text(encoding="utf-8")

    assert code == 0
    assert "Ashgrove" in warned
    assert "pads on" in text
    assert "seen by Dr Ashgrove" in text
    assert "first nurse on the chest" not in text
    code, _, why = run("teach", EVENT, "-o", tmp_path / "case.html", "--note", "monitor-log:99")
    assert (code, "monitor-log:2" in why) == (2, True)


def test_how_many_events_are_like_it_is_told_and_fewer_than_five_not_as_their_number(run):
    run("add", EVENT)
    assert "Of 1 events kept here, fewer than 5" in run("teach", "vf-log-and-sheet", "--check")[1]

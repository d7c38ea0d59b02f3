"""What is said of an event, what was done to it and what is to be done, by click's own runner."""

import csv
import io
import json

import pytest

from debrief.registry.store import Registry
from debrief.resources import shipped
from tests.commands.test_registry import run

EVENT = "vf-log-and-sheet"


@pytest.fixture
def home(tmp_path, monkeypatch):
    """The user's registry with one event, and an action that its team set."""
    where = tmp_path / "registry"
    monkeypatch.setenv("DEBRIEF_REGISTRY", str(where))
    run("add", shipped("sample_events") / "vf_log_and_sheet")
    lines = [
        {
            "do": "action",
            "key": "1",
            "id": "a",
            "what": "Move the trolley",
            "owner": "ward lead",
            "due": "2026-05-01",
        },
        {"do": "action", "key": "2", "id": "b", "what": "=Order pads", "status": "done"},
        {"do": "note", "key": "3", "meeting": "hot", "section": "went_well", "text": "Calm lead"},
    ]
    with Registry(where) as kept:
        at = {"at": "2026-03-04T15:00:00+00:00"}
        kept.append(EVENT, "talk.jsonl", [json.dumps(line | at).encode() for line in lines])
    return where


def test_outcome_is_entered_days_later_read_by_the_report_exported_and_taken_out(home, tmp_path):
    run(
        "enter",
        EVENT,
        "discharged_alive=yes",
        "cerebral_performance=2",
        "weight_kg=82,5",
        "--role",
        "registrar",
    )
    about = json.loads(run("measure", EVENT, "--format", "json", "--draws", 0).stdout)["event"]
    assert (about["discharged_alive"], about["cerebral_performance"], about["weight_kg"]) == (True, 2, 82.5)

    run("review", EVENT, "excluded", "--why", "a drill")
    run("export", "-o", tmp_path / "all.json", "--format", "json")
    tables = json.loads((tmp_path / "all.json").read_text(encoding="utf-8"))
    (row,) = tables["events"]
    assert (row["discharged_alive"], row["had_rosc"], row["cerebral_performance"]) == (True, None, 2)
    assert (row["status"], row["review_why"]) == ("excluded", "a drill")
    assert [one["what"] for one in tables["actions"]] == ["Move the trolley", "=Order pads"]
    assert [one["text"] for one in tables["notes"]] == ["Calm lead"]
    described = {(one["table"], one["column"]) for one in tables["dictionary"] if one["meaning"]}
    assert {
        (name, column) for name in ("notes", "actions") for row in tables[name] for column in row
    } <= described

    run("enter", EVENT, "discharged_alive=")
    with Registry(home) as kept:
        assert "discharged_alive" not in {k for k, v in kept.settings(EVENT).items() if v is not None}


@pytest.mark.parametrize(
    ("pair", "said"),
    [
        ("discharged_alive=home", "true | false"),
        ("cerebral_performance=6", "1 | 2"),
        ("unit", "KEY=VALUE"),
        ("sources=x", "sources"),
    ],
)
def test_what_cannot_be_entered_is_refused_with_what_to_write(home, pair, said):
    before = run("audit", EVENT, "--format", "json").stdout

    assert said in run("enter", EVENT, pair, code=2).output
    assert run("audit", EVENT, "--format", "json").stdout == before


def test_a_locked_event_takes_nothing_until_it_is_open_again_and_the_audit_tells_all(home):
    run("review", EVENT, "locked", "--role", "reviewer")
    assert "locked by a reviewer" in run("enter", EVENT, "unit=Elder ward", code=2).output
    assert "needs a reason" in run("review", EVENT, "excluded", code=2).output
    run("review", EVENT, "open", "--why", "new papers")
    run("enter", EVENT, "unit=Elder ward")
    run("remove", EVENT)

    done = json.loads(run("audit", EVENT, "--format", "json").stdout)
    assert [one["action"] for one in done][-4:] == ["review", "review", "enter", "remove"]
    assert [(one["role"], one["why"]) for one in done[-4:-2]] == [("reviewer", ""), ("", "new papers")]
    assert "new papers" in run("audit", EVENT).stdout
    assert "No event is called" in run("audit", "nobody", code=2).output


def test_open_actions_are_listed_across_events(home):
    table = run("actions").stdout
    assert "Move the trolley" in table
    assert "ward lead" in table
    assert "Order pads" not in table
    assert [
        one["id"] for one in json.loads(run("actions", "--status", "all", "--format", "json").stdout)
    ] == ["a", "b"]
    (row,) = csv.DictReader(io.StringIO(run("actions", "--status", "done", "--format", "csv").stdout))
    assert (row["what"], row["event_id"]) == ("'=Order pads", EVENT)
    run("remove", EVENT)
    assert "No action" in run("actions").stdout

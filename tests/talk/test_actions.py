"""Actions: what equipment problems ask for, and what came of the actions of earlier talks."""

from datetime import UTC, datetime, timedelta

import pytest

from debrief.talk.actions import CLOSED_SHOWN_DAYS, earlier_actions, offers
from debrief.talk.changes import append, checked
from debrief.talk.kept import Talk, after, read_talk
from tests.made import assessed, row

NOW = datetime(2026, 3, 4, 14, 0, tzinfo=UTC)


def action(**fields):
    return checked({"do": "action", "key": str(fields), **fields})


@pytest.fixture
def report():
    rows = [
        row(0, "recognition"),
        row(95, "equipment_problem", "suction weak"),
        row(120, "equipment_problem"),
    ]
    return assessed([*rows, row(200, "rosc")]).to_dict()


def test_each_equipment_problem_is_offered_as_an_action(report):
    first, second = offers(report, Talk())

    assert "suction weak" in first.what
    assert "1:35" in first.what
    assert first.about == "log:95"
    assert "2:00" in second.what


def test_what_became_an_action_is_offered_no_more(report):
    talk = after([action(id="a", what="Mend it", about="log:95") | {"at": NOW.isoformat()}])

    assert [offer.about for offer in offers(report, talk)] == ["log:120"]


def test_equipment_ticked_as_something_to_change_is_offered():
    report = assessed([row(0, "recognition"), row(10, "rosc")]).to_dict()
    ticked = {
        "do": "theme",
        "key": "t",
        "meeting": "cold",
        "section": "change",
        "theme": "equipment",
        "on": "yes",
    }
    talk = after([checked(ticked) | {"at": NOW.isoformat()}])

    assert [offer.about for offer in offers(report, talk)] == ["theme:equipment"]
    assert offers(report, Talk()) == []


@pytest.fixture
def shelf(tmp_path):
    """Three events: one talked about now, one with an open and a done action, one without a talk."""
    names = ("now", "before", "silent")
    for name in names:
        (tmp_path / name).mkdir()
    append(tmp_path / "now", action(id="mine", what="mine"), NOW)
    append(tmp_path / "before", action(id="a", what="done one"), NOW - timedelta(days=9))
    append(tmp_path / "before", action(id="b", what="open one"), NOW - timedelta(days=8))
    append(tmp_path / "before", action(id="a", status="done", outcome="it holds"), NOW - timedelta(days=2))
    return {name: read_talk(tmp_path / name) for name in names}


def test_open_actions_of_earlier_talks_stand_first_then_what_was_closed(shelf):
    found = earlier_actions(shelf, "now", NOW)

    assert [one.action.what for one in found] == ["open one", "done one"]
    assert found[1].action.outcome == "it holds"
    assert {one.event_id for one in found} == {"before"}


def test_what_was_closed_long_ago_is_not_shown_and_what_is_open_is(shelf):
    later = NOW + timedelta(days=CLOSED_SHOWN_DAYS)

    assert [one.action.what for one in earlier_actions(shelf, "now", later)] == ["open one"]

"""What can be said of marks that are one or two: it stands, it is undone, it never fails in silence."""

import json

import pytest

from debrief.dashboard import links
from debrief.dashboard.markup import to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.errors import BadSetting

LOG = "time,mark,detail\n14:03:20,call,\n14:04:00,shock,\n14:06:00,drug,epinephrine\n14:09:00,rosc,\n"
SHEET = "time,mark,detail\n14:04,shock,\n14:05,drug,amiodarone\n14:06,drug,epinephrine\n14:09,rosc,\n"


@pytest.fixture
def reports(tmp_path):
    """A shelf with one event of a log and a sheet to the minute."""
    folder = tmp_path / "ward"
    folder.mkdir()
    (folder / "monitor.csv").write_text(LOG)
    (folder / "sheet.csv").write_text(SHEET)
    clock = {"offset": 0, "low": 0, "high": 0}
    sheet = {"file": "sheet.csv", "kind": "person", "clock": clock}
    sources = [{"file": "monitor.csv", "kind": "device"}, sheet]
    (folder / "event.json").write_text(json.dumps({"format": 1, "sources": sources}))
    found = Reports(Shelf(tmp_path / "home"))
    found.shelf.open(folder)
    return found


def seen(reports):
    """Return the marks of each occurrence that is seen in several."""
    return [one["marks"] for one in reports.get("ward").report["occurrences"] if len(one["marks"]) > 1]


def shown(reports):
    """Return the section as the page has it."""
    return to_html(links.section(reports.get("ward")))


def test_parting_and_undoing_and_linking(reports):
    before = seen(reports)
    assert ["monitor:3", "sheet:2"] in before

    links.take(reports.get("ward"), {"value": "part|monitor:3|sheet:2"})
    assert ["monitor:3", "sheet:2"] not in seen(reports)
    assert 'data-value="undo_link|monitor:3|sheet:2"' in shown(reports)
    links.take(reports.get("ward"), {"value": "undo_link|monitor:3|sheet:2"})
    assert seen(reports) == before
    assert "undo_link" not in shown(reports)
    links.take(reports.get("ward"), {"value": "part|monitor:3|sheet:2"})
    links.take(reports.get("ward"), {"name": "sheet:2", "value": "monitor:3"})
    assert seen(reports) == before


def test_only_what_can_be_one_is_offered(reports):
    links.take(reports.get("ward"), {"value": "part|monitor:4|sheet:4"})
    text = shown(reports)

    assert '<option value="monitor:4">' in text
    assert '<option value="sheet:4">' in text
    assert '<option value="sheet:3">' not in text


@pytest.mark.parametrize(
    "said",
    [
        {"value": "part|monitor:3|sheet:99"},
        {"value": "part|monitor:3"},
        {"value": "drop|monitor:3|sheet:2"},
        {"value": "undo_link|monitor:77|sheet:99"},
        {"value": "forget|0"},
        {"value": "forget|x"},
        {"value": ""},
        {"name": "sheet:2", "value": ""},
    ],
)
def test_what_makes_no_sense_is_refused_and_nothing_is_written(reports, said):
    event = reports.get("ward")
    with pytest.raises(BadSetting):
        links.take(event, said)

    assert not (event.folder / "corrections.jsonl").exists()


def test_a_change_that_lost_its_mark_can_be_forgotten(reports):
    event = reports.get("ward")
    links.take(event, {"value": "part|monitor:3|sheet:2"})
    (event.folder / "sheet.csv").write_text(SHEET.replace("14:04,shock", "14:04,note"))
    lost = [one for one in reports.get("ward").report["problems"] if one["code"] == "correction_lost"]
    assert len(lost) == 1
    assert links.answered_at(lost[0], {}) == "#one-by-hand"
    assert 'id="one-by-hand"' in shown(reports)

    links.take(reports.get("ward"), {"value": "forget|0"})
    codes = [one["code"] for one in reports.get("ward").report["problems"]]
    assert "correction_lost" not in codes


def test_a_problem_leads_to_the_occurrence_of_its_mark(reports):
    report = reports.get("ward").report
    problem = {
        "source_id": "sheet",
        "place": "2",
        "severity": "check",
        "code": "sources_disagree",
        "message": "",
    }
    address = links.answered_at(problem, links.places(report))

    assert f'id="{address.removeprefix("#")}"' in shown(reports)
    assert links.answered_at({**problem, "code": "zero_assumed"}, links.places(report)) is None


def test_an_event_of_one_source_is_not_asked(reports):
    folder = reports.get("ward").folder
    (folder / "event.json").write_text(json.dumps({"format": 1, "sources": [{"file": "monitor.csv"}]}))

    assert shown(reports) == ""

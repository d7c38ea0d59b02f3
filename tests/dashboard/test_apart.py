"""What stands apart: a timeline of its own, on its own axis, as a table and as a file."""

import json

import pytest

from debrief.dashboard.apart import apart
from debrief.dashboard.app import create_app
from debrief.dashboard.markup import to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf

LOCAL = {"Host": "127.0.0.1:8050"}
LOG = """time,mark,amount,unit
10:00:05,compressions start,,
10:02:11,shock,200,J
10:09:40,rosc,,
"""
OTHER = """time,mark,detail,amount,unit
03:00,recognition,,,
03:04,drug,epinephrine,1,mg
03:11,airway,tube,,
"""


@pytest.fixture
def shelf(tmp_path):
    """An event of two sources that share nothing."""
    folder = tmp_path / "two"
    folder.mkdir()
    (folder / "log.csv").write_text(LOG)
    (folder / "other.csv").write_text(OTHER)
    sources = [{"file": "log.csv", "kind": "device"}, {"file": "other.csv", "name": "<b>", "kind": "person"}]
    (folder / "event.json").write_text(json.dumps({"sources": sources}))
    shelf = Shelf(tmp_path / "home")
    shelf.open(folder)
    return shelf


def test_it_counts_from_its_own_time_zero_and_leads_to_the_clocks(shelf):
    measured = Reports(shelf).get("two")
    html = to_html(apart(measured, 900))

    assert html.count("<svg") == 1
    assert "minutes from recognition, 03:00" in html
    assert "shock" not in html.partition("<svg")[2].partition("</svg>")[0].replace("shocks", "")
    assert 'href="/event/two/clocks"' in html
    assert "<b>" not in html
    assert "Standing apart: &lt;b&gt;" in html
    assert "Epinephrine 1 mg" in html.partition("<table")[2]


def test_an_event_whose_clocks_agree_has_nothing_apart(tmp_path):
    assert apart(Reports(Shelf(tmp_path)).get("vf_log_and_sheet"), 900) == []


def test_each_timeline_comes_as_a_file_of_its_own(shelf):
    client = create_app(shelf).server.test_client()
    first, second, third = (
        client.get(f"/event/two/{name}.svg", headers=LOCAL)
        for name in ("timeline", "timeline-2", "timeline-3")
    )

    assert "200 J" in first.text
    assert "epinephrine" not in first.text
    assert "epinephrine 1 mg" in second.text
    assert "var(" not in second.text
    assert (third.status_code, third.mimetype) == (404, "text/plain")
    assert "No group of sources has the number 3" in third.text

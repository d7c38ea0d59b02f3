"""The list of events: figures as the event's own page has them, measured once, what cannot be read named."""

import io
import json
import re
import shutil
import zipfile

import pytest

from debrief.dashboard.app import create_app
from debrief.dashboard.markup import to_html
from debrief.dashboard.pages import events
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.dashboard.taking_in import labels_of
from debrief.errors import BadSetting
from debrief.picture.sentences import value_text
from debrief.resources import shipped
from tests.dashboard.made import keep


@pytest.fixture
def reports(tmp_path):
    shelf = Shelf(tmp_path / "home")
    for name in ("vf_log_and_sheet", "newborn_at_birth"):
        shutil.copytree(shipped("sample_events") / name, tmp_path / "ward" / f"{name}_2")
    (tmp_path / "ward" / "broken").mkdir()
    (tmp_path / "ward" / "broken" / "broken.csv").write_bytes(b"\x00\x01\x02")
    (tmp_path / "ward" / "broken" / "event.json").write_text("{}")
    shelf.open(tmp_path / "ward")
    return Reports(shelf)


def rows(reports, patience_s=60.0):
    table = to_html(events.table(reports, patience_s))
    return [re.sub("<[^>]+>", " ", row) for row in table.split("<tr")[2:]]


def test_an_event_has_the_figures_of_its_own_page(reports):
    [row] = [row for row in rows(reports) if "Alder ward" in row]
    figures = {one["name"]: one for one in reports.get("vf_log_and_sheet_2").report["figures"]}

    assert "2025-11-06" in row
    assert all(value_text(figures[name]) in row for name in events.FIGURES)


def test_what_has_no_value_says_why_not_and_what_cannot_be_read_is_named(reports):
    found = rows(reports)
    [newborn] = [row for row in found if "Willow" in row]
    [broken] = [row for row in found if "broken.csv" in row]

    assert "does not apply" in newborn
    assert "0 %" not in newborn
    assert "%" not in broken
    assert len(found) == 3


def test_without_patience_events_are_listed_before_they_are_measured(reports):
    waiting = to_html(events.table(reports, -1.0))
    assert waiting.count("data-waiting") == 3
    events.table(reports, 60.0)

    assert "data-waiting" not in to_html(events.table(reports, -1.0)), "measured once, known from then on"


def test_a_change_of_an_event_is_a_change_of_its_row(reports):
    folder = reports.shelf.folder("vf_log_and_sheet_2")
    before = reports.brief("vf_log_and_sheet_2")
    settings = json.loads((folder / "event.json").read_text())
    (folder / "event.json").write_text(json.dumps(settings | {"population": "child"}))

    assert before["event"]["population"] == "adult"
    assert reports.brief("vf_log_and_sheet_2")["event"]["population"] == "child"


def test_a_folder_of_folders_and_files_is_all_its_events(reports):
    assert set(reports.shelf.opened) == {"vf_log_and_sheet_2", "newborn_at_birth_2", "broken"}
    assert len(reports.shelf.listed()) == 3


def test_a_path_where_nothing_is_is_refused_in_words(tmp_path):
    with pytest.raises(BadSetting, match="There is nothing at"):
        Shelf(tmp_path).open(tmp_path / "nowhere.csv")


TWO = b"""event_id,time,mark
A,10:00:00,recognition
A,10:01:00,CPR started
B,12:00:00,recognition
B,12:02:00,CPR started
"""


def test_each_event_of_a_file_is_kept_as_one_of_its_own(tmp_path):
    shelf = Shelf(tmp_path)
    names = keep(shelf, ("two.csv", TWO), as_one=False)
    reports = Reports(shelf)
    begun = [reports.get(name).report["time_zero"]["wall"] for name in names]

    assert labels_of(("two.csv", TWO), shelf) == ["two.csv: A", "two.csv: B"]
    assert len(set(names)) == 2
    assert [wall[-8:] for wall in begun] == ["10:00:00", "12:00:00"]
    assert keep(shelf, ("two.csv", TWO), as_one=False) == names


def test_the_events_of_an_archive_are_kept_with_their_settings(tmp_path):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for file in sorted((shipped("sample_events") / "child_by_weight").iterdir()):
            archive.write(file, f"ward/child/{file.name}")
        archive.writestr("ward/two.csv", TWO)
    shelf = Shelf(tmp_path)
    names = keep(shelf, ("month.zip", packed.getvalue()), as_one=False)
    populations = [Reports(shelf).get(name).report["event"]["population"] for name in names]

    assert sorted(populations) == ["adult", "adult", "child"]


def test_a_file_that_holds_several_events_is_asked_about(tmp_path):
    client = create_app(Shelf(tmp_path)).server.test_client()

    def sent(how, content):
        form = {"as": how, "files": (io.BytesIO(content), "two.csv")}
        return client.post("/files", data=form, headers={"Host": "127.0.0.1", "X-Debrief": "1"}).json

    assert sent("ask", TWO) == {"holds": ["two.csv: A", "two.csv: B"]}
    assert [one["did"] for one in sent("several", TWO)["became"]] == ["added", "added"]
    assert sent("ask", b"time,mark\n10:00,call\n")["go"] == "/event/two/understood"

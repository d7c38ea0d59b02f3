"""The list of events: figures as the event's own page has them, measured once, what cannot be read named."""

import io
import json
import re
import shutil
import zipfile

import pytest

from debrief.dashboard.app import create_app
from debrief.dashboard.event_folder import read_settings, write_settings
from debrief.dashboard.listed import FIGURES, Asked, listed
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


def rows(reports, search="", patience_s=60.0):
    table = events.said(reports, Asked.of(search), patience_s)[events.TABLE]
    return [re.sub("<[^>]+>", " ", row) for row in table.split("<tr")[2:]]


def names(reports, search):
    return [one.line.event_id for one in listed(reports, Asked.of(search)).rows]


def test_an_event_has_the_figures_of_its_own_page(reports):
    [row] = [row for row in rows(reports) if "Alder ward" in row]
    figures = {one["name"]: one for one in reports.get("vf_log_and_sheet_2").report["figures"]}

    assert "2025-11-06" in row
    assert all(value_text(figures[name]) in row for name in FIGURES)


def test_what_has_no_value_says_why_not_and_what_cannot_be_read_is_named(reports):
    found = rows(reports)
    [newborn] = [row for row in found if "Willow" in row]
    [broken] = [row for row in found if "broken.csv" in row]

    assert "does not apply" in newborn
    assert "0 %" not in newborn
    assert "%" not in broken
    assert len(found) == 3


def test_without_patience_events_are_listed_before_they_are_measured(reports):
    def waiting():
        return sum("being measured" in row for row in rows(reports, patience_s=-1.0))

    assert waiting() == 3
    rows(reports)

    assert waiting() == 0, "measured once, known from then on"


@pytest.fixture
def kept(tmp_path):
    """Three events in a registry: complete, with a word that nobody knows, and with a doubtful row."""
    shelf = Shelf(tmp_path)
    told = b'{"unit": "Birch ward", "date": "2026-02-01", "population": "child", "local_reference": "K-17"}'
    keep(shelf, ("full.csv", TWO.split(b"B,12")[0]))
    keep(shelf, ("event.json", told), ("odd.csv", b"time,mark\n10:00,pulseless\n10:01,zapped\n10:02,shock\n"))
    keep(shelf, ("plain.csv", b"time,mark\n10:00,pulseless\n10:01,VF\n10:02,shock\n10:09,rosc\n"))
    return Reports(shelf)


def test_events_of_the_registry_are_searched_filtered_and_sorted(kept):
    assert names(kept, "") == ["odd", "full", "plain"], "the newest first, those without a date last"
    assert names(kept, "?q=k-17+BIRCH") == ["odd"]
    assert names(kept, "?q=plain.csv") == ["plain"]
    assert names(kept, "?population=child&unit=Birch+ward") == ["odd"]
    assert names(kept, "?status=needs_mapping") == ["odd"]
    assert names(kept, "?rhythm=vf") == ["plain"]
    assert names(kept, "?since=2026-01-01&until=2026-02-01") == ["odd"]
    assert names(kept, "?until=2026-01-31") == [], "no date is no day before it"
    assert names(kept, "?sort=event&down=1") == ["plain", "full", "odd"]
    assert names(kept, "?sort=nonsense&page=99") == names(kept, "")
    assert "No event fits" in events.said(kept, Asked.of("?q=nothing"))[events.TABLE]


def test_what_is_missing_is_named_with_why_and_what_to_look_at_first_leads_there(kept):
    parts = events.said(kept, Asked.of("?q=odd"))

    assert re.search("Not known of Birch ward.*resuscitation: No compression is marked", parts[events.TABLE])
    assert "needs mapping" in parts[events.TABLE]
    assert 'href="/event/odd/understood"' in parts[events.FIRST]
    assert "Say what it means" in parts[events.FIRST]


def test_what_a_reviewer_says_of_an_event_stands_in_the_list_with_why(kept):
    kept.shelf.registry.review("plain", "excluded", "nurse", "a drill, not a patient")

    [row] = rows(kept, "?status=excluded")
    assert "excluded: a drill, not a patient" in row
    assert "plain" not in [line.event_id for line in listed(kept, Asked()).first]


def test_an_event_that_was_changed_since_it_was_measured_says_so(kept):
    assert not any("changed since" in row for row in rows(kept))
    with kept.changing("plain") as folder:
        write_settings(folder, read_settings(folder) | {"unit": "Alder"})

    assert ["Alder" in row for row in rows(kept) if "changed since it was measured" in row] == [True]


def test_what_was_taken_out_is_listed_apart_and_can_be_brought_back(kept):
    kept.shelf.remove("plain")

    assert "plain" not in names(kept, "")
    assert names(kept, "?status=removed") == ["plain"]
    assert "Bring plain back" in events.said(kept, Asked.of("?status=removed"))[events.TABLE]


def test_an_address_asks_for_the_same_again():
    asked = Asked.of("?q=a%26b&sort=date&down=1&unknown=1&page=2")

    assert (asked.q, asked.sort, asked.page) == ("a&b", "date", "2")
    assert Asked.of(str(asked)) == asked
    assert str(Asked()) == ""


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

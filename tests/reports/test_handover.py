"""The file for hand-over: whole, checked by digests, the same bytes for the same input."""

import hashlib
import io
import json
import zipfile

import pytest

from debrief.assess import assess
from debrief.reports.handover import handover, told
from debrief.resources import shipped
from debrief.talk.changes import checked
from debrief.talk.kept import Talk, after

FOLDER = shipped("sample_events") / "vf_log_and_sheet"


@pytest.fixture(scope="module")
def report():
    return assess([FOLDER], draws=0).to_dict()


def talk():
    changes = [
        {"do": "note", "meeting": "hot", "section": "facts", "text": "كان هادئا"},
        {"do": "here", "meeting": "hot", "id": "a", "role": "ward nurse", "number": "2", "arrived": "0:40"},
        {"do": "start", "meeting": "cold", "when": "2026-03-04T14:00:00+00:00"},
        {"do": "action", "id": "x", "what": "Mend it", "owner": "charge nurse"},
        {"do": "action", "id": "y", "owner": "nobody yet"},
    ]
    at = "2026-03-04T14:00:00+00:00"
    return after(checked({"key": str(n), **one}) | {"at": at} for n, one in enumerate(changes))


def read(made):
    archive = zipfile.ZipFile(io.BytesIO(made))
    return {name: archive.read(name) for name in archive.namelist()}


def test_every_file_in_it_has_its_digest_in_the_contents(report):
    files = read(handover(report, talk(), FOLDER, with_sources=True))
    contents = json.loads(files.pop("contents.json"))

    assert {one["file"]: one["sha256"] for one in contents["files"]} == {
        name: hashlib.sha256(content).hexdigest() for name, content in files.items()
    }
    assert [one["included"] for one in contents["read"]] == [True, True]
    for one in contents["read"]:
        assert hashlib.sha256(files[f"sources/{one['file']}"]).hexdigest() == one["sha256"]


def test_without_source_files_it_says_so_and_still_has_their_digests(report):
    files = read(handover(report, Talk(), FOLDER))
    contents = json.loads(files["contents.json"])

    assert not any(name.startswith("sources/") for name in files)
    assert "not in this file" in contents["sources"]
    assert [one["included"] for one in contents["read"]] == [False, False]
    assert all(len(one["sha256"]) == 64 for one in contents["read"])


def test_the_same_input_gives_the_same_bytes(report):
    assert handover(report, talk(), FOLDER) == handover(report, talk(), FOLDER)


def test_the_report_in_it_is_the_report(report):
    assert json.loads(read(handover(report, Talk(), FOLDER))["report.json"]) == json.loads(json.dumps(report))


def test_a_talk_is_told_as_plain_data(report):
    plain = json.loads(json.dumps(told(report, talk())))

    assert plain["points"][0]["rule"] == "went_well"
    assert plain["hot"]["notes"]["facts"] == "كان هادئا"
    assert plain["hot"]["here"] == [{"role": "ward nurse", "number": "2", "arrived": "0:40"}]
    assert plain["cold"]["talked"] == [{"from": "2026-03-04T14:00:00+00:00", "to": None}]
    assert [one["what"] for one in plain["actions"]] == ["Mend it"]


def test_what_the_site_says_of_confidentiality_and_further_files_go_along(report):
    files = read(handover(report, Talk(), FOLDER, confidentiality="For few.", more={"sheet.pdf": b"%PDF"}))

    assert json.loads(files["contents.json"])["confidentiality"] == "For few."
    assert files["sheet.pdf"] == b"%PDF"


def test_a_file_outside_the_folder_is_not_taken(report, tmp_path):
    (tmp_path / "secret.csv").write_text("x")
    inside = tmp_path / "event"
    inside.mkdir()
    bent = report | {"inputs": [{"file": "../secret.csv", "sha256": "0" * 64}]}

    assert "sources/../secret.csv" not in read(handover(bent, Talk(), inside, with_sources=True))

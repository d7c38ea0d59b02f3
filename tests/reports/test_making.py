"""``debrief sheet``: one event, on the paper and by the targets asked for, refused in one message."""

import json
import shutil

import pytest

from debrief.resources import shipped
from debrief.talk.changes import append
from debrief.words import say
from tests.reports.paper import about, poppler, text_of
from tests.test_cli import run

SAMPLES = shipped("sample_events")
VF = SAMPLES / "vf_log_and_sheet"


@poppler
def test_it_writes_one_page_on_the_paper_and_by_the_edition_asked_for(tmp_path):
    path = tmp_path / "out.pdf"
    said = run("sheet", VF, "-o", path, "--paper", "letter", "--edition", "ERC 2021")
    pdf = path.read_bytes()

    assert str(path) in said.stderr
    assert about(pdf)["Pages"] == "1"
    assert "(letter)" in about(pdf)["Page size"]
    assert "Targets of ERC 2021." in text_of(pdf)


@poppler
def test_a_sample_is_marked_as_invented_and_a_file_of_ones_own_is_not(tmp_path):
    """One sample is a bare file that cannot say so itself; a folder says so wherever it lies."""
    sheet, copied = SAMPLES / "asystole_night_sheet.csv", tmp_path / "own.csv"
    shutil.copy(sheet, copied)
    folder = shutil.copytree(VF, tmp_path / "vf")
    marked = {}
    for path in (sheet, copied, folder):
        run("sheet", path, "-o", tmp_path / "out.pdf")
        marked[path] = say("pages.invented") in text_of((tmp_path / "out.pdf").read_bytes())

    assert marked == {sheet: True, copied: False, folder: True}


@poppler
def test_the_sites_line_of_confidentiality_and_its_edition_stand_on_it(tmp_path):
    site, path = tmp_path / "site.toml", tmp_path / "out.pdf"
    site.write_text('edition = "ERC 2025"\nconfidentiality = "For the committee alone."\n')
    run("sheet", VF, "-o", path, "--site", site)
    text = text_of(path.read_bytes())

    assert "For the committee alone." in text
    assert "Targets of ERC 2025." in text


@poppler
def test_files_are_joined_into_one_event_and_what_its_folder_keeps_of_a_talk_is_on_it(tmp_path):
    path = tmp_path / "out.pdf"
    run("sheet", *sorted(VF.glob("*.csv")), "--event", "-o", path)
    assert "monitor_log.csv" in text_of(path.read_bytes())

    folder = shutil.copytree(VF, tmp_path / "vf")
    append(folder, {"do": "add_point", "key": "k", "id": "own", "question": "Who called the family?"})
    run("sheet", folder, "-o", path)
    assert "Who called the family?" in text_of(path.read_bytes())


def test_several_events_are_refused_and_named(tmp_path):
    said = run("sheet", SAMPLES, "-o", tmp_path / "out.pdf", code=2)

    assert f"here are {len(list(SAMPLES.iterdir()))}: asystole_night_sheet.csv" in said.stderr
    assert not (tmp_path / "out.pdf").exists()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([VF, "--edition", "AHA 1900"], "AHA 1900"),
        ([VF / "nowhere.csv"], "nowhere.csv"),
        ([VF, "--paper", "a5"], "letter"),
    ],
)
def test_what_cannot_be_made_is_said_in_one_message(tmp_path, arguments, said):
    result = run("sheet", *arguments, "-o", tmp_path / "out.pdf", code=2)

    assert said in result.stderr
    assert not (tmp_path / "out.pdf").exists()


def test_a_place_that_cannot_be_written_is_named(tmp_path):
    path = tmp_path / "no such folder" / "out.pdf"
    assert str(path) in run("sheet", VF, "-o", path, code=2).stderr


@poppler
def test_an_event_without_anything_tied_to_a_clock_is_refused(tmp_path):
    (tmp_path / "marks.csv").write_text("time,mark\n,recognition\n")
    (tmp_path / "event.json").write_text(json.dumps({"format": 1, "sources": [{"file": "marks.csv"}]}))
    run("sheet", tmp_path, "-o", tmp_path / "out.pdf", code=2)

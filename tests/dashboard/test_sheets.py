"""The sheet over HTTP: as PDF to keep, as a picture to see, for the paper and the edition that are asked."""

import pytest

from debrief.dashboard.app import create_app
from debrief.dashboard.shelf import Shelf
from debrief.talk.changes import append
from debrief.words import say
from tests.reports.paper import about, flat, poppler, text_of

LOCAL = {"Host": "127.0.0.1"}
EVENT = "/event/vf_log_and_sheet/sheet"


@pytest.fixture
def shelf(tmp_path):
    return Shelf(tmp_path)


@pytest.fixture
def client(shelf):
    return create_app(shelf).server.test_client()


@poppler
@pytest.mark.parametrize(("asked", "size"), [("", "A4"), ("?paper=letter", "letter"), ("?paper=x", "A4")])
def test_the_pdf_is_of_the_paper_asked_for_and_named_after_the_event(client, asked, size):
    sent = client.get(f"{EVENT}.pdf{asked}", headers=LOCAL)

    assert sent.mimetype == "application/pdf"
    assert sent.headers["Content-Disposition"] == "attachment; filename=vf_log_and_sheet-sheet.pdf"
    assert f"({size})" in about(sent.data)["Page size"]


@poppler
def test_the_pdf_is_of_the_edition_asked_for_and_says_that_a_sample_is_invented(client):
    text = text_of(client.get(f"{EVENT}.pdf?edition=ERC+2021", headers=LOCAL).data)

    assert "Targets of ERC 2021." in text
    assert say("pages.invented") in text


@poppler
def test_what_was_kept_of_the_talk_is_on_it(client, shelf):
    changes = (
        {"do": "action", "id": "a1", "what": "Pads out first", "owner": "charge nurse"},
        {"do": "note", "meeting": "hot", "section": "change", "text": "Ask\nlouder"},
        {"do": "drop_point", "id": "went_well"},
        {"do": "add_point", "id": "own", "question": "Who called the family?"},
    )
    for number, change in enumerate(changes):
        append(shelf.folder("vf_log_and_sheet"), {"key": f"k{number}", **change})
    text = text_of(client.get(f"{EVENT}.pdf", headers=LOCAL).data)

    assert "Pads out first charge nurse" in text
    assert "Ask louder" in text
    assert "Who called the family?" in text
    assert say("talk.question.went_well") not in text


@poppler
def test_the_sites_line_of_confidentiality_is_on_it(shelf, tmp_path):
    site = tmp_path / "site.toml"
    site.write_text('confidentiality = "For the committee alone."\n')
    client = create_app(shelf, site=site).server.test_client()

    assert "For the committee alone." in text_of(client.get(f"{EVENT}.pdf", headers=LOCAL).data)


def test_the_picture_is_a_picture(client):
    sent = client.get(f"{EVENT}.png?paper=letter", headers=LOCAL)

    assert sent.mimetype == "image/png"
    assert sent.data.startswith(b"\x89PNG")


@pytest.mark.parametrize("path", ["/event/nobody/sheet.pdf", f"{EVENT}.png?edition=none"])
def test_a_sheet_that_cannot_be_made_is_not_found_and_says_why(client, path):
    sent = client.get(path, headers=LOCAL)

    assert sent.status_code == 404
    assert flat(sent.text).strip()

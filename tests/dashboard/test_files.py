"""The way in for files: what is taken, what is refused and how it is said."""

import io

import pytest
from flask import Flask

from debrief.dashboard import files
from debrief.dashboard.shelf import Shelf

OURS = {files.OWN_HEADER: "1"}


@pytest.fixture
def shelf(tmp_path):
    return Shelf(tmp_path)


@pytest.fixture
def client(shelf):
    server = Flask("test")
    server.config["MAX_CONTENT_LENGTH"] = 5_000
    files.register(server, shelf)
    return server.test_client()


def post(client, sent, how="one", headers=OURS):
    data = {"as": how, "files": [(io.BytesIO(content), name) for name, content in sent]}
    return client.post("/files", data=data, headers=headers, content_type="multipart/form-data")


def test_several_files_become_one_event_or_several_as_asked(client, shelf):
    sent = [("a.csv", b"1"), ("b.csv", b"2")]

    assert len(post(client, sent).json["events"]) == 1
    assert len(post(client, sent, "several").json["events"]) == 2
    assert len(shelf.entries()) == 3


def test_hostile_names_stay_in_the_events_folder(client, shelf, tmp_path):
    [event_id] = post(client, [("../../../evil.csv", b"1"), ("/etc/passwd", b"2")]).json["events"]

    names = sorted(path.name for path in shelf.folder(event_id).iterdir())
    assert names == ["event.json", "evil.csv", "passwd"]
    assert not (tmp_path.parent / "evil.csv").exists()


@pytest.mark.parametrize(
    ("sent", "status", "said"),
    [
        ([("big.csv", b"x" * 6_000)], 413, "larger than 50 MB"),
        ([("none.csv", b"")], 400, "none.csv is empty"),
        ([], 400, "No file came"),
        ([(f"{n}.csv", b"x") for n in range(files.MOST_FILES + 1)], 413, "more than 60 files"),
    ],
)
def test_what_cannot_be_taken_is_said(client, shelf, sent, status, said):
    client.application.config["MAX_CONTENT_LENGTH"] = 5_000 if status != 413 or len(sent) < 2 else 500_000
    reply = post(client, sent)

    assert reply.status_code == status
    assert said in reply.json["message"]
    assert shelf.entries() == []


def test_another_sites_form_cannot_put_files_here(client, shelf):
    assert post(client, [("a.csv", b"1")], headers={}).status_code == 403
    assert shelf.entries() == []

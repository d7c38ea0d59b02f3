"""The way in for files: what is taken, what is refused and how it is said."""

import io

import pytest
from flask import Flask

from debrief.dashboard import files
from debrief.dashboard.addresses import event_in
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf

OURS = {files.OWN_HEADER: "1"}
ONE = b"time,mark\n10:00,pulseless\n10:01,shock\n"
OTHER = b"time,mark\n10:00,pulseless\n10:02,drug\n"
THIRD = b"time,mark\n11:00,pulseless\n11:02,call\n"


@pytest.fixture
def shelf(tmp_path):
    return Shelf(tmp_path)


@pytest.fixture
def client(shelf):
    server = Flask("test")
    server.config["MAX_CONTENT_LENGTH"] = 5_000
    files.register(server, Reports(shelf))
    return server.test_client()


def post(client, sent, how="one", headers=OURS):
    data = {"as": how, "files": [(io.BytesIO(content), name) for name, content in sent]}
    return client.post("/files", data=data, headers=headers, content_type="multipart/form-data")


def test_several_files_become_one_event_or_several_as_asked(client, shelf):
    sent = [("a.csv", ONE), ("b.csv", OTHER)]

    assert len(post(client, sent).json["became"]) == 1
    assert shelf.names() == ["a"]
    client.application.config["MAX_CONTENT_LENGTH"] = 5_000
    assert (
        len(post(client, [("c.csv", ONE + b"10:09,rosc\n"), ("d.csv", THIRD)], "several").json["became"]) == 2
    )
    assert shelf.names() == ["a", "c", "d"]


def test_the_same_file_twice_is_said_and_not_doubled(client, shelf):
    assert post(client, [("a.csv", ONE)]).json["go"] == "/event/a/understood"
    again = post(client, [("copy of a.csv", ONE)]).json

    assert again["go"] is None
    assert [(one["did"], one["address"]) for one in again["became"]] == [("known", "/event/a")]
    assert again["became"][0]["said"].startswith("a: kept already; nothing was added.")
    assert shelf.names() == ["a"]


def test_what_cannot_be_read_is_refused_by_its_name_and_the_others_are_kept(client, shelf):
    became = post(client, [("junk.bin", bytes(range(256))), ("a.csv", ONE)], "several").json["became"]

    assert sorted((one["did"], one["attention"]) for one in became)[1] == ("refused", True)
    assert any("junk.bin" in one["said"] for one in became)
    assert shelf.names() == ["a"]


def test_a_file_that_has_to_be_asked_about_is_kept_and_leads_to_the_questions(client, shelf):
    answer = post(client, [("ours.csv", b"moment;deed\nearly;pushing\nlate;zap\n")]).json

    assert answer["go"] == "/event/ours/understood"
    assert shelf.names() == ["ours"]


def test_names_of_any_letters_stand_in_addresses(client, shelf):
    for name in ("Ward 3, Mrz \u05d0?#&%2F.csv", "100%.csv"):
        [one] = post(client, [(name, ONE + name.encode() + b"\n")]).json["became"]

        assert shelf.is_kept(event_in(one["address"]))


def test_hostile_names_stay_names(client, shelf, tmp_path):
    sent = [("../../../evil.csv", ONE), ("/etc/passwd", OTHER), ("CON.csv", THIRD)]
    [one] = post(client, sent).json["became"]

    names = sorted(path.name for path in shelf.folder(event_in(one["address"])).iterdir())
    assert names == ["_CON.csv", "event.json", "evil.csv", "passwd"]
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
    assert shelf.names() == []


def test_another_sites_form_cannot_put_files_here(client, shelf):
    assert post(client, [("a.csv", b"1")], headers={}).status_code == 403
    assert shelf.names() == []

"""What goes wrong where events are kept is said on the page: gone, locked, read-only, half an upload."""

import io
import sqlite3

import pytest

from debrief.dashboard import router
from debrief.dashboard.app import create_app
from debrief.dashboard.files import FORM_BYTES, MOST_BYTES, OWN_HEADER
from debrief.dashboard.pages import PAGES
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.registry import database
from debrief.resources import REGISTRY_FILE
from tests.dashboard.made import keep

LOG = b"time,mark\n10:00,pulseless\n10:01,shock\n"
OTHER = b"time,mark\n10:00,pulseless\n10:02,drug\n"
OURS = {OWN_HEADER: "1", "Host": "127.0.0.1"}


@pytest.fixture
def shelf(tmp_path):
    shelf = Shelf(tmp_path)
    keep(shelf, ("a.csv", LOG))
    return shelf


@pytest.fixture
def client(shelf):
    return create_app(shelf).server.test_client()


def drop(client, content=OTHER):
    form = {"as": "one", "files": (io.BytesIO(content), "b.csv")}
    return client.post("/files", data=form, headers=OURS)


def page(shelf, path):
    return str(router.page_at(PAGES, path, "", Reports(shelf)))


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")  # of werkzeug's own file
def test_half_an_upload_is_refused_and_nothing_is_kept(client, shelf):
    whole = (
        b'--x\r\nContent-Disposition: form-data; name="as"\r\n\r\none\r\n'
        b'--x\r\nContent-Disposition: form-data; name="files"; filename="b.csv"\r\n\r\n' + OTHER[:20]
    )
    kind = "multipart/form-data; boundary=x"
    answer = client.post("/files", data=whole, headers=OURS, content_type=kind)

    assert answer.status_code == 400
    assert "No file came" in answer.json["message"]
    assert shelf.names() == ["a"]


def test_two_hundred_megabytes_are_refused_in_words_before_they_are_read(client, shelf):
    kind, told = "multipart/form-data; boundary=x", {"CONTENT_LENGTH": "200000000"}
    answer = client.post("/files", headers=OURS, content_type=kind, environ_overrides=told)

    assert 200_000_000 > MOST_BYTES + FORM_BYTES
    assert answer.status_code == 413
    assert "larger than 50 MB" in answer.json["message"]
    assert shelf.names() == ["a"]


def test_a_registry_that_was_removed_is_said_on_every_page_and_nothing_is_lost(client, shelf, tmp_path):
    aside = tmp_path / "aside"
    (tmp_path / REGISTRY_FILE).rename(aside)

    answer = drop(client)
    assert answer.status_code == 507
    assert "was removed" in answer.json["message"]
    for path in ("/", "/events", "/event/a", "/event/a/understood"):
        assert "was removed" in page(shelf, path)
    assert not (tmp_path / REGISTRY_FILE).exists(), "none is made in its place"
    aside.rename(tmp_path / REGISTRY_FILE)
    assert "was removed" not in page(shelf, "/event/a")
    assert drop(client).json["became"][0]["did"] == "added"


def test_a_locked_database_is_said_and_the_next_try_goes_through(tmp_path, monkeypatch):
    monkeypatch.setattr(database, "WAIT_S", 0.05)
    shelf = Shelf(tmp_path)
    keep(shelf, ("a.csv", LOG))
    client = create_app(shelf).server.test_client()
    other = sqlite3.connect(tmp_path / REGISTRY_FILE, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    answer = drop(client)
    assert answer.status_code == 507
    assert "another program is writing" in answer.json["message"]
    assert "a" in shelf.names(), "what is kept can be read meanwhile"

    other.execute("ROLLBACK")
    other.close()
    assert drop(client).json["became"][0]["did"] == "added"


def test_what_is_no_registry_is_said_and_samples_named_at_the_start_still_open(tmp_path):
    (tmp_path / REGISTRY_FILE).write_bytes(b"no database at all, but bytes " * 40)
    shelf = Shelf(tmp_path)

    assert "is no registry" in page(shelf, "/")
    assert "is no registry" in page(shelf, "/events")

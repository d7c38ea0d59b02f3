"""The application: what it sends with every page, what it answers to strangers, that two share nothing."""

import json
from pathlib import Path

import pytest

from debrief.dashboard.app import create_app, serve
from debrief.dashboard.shelf import Shelf
from debrief.picture.theme import THEMES
from debrief.words import say
from tests.dashboard.made import keep

LOCAL = {"Host": "127.0.0.1:8050"}


@pytest.fixture(scope="module")
def client(tmp_path_factory):
    return create_app(Shelf(tmp_path_factory.mktemp("home"))).server.test_client()


def test_every_page_keeps_to_itself(client):
    sent = client.get("/", headers=LOCAL).headers

    assert "default-src 'self'" in sent["Content-Security-Policy"]
    assert "unsafe-inline" not in sent["Content-Security-Policy"].split("script-src")[1].split(";")[0]
    assert sent["X-Content-Type-Options"] == "nosniff"
    assert sent["Referrer-Policy"] == "no-referrer"
    assert sent["Cache-Control"] == "no-store"


def test_the_document_has_language_title_and_theme_before_any_script(client):
    client.set_cookie("theme", "dim", domain="127.0.0.1")
    text = client.get("/event/x%3Cb%3E", headers=LOCAL).text
    client.delete_cookie("theme", domain="127.0.0.1")

    assert '<html lang="en" data-theme="dim">' in text
    assert "<title>Event x&lt;b&gt; - debrief</title>" in text
    assert "http://" not in text
    assert "https://" not in text


def test_a_stranger_theme_never_reaches_the_document(client):
    client.set_cookie("theme", '"><script>', domain="127.0.0.1")
    text = client.get("/", headers=LOCAL).text
    client.delete_cookie("theme", domain="127.0.0.1")

    assert "<script>" not in text.split("<body>")[0]
    assert "data-theme=" not in text.split("<head>")[0]


def test_only_this_computers_own_names_are_answered(client):
    assert client.get("/", headers={"Host": "evil.example"}).status_code == 400


@pytest.mark.parametrize("path", ["/_mcp", "/mcp"])
def test_no_other_door_is_open(client, path):
    assert client.post(path, json={}, headers=LOCAL).status_code in (404, 405)


def test_the_report_comes_as_json_and_as_csv(client):
    report = json.loads(client.get("/event/vf_log_and_sheet/report.json", headers=LOCAL).data)
    table = client.get(
        "/event/vf_log_and_sheet/figures.csv?edition=ERC+2021", headers=LOCAL
    ).text.splitlines()

    assert report["format"] == "debrief-1"
    assert len(table) == 1 + len(report["figures"])
    assert table[0].startswith("event_id,name,value")


@pytest.mark.parametrize("path", ["/event/nobody/report.json", "/event/.draft-x/figures.csv"])
def test_a_report_of_no_event_is_not_found(client, path):
    assert client.get(path, headers=LOCAL).status_code == 404


def test_the_timeline_for_paper_is_light_on_white(client):
    client.set_cookie("theme", "dim", domain="127.0.0.1")
    sent = client.get("/event/vf_log_and_sheet/timeline.svg", headers=LOCAL)
    client.delete_cookie("theme", domain="127.0.0.1")

    assert sent.mimetype == "image/svg+xml"
    assert THEMES["light"]["ink"] in sent.text
    assert not any(colour in sent.text for colour in THEMES["dim"].values())
    assert THEMES["light"]["paper"] not in sent.text


def test_the_caution_stands_at_the_foot_of_every_printed_page(client):
    assert f'@page{{@bottom-left{{content:"{say("pages.caution")}"}}}}' in client.get("/", headers=LOCAL).text


@pytest.mark.parametrize(("count", "shown"), [(0, ""), (1, "event/"), (2, "events")])
def test_what_is_opened_is_what_the_address_shows(tmp_path, monkeypatch, count, shown):
    """One event opens at its own page, several at their list, none at the start."""
    monkeypatch.setenv("DEBRIEF_HOME", str(tmp_path / "home"))
    paths = [tmp_path / f"{number}.csv" for number in range(count)]
    for number, path in enumerate(paths):
        path.write_text(f"time,mark\n{number},call\n")

    class Server:
        def run(self):
            pass

    monkeypatch.setattr("waitress.create_server", lambda *_, **__: Server())
    heard = []
    serve(paths, port=8051, open_browser=False, announce=heard.append)

    assert len(heard) == 1
    assert heard[0].startswith(f"http://127.0.0.1:8051/{shown}")
    assert heard[0] != "http://127.0.0.1:8051/" or not count


def test_two_applications_share_no_event(tmp_path):
    first, second = Shelf(tmp_path / "a"), Shelf(tmp_path / "b")
    create_app(first)
    create_app(second)
    keep(first, ("a.csv", b"time,mark\n0,call\n"))

    assert (first.names(), second.names()) == (["a"], [])


def test_the_pages_are_served_over_a_registry_elsewhere_and_open_its_events_by_name(tmp_path, monkeypatch):
    keep(Shelf(tmp_path / "other", tmp_path / "registry"), ("bay 4.csv", b"time,mark\n0,call\n"))

    class Server:
        def run(self):
            pass

    monkeypatch.setattr("waitress.create_server", lambda *_, **__: Server())
    heard = []
    serve(
        [Path("bay 4")], port=8051, open_browser=False, announce=heard.append, registry=tmp_path / "registry"
    )

    assert heard == ["http://127.0.0.1:8051/event/bay%204"]

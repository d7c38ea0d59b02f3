"""The team's page over HTTP: changes are kept, shown, refused or held; drawings; the file for hand-over."""

import io
import json
import shutil
import zipfile

import pytest

from debrief.dashboard.app import create_app
from debrief.dashboard.files import OWN_HEADER
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.dashboard.team.routes import FROM_AFAR, for_the_team
from debrief.importers.folder import TALK
from debrief.resources import shipped
from debrief.talk.kept import read_talk
from debrief.words import KINDS
from tests.dashboard.made import keep

OURS = {OWN_HEADER: "1", "Host": "127.0.0.1"}
EVENT = "vf_log_and_sheet"


@pytest.fixture(scope="module")
def shelf(tmp_path_factory):
    return Shelf(tmp_path_factory.mktemp("home"))


@pytest.fixture(scope="module")
def client(shelf):
    return create_app(shelf).server.test_client()


@pytest.fixture
def folder(shelf):
    folder = shelf.folder(EVENT)
    yield folder
    (folder / TALK).unlink(missing_ok=True)


def note(text, key="k", **more):
    return {"do": "note", "key": key, "meeting": "hot", "section": "facts", "text": text, **more}


def post(client, *changes, headers=OURS, event=EVENT):
    return client.post(f"/event/{event}/talk", json={"changes": changes}, headers=headers)


def get(client, path):
    return client.get(f"/event/{EVENT}/{path}", headers={"Host": "127.0.0.1"})


def test_a_change_is_kept_in_the_folder_and_comes_back(client, folder):
    answer = post(client, note("It went on.")).json

    assert answer["state"]["notes"]["facts"] == "It went on."
    assert read_talk(folder).hot.notes == {"facts": "It went on."}
    assert get(client, "talk").json["state"]["notes"]["facts"] == "It went on."


def test_who_has_all_of_a_talk_is_not_sent_it_again(client, folder):
    size = post(client, note("a")).json["size"]

    assert get(client, f"talk?have={size}").status_code == 204
    post(client, note("b", "other"))
    assert get(client, f"talk?have={size}").status_code == 200


def test_names_in_a_note_are_pointed_out_and_stay_where_they_are(client, folder):
    answer = post(client, note("asked Smithers <b>")).json

    assert "Smithers" in answer["parts"]["team-names-facts"]
    assert answer["state"]["notes"]["facts"] == "asked Smithers <b>"


def test_names_in_roles_questions_and_actions_are_pointed_out_too(client, folder):
    here = {"do": "here", "key": "h", "meeting": "hot", "id": "a", "role": "Smithers"}
    own = {"do": "add_point", "key": "p", "id": "own-1", "question": "What did Dr Okafor see?"}
    action = {"do": "action", "key": "a", "id": "x", "what": "Mend it", "owner": "Ibsen"}
    parts = post(client, here, own, action).json["parts"]

    assert "<q" in parts["team-here"]
    assert "<q" in parts["team-points"]
    assert "<q" in parts["team-actions"]


def test_what_somebody_wrote_is_never_obeyed_as_markup(client, folder):
    own = {"do": "add_point", "key": "p", "id": "own-1", "question": "<script>alert(1)</script>?"}
    action = {"do": "action", "key": "a", "id": "x", "what": '"><img src=x onerror=alert(1)>'}
    parts = post(client, own, action).json["parts"]

    assert "<script>" not in parts["team-points"]
    assert "<img" not in parts["team-actions"]


def test_another_site_cannot_write_and_nonsense_is_refused(client, folder):
    assert post(client, note("x"), headers={"Host": "127.0.0.1"}).status_code == 403
    refused = post(client, {"do": "erase", "key": "k"})
    assert refused.status_code == 400
    assert "Load the page again" in refused.json["message"]
    assert client.post(f"/event/{EVENT}/talk", data="{", headers=OURS).status_code == 200
    assert post(client, note("x"), event="nothing").status_code == 400
    assert not (folder / TALK).exists()


def test_where_the_folder_cannot_be_written_what_was_sent_is_shown_with_a_message(client, folder):
    (folder / TALK).mkdir()
    try:
        answer = post(client, {"do": "drop_point", "key": "d", "id": "hands_off"}, note("asked Smithers"))
    finally:
        (folder / TALK).rmdir()

    assert answer.status_code == 507
    assert "save it as a file" in answer.json["message"]
    assert "Also: Which steps around a shock" in answer.json["parts"]["team-points"]
    assert "Smithers" in answer.json["parts"]["team-names-facts"]


def test_a_talk_changes_no_figure_and_measures_nothing_anew(shelf, folder):
    reports = Reports(shelf)
    before = reports.get(EVENT)
    (folder / TALK).write_text("anything\n")

    assert reports.get(EVENT) is before


def test_lines_that_are_no_change_are_counted_on_the_page(client, folder):
    (folder / TALK).write_text("half a li")

    assert "left out: 1." in get(client, "talk").json["parts"]["team-unread"]


def test_an_action_of_another_event_is_shown_and_can_be_settled_there(client, shelf, folder, tmp_path):
    other = shutil.copytree(shipped("sample_events") / "extracorporeal", tmp_path / "other-event")
    [name] = shelf.open(other)
    try:
        post(client, {"do": "action", "key": "a", "id": "x", "what": "Mend the door"}, event=name)
        assert "Mend the door" in get(client, "talk").json["parts"]["team-earlier"]
        done = {"do": "action", "key": "b", "id": "x", "status": "done", "outcome": "It closes."}
        post(client, done, event=name)
        assert 'value="It closes."' in get(client, "talk").json["parts"]["team-earlier"]
    finally:
        shelf.remove(name)


# drawings


def test_every_kind_that_is_drawn_from_afar_exists():
    assert set(KINDS) >= FROM_AFAR


def test_the_timeline_is_drawn_in_the_colours_of_the_page_and_says_where_a_time_lies(client, folder):
    drawn = get(client, "team-timeline?width=900").text

    assert "var(--hands-on)" in drawn
    assert 'data-from="' in drawn
    assert "#1F6F78" not in drawn


def test_a_stretch_of_it_can_be_asked_for_and_nonsense_gives_the_whole(client, folder):
    assert 'data-from="100.000"' in get(client, "team-timeline?from=100&to=200").text
    whole = get(client, "team-timeline").text
    assert get(client, "team-timeline?from=x&to=200&width=-5000").text.count('data-from="100.000"') == 0
    assert get(client, "team-timeline?from=300&to=200").text == whole
    for nonsense in ("from=-1e300&to=1e300", "from=nan&to=1", "from=1e9&to=2e9"):
        assert len(get(client, f"team-timeline?{nonsense}").text) < 2 * len(whole)


def test_the_teams_timeline_is_lower_than_the_whole_one(shelf):
    measured = Reports(shelf).get(EVENT)

    assert for_the_team(measured.report, None, 1000).height < measured.picture.height


def test_an_event_without_shock_or_dose_has_an_empty_strip(client, shelf):
    [name] = keep(shelf, ("few.csv", b"time,mark\n0:00,recognition\n1:00,pulse check\n9:00,rosc\n"))
    reply = client.get(f"/event/{name}/strip", headers={"Host": "127.0.0.1"})

    assert (reply.status_code, reply.text) == (200, "")


# hand-over


def unzipped(reply):
    archive = zipfile.ZipFile(io.BytesIO(reply.data))
    return {name: archive.read(name) for name in archive.namelist()}


def test_the_file_for_hand_over_has_source_files_only_where_they_are_asked_for(client, folder):
    post(client, note("As it was."))
    without, with_them = (unzipped(get(client, f"handover.zip{query}")) for query in ("", "?sources=yes"))

    assert set(without) == {"contents.json", "report.json", "figures.csv", "talk.json"}
    assert json.loads(without["talk.json"])["hot"]["notes"]["facts"] == "As it was."
    assert set(with_them) - set(without) >= {"sources/monitor_log.csv", "sources/recorder_sheet.csv"}
    assert with_them["sources/monitor_log.csv"] == (folder / "monitor_log.csv").read_bytes()


@pytest.mark.parametrize("path", ["talk", "team-timeline", "strip", "handover.zip"])
def test_what_is_not_kept_is_said_to_be_not_there(client, path):
    reply = client.get(f"/event/nothing/{path}", headers={"Host": "127.0.0.1"})

    assert reply.status_code == 404

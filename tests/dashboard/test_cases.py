"""Cases on screen: one made of an event, found again, approved, replayed under its own policy, handed on."""

import io

import pytest

from debrief.dashboard.app import create_app
from debrief.dashboard.cases import listed, making
from debrief.dashboard.markup import to_html
from debrief.dashboard.shelf import Shelf
from debrief.errors import BadSetting
from debrief.teaching import kept

EVENT = "vf_log_and_sheet"
OWN = {"X-Debrief": "yes"}


@pytest.fixture(scope="module")
def app(tmp_path_factory):
    """The application over a shelf of its own."""
    return create_app(Shelf(tmp_path_factory.mktemp("home")))


@pytest.fixture
def registry(app):
    """Its registry, without cases."""
    held = app.reports.shelf.registry
    for name in held.named(kept.KIND):
        held.name(kept.KIND, name, None)
    return held


def said(**changes):
    texts = {"name": "search", "title": "A long search", "goals": "Hands on; Talk", "difficulty": "first"}
    texts |= {"lessons": "pauses, shocks", "keep-0": "yes", "at-0": "4:30", "prompt-0": "What now?"}
    return texts | changes


def test_the_form_offers_what_the_figures_suggest_and_every_note(app):
    html = to_html(making.form(app.reports, EVENT))

    assert "Hands were off" in html
    assert 'data-answer="pass-0"' in html
    assert "Left out, by the items of 45 CFR" in html


def test_a_case_is_made_of_what_was_said(app, registry):
    passed = {"pass-0": "yes", "note-0": "pads on"}
    name, case = making.made(app.reports, EVENT, said(**passed, **{"choices-0": "Shock | Wait"}))

    assert name == "search"
    assert (case.called, case.goals) == ("A long search", ("Hands on", "Talk"))
    assert case.lessons == ("pauses", "shocks")
    (asked,) = case.questions
    assert (asked.at, asked.prompt, asked.choices) == (270, "What now?", ("Shock", "Wait"))
    assert [note.text for note in case.notes] == ["pads on"]
    assert case.invented
    with pytest.raises(BadSetting, match="Give the case a name"):
        making.made(app.reports, EVENT, said(name=" "))
    with pytest.raises(BadSetting, match="soon"):
        making.made(app.reports, EVENT, said(**{"at-0": "soon"}))


def test_a_case_is_replayed_under_its_own_policy_and_handed_on_once_approved(app, registry):
    client = app.server.test_client()
    kept.keep(registry, *making.made(app.reports, EVENT, said()))
    page = client.get("/case/search")

    assert page.status_code == 200
    assert page.headers["Content-Security-Policy"] == "frame-ancestors 'self'"
    assert b"default-src 'none'" in page.data
    assert b"Draft, not approved" in page.data
    assert client.get("/case/search.json").status_code == 404
    kept.approve(registry, "search", "educator")
    assert b"Approved by the resuscitation educator" in client.get("/case/search.html").data
    given = client.get("/case/search.json")
    assert "attachment" in given.headers["Content-Disposition"]
    assert client.get("/case/no-such").status_code == 404
    assert b"What would you do" in client.get(f"/event/{EVENT}/replay").data
    assert client.get("/event/no-such/replay").status_code == 404

    form = {"name": "taken", "file": (io.BytesIO(given.data), "x.json")}
    assert client.post("/cases", data=form).status_code == 403
    form = {"name": "taken", "file": (io.BytesIO(given.data), "x.json")}
    assert client.post("/cases", data=form, headers=OWN).status_code == 200
    assert kept.find(registry, "taken").case.elsewhere
    form = {"name": "broken", "file": (io.BytesIO(given.data.replace(b"Talk", b"Walk")), "x.json")}
    told = client.post("/cases", data=form, headers=OWN)
    assert (told.status_code, "was changed after" in told.json["message"]) == (400, True)
    beside = client.get("/case-beside?one=search&other=taken")
    assert beside.data.count(b"<iframe") == 2
    assert "frame-src 'self'" in beside.headers["Content-Security-Policy"]


def test_cases_are_found_by_rhythm_lesson_and_difficulty(app, registry):
    kept.keep(registry, *making.made(app.reports, EVENT, said()))
    other = said(name="other", lessons="doses", difficulty="")
    kept.keep(registry, *making.made(app.reports, "pea_child_airway", other))
    cases = list(kept.kept(registry))

    def names(**wanted):
        return [one.name for one in listed.chosen(cases, wanted)]

    assert names(lesson="doses") == ["other"]
    assert names(difficulty="first") == ["search"]
    assert names(rhythm="vf") == ["search"]
    assert names(rhythm="vf", lesson="doses") == []
    assert sorted(names(order="length")) == ["other", "search"]
    assert "No case fits" in to_html(listed.listed(cases, {"lesson": "none"}))
    assert "No case is kept yet" in to_html(listed.listed([], {}))

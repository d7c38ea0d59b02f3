"""A whole event: what a reviewer says of it, what is entered of it later, what somebody else changed."""

import re

import pytest

from debrief.dashboard import standing
from debrief.dashboard.app import create_app
from debrief.dashboard.event_folder import read_settings
from debrief.dashboard.shelf import Shelf
from debrief.errors import BadSetting
from tests.dashboard.made import keep

LOG = b"time,mark\n10:00:00,pulseless\n10:00:20,CPR started\n10:02:00,VF\n10:02:10,shock\n10:09:00,rosc\n"
HERE = {"Host": "127.0.0.1"}


@pytest.fixture
def shelf(tmp_path):
    shelf = Shelf(tmp_path)
    keep(shelf, ("bay 4.csv", LOG))
    return shelf


def shown(shelf, name="bay 4"):
    parts = standing.parts(shelf, name, shelf.version(name))
    return re.sub("<[^>]+>", " ", parts[standing.LINE]), parts


def test_what_a_reviewer_says_stands_at_the_head_with_role_and_reason(shelf):
    assert "Reviewed" not in shown(shelf)[0]
    shelf.registry.review("bay 4", "excluded", "quality", "a drill")

    line, parts = shown(shelf)
    assert "Left out of all figures across events" in line
    assert "a drill" in line
    assert "quality" in line.casefold()
    [option] = [one for one in parts[standing.FORMS].split("<option")[1:] if "left out of all" in one]
    assert " selected" in option


def test_a_locked_event_says_so_and_refuses_what_would_change_it(shelf):
    shelf.registry.review("bay 4", "locked", "quality")

    assert "data-locked" in shown(shelf)[1][standing.LINE]
    with pytest.raises(BadSetting, match="locked by a reviewer"):
        standing.enter(shelf, "bay 4", {"unit": "Alder"})
    shelf.registry.review("bay 4", None)
    standing.enter(shelf, "bay 4", {"unit": "Alder"})
    assert shelf.title("bay 4") == "Alder"


@pytest.mark.parametrize("name", ["bay 4", "vf_log_and_sheet"])
def test_what_is_known_later_is_entered_at_once_and_taken_out_again(shelf, name):
    before = read_settings(shelf.folder(name))
    given = {
        "unit": "Alder",
        "age_years": "64",
        "weight_kg": "82,5 kg",
        "witnessed": "yes",
        "outcome": "home",
        "discharged_alive": "yes",
        "cerebral_performance": "2",
    }
    standing.enter(shelf, name, given, "nurse")
    told = read_settings(shelf.folder(name))

    assert {key: told[key] for key in given} == {
        "unit": "Alder",
        "age_years": 64.0,
        "weight_kg": 82.5,
        "witnessed": True,
        "outcome": "home",
        "discharged_alive": True,
        "cerebral_performance": 2,
    }
    assert told["sources"] == before["sources"]
    assert 'value="82.5"' in shown(shelf, name)[1][standing.FORMS]
    standing.enter(shelf, name, dict.fromkeys(given, ""))
    assert not given.keys() & read_settings(shelf.folder(name)).keys()


@pytest.mark.parametrize(
    ("key", "text"), [("weight_kg", "heavy"), ("date", "yesterday"), ("age_years", "400")]
)
def test_what_cannot_be_is_refused_in_words_and_nothing_is_kept(shelf, key, text):
    with pytest.raises(BadSetting, match=text):
        standing.enter(shelf, "bay 4", {"unit": "Alder", key: text})

    assert "unit" not in read_settings(shelf.folder("bay 4"))


def test_what_somebody_else_changed_is_told_with_role_and_how_long_ago(shelf, tmp_path):
    client = create_app(shelf).server.test_client()
    have = shelf.version("bay 4")
    address = "/event/bay%204/version?have="
    assert client.get(address + have, headers=HERE).status_code == 204

    standing.enter(Shelf(tmp_path), "bay 4", {"unit": "Alder"}, "nurse")
    told = client.get(address + have, headers=HERE)
    assert told.status_code == 200
    assert re.fullmatch(r"Changed elsewhere \(.*nurse.*\) \d+ s ago\.", told.json["said"], re.IGNORECASE)
    assert client.get(address + told.json["version"], headers=HERE).status_code == 204
    assert client.get("/event/none/version?have=", headers=HERE).status_code == 404


def test_a_change_of_a_folder_by_another_program_is_told(shelf):
    client = create_app(shelf).server.test_client()
    have = shelf.version("vf_log_and_sheet")
    standing.enter(shelf, "vf_log_and_sheet", {"unit": "Alder"})

    told = client.get(f"/event/vf_log_and_sheet/version?have={have}", headers=HERE)
    assert told.json["said"] == "This event was changed in another window or program."

"""Languages: one begun says what it can and leaves the rest to English; each browser hears its own."""

import re
import threading

import pytest

from debrief import words
from debrief.dashboard.app import create_app
from debrief.dashboard.shelf import Shelf

STILL_ENGLISH = {
    "german": {
        "pages": 6,
        "clock_page": 0,
        "links": 0,
        "sheet": 0,
        "picture": 2,
        "head": 0,
        "talk": 0,
        "handover": 0,
        "figures": 91,
        "targets": 47,
    }
}
"""How many sentences of an area a language lacks at most; an area that is not named lacks all of them."""

OTHERS = [name for name in words.LANGUAGES if name != words.ENGLISH]


def blanks(text):
    return sorted(re.findall(r"{(\w+)", text))


def missing(name, area):
    own = words.said_in(name)
    return [key for key in words.said_in(words.ENGLISH) if key.startswith(f"{area}.") and key not in own]


@pytest.mark.parametrize("name", OTHERS)
def test_what_a_language_lacks_is_listed_and_does_not_grow(name):
    """A new sentence is translated, or counted here."""
    for area, most in STILL_ENGLISH[name].items():
        lacking = missing(name, area)
        assert len(lacking) <= most, f"{name} lacks {', '.join(lacking)}"


@pytest.mark.parametrize("name", OTHERS)
def test_every_sentence_of_a_language_is_one_of_english_with_its_blanks(name):
    english = words.said_in(words.ENGLISH)
    for key, text in words.said_in(name).items():
        if key in english:
            assert blanks(text) == blanks(english[key]), key
        else:  # a word of the vocabulary that reads well in English as it is
            assert key.removeprefix("picture.detail.") in words.DRUGS


def test_what_a_language_lacks_is_said_in_english():
    key = missing("german", "figures")[0]
    with words.speaking("german"):
        assert words.say("figures.yes") == "ja"
        assert words.sentences()[key] == words.said_in(words.ENGLISH)[key]

    assert words.say("figures.yes") == "yes"


@pytest.mark.parametrize(("text", "name"), [("de", "german"), ("Deutsch", "german"), ("EN", "english")])
def test_a_language_goes_by_its_name_its_code_and_what_it_calls_itself(text, name):
    assert words.language_named(text) == name


@pytest.mark.parametrize("text", ["", "klingon", "de-AT"])
def test_a_language_that_is_none_is_not_taken_for_one(text):
    assert words.language_named(text) is None


def test_a_language_spoken_in_one_thread_is_not_heard_in_another():
    heard = []
    with words.speaking("german"):
        thread = threading.Thread(target=lambda: heard.append(words.language().code))
        thread.start()
        thread.join()

    assert heard == ["en"]


def test_each_browser_hears_the_language_it_chose(tmp_path):
    server = create_app(Shelf(tmp_path)).server
    german, other = server.test_client(), server.test_client()
    german.set_cookie("language", "german", domain="127.0.0.1")
    other.set_cookie("language", '"><script>', domain="127.0.0.1")
    texts = [client.get("/events", headers={"Host": "127.0.0.1"}).text for client in (german, other)]

    assert '<html lang="de">' in texts[0]
    assert "<title>Alle Ereignisse - debrief</title>" in texts[0]
    assert '<html lang="en">' in texts[1]
    assert "<title>All events - debrief</title>" in texts[1]

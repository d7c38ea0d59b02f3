"""Answers about an event's files: kept for the layout or in event.json, refused where they make no sense."""

import pytest

from debrief.dashboard import answers
from debrief.dashboard.event_folder import read_settings
from debrief.dashboard.shelf import Shelf
from debrief.errors import BadSetting
from debrief.importers import Answer, Mapping
from debrief.words import KINDS
from tests.dashboard.made import keep

TEXT = b"at;deed;how strong\n10:00;pushing;\n10:02;zap;200\n"


@pytest.fixture
def place(tmp_path):
    shelf = Shelf(tmp_path)
    return shelf, *keep(shelf, ("ours.csv", TEXT))


def settings_of(place):
    return read_settings(place[0].folder(place[1]))


def labels(place):
    shelf, name = place
    [one] = answers.understood(shelf.folder(name), shelf.remembered)
    return {label.key: (label.kind, label.sure) for label in one.found.labels}


def test_a_label_answered_once_is_known_in_every_file_of_that_layout(place):
    answers.answer(*place, "0|column|deed", "mark")
    answers.answer(*place, "0|label|zap", "shock")
    [other] = keep(place[0], ("later.csv", TEXT.replace(b"pushing", b"resting")))

    assert labels(place)["zap"] == ("shock", "answered")
    assert labels((place[0], other))["zap"] == ("shock", "answered")


def test_an_answer_can_be_taken_back(place):
    answers.answer(*place, "0|column|deed", "mark")
    answers.answer(*place, "0|label|zap", "shock")
    answers.answer(*place, "0|label|zap", "")

    assert labels(place)["zap"] == ("unmapped", "unmapped")


def test_a_drug_is_answered_with_its_name():
    made = answers.changed(Mapping(), "label", "juice", "drug|epinephrine")

    assert made.labels == {"juice": Answer("drug", "epinephrine")}


def test_only_one_column_holds_the_time():
    before = Mapping(columns={"a": "time", "b": "note", "c": "note"})

    assert answers.changed(before, "column", "b", "time").columns == {
        "a": "ignored",
        "b": "time",
        "c": "note",
    }
    assert answers.changed(before, "time_column", "", "c").columns["c"] == "time"
    assert answers.changed(before, "column", "a", "note").columns["b"] == "note"


def test_who_was_treated_goes_into_event_json(place):
    answers.answer(*place, "event|population", "child")
    answers.answer(*place, "event|weight_kg", "21,5 kg")
    answers.answer(*place, "0|kind", "device")
    settings = settings_of(place)

    assert (settings["population"], settings["weight_kg"]) == ("child", 21.5)
    assert settings["sources"][0]["kind"] == "device"
    answers.answer(*place, "event|population", "")
    assert "population" not in settings_of(place)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("event|weight_kg", "heavy"),
        ("event|weight_kg", "-3"),
        ("event|date", "yesterday"),
        ("event|population", "martian"),
    ],
)
def test_an_answer_that_makes_no_sense_is_refused_and_leaves_no_trace(place, name, value):
    before = settings_of(place)
    with pytest.raises(BadSetting):
        answers.answer(*place, name, value)

    assert settings_of(place) == before


def test_a_file_that_cannot_be_read_is_said_beside_the_others(tmp_path):
    shelf = Shelf(tmp_path)
    [name] = keep(shelf, ("a.csv", TEXT), ("b.xlsx", b"PK\x03\x04 no workbook"))
    first, second = answers.understood(shelf.folder(name), shelf.remembered)

    assert first.found is not None
    assert second.found is None
    assert "b.xlsx" in second.refusal


def test_every_kind_can_be_chosen_for_a_label():
    offered = {kind for _, group in answers.meanings() for kind, _ in group}

    assert offered == set(KINDS) - {"unmapped"}

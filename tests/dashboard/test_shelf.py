"""The shelf: names made safe, the same files kept once, samples never written to."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.dashboard.shelf import (
    NotOnTheShelf,
    Shelf,
    entry,
    event_id_of,
    read_settings,
    safe_id,
    safe_name,
    sample_paths,
    write_settings,
)
from debrief.errors import BadSetting
from debrief.resources import shipped
from debrief.words import sentences


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\Users\\x\\log.csv", "log.csv"),
        ("..", "file"),
        ("", "file"),
        (".hidden.csv", "hidden.csv"),
        ("CON.csv", "CON_.csv"),
        ("a\x00b\n<script>.csv", "a_b__script.csv"),
        ("event.json", "event_.json"),
        ("Protokoll März.xlsx", "Protokoll März.xlsx"),
    ],
)
def test_hostile_file_names_become_names_and_nothing_else(name, kept):
    assert safe_name(name) == kept


@given(st.text(max_size=200))
def test_any_file_name_stays_inside_its_folder(name):
    safe = safe_name(name)

    assert safe not in ("", ".", "..")
    assert not set(safe) & set('/\\:\0<>"|?*\n')
    assert not safe.startswith(".")
    assert len(safe) < 110


def test_the_same_files_are_kept_once_in_whatever_order(tmp_path):
    shelf = Shelf(tmp_path)
    first = shelf.keep([("a.csv", b"1"), ("b.csv", b"2")])

    assert shelf.keep([("b.csv", b"2"), ("a.csv", b"1")]) == first == event_id_of([b"1", b"2"])
    assert [one.event_id for one in shelf.entries()] == [first]
    assert [source["file"] for source in read_settings(shelf.folder(first))["sources"]] == ["a.csv", "b.csv"]


def test_two_files_of_one_name_are_both_kept(tmp_path):
    shelf = Shelf(tmp_path)
    folder = shelf.folder(shelf.keep([("log.csv", b"1"), ("LOG.csv", b"2")]))

    assert sorted(path.name for path in folder.iterdir()) == ["LOG (2).csv", "event.json", "log.csv"]


def test_an_event_folder_dropped_as_files_keeps_its_own_settings(tmp_path):
    shelf = Shelf(tmp_path)
    event_id = shelf.keep([("event.json", b'{"unit": "Alder"}'), ("log.csv", b"1")])

    assert read_settings(shelf.folder(event_id)) == {"unit": "Alder"}


@pytest.mark.parametrize("name", ["nothing", "../x", "a/b", "", "e" * 90])
def test_an_unknown_event_is_refused(tmp_path, name):
    with pytest.raises(NotOnTheShelf):
        Shelf(tmp_path).folder(name)


def test_every_sample_opens_as_a_copy(tmp_path):
    shelf = Shelf(tmp_path)
    for name, path in sample_paths().items():
        folder = shelf.folder(name)

        assert path.resolve() not in folder.resolve().parents
        assert folder.is_relative_to(tmp_path)
        assert read_settings(folder)["sources"]
    assert shelf.entries() == []


def test_every_sample_is_called_by_what_it_shows():
    assert [] == [name for name in sample_paths() if f"pages.sample_{name}" not in sentences()]


def test_a_folder_with_settings_is_opened_where_it_lies(tmp_path):
    folder = tmp_path / "Ward 3, März"
    folder.mkdir()
    (folder / "event.json").write_text("{}")
    shelf = Shelf(tmp_path / "home")
    [event_id] = shelf.open(folder)

    assert event_id == safe_id(folder.name)
    assert shelf.folder(event_id) == folder
    shelf.remove(event_id)
    assert folder.is_dir()


def test_in_a_folder_without_settings_every_file_is_an_event(tmp_path):
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_text(name)

    assert len(set(Shelf(tmp_path / "home").open(tmp_path))) == 2


def test_removing_an_event_deletes_its_files(tmp_path):
    shelf = Shelf(tmp_path)
    event_id = shelf.keep([("a.csv", b"1")])
    shelf.remove(event_id)

    assert shelf.entries() == []
    with pytest.raises(NotOnTheShelf):
        shelf.folder(event_id)


@pytest.mark.parametrize("text", ["{", "[1]", "[" * 100_000])
def test_a_broken_event_json_is_said_and_still_listed(tmp_path, text):
    (tmp_path / "event.json").write_text(text)

    with pytest.raises(BadSetting, match=r"event\.json"):
        read_settings(tmp_path)
    assert entry("x", tmp_path).settings == {}


def test_settings_are_written_whole(tmp_path):
    write_settings(tmp_path, {"unit": "März"})

    assert json.loads((tmp_path / "event.json").read_text(encoding="utf-8")) == {"unit": "März"}
    assert [path.name for path in tmp_path.iterdir()] == ["event.json"]


def test_the_invented_events_named_at_the_start_are_listed_as_copies(tmp_path):
    """``debrief serve .../sample_events`` shows them all, and corrections never touch what ships."""
    shelf = Shelf(tmp_path)
    names = shelf.open(shipped("sample_events"))

    assert sorted(names) == sorted(sample_paths())
    assert {entry.event_id for entry in shelf.entries()} == set(names)
    assert all(tmp_path in shelf.folder(name).parents for name in names)

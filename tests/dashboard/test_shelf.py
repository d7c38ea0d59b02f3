"""The shelf: events of the registry, folders where they lie, samples never written to; names in addresses."""

import json
from pathlib import Path

import pytest

from debrief.dashboard.addresses import event_address, event_in
from debrief.dashboard.event_folder import entry, read_settings, safe_id, sample_paths, write_settings
from debrief.dashboard.shelf import NotOnTheShelf, Shelf
from debrief.errors import BadSetting
from debrief.resources import shipped
from debrief.words import sentences
from tests.dashboard.made import keep

ONE = b"time,mark\n10:00,pulseless\n10:01,shock\n"
OTHER = b"time,mark\n10:00,pulseless\n10:02,drug\n"


def test_the_same_files_are_kept_once_in_whatever_order(tmp_path):
    shelf = Shelf(tmp_path)
    [first] = keep(shelf, ("a.csv", ONE), ("b.csv", OTHER))

    assert keep(shelf, ("b.csv", OTHER), ("a.csv", ONE)) == [first] == shelf.names()
    assert [source["file"] for source in read_settings(shelf.folder(first))["sources"]] == ["a.csv", "b.csv"]


def test_two_files_of_one_name_are_both_kept(tmp_path):
    shelf = Shelf(tmp_path)
    folder = shelf.folder(*keep(shelf, ("log.csv", ONE), ("LOG.csv", OTHER)))

    assert sorted(path.name for path in folder.iterdir()) == ["LOG (2).csv", "event.json", "log.csv"]


def test_an_event_folder_dropped_as_files_keeps_its_own_settings(tmp_path):
    shelf = Shelf(tmp_path)
    [name] = keep(shelf, ("event.json", b'{"unit": "Alder", "event_id": "bay 4"}'), ("log.csv", ONE))

    assert name == "bay 4"
    assert read_settings(shelf.folder(name))["unit"] == "Alder"
    assert shelf.title(name) == "Alder"


def test_a_change_of_an_event_of_the_registry_is_kept_there_and_none_that_ends_in_an_error(tmp_path):
    shelf = Shelf(tmp_path)
    [name] = keep(shelf, ("log.csv", ONE))
    before, laid = shelf.version(name), shelf.folder(name)

    def change(unit, then=lambda: None):
        with shelf.changing(name, "nurse", "the board says so") as folder:
            write_settings(folder, read_settings(folder) | {"unit": unit})
            then()

    change("Alder")
    assert read_settings(laid).get("unit") is None, "what was read before stays as it was"
    assert read_settings(shelf.folder(name))["unit"] == "Alder"
    assert shelf.version(name) != before
    assert shelf.registry.history(name)[-1]["role"] == "nurse"
    with pytest.raises(BadSetting):
        change("Birch", lambda: shelf.folder("nothing"))
    assert read_settings(shelf.folder(name))["unit"] == "Alder"


def test_a_change_of_a_folder_is_taken_back_where_it_ends_in_an_error(tmp_path):
    shelf = Shelf(tmp_path)
    before = read_settings(shelf.folder("vf_log_and_sheet")), shelf.version("vf_log_and_sheet")

    def change():
        with shelf.changing("vf_log_and_sheet") as folder:
            write_settings(folder, {"unit": "Alder"})
            shelf.folder("nothing")

    with pytest.raises(BadSetting):
        change()
    assert read_settings(shelf.folder("vf_log_and_sheet")) == before[0]
    assert shelf.kept is None, "practising makes no registry"


def test_a_registry_elsewhere_is_the_one_that_is_asked(tmp_path):
    keep(Shelf(tmp_path / "one", tmp_path / "registry"), ("log.csv", ONE))

    assert Shelf(tmp_path / "other", tmp_path / "registry").names() == ["log"]
    assert Shelf(tmp_path / "other").names() == []


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
    assert shelf.names() == []


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
    for name, content in (("a.csv", ONE), ("b.csv", OTHER), ("c.bin", bytes(range(256)))):
        (tmp_path / "in" / name).parent.mkdir(exist_ok=True)
        (tmp_path / "in" / name).write_bytes(content)
    shelf, complaints = Shelf(tmp_path / "home"), []

    assert shelf.open(tmp_path / "in", complain=complaints.append) == ["a", "b"]
    assert shelf.open(Path("b")) == ["b"], "an event is opened by its name as well"
    assert len(complaints) == 1
    assert "c.bin" in complaints[0]


def test_an_event_that_is_taken_out_can_be_brought_back(tmp_path):
    shelf = Shelf(tmp_path)
    [event_id] = keep(shelf, ("a.csv", ONE))
    shelf.remove(event_id)

    assert shelf.names() == []
    with pytest.raises(NotOnTheShelf):
        shelf.folder(event_id)
    shelf.registry.restore(event_id)
    assert (shelf.folder(event_id) / "a.csv").read_bytes() == ONE


@pytest.mark.parametrize("name", ["Ward 3", "a/b", "..", "100%", "%2F", "\u05d0\u05d1 ?#&", "Mrz ä"])
def test_an_address_names_an_event_whatever_its_letters(name):
    for page in ("", "clocks"):
        path = event_address(name, page)
        assert path.isascii()
        assert event_in(path) == name
        assert path.count("/") == (3 if page else 2)
        assert ".." not in path.split("/")


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
    assert set(shelf.names()) == set(names)
    assert all(tmp_path in shelf.folder(name).parents for name in names)


def test_a_folder_or_a_sample_called_as_an_event_of_the_registry_gets_a_name_of_its_own(tmp_path):
    shelf = Shelf(tmp_path)
    told = b'{"event_id": "vf_log_and_sheet"}'
    [kept] = keep(shelf, ("event.json", told), ("log.csv", ONE))
    [opened] = shelf.open(sample_paths()[kept])

    assert (kept, opened) == ("vf_log_and_sheet", "vf_log_and_sheet-")
    assert sorted(shelf.names()) == [kept, opened]
    assert (shelf.folder(kept) / "log.csv").read_bytes() == ONE
    assert shelf.folder(opened).is_relative_to(shelf.practice_folder)
    assert shelf.open(sample_paths()[kept]) == [opened], "opened again it is the same"

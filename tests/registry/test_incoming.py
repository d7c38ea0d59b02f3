"""What comes in: hostile names, archives, many files."""

import json
import os
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.importers import Settings
from debrief.importers.naming import is_plain, plain
from debrief.registry import listing
from debrief.registry.incoming import found_in, left_out
from tests.registry.made import SHEET, add, sheets


@given(st.text())
def test_a_plain_name_is_plain_and_stays_what_it_is(name):
    assert is_plain(plain(name))
    assert plain(plain(name)) == plain(name)


@pytest.mark.parametrize("name", ["log.csv", "Log, bay [4] & more.csv", "Bögen, März.xlsx"])
def test_a_name_that_every_system_can_hold_is_kept(name):
    assert plain(name) == name


@pytest.mark.skipif(os.name == "nt", reason="no such names there")
@pytest.mark.parametrize(
    "name",
    ["..\\..\\evil.csv", "a\nb.csv", "=1+1.csv", "con.csv", "x" * 200 + ".csv", "a|b?.csv", b"\xff\xfe.csv"],
)
def test_a_hostile_name_harms_nothing_and_the_bytes_are_kept(registry, tmp_path, name):
    path = os.fsencode(tmp_path) + b"/" + os.fsencode(name)
    with open(path, "wb") as file:
        file.write(SHEET.encode())

    (one,) = add(registry, *(each for each in tmp_path.iterdir() if each.is_file()))

    assert one.did == "added"
    assert one.event.isprintable()
    folder = registry.folder(one.event)
    (kept,) = [each for each in folder.iterdir() if each.name != "event.json"]
    assert is_plain(kept.name)
    assert kept.read_bytes() == SHEET.encode()


def test_context_that_no_database_could_hold_as_text_is_kept(registry, tmp_path):
    (event,) = sheets(tmp_path, 1)
    (event / "event.json").write_text(json.dumps({"unit": "a\0b\udc80", "event_id": "x\0y\nz"}))

    (one,) = add(registry, event)

    assert one.event == "xy z"
    assert registry.contents(one.event).settings["unit"] == "a\0b\udc80"
    assert [row["unit"] for row in listing.events(registry)] == ["ab?"]


def test_a_source_outside_its_folder_is_not_kept_and_said(registry, tmp_path):
    (tmp_path / "secret.csv").write_text("secret")
    (event,) = sheets(tmp_path, 1)
    sources = [{"file": "sheet.csv"}, {"file": "../secret.csv"}]
    (event / "event.json").write_text(json.dumps({"sources": sources}))

    (one,) = add(registry, event)

    assert any("secret.csv" in note for note in one.notes)
    assert [kept.file for kept in registry.contents(one.event).files] == ["sheet.csv"]


def test_an_archive_gives_its_events_and_what_was_left_in_it_is_told(registry, tmp_path):
    path = tmp_path / "month.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("a/event.json", '{"unit": "A"}')
        archive.writestr("a/sheet.csv", SHEET)
        archive.writestr("b.csv", SHEET + "14:20,note,,,\n")
        archive.writestr("../evil.csv", "evil")

    assert [one.did for one in add(registry, path)] == ["added", "added"]
    assert [one.did for one in add(registry, path)] == ["known", "known"]
    (sentence,) = left_out(path)
    assert "evil.csv" in sentence


def test_patterns_find_events_and_one_that_finds_nothing_is_told(tmp_path):
    from debrief.errors import UnreadableFile

    sheets(tmp_path / "ward", 3)
    assert len(found_in(tmp_path / "ward" / "e*", Settings())) == 3
    assert len(found_in(tmp_path / "**" / "sheet.csv", Settings())) == 3
    with pytest.raises(UnreadableFile):
        found_in(tmp_path / "x*", Settings())


def test_each_event_of_a_file_is_one(registry, tmp_path):
    path = tmp_path / "all.csv"
    rows = [
        f"{event},14:0{minute}:00,{mark}"
        for event in "ab"
        for minute, mark in enumerate(["recognition", "shock"])
    ]
    path.write_text("event_id,time,mark\n" + "\n".join(rows))

    assert [one.event for one in add(registry, path)] == ["a", "b"]
    assert [row["marks"] for row in listing.events(registry)] == [2, 2]


def test_what_two_part_times_mean_is_kept_with_the_event(registry, tmp_path):
    path = tmp_path / "short.csv"
    path.write_text("time,mark\n0:10,recognition\n4:20,rosc\n")

    (one,) = add(registry, path, times="elapsed")

    assert registry.contents(one.event).settings["sources"][0]["times"] == "elapsed"
    rows = {row["name"]: row["value"] for row in listing.figures(registry, [one.event])}
    assert rows["time_to_rosc"] == pytest.approx(250)


def test_events_of_a_file_that_are_numbered_are_called_after_it_and_no_name_holds_a_slash(registry, tmp_path):
    for file, labels in (("july", ["1", "2"]), ("sides", ["a/b", "c\\d"])):
        rows = [f"{label},14:0{minute}:00,shock" for label in labels for minute in (0, 4)]
        (tmp_path / f"{file}.csv").write_text("event_id,time,mark\n" + "\n".join(rows))

    added = add(registry, tmp_path / "july.csv", tmp_path / "sides.csv")

    assert [one.event for one in added] == ["july 1", "july 2", "a-b", "c-d"]

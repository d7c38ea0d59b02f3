"""A change by hand survives another reading of the files, and never hits another mark in silence."""

import pytest

from debrief.importers import corrections, read_event
from debrief.importers.corrections import Correction, writing
from debrief.importers.corrections.tying import tied
from debrief.model.event import Offset

LOG = "time,mark\n14:03:20,compressions_start\n14:04:10,shock\n14:05:00,rosc\n"
SHEET = "time,mark\n14:03,recognition\n14:04,shock\n14:05,rosc\n"


@pytest.fixture
def folder(tmp_path):
    """An event folder without an event.json, so that sources are named after their files."""
    path = tmp_path / "event"
    path.mkdir()
    (path / "monitor.txt").write_text(LOG)
    (path / "sheet.csv").write_text(SHEET)
    return path


def change(folder, *changes):
    """Make changes as the pages do."""
    for each in tied(read_event([folder]), changes):
        corrections.append(folder, each)


def lost(event):
    """Return what is said of changes that found no mark."""
    return [each.message for each in event.problems if each.code == "correction_lost"]


def test_changes_stand_when_the_files_are_read_again(folder):
    change(folder, Correction("drop", "monitor:2"), Correction("link", "monitor:3", other="sheet:3"))
    event = read_event([folder])

    assert event.removed == {"monitor:2"}
    assert event.linked == {("monitor:3", "sheet:3")}
    assert lost(event) == []


def test_changes_follow_their_file_when_another_takes_the_name_of_its_source(folder):
    clock = Offset(60_000_000, 0, 90_000_000, "by_hand")
    change(
        folder,
        Correction("drop", "monitor:2"),
        Correction("part", "monitor:3", other="sheet:3"),
        Correction("clock", "monitor", clock=clock),
    )
    (folder / "monitor.csv").write_text(LOG.replace("shock", "rosc"))
    event = read_event([folder])

    assert {one.source_id: one.file for one in event.sources}["monitor-2"] == "monitor.txt"
    assert event.removed == {"monitor-2:2"}
    assert event.parted == {("monitor-2:3", "sheet:3")}
    assert {one.source_id: one.clock for one in event.sources if one.clock} == {"monitor-2": clock}
    assert lost(event) == []
    change(
        folder, Correction("restore", "monitor-2:2"), Correction("undo_link", "monitor-2:3", other="sheet:3")
    )
    assert read_event([folder]).removed == frozenset()
    assert read_event([folder]).parted == frozenset()


def test_a_change_of_a_mark_that_reads_otherwise_now_does_nothing_and_is_said_until_it_is_forgotten(folder):
    change(folder, Correction("drop", "monitor:3"), Correction("drop", "monitor:4"))
    (folder / "monitor.txt").write_text(LOG.replace("14:04:10,shock", "14:04:10,note"))
    event = read_event([folder])

    assert event.removed == {"monitor:4"}
    assert len(lost(event)) == 1
    assert "monitor:3 (monitor.txt, 14:04:10, shock)" in lost(event)[0]
    written = next(one for one in corrections.read(folder) if one.mark == "monitor:3")
    writing.undo(folder, written.key)
    assert lost(read_event([folder])) == []


def test_a_change_of_a_file_that_is_gone_does_not_go_to_the_one_that_took_its_name(folder):
    change(
        folder,
        Correction("drop", "monitor:3"),
        Correction("clock", "monitor", clock=Offset(0, 0, 0, "accepted")),
    )
    (folder / "monitor.txt").unlink()
    (folder / "monitor.csv").write_text(LOG.replace("14:04:10", "14:04:11"))
    event = read_event([folder])

    assert event.removed == frozenset()
    assert [one.clock for one in event.sources] == [None, None]
    assert len(lost(event)) == 2


def test_a_change_follows_the_same_bytes_to_another_name(folder):
    change(folder, Correction("drop", "monitor:3"))
    (folder / "monitor.txt").rename(folder / "defibrillator.csv")

    assert read_event([folder]).removed == {"defibrillator:3"}


def test_a_change_that_does_not_say_what_its_mark_read_goes_by_the_name(folder):
    corrections.append(folder, Correction("drop", "monitor:3"))

    assert read_event([folder]).removed == {"monitor:3"}


def test_linking_and_undoing_leaves_all_as_it_was_and_a_mark_taken_out_is_in_no_pair(folder):
    before = read_event([folder])
    change(folder, Correction("link", "monitor:3", other="sheet:3"))
    change(folder, Correction("drop", "sheet:3"))
    assert read_event([folder]).linked == frozenset()
    change(folder, Correction("restore", "sheet:3"))
    assert read_event([folder]).linked == {("monitor:3", "sheet:3")}
    change(folder, Correction("undo_link", "sheet:3", other="monitor:3"))

    assert read_event([folder]) == before

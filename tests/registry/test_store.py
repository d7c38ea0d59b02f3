"""What is kept: byte for byte, each once, by every change that was told to be kept."""

import json
import threading

import pytest

from debrief.assess import Asked, assess
from debrief.errors import BadSetting, DebriefError
from debrief.importers import Settings, corrections, mapping, read_event
from debrief.importers.corrections import ADDED, CORRECTIONS, Correction, writing
from debrief.importers.folder import TALK
from debrief.registry import listing
from debrief.registry.adding import how_for, rebuild, waiting_for
from tests.registry.made import SHEET, add, sheets


def files(folder):
    """Return the names and bytes of a folder's files but event.json."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.name != "event.json"}


def test_files_come_back_byte_for_byte_with_what_was_corrected_added_and_said(registry, vf):
    corrections.append(vf, Correction("drop", "monitor-log:4", "a test shock"))
    writing.add(vf, read_event([vf]), {"time": "14:06:30", "kind": "shock", "note": "said later"})
    (vf / TALK).write_bytes(b'{"a": 1}\n')
    (vf / "photo of the sheet.png").write_bytes(bytes(range(256)))

    (one,) = add(registry, vf)

    assert files(registry.folder(one.event)) == files(vf)
    kept = json.loads((registry.folder(one.event) / "event.json").read_text())
    given = json.loads((vf / "event.json").read_text())
    assert {**given, "event_id": one.event, "format": 1} == kept


def test_an_event_is_measured_as_its_own_folder_is(registry, vf):
    corrections.append(vf, Correction("drop", "monitor-log:4", "a test shock"))
    (one,) = add(registry, vf)

    of_folder, kept = (assess([folder]).to_dict() for folder in (vf, registry.folder(one.event)))

    assert of_folder["figures"] == kept["figures"]
    assert of_folder["problems"] == kept["problems"]


def test_the_same_again_adds_nothing_whatever_it_is_called(registry, vf):
    first = add(registry, vf)
    again = add(registry, vf) + add(registry, vf.rename(vf.with_name("another name")))

    assert [one.did for one in (*first, *again)] == ["added", "known", "known"]
    assert len(listing.events(registry)) == 1


def test_the_same_twice_at_once_is_added_once(registry, vf):
    assert [one.did for one in add(registry, vf, vf)] == ["added", "known"]


def test_a_file_that_an_event_holds_is_no_event_of_its_own(registry, vf):
    (event,) = add(registry, vf)

    (file,) = add(registry, vf / "monitor_log.csv")

    assert (file.did, file.event) == ("contained", event.event)


def test_an_event_that_shares_a_file_with_another_is_added_and_said(registry, tmp_path):
    alone = tmp_path / "sheet.csv"
    alone.write_text(SHEET)
    both = tmp_path / "both"
    both.mkdir()
    (both / "sheet.csv").write_text(SHEET)
    (both / "log.csv").write_text("time,mark\n14:00:10,shock\n14:03:10,shock\n")
    (both / "event.json").write_text("{}")

    _, later = add(registry, alone, both)

    assert later.did == "added"
    assert any("sheet" in note for note in later.notes)


def test_what_a_folder_has_more_by_now_is_added_and_what_contradicts_is_left_and_said(registry, vf):
    (one,) = add(registry, vf)
    corrections.append(vf, Correction("drop", "monitor-log:4", "a test shock"))
    about = json.loads((vf / "event.json").read_text())
    (vf / "event.json").write_text(json.dumps(about | {"local_reference": "17", "unit": "Elsewhere"}))

    (more,) = add(registry, vf)
    kept = registry.contents(one.event)

    assert more.did == "more"
    assert len(kept.lines[CORRECTIONS]) == 1
    assert kept.settings["local_reference"] == "17"
    assert kept.settings["unit"] == about["unit"]
    assert any("Elsewhere" in note for note in more.notes)
    assert [one.did for one in add(registry, vf)] == ["known"]


def test_two_events_of_one_name_have_two(registry, tmp_path):
    names = []
    for number in range(3):
        path = tmp_path / str(number) / "sheet.csv"
        path.parent.mkdir()
        path.write_text(SHEET + f"14:1{number},note,,,\n")
        names.append(add(registry, path)[0].event)

    assert names == ["sheet", "sheet-2", "sheet-3"]


@pytest.mark.parametrize("key", ["monitored", "unit", "weight_kg", "outcome"])
def test_context_is_entered_once_it_is_known_and_every_change_of_it_is_audited(registry, vf, key):
    (one,) = add(registry, vf)
    value = {"monitored": False, "unit": "Alder", "weight_kg": 71.5, "outcome": "home"}[key]

    registry.enter(one.event, key, value, role="quality nurse", why="read in the record")

    assert registry.contents(one.event).settings[key] == value
    last = registry.history(one.event)[-1]
    assert (last["role"], last["why"], last["detail"]["to"]) == ("quality nurse", "read in the record", value)


@pytest.mark.parametrize(("key", "value"), [("weight_kg", "heavy"), ("sources", []), ("mood", "good")])
def test_context_that_cannot_be_is_refused(registry, vf, key, value):
    (one,) = add(registry, vf)

    with pytest.raises(BadSetting):
        registry.enter(one.event, key, value)

    assert len(registry.history(one.event)) == 1


def test_a_removed_event_is_in_no_list_and_comes_back_as_it_was(registry, vf):
    (one,) = add(registry, vf)
    before = files(registry.folder(one.event)), listing.figures(registry, [one.event])

    registry.remove(one.event, role="lead", why="a drill")
    assert listing.events(registry) == []
    assert [row["event_id"] for row in listing.events(registry, status="removed")] == [one.event]
    with pytest.raises(BadSetting, match="restore"):
        registry.folder(one.event)
    assert [again.did for again in add(registry, vf)] == ["removed"]

    registry.restore(one.event)
    assert (files(registry.folder(one.event)), listing.figures(registry, [one.event])) == before
    assert [row["action"] for row in registry.history(one.event)] == ["add", "remove", "restore"]


def test_a_correction_makes_figures_stale_and_rebuilding_measures_those_alone(registry, tmp_path):
    for one in sheets(tmp_path / "in", 3):
        add(registry, one)
    asked = Asked(draws=20)

    def measured():
        how = how_for(registry, asked, Settings())
        return [name for name, _ in rebuild(registry, how, waiting_for(registry, how))]

    assert measured() == ["e0000", "e0001", "e0002"]
    assert measured() == []
    line = b'{"action": "drop", "mark": "sheet:3", "why": "never given"}'
    registry.append("e0001", CORRECTIONS, [line])
    assert {row["event_id"]: row["figures"] for row in listing.events(registry)}["e0001"] == "stale"
    assert measured() == ["e0001"]
    rows = {row["name"]: row for row in listing.figures(registry, ["e0001"])}
    assert rows["time_to_first_epinephrine"]["value"] is None
    assert {row["figures"] for row in listing.events(registry)} == {"with_bounds"}


def test_notes_of_the_talk_make_nothing_stale(registry, vf):
    (one,) = add(registry, vf)

    registry.append(one.event, TALK, [b'{"do": "note"}'])

    assert [row["figures"] for row in listing.events(registry)] == ["without_bounds"]
    assert (registry.folder(one.event) / TALK).read_bytes() == b'{"do": "note"}\n'


def test_what_was_measured_of_an_event_that_changed_meanwhile_is_not_kept(registry, vf):
    (one,) = add(registry, vf)
    ((_, digest),) = waiting_for(registry, how_for(registry, Asked(), Settings()))

    registry.append(one.event, ADDED, [b"time,mark", b"14:20:00,note"])

    assert not registry.keep(one.event, digest, one.measured)
    assert [row["figures"] for row in listing.events(registry)] == ["stale"]


def test_answers_for_a_layout_are_remembered_and_read_by(registry, tmp_path):
    path = tmp_path / "odd.csv"
    path.write_text("time,mark\n14:00:00,recognition\n14:01:00,zapp\n14:05:00,rosc\n")
    (one,) = add(registry, path)
    assert one.measured.status == "needs_mapping"
    layout = mapping.layout_digest(["time", "mark"])

    registry.remember(mapping.Mapping(layout, labels={"zapp": mapping.Answer("shock")}))
    how = how_for(registry, Asked(draws=0), Settings())
    ((_, measured),) = rebuild(registry, how, waiting_for(registry, how))

    assert measured.status != "needs_mapping"


def test_figures_and_sentences_are_kept_in_english_whatever_is_spoken(registry, vf):
    from debrief.words import speaking

    with speaking("german"):
        (one,) = add(registry, vf)
    english = assess([registry.folder(one.event)], draws=0).to_dict()

    kept = {row["name"]: row["because"] for row in listing.figures(registry, [one.event])}
    assert kept == {figure["name"]: figure["because"] for figure in english["figures"]}


def test_threads_that_write_to_one_event_lose_nothing(registry, vf):
    (one,) = add(registry, vf)
    failed = []

    def write(thread):
        try:
            for number in range(10):
                registry.append(one.event, TALK, [b"%d %d" % (thread, number)])
                registry.enter(one.event, "outcome", f"{thread} {number}")
        except DebriefError as error:
            failed.append(error)

    threads = [threading.Thread(target=write, args=[number]) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert failed == []
    kept = registry.contents(one.event).lines[TALK]
    assert sorted(kept) == sorted(b"%d %d" % (thread, number) for thread in range(8) for number in range(10))
    by_thread = [[line for line in kept if line.startswith(b"%d " % thread)] for thread in range(8)]
    assert all(lines == sorted(lines) for lines in by_thread)
    assert len(registry.history(one.event)) == 81

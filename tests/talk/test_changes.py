"""What is kept of a talk survives a cut-off line, a resend, two writers; what is none is refused."""

import json
import multiprocessing
import os
import signal
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.assess import assess
from debrief.errors import BadSetting, NotKept
from debrief.importers.folder import TALK
from debrief.talk.changes import MOST_IN_FIELD, append, checked, read_changes
from debrief.talk.kept import read_talk

NOW = datetime(2026, 3, 4, 14, 0, tzinfo=UTC)


KEPT = (
    b'{"at": "2026-03-04T14:00:00", "do": "start", "key": "a", "meeting": "hot", "when": "2026-03-04"}',
    b'{"at": "soon", "do": "stop", "key": "b", "meeting": "hot", "when": "2026-03-04T14:00:00Z"}',
    b'{"at": "2026-03-04", "do": "action", "key": "c", "id": "x", "what": "y", "status": "done"}',
    b'{"at": "2026-03-04", "do": "note", "key": "d", "meeting": "cold", "section": "facts", "text": "t"}',
    b'{"at": null, "do": [], "key": {}}',
    b"[[[",
)


def note(text, key="k1", **more):
    return checked({"do": "note", "key": key, "meeting": "hot", "section": "facts", "text": text, **more})


def texts(folder):
    return [change["text"] for change in read_changes(folder)[0]]


def test_what_is_appended_is_read_back(tmp_path):
    append(tmp_path, note('早い 🙂 \u2028 نص\n"x"', "a"), NOW)
    append(tmp_path, note("second", "b"), NOW)

    assert texts(tmp_path) == ['早い 🙂 \u2028 نص\n"x"', "second"]
    assert read_changes(tmp_path)[0][0]["at"] == "2026-03-04T14:00:00+00:00"


def test_a_folder_without_a_talk_has_no_changes(tmp_path):
    assert read_changes(tmp_path) == ([], 0)


def test_a_change_that_is_sent_again_counts_once(tmp_path):
    append(tmp_path, note("one", "same"))
    append(tmp_path, note("one", "same"))

    assert texts(tmp_path) == ["one"]


@pytest.mark.parametrize("kept", range(1, 60, 7))
def test_a_line_that_was_cut_off_is_left_out_and_the_next_one_is_whole(tmp_path, kept):
    append(tmp_path, note("first", "a"))
    whole = (tmp_path / TALK).read_bytes()
    (tmp_path / TALK).write_bytes(whole + whole.replace(b'"a"', b'"z"')[:kept])
    assert read_changes(tmp_path)[1] == 1

    append(tmp_path, note("after", "b"))

    assert texts(tmp_path) == ["first", "after"]


def write_many(folder, name, count):
    for number in range(count):
        append(folder, note(f"{name} {number}", f"{name}{number}"))


def test_two_writers_at_once_lose_nothing(tmp_path):
    spawn = multiprocessing.get_context("spawn")
    writers = [spawn.Process(target=write_many, args=(tmp_path, name, 40)) for name in "ab"]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()

    assert sorted(texts(tmp_path)) == sorted(f"{name} {number}" for name in "ab" for number in range(40))
    assert read_changes(tmp_path)[1] == 0


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a system that kills at once")
def test_who_is_killed_in_the_middle_of_writing_leaves_every_earlier_line(tmp_path):
    writer = multiprocessing.get_context("spawn").Process(target=write_many, args=(tmp_path, "a", 100_000))
    writer.start()
    until = time.monotonic() + 30
    while len(texts(tmp_path)) < 20 and time.monotonic() < until:
        time.sleep(0.02)
    os.kill(writer.pid, signal.SIGKILL)
    writer.join()
    found = texts(tmp_path)

    assert found == [f"a {number}" for number in range(len(found))]
    append(tmp_path, note("after", "b"))
    assert texts(tmp_path) == [*found, "after"]


@given(st.lists(st.binary(max_size=60) | st.sampled_from(KEPT), max_size=6).map(b"\n".join))
def test_whatever_stands_in_the_file_it_is_read(content):
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / TALK).write_bytes(content)
        changes, unread = read_changes(Path(folder))
        talk = read_talk(Path(folder))

    assert len(changes) + unread <= content.count(b"\n") + 1
    assert talk.unread == unread
    assert talk.hot.lasted_s() >= 0


@pytest.mark.parametrize(
    "sent",
    [
        None,
        [],
        {},
        {"do": "erase"},
        {"do": []},
        {"do": {"note": 1}},
        {"do": "note", "key": "a", "meeting": "hot", "section": "facts"},
        {"do": "note", "key": "a", "meeting": "warm", "section": "facts", "text": ""},
        {"do": "note", "key": "a", "meeting": "hot", "section": "gossip", "text": ""},
        {"do": "note", "key": "", "meeting": "hot", "section": "facts", "text": ""},
        {"do": "note", "key": "a", "meeting": "hot", "section": "facts", "text": 3},
        {"do": "start", "key": "a", "meeting": "hot", "when": "soon"},
        {"do": "theme", "key": "a", "meeting": "hot", "section": "change", "theme": "weather", "on": "yes"},
        {"do": "drop_point", "key": "a", "id": "x" * (MOST_IN_FIELD + 1)},
        {"do": "note", "key": "a", "meeting": "hot", "section": "facts", "text": "x" * 40_001},
    ],
)
def test_what_is_no_change_is_refused(sent):
    with pytest.raises(BadSetting):
        checked(sent)


def test_fields_that_nobody_asked_for_are_left_out():
    assert "name" not in checked({"do": "drop_point", "key": "a", "id": "x", "name": "somebody"})


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="this user may write everywhere")
def test_a_folder_that_cannot_be_written_says_so_and_what_to_do(tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(NotKept, match=r"save it as a file"):
        append(tmp_path, note("lost?"))


def test_a_folder_that_is_gone_says_so(tmp_path):
    with pytest.raises(NotKept, match="cannot be kept"):
        append(tmp_path / "gone", note("lost?"))


def test_a_talk_changes_nothing_of_what_is_measured(tmp_path):
    """A folder without event.json takes every file for a source; the talk is none."""
    (tmp_path / "log.csv").write_text("time,mark\n0:00:10,recognition\n0:00:20,shock\n0:00:40,rosc\n")
    (tmp_path / "event.json").write_text("{}")
    before = assess([tmp_path]).to_dict()
    append(tmp_path, note("a note"))
    after = assess([tmp_path]).to_dict()

    assert after == before
    assert json.dumps(before["inputs"]).count("log.csv") == 1

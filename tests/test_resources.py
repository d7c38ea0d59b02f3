"""The user's own folder, and lines that are only ever added to a file."""

import multiprocessing
import os

import pytest

from debrief.resources import append_line, home


def test_the_data_folder_can_be_chosen(tmp_path, monkeypatch):
    monkeypatch.setenv("DEBRIEF_HOME", str(tmp_path))

    assert home() == tmp_path


@pytest.mark.parametrize(
    ("platform", "variable", "under"),
    [("linux", "XDG_DATA_HOME", "debrief"), ("win32", "LOCALAPPDATA", "debrief")],
)
def test_without_a_choice_it_is_where_the_platform_keeps_such_things(
    tmp_path, monkeypatch, platform, variable, under
):
    monkeypatch.delenv("DEBRIEF_HOME", raising=False)
    monkeypatch.setenv(variable, str(tmp_path))
    monkeypatch.setattr("sys.platform", platform)

    assert home() == tmp_path / under


def test_a_line_is_added_and_the_others_stay(tmp_path):
    append_line(tmp_path / "log", "erste Zeile: März")
    append_line(tmp_path / "log", "second")

    assert (tmp_path / "log").read_bytes() == "erste Zeile: März\nsecond\n".encode()


def test_after_a_line_that_was_cut_off_a_new_one_begins(tmp_path):
    (tmp_path / "log").write_bytes(b"whole\nhal")
    append_line(tmp_path / "log", "next")

    assert (tmp_path / "log").read_bytes() == b"whole\nhal\nnext\n"


def write_many(path, name, count, started):
    started.wait()
    for number in range(count):
        append_line(path, f"{name} {number} " + "x" * 500)


def test_processes_that_add_lines_at_once_lose_none(tmp_path):
    spawned = multiprocessing.get_context("spawn")
    started = spawned.Barrier(3)
    writers = [
        spawned.Process(target=write_many, args=(tmp_path / "log", name, 100, started)) for name in "abc"
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()

    assert [writer.exitcode for writer in writers] == [0, 0, 0]
    lines = list(filter(None, (tmp_path / "log").read_text().splitlines()))
    expected = [f"{name} {number} " + "x" * 500 for name in "abc" for number in range(100)]
    assert sorted(lines) == sorted(expected)
    assert [line for line in lines if line[0] == "a"] == expected[:100], "and each writer's stay in order"


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="anybody may write anywhere here")
def test_a_folder_that_cannot_be_written_is_an_error(tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(OSError, match="denied"):
        append_line(tmp_path / "log", "line")

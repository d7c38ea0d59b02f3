"""Zip archives: the events in them, and what is never taken out."""

import io
import json
import stat
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from debrief.errors import BadSetting, UnreadableFile
from debrief.importers import Settings, archives, find_events, read_event

LOG = "time,mark\n14:03:22,compressions_start\n14:05:00,rosc\n"
CASES = "Case,Time,Event\n7,14:03:22,CPR started\n9,08:10:00,CPR started\n7,14:05:00,ROSC\n9,08:20:00,ROSC\n"


def pack(path, members):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in members.items():
            file.writestr(name, content)
    return path


def told(event):
    return {
        each.message.split("'")[1]: each.message for each in event.problems if each.code == "member_left_out"
    }


def test_one_folder_is_one_event(tmp_path):
    about = json.dumps({"event_id": "bay-4", "sources": [{"file": "log.csv"}]})
    path = pack(
        tmp_path / "bay.zip", {"bay 4/event.json": about, "bay 4/log.csv": LOG, "__MACOSX/._log.csv": "x"}
    )

    assert [(found.paths, found.only) for found in find_events(path)] == [((path,), "bay 4")]
    event = read_event([path])
    assert (event.context.event_id, event.sources[0].file, event.problems[1:]) == ("bay-4", "log.csv", ())


def test_several_events_are_found_and_read_one_by_one(tmp_path):
    path = pack(
        tmp_path / "week.zip",
        {"a/event.json": "{}", "a/log.csv": LOG, "deep/er/b/event.json": "{}", "deep/er/b/log.csv": LOG}
        | {"cases.csv": CASES, "loose.csv": LOG, ".hidden.csv": LOG},
    )

    names = [found.only for found in find_events(path)]

    assert names == ["a", "cases.csv#7", "cases.csv#9", "deep/er/b", "loose.csv"]
    assert [len(read_event([path], Settings(only=name)).marks) for name in names] == [2, 2, 2, 2, 2]
    assert read_event([path], Settings(only="cases.csv#9")).context.event_id == "9"
    first = read_event([path])
    assert (first.context.event_id, first.problems[0].code) == ("a", "several_events")
    with pytest.raises(BadSetting, match=r"week\.zip: holds no event 'c'"):
        read_event([path], Settings(only="c"))


@pytest.mark.parametrize(
    "name",
    [
        "../out.csv",
        "/etc/out.csv",
        "a/../../out.csv",
        "..\\out.csv",
        "C:out.csv",
        "C:\\out.csv",
        "a//b.csv",
        "bad\x01.csv",
    ],
)
def test_a_member_that_leads_outside_is_told_and_never_written(tmp_path, name):
    (tmp_path / "in").mkdir()
    path = pack(tmp_path / "in" / "bay.zip", {name: LOG, "log.csv": LOG})
    before = set(tmp_path.rglob("*"))

    event = read_event([path])

    assert len(event.marks) == 2
    (message,) = told(event).values()
    assert "leads outside" in message
    assert set(tmp_path.rglob("*")) == before
    folder, _ = archives.unpack(path)
    assert {each.name for each in folder.parent.rglob("*.csv") if each.is_relative_to(folder)} == {"log.csv"}


def test_links_are_told_and_left_out(tmp_path):
    link = zipfile.ZipInfo("link.csv")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(tmp_path / "bay.zip", "w") as file:
        file.writestr(link, "/etc/hostname")
        file.writestr("log.csv", LOG)

    event = read_event([tmp_path / "bay.zip"])

    assert "it is a link" in told(event)["link.csv"]


def test_members_that_cannot_be_read_are_told_and_the_others_read(tmp_path):
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w") as file:
        file.writestr("log.csv", LOG)
    path = pack(tmp_path / "bay.zip", {"log.csv": LOG, "inner.zip": inner.getvalue()})
    with zipfile.ZipFile(path, "a", zipfile.ZIP_STORED) as file:
        file.writestr("damaged.csv", "time,mark\n15:00:00,rosc\n")
        file.writestr("locked.csv", "time,mark\n16:00:00,rosc\n")
        file.writestr("LOG.csv", "time,mark\n17:00:00,rosc\n")
    raw = bytearray(path.read_bytes())
    raw[raw.index(b"15:00:00")] = ord("9")
    at = raw.index(b"locked.csv", raw.index(b"PK\x01\x02"))
    raw[at - 46 + 8] |= 1
    path.write_bytes(raw)

    event = read_event([path])

    assert len(event.marks) == 2
    assert {name: message.split(": ", 1)[1].split(".")[0] for name, message in told(event).items()} == {
        "inner.zip": "it is an archive inside the archive",
        "damaged.csv": "it is damaged",
        "locked.csv": "it is locked with a password",
        "LOG.csv": "its name stands twice",
    }


@pytest.mark.parametrize(
    ("members", "says"),
    [
        ({"a.csv": "0" * 3_000_000}, "200 times its size"),
        ({f"{number}.csv": "" for number in range(2001)}, "2001 parts"),
        ({"../a.csv": LOG}, "holds nothing that can be read"),
        ({".hidden": LOG}, "holds no event"),
    ],
)
def test_what_cannot_be_opened_is_refused_with_a_remedy(tmp_path, members, says):
    path = pack(tmp_path / "bay.zip", members)

    with pytest.raises(UnreadableFile, match=says) as error:
        read_event([path])
    assert str(error.value).startswith("bay.zip")


def test_a_size_that_lies_is_counted(tmp_path):
    path = pack(tmp_path / "bay.zip", {"a.csv": "0" * 3_000_000})
    raw = bytearray(path.read_bytes())
    at = raw.rindex(b"PK\x01\x02")
    raw[at + 24 : at + 28] = (10).to_bytes(4, "little")
    path.write_bytes(raw)

    with pytest.raises(UnreadableFile):
        read_event([path])


def test_a_workbook_is_no_archive_of_events(tmp_path):
    path = pack(tmp_path / "book.zip", {"xl/workbook.xml": "", "xl/worksheets/sheet1.xml": ""})

    assert not archives.is_archive(path)


def test_the_same_archive_is_unpacked_once_into_a_folder_of_our_own(tmp_path):
    path = pack(tmp_path / "bay.zip", {"log.csv": LOG})

    folder, _ = archives.unpack(path)

    assert archives.unpack(path)[0] == folder
    assert not folder.is_relative_to(tmp_path)
    assert stat.S_IMODE(folder.parent.stat().st_mode) & 0o077 == 0


NAME = st.lists(
    st.sampled_from(["..", ".", "", "a", "b c", "log.csv", "C:", "\\", "/", "~", "nul", "x.", "\u202e"]),
    min_size=1,
    max_size=5,
).map("/".join)


@settings(deadline=None, max_examples=60)
@given(st.lists(NAME, min_size=1, max_size=4, unique=True))
def test_no_name_leads_out_of_the_folder(tmp_path_factory, names):
    """Whatever members are called, what is written lies below the folder of the archive."""
    home = tmp_path_factory.mktemp("zip")
    path = pack(home / "bay.zip", {"good.csv": LOG} | {name: LOG for name in names if name})
    before = set(home.rglob("*"))

    folder, _ = archives.unpack(path)

    assert (folder / "good.csv").is_file()
    assert set(home.rglob("*")) == before
    assert all(each.resolve().is_relative_to(folder.resolve()) for each in Path(folder).rglob("*"))


def test_an_archive_among_the_files_of_an_event_says_what_to_do(tmp_path):
    path = pack(tmp_path / "bay.zip", {"log.csv": LOG})
    (tmp_path / "log.csv").write_text(LOG)

    with pytest.raises(UnreadableFile, match=r"bay\.zip: is an archive, .*Open a zip archive alone"):
        read_event([tmp_path / "log.csv", path])

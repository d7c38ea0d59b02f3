"""Merged and split, nothing is lost, and taking it back leaves what was."""

import pytest
from click.testing import CliRunner

from debrief.assess import assess
from debrief.cli import main
from debrief.errors import BadSetting
from debrief.importers import corrections, read_event
from debrief.importers.corrections import writing
from debrief.importers.folder import TALK
from debrief.registry import listing, parting
from tests.registry.made import add

LOG = "time,mark\n14:03:20,pulseless\n14:03:30,compressions_start\n14:05:30,shock\n14:09:00,rosc\n"
SHEET = "time,mark\n14:04,recognition\n14:06,drug epinephrine 1 mg\n14:09,rosc\n"


@pytest.fixture
def two(registry, tmp_path):
    """The names of two events, each of one file called alike."""
    for name, text in (("a", LOG), ("b", SHEET)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "marks.csv").write_text(text)
        (tmp_path / name / "event.json").write_text('{"unit": "Alder ward"}' if name == "b" else "{}")
    return [one.event for one in add(registry, tmp_path / "a", tmp_path / "b")]


def names(registry, status=None):
    return sorted(row["event_id"] for row in listing.events(registry, status=status))


def test_of_two_events_one_is_made_with_all_files_and_corrections_and_back(registry, two):
    with registry.changing(two[0]) as folder:
        mark = read_event([folder]).marks["place"][2].as_py()
        source = read_event([folder]).sources[0].source_id
        writing.count(folder, read_event([folder]), [f"{source}:{mark}"], False)

    made = parting.merge(registry, two, "quality", "the same patient")

    assert names(registry) == [made]
    assert names(registry, "removed") == sorted(two)
    event = read_event([registry.folder(made)])
    assert sorted(path.name for path in registry.folder(made).glob("*.csv")) == ["marks (2).csv", "marks.csv"]
    assert (event.context.unit, len(event.marks), len(event.removed)) == ("Alder ward", 7, 1)
    assert registry.history(made)[-1]["detail"]["of"] == two
    registry.remove(made)
    for name in two:
        registry.restore(name)
    assert names(registry) == sorted(two)
    assert parting.merge(registry, two) == made  # the same again comes back


def test_an_event_is_split_by_its_files(registry, two):
    made = parting.merge(registry, two)

    parts = parting.split(registry, made, ["marks (2).csv"])

    sizes = [len(read_event([registry.folder(part)]).marks) for part in parts]
    assert sizes == [3, 4]
    assert names(registry) == sorted(parts)
    with pytest.raises(BadSetting, match="Name some, not all"):
        parting.split(registry, parts[1], ["marks.csv"])


def test_an_event_is_split_at_a_moment_and_the_parts_say_what_they_left(registry, two):
    registry.append(two[0], TALK, [b"{}"])
    parts = parting.split_at(registry, two[0], "14:05:00", "nurse")
    assert [len(registry.contents(part).lines[TALK]) for part in parts] == [1, 0]

    events = [read_event([registry.folder(part)]) for part in parts]
    assert [len(one.marks) - len(one.removed) for one in events] == [2, 2]
    assert all(len(one.marks) == 4 for one in events)
    (told,) = {one.why for one in corrections.read(registry.folder(parts[0]))}
    assert told == "split at 14:05:00"
    assert assess([registry.folder(parts[1])], draws=0).to_dict()["shocks"]
    registry.restore(two[0])
    assert len(read_event([registry.folder(two[0])]).removed) == 0


@pytest.mark.parametrize(
    ("moment", "said"),
    [("soon", "cannot have written"), ("13:00:00", "on one side"), ("15:00", "on one side")],
)
def test_where_nothing_can_be_split_nothing_is_changed(registry, two, moment, said):
    with pytest.raises(BadSetting, match=said):
        parting.split_at(registry, two[0], moment)
    assert names(registry) == sorted(two)


def test_a_locked_event_is_neither_merged_nor_split(registry, two):
    registry.review(two[0], "locked")

    with pytest.raises(BadSetting, match="locked"):
        parting.merge(registry, two)
    with pytest.raises(BadSetting, match="locked"):
        parting.split_at(registry, two[0], "14:05:00")
    with pytest.raises(BadSetting, match="two or more"):
        parting.merge(registry, [two[1], two[1]])
    assert names(registry) == sorted(two)


def test_the_commands_say_what_the_events_are_called_now(tmp_path, monkeypatch):

    monkeypatch.setenv("DEBRIEF_HOME", str(tmp_path / "home"))
    for name, text in (("a", LOG), ("b", SHEET)):
        (tmp_path / f"{name}.csv").write_text(text)

    def told(*words):
        done = CliRunner().invoke(main, list(map(str, words)))
        return done.exit_code, done.output

    assert told("add", tmp_path / "a.csv", tmp_path / "b.csv")[0] == 0
    assert told("merge", "a", "b", "--why", "one patient") == (0, "Now there is: a and b\n")
    assert told("split", "a and b", "--at", "14:05:00") == (0, "Now there is: a and b 1, a and b 2\n")
    assert told("split", "a and b 1")[0] == 2

"""All events as short lines: what each says, what of it is not known, which figure has which value."""

import pytest

from debrief.registry import listing, overview
from tests.registry.made import add, sheets


@pytest.fixture
def three(registry, tmp_path):
    """Two sheets and an event with a clock, a rhythm and a reference."""
    folder = tmp_path / "full"
    folder.mkdir()
    rows = ["time,mark,detail", "10:00,pulseless,", "10:01,rhythm,vf", "10:02,shock,", "10:09,rosc,"]
    (folder / "log.csv").write_text("\n".join(rows) + "\n")
    told = '{"unit": "Birch ward", "date": "2026-02-01", "population": "child", "local_reference": "K-17"}'
    (folder / "event.json").write_text(told)
    add(registry, folder, *sheets(tmp_path / "in", 2))
    return registry


def test_a_line_says_what_the_list_of_events_says_and_what_else_can_be_searched(three):
    lines = {line.event_id: line for line in overview.lines(three)}
    rows = {row["event_id"]: row for row in listing.events(three)}

    assert list(lines) == sorted(rows)
    for name, row in rows.items():
        line = lines[name]
        assert (line.date, line.unit, line.population, line.status, line.to_check) == tuple(
            row[key] for key in ("date", "unit", "population", "status", "to_check")
        )
    assert lines["full"].rhythm == "vf"
    assert "K-17" in lines["full"].found
    assert "log.csv" in lines["full"].found


def test_what_a_reviewer_says_stands_before_and_what_was_taken_out_is_apart(three):
    three.review("full", "excluded", "nurse", "a drill")
    three.remove("e0000")

    assert {line.event_id: (line.status, line.why) for line in overview.lines(three)}["full"] == (
        "excluded",
        "a drill",
    )
    assert [line.event_id for line in overview.lines(three, removed=True)] == ["e0000"]
    assert {"e0001", "full"} == set(listing.names(three))


def test_figures_are_those_of_the_list_of_figures(three):
    wanted = ("time_to_first_shock", "completeness")
    found = overview.figures(three, ["full", "e0001"], wanted)
    all_of_it = {
        (one["event_id"], one["name"]): one["value"] for one in listing.figures(three, ["full", "e0001"])
    }

    assert {(name, key): row["value"] for name, rows in found.items() for key, row in rows.items()} == {
        key: value for key, value in all_of_it.items() if key[1] in wanted
    }
    assert overview.values(three, "time_to_first_shock") == {"full": 120.0}


def test_what_is_not_known_has_a_reason_and_what_does_not_apply_is_not_missing(three):
    found = overview.figures(three, ["e0001"], overview.CORE)["e0001"]
    told = dict(overview.missing(found))

    assert told
    assert all(told.values())
    assert not any(found[name]["verdict"] == "not_applicable" for name in told)


def test_a_line_says_that_its_event_changed_since_it_was_measured(three):
    three.enter("full", "unit", "Alder ward")

    assert {line.event_id: line.stale for line in overview.lines(three)} == {
        "full": True,
        "e0000": False,
        "e0001": False,
    }

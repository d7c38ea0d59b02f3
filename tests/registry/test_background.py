"""Bounds that follow by themselves: what waits is measured once, what cannot be is not tried for ever."""

import time
from dataclasses import replace

import pytest

from debrief.assess import Asked
from debrief.errors import NotKept
from debrief.importers import Settings
from debrief.importers.mapping import Mapping
from debrief.registry import background, listing
from debrief.registry.adding import how_for
from debrief.registry.background import Background, unfinished
from tests.registry.made import add, sheets


@pytest.fixture
def three(registry, tmp_path):
    """Three events that were measured without draws."""
    add(registry, *sheets(tmp_path / "in", 3))
    return registry


def how(registry):
    return how_for(registry, Asked(draws=20), Settings())


def standing(registry):
    return [row["figures"] for row in listing.events(registry)]


def test_what_has_no_bounds_gets_them_once(three):
    at_work = Background(lambda: three, lambda: how(three))

    assert at_work.look() == 3
    assert standing(three) == ["with_bounds"] * 3
    assert at_work.look() == 0
    assert unfinished(three, how(three)) == []


def test_what_was_changed_is_measured_again_and_the_last_added_first(three):
    at_work = Background(lambda: three, lambda: how(three))
    at_work.look()
    three.enter("e0001", "unit", "Alder ward")

    assert [name for name, _ in unfinished(three, how(three))] == ["e0001"]
    assert at_work.look() == 1
    assert standing(three) == ["with_bounds"] * 3


def test_what_another_edition_measured_stays(three):
    Background(lambda: three, lambda: how(three)).look()
    other = how_for(three, Asked(draws=20, edition="ERC 2025"), Settings())

    assert unfinished(three, other) == []


def test_an_answer_about_a_layout_measures_what_waits_for_one_and_only_that(registry, tmp_path):
    (tmp_path / "odd.csv").write_text("time,mark\n10:00,pulseless\n10:01,zapped\n10:02,rosc\n")
    add(registry, tmp_path / "odd.csv", *sheets(tmp_path / "in", 1))
    at_work = Background(lambda: registry, lambda: how(registry))
    at_work.look()
    registry.remember(Mapping(layout="abc", columns={"t": "time"}))

    assert [name for name, _ in unfinished(registry, how(registry))] == ["odd"]


def test_what_cannot_be_measured_is_tried_once(three, monkeypatch):
    tried = []

    def refuse(registry, how, waiting):
        tried.extend(waiting)
        return ((name, "cannot be read") for name, _ in waiting)

    monkeypatch.setattr(background, "rebuild", refuse)
    at_work = Background(lambda: three, lambda: how(three))
    at_work.look()
    three.enter("e0001", "unit", "Alder ward")
    at_work.look()

    assert [name for name, _ in tried] == ["e0002", "e0001", "e0000", "e0001"]


def test_a_thread_works_while_events_come_and_ends_when_it_is_told(three, tmp_path, monkeypatch):
    monkeypatch.setattr(background, "EVERY_S", 0.02)
    at_work = Background(lambda: three, lambda: replace(how(three)))
    at_work.start()
    add(three, *sheets(tmp_path / "more", 1, start=5))
    end = time.monotonic() + 10
    while "without_bounds" in standing(three) and time.monotonic() < end:
        time.sleep(0.02)
    at_work.stop()

    assert standing(three) == ["with_bounds"] * 4


def test_without_a_registry_it_waits():
    assert Background(lambda: None, lambda: how(None)).look() == 0


def test_a_registry_that_is_out_of_reach_is_said_once_and_asked_again(monkeypatch, caplog):
    monkeypatch.setattr(background, "EVERY_S", 0.01)
    asked = []

    def gone():
        asked.append(1)
        raise NotKept("out of reach")

    at_work = Background(gone, lambda: how(None))
    at_work.start()
    end = time.monotonic() + 5
    while len(asked) < 3 and time.monotonic() < end:
        time.sleep(0.01)
    at_work.stop()

    assert len(asked) >= 3
    assert [record.message for record in caplog.records] == ["bounds wait: out of reach"]

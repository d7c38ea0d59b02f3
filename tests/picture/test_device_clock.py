"""The chart of a device's clock: every check that counts, ahead above behind, and where it was set."""

from datetime import date
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.clocks.log import Entry
from debrief.clocks.standing import standings
from debrief.model.event import ClockCheck
from debrief.picture import svg
from debrief.picture.device_clock import lay_device_clock

TODAY = date(2026, 3, 31)
WIDTH = 800


def entry(day, error_s, *, then_set=False, withdrawn=False):
    """Return a check of a clock that was so much ahead."""
    reads = [f"{12 + s // 3600:02}:{s % 3600 // 60:02}:{s % 60:02}" for s in (error_s, 0)]
    check = ClockCheck(*reads, day, "network time", then_set)
    return Entry("x", "Defibrillator <2>", check, withdrawn=withdrawn)


def laid(*entries):
    return lay_device_clock(standings([entries], TODAY)[0], WIDTH)


def ids(picture, kind):
    return [item.id for item in picture.items if item.id.partition(":")[0] == kind]


def test_ahead_stands_above_right_and_behind_below():
    picture = laid(entry("2026-03-01", 60), entry("2026-03-02", 61), entry("2026-03-30", -45))
    ahead, _, behind = (picture.item(f"check:{number}") for number in range(3))
    right = picture.item("level:0").paths[0][0][1]

    assert ahead.y < right < behind.y
    assert "1\u202fmin ahead" in ahead.hover
    assert "45\u202fs behind" in behind.hover


def test_what_was_withdrawn_is_not_drawn():
    assert ids(laid(entry("2026-03-01", 5), entry("2026-03-02", 9, withdrawn=True)), "check") == ["check:0"]
    assert laid(entry("2026-03-01", 5, withdrawn=True)) is None


def test_where_it_was_set_the_line_is_broken_and_says_so():
    picture = laid(entry("2026-03-01", 60, then_set=True), entry("2026-03-30", 3))

    assert ids(picture, "set") == ["set:1"]
    assert ids(picture, "drift") == ["drift:0", "drift:1"]
    assert ids(picture, "check") == ["check:0", "check:1"], "that it read right then nobody read"
    assert "set" in [label.text for label in picture.labels]


@pytest.mark.parametrize(("day", "stale"), [("2026-03-02", False), ("2026-02-28", True)])
def test_a_stale_check_says_since_when(day, stale):
    picture = laid(entry(day, 5))

    assert ids(picture, "stale") == (["stale"] if stale else [])
    assert ("stale from 2026-03-30" in [label.text for label in picture.labels]) == stale


days = st.dates(date(2015, 1, 1), TODAY).map(date.isoformat)


@given(
    st.lists(
        st.builds(entry, days, st.integers(-40_000, 40_000), then_set=st.booleans()), min_size=1, max_size=9
    )
)
def test_whatever_was_checked_all_of_it_is_within_the_chart(entries):
    picture = laid(*entries)
    low, high = picture.view

    for item in picture.items:
        points = [(item.x, item.y)] if hasattr(item, "x") else [one for path in item.paths for one in path]
        assert all(low <= x <= high for x, _ in points)
        assert all(0 <= y <= picture.axis_y for _, y in points)
    assert 1 <= len(picture.ticks) <= 8
    assert 2 <= len([label for label in picture.labels if label.id.startswith("level")]) <= 6
    assert ElementTree.fromstring(svg.paint(picture, "page")).attrib["aria-label"] == picture.description

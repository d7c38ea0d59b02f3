"""Clocks laid out: rows as written and as aligned, lines between marks of one thing, what is left over."""

import json
from xml.etree import ElementTree

import pytest

from debrief.picture import svg
from debrief.picture.clocks import Stamp, lay_clocks
from debrief.picture.labels import text_width
from debrief.picture.sheet import Scale, box
from debrief.picture.theme import STYLES, THEMES

MIDNIGHT = 3 * 3600 + 12 * 60 + 20.0
"""Where time zero of the invented event stands on its log: 03:12:20. [s]"""
OFF = 137.0
PAIRED = (284.0, 525.0, 898.0)


def stamp(name, at, time, kind="shock", what="shock 200 J"):
    return Stamp(name, name.partition(":")[0], kind, at, time, f"{at:g}", what)


@pytest.fixture
def shared(make):
    """A log and a sheet that is behind by OFF; three shocks are seen by both, the sheet up to 9 s late."""
    report = make.report()
    pairs, stamps = [], []
    for number, time in enumerate(PAIRED):
        late = 3.0 * (number + 1)
        stamps.append(stamp(f"log:{number}", MIDNIGHT + time, time))
        stamps.append(stamp(f"sheet:{number}", MIDNIGHT + time + late - OFF, time + late))
        pairs.append({"mark": f"sheet:{number}", "other": f"log:{number}", "residual": -late})
    stamps.append(stamp("log:8", MIDNIGHT + 30, 30.0, "rhythm", "VF"))
    sheet = make.source("sheet", "sheet.csv", "person", OFF, spread=12.0)
    sheet["clock"]["evidence"][0]["pairs"] = pairs
    report["sources"][1] = sheet
    return report, stamps


def lean(picture):
    """How far each line runs sideways. [px]"""
    lines = [item for item in picture.items if item.id.startswith("pair:")]
    return [abs(path[0][0] - path[1][0]) * picture.px_per_s for line in lines for path in line.paths]


def labels(picture, label_id):
    return [f"{one.strong} {one.text}".strip() for one in picture.labels if one.id == label_id]


def test_lines_lean_as_far_as_clocks_disagree_and_stand_upright_once_aligned(shared):
    clocks = lay_clocks(*shared, 1000)
    before, after = lean(clocks.before), lean(clocks.after)

    assert before == pytest.approx([(OFF - late) * clocks.before.px_per_s for late in (3, 6, 9)])
    assert after == pytest.approx([late * clocks.after.px_per_s for late in (3, 6, 9)])


def test_both_pictures_have_one_scale_and_their_ticks_at_the_same_hours(shared):
    clocks = lay_clocks(*shared, 1000)

    assert clocks.before.px_per_s == clocks.after.px_per_s
    assert [tick.text for tick in clocks.before.ticks] == [tick.text for tick in clocks.after.ticks]
    assert "03:16" in [tick.text for tick in clocks.after.ticks]
    zero = next(tick for tick in clocks.after.ticks if tick.text == "03:14")
    assert (zero.x, zero.wall) == (100.0, "1:40")


def test_clocks_far_apart_leave_the_aligned_picture_its_own_scale(shared):
    report, stamps = shared
    moved = [
        stamp(one.name, one.at - (3600 if one.source == "sheet" else 0), one.time, one.kind, one.what)
        for one in stamps
    ]
    report["sources"][1]["clock"] |= {"offset": OFF + 3600, "low": OFF + 3590, "high": OFF + 3610}
    clocks = lay_clocks(report, moved, 1000)

    assert clocks.after.px_per_s > 2 * clocks.before.px_per_s
    assert labels(clocks.before, "row:sheet") == ["1\u202fh\u00a02\u202fmin\u00a017\u202fs behind"]


def test_a_clock_half_a_day_away_does_not_stretch_the_axis_and_says_so(shared):
    report, stamps = shared
    moved = [
        stamp(
            one.name,
            one.at + (11 * 3600 if one.source == "sheet" else 0),
            None if one.source == "sheet" else one.time,
        )
        for one in stamps
    ]
    report["sources"][1] |= {"group": 2, "clock": None}
    clocks = lay_clocks(report, moved, 1000)

    assert clocks.before.view[1] - clocks.before.view[0] < 3600
    assert labels(clocks.before, "away:sheet") == ["about 10\u202fh\u00a055\u202fmin away, not drawn"]
    assert labels(clocks.after, "away:sheet") == ["on no common clock; see its own timeline"]
    assert clocks.after.item("away:sheet").role == "not_seen"
    assert labels(clocks.after, "row:sheet") == ["stands apart"]
    assert clocks.residuals == {}


def test_a_source_that_counts_from_its_own_zero_is_drawn_from_the_begin_of_the_arrest(shared):
    report, stamps = shared
    report["sources"][1]["scale"] = "elapsed"
    report["sources"][1]["clock"] |= {"offset": MIDNIGHT, "low": MIDNIGHT - 2, "high": MIDNIGHT + 2}
    counted = [
        stamp(one.name, one.time if one.source == "sheet" else one.at, one.time, one.kind, one.what)
        for one in stamps
    ]
    clocks = lay_clocks(report, counted, 1000)

    assert labels(clocks.before, "row:sheet") == ["0:00 is 03:12:20"]
    first = clocks.before.item("mark:sheet:0").x
    assert clocks.before.view[0] < first < clocks.before.view[1]


def test_marks_that_tie_a_clock_show_how_far_it_may_be_off(shared):
    after = lay_clocks(*shared, 1000).after
    bar = after.item("spread:sheet:0")

    assert (bar.x0, bar.x1) == (287.0 - 12, 287.0 + 12)
    assert lay_clocks(*shared, 1000).before.item("spread:sheet:0") is None


def test_what_is_left_over_hangs_below_zero_where_a_source_is_late(shared):
    strip = lay_clocks(*shared, 1000).residuals["sheet"]
    zero = strip.item("zero").paths[0][0][1]
    dots = [strip.item(f"residual:sheet:{number}") for number in range(3)]
    band = strip.item("bounds")

    assert [dot.x for dot in dots] == [287.0, 531.0, 907.0]
    below = [dot.y - zero for dot in dots]
    assert below[0] > 0
    assert below[2] == pytest.approx(3 * below[0])
    assert band.y1 - zero == pytest.approx(4 * below[0], abs=1)
    late = strip.item("late")
    assert late.y1 - late.y0 == pytest.approx(20 * below[0], abs=1)
    assert "6\u202fs later" in dots[1].hover


def test_each_source_has_a_line_of_its_own_by_colour_and_by_dash(shared, make):
    report, stamps = shared
    second = make.source("watch", "watch.csv", "device", 1.0)
    second["clock"]["evidence"][0]["pairs"] = [{"mark": "watch:1", "other": "log:1", "residual": 0.0}]
    report["sources"].append(second)
    stamps.append(stamp("watch:1", MIDNIGHT + PAIRED[1] - 1, PAIRED[1]))
    after = lay_clocks(report, stamps, 1000).after
    roles = {item.role for item in after.items if item.id.startswith("pair:")}

    assert roles == {"pair_1", "pair_2"}
    assert len({(STYLES[role].line, STYLES[role].dash) for role in roles}) == 2
    assert len({STYLES[role].dash for role in roles}) == 2


def test_single_compressions_are_runs_and_no_mark_is_lost(shared):
    report, stamps = shared
    singles = [
        stamp(f"log:{100 + n}", MIDNIGHT + 100 + n / 2, 100 + n / 2, "compression", "") for n in range(40)
    ]
    singles += [
        stamp(f"log:{200 + n}", MIDNIGHT + 200 + n / 2, 200 + n / 2, "compression", "") for n in range(40)
    ]
    after = lay_clocks(report, [*stamps, *singles], 1000).after
    runs = [item for item in after.items if item.role == "hands_on"]

    assert [(run.x0, run.x1) for run in runs] == [(100.0, 119.5), (200.0, 219.5)]
    assert all(after.item(f"mark:{one.name}") is not None for one in stamps)


def test_there_is_nothing_to_lay_out_without_a_mark_on_the_reference(make):
    assert lay_clocks(make.report(), [], 1000) is None
    assert lay_clocks(make.report(sources=[]), [stamp("log:1", 1.0, 1.0)], 1000) is None


@pytest.mark.parametrize("width", [600, 780, 1000, 1400])
def test_pictures_are_plain_data_with_known_roles_and_words_that_do_not_overlap(shared, width):
    clocks = lay_clocks(*shared, width)
    for picture in (clocks.before, clocks.after, *clocks.residuals.values()):
        json.dumps(picture.to_dict(), allow_nan=False)
        ids = [item.id for item in picture.items]
        assert len(ids) == len(set(ids))
        assert {item.role for item in picture.items} <= set(STYLES)
        assert text_width(picture.caption, 12) < width
        scale = Scale(*picture.view, picture.left, width - picture.right)
        boxes = [box(label, scale) for label in picture.labels]
        for place, (x0, x1, y0, y1) in enumerate(boxes):
            assert x0 >= 0
            assert not any(x0 < b and a < x1 and y0 < d and c < y1 for a, b, c, d in boxes[place + 1 :])


def test_painted_for_a_page_it_takes_the_colours_of_the_page_and_ids_of_its_own(shared):
    clocks = lay_clocks(*shared, 1000)
    painted = [
        svg.paint(one, "page", name=name) for one, name in ((clocks.before, "-a"), (clocks.after, "-b"))
    ]

    for text in painted:
        assert not any(colour in text for colour in THEMES["light"].values())
        assert "var(--hands-on)" in text
    ids = [
        {node.attrib["id"] for node in ElementTree.fromstring(text).iter() if "id" in node.attrib}
        for text in painted
    ]
    assert ids[0]
    assert not ids[0] & ids[1]


def test_what_somebody_wrote_is_shown_and_never_obeyed(shared):
    report, stamps = shared
    report["sources"][1]["name"] = "<b>sheet</b>"
    text = svg.paint(lay_clocks(report, stamps, 1000).after, "page")

    assert "<b>" not in text
    assert "&lt;b&gt;sheet" in text

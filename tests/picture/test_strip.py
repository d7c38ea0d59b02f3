"""The strip of first shock and doses: each beside the stretch that is asked for, as shape and as words."""

from xml.etree import ElementTree

import pytest

from debrief.picture import svg
from debrief.picture.plain import Bar, Mark
from debrief.picture.strip import lay_strip
from tests.made import assessed, compressions, row

START = (row(0, "recognition"), row(1, "rhythm", "vf"), *compressions((5, 900)))


def dose(at, **more):
    return row(at, "drug", "epinephrine", amount=1, unit="mg", route="iv", **more)


def strip(*rows, draws=0, start=START, **context):
    return lay_strip(assessed([*start, *rows], draws=draws, **context).to_dict())


def item(picture, name):
    return next(one for one in picture.items if one.id == name)


def words(picture):
    return {label.id: label.text for label in picture.labels}


def test_the_first_shock_stands_beside_the_stretch_that_is_asked_for():
    picture = strip(row(150, "shock"))
    zone, mark = item(picture, "first:shock/zone"), item(picture, "first:shock")

    assert (zone.x0, zone.x1) == (0.0, 120.0)
    assert (mark.x, mark.role) == (150.0, "told_not_met")
    assert words(picture)["first:shock"] == "2:30, not met"
    assert mark.marks


def test_each_dose_after_the_first_stands_beside_when_it_was_asked_for():
    picture = strip(dose(100), dose(340), dose(800), first_rhythm="pea")
    zones = [(one.x0, one.x1) for one in picture.items if isinstance(one, Bar) and one.role == "zone"][1:]
    marks = [(one.x, one.role) for one in picture.items if isinstance(one, Mark) and one.id.startswith("gap")]

    assert zones == [(280.0, 400.0), (520.0, 640.0)]
    assert marks == [(340.0, "told_met"), (800.0, "told_not_met")]
    assert words(picture)["gap:2"] == "7:40, not met"


def test_what_cannot_be_told_has_its_bounds_and_a_shape_of_its_own():
    start = [
        row(0, "recognition", source="sheet", cell_s=60),
        row(1, "rhythm", "vf", source="sheet", cell_s=60),
    ]
    picture = strip(row(120, "shock", source="sheet", cell_s=60), draws=200, start=start)
    spread = item(picture, "first:shock/spread")

    assert spread.x0 < item(picture, "first:shock").x < spread.x1
    assert item(picture, "first:shock").role == "told_uncertain"


def test_where_the_target_does_not_apply_there_is_no_stretch_and_no_verdict():
    picture = strip(row(60, "shock"), dose(400))

    assert all(one.id != "first:drug/zone" for one in picture.items)
    assert item(picture, "first:drug").role == "told"
    assert words(picture)["first:drug"] == "6:40"


def test_where_nobody_knows_whether_the_target_applies_there_is_no_verdict():
    picture = strip(row(90, "shock"), start=[row(0, "recognition")])

    assert item(picture, "first:shock").role == "told"
    assert words(picture)["first:shock"] == "1:30"


@pytest.mark.parametrize("rows", [(), (row(50, "rosc"),)])
def test_without_shock_and_dose_there_is_no_strip(rows):
    assert strip(*rows) is None


def test_of_sixty_doses_each_is_drawn_and_words_stand_where_there_is_room():
    picture = strip(*(dose(60 + 240 * number) for number in range(60)), first_rhythm="pea")
    marks = [one.id for one in picture.items if isinstance(one, Mark)]

    assert len(marks) == 60
    assert sorted(marks) == sorted([*words(picture), *picture.unplaced])
    assert picture.unplaced


def test_the_painter_draws_every_item_and_describes_them():
    picture = strip(row(150, "shock"), dose(100), dose(340))
    root = ElementTree.fromstring(svg.paint(picture))
    drawn = {node.attrib["data-id"] for node in root.iter() if "data-id" in node.attrib}

    assert {one.id for one in picture.items} <= drawn
    assert "First shock" in picture.description or "first shock" in picture.description

"""What the layout makes of the contract, with no painter involved."""

import json

import pytest

from debrief.assess import assess
from debrief.picture.labels import text_width
from debrief.picture.layout import lay_out
from debrief.picture.plain import Bar
from debrief.picture.sheet import Scale, box
from debrief.picture.theme import STYLES
from debrief.resources import shipped


def roles(picture):
    return {item.role for item in picture.items}


def words(picture, item_id):
    return [f"{one.strong} {one.text}".strip() for one in picture.labels if one.id == item_id]


def test_a_picture_is_plain_data(any_report):
    data = lay_out(any_report).to_dict()
    assert json.loads(json.dumps(data, allow_nan=False))["width"] == 1200
    assert {item["form"] for item in data["items"]} <= {"bar", "line", "mark", "wedge"}


def test_every_item_has_an_id_of_its_own_and_a_known_role(any_report):
    picture = lay_out(any_report)
    ids = [item.id for item in picture.items]
    assert len(ids) == len(set(ids))
    assert roles(picture) <= set(STYLES)


@pytest.mark.parametrize("width", [620, 820, 1000, 1440])
def test_labels_never_overlap_nor_leave_the_picture(any_report, width):
    picture = lay_out(any_report, width=width)
    scale = Scale(*picture.view, picture.left, width - picture.right)
    boxes = [(label, box(label, scale)) for label in picture.labels]
    for place, (label, (x0, x1, y0, y1)) in enumerate(boxes):
        assert x0 >= 0
        assert x1 <= width
        for other, (a0, a1, b0, b1) in boxes[place + 1 :]:
            assert not (x0 < a1 and a0 < x1 and y0 < b1 and b0 < y1), (label, other)


def test_every_marked_thing_in_view_has_words_or_is_listed_as_without(any_report):
    picture = lay_out(any_report)
    told = {label.id for label in picture.labels} | set(picture.unplaced)
    lanes = {"people", "drugs", "shocks", "readings"}
    for item in picture.items:
        if item.lane in lanes and "/" not in item.id and picture.view[0] <= item.x <= picture.view[1]:
            assert item.id in told


def test_every_occurrence_can_be_found_on_the_picture(events):
    """Marks of compressions are told by the ribbon, breaths by one path; the others are items."""
    report = events["rearrest"]()
    ids = {item.id for item in lay_out(report).items}
    inside = {"compressions_start", "ventilation", "compression"}
    missing = [
        one
        for one in report["occurrences"]
        if one["kind"] not in inside and f"occurrence:{one['id']}" not in ids
    ]
    assert missing == []


def test_starts_alone_are_never_drawn_as_hands_on(events):
    picture = lay_out(events["starts_alone"]())
    assert "hands_on" not in roles(picture)
    unseen = picture.item("unseen:0")
    assert (unseen.role, unseen.x0, unseen.x1) == ("not_seen", 60.0, 900.0)
    assert "was not recorded" in words(picture, "unseen:0")[0]
    assert picture.item("occurrence:o2").role == "start"


def test_the_wait_for_the_first_compression_is_framed_with_its_seconds(events):
    picture = lay_out(events["vf"]())
    frame = picture.item("before_first")
    assert (frame.x0, frame.x1) == (0.0, 70.0)
    assert words(picture, "before_first") == ["70 s"]


def test_pauses_over_10_s_are_bracketed_and_others_are_not(events):
    picture = lay_out(events["vf"]())
    bracketed = {item.id for item in picture.items if item.role == "bracket"}
    assert bracketed == {f"pause:{number}/bracket" for number in (1, 3, 4, 6, 9)}
    assert "61 s airway" in " ".join(words(picture, "pause:4"))


def test_a_pause_is_seen_however_short(make):
    """At four hours a pause of 2 s is a tenth of a pixel wide, and still a break in the ribbon."""
    end = 4 * 3600.0
    pauses = ((7000.0, 7002.0, "unexplained"),)
    report = make.report(
        pauses=[make.pause(*pauses[0])],
        hands_on=make.runs(pauses, 70.0, end),
        episodes=[make.episode(0.0, end, "last_mark")],
        end={"time": end, "basis": "last_mark", "marks": []},
        covered=[[70.0, end]],
        by_minute=[],
    )
    picture = lay_out(report)
    bar = picture.item("pause:0")
    assert (bar.x1 - bar.x0) * picture.px_per_s >= 1.5
    assert "2 s" in bar.hover


def test_what_nobody_saw_is_hatched_with_words(events):
    picture = lay_out(events["rearrest"]())
    gap = picture.item("unseen:0")
    assert (gap.role, gap.x0, gap.x1) == ("not_seen", 420.0, 560.0)
    assert words(picture, "unseen:0") != []
    assert picture.item("minute:7").role == "not_seen"


def test_mechanical_compressions_differ_by_texture_and_by_words(events):
    picture = lay_out(events["rearrest"]())
    mechanical = [item for item in picture.items if item.role == "mechanical"]
    assert [(bar.x0, bar.x1) for bar in mechanical] == [(345.0, 420.0), (560.0, 700.0)]
    assert STYLES["mechanical"].hatch
    assert "mechanical" in [label.text for label in picture.labels]


def test_after_rosc_two_thin_lines_run_to_the_rearrest(events):
    picture = lay_out(events["rearrest"]())
    lines = picture.item("circulation:0/lines")
    assert [(path[0][0], path[-1][0]) for path in lines.paths] == [(700.0, 1000.0)] * 2
    assert "ROSC 11:40" in words(picture, "occurrence:o12")
    assert "re-arrest" in " ".join(words(picture, "episode:1/start"))


def test_what_came_before_time_zero_stands_left_of_it(events):
    picture = lay_out(events["rearrest"]())
    assert picture.view[0] < -95
    assert picture.item("occurrence:o2").x == -60.0


def test_an_assumed_time_zero_is_dashed_and_said(events):
    picture = lay_out(events["rearrest"]())
    assert picture.item("zero").role == "zero_assumed"
    assert "assumed" in picture.caption


def test_a_rhythm_runs_to_the_next_label_and_not_beyond_rosc(events):
    picture = lay_out(events["rearrest"]())
    pea = picture.item("occurrence:o3")
    assert pea.x0 == 35.0
    assert pea.x1 == pytest.approx(700.0, abs=3)
    assert picture.item("unseen:rhythm:2").x0 == 700.0


def test_etco2_keeps_its_unit_and_never_guesses_another(events):
    picture = lay_out(events["rearrest"]())
    titles = {lane.id: lane.title for lane in picture.lanes}
    assert titles["etco2"] == "ETCO2, mmHg"
    high, low = picture.item("occurrence:o11"), picture.item("occurrence:o10")
    assert high.lane == low.lane == "etco2"
    assert high.y < low.y
    assert picture.item("occurrence:o13").lane == "readings"


def test_a_dose_not_counted_looks_different_and_says_why(make):
    report = make.report()
    report["doses"][1] |= {"counted": False, "why_not": "infusion"}
    item = lay_out(report).item("occurrence:o31")
    assert item.role == "mark_drug_other"
    assert "infusion" in item.hover


def test_an_uncertain_time_has_a_pale_bar_from_low_to_high(events):
    picture = lay_out(events["vf"]())
    bar = picture.item("occurrence:o30/spread")
    assert (bar.x0, bar.x1) == (300.0, 360.0)
    assert picture.item("occurrence:o1/spread") is None


def test_hovering_tells_the_time_its_bounds_and_what_was_written(events):
    hover = lay_out(events["vf"](), written={"sheet:30": "03:18"}).item("occurrence:o30").hover
    assert hover.splitlines() == [
        "Epinephrine 1 mg",
        "At 5:30 (03:17:50)",
        "Between 5:00 and 6:00",
        "Written: 03:18",
        "Marked in sheet",
    ]


def test_a_late_mark_does_not_squeeze_the_arrest_and_is_named(make):
    report = make.report()
    report["occurrences"].append(make.occurrence(90, "transfer", 4000))
    picture = lay_out(report)
    assert picture.view[1] < 1700
    assert picture.extent[1] > 4000
    assert "moved 1:06:40" in picture.caption


def test_a_view_keeps_every_item_and_places_words_inside_it(events):
    report = events["vf"]()
    whole, part = lay_out(report), lay_out(report, view=(560.0, 720.0))
    assert {item.id for item in whole.items} <= {item.id for item in part.items} | {"compressions"}
    scale = Scale(*part.view, part.left, part.width - part.right)
    assert all(scale.left - 10 <= box(label, scale)[0] for label in part.labels)


def test_ticks_stand_at_round_times_and_tell_the_wall_time(events):
    picture = lay_out(events["vf"]())
    assert [tick.x for tick in picture.ticks[:3]] == [0.0, 120.0, 240.0]
    assert (picture.ticks[1].text, picture.ticks[1].wall) == ("2:00", "03:14:20")


def test_single_compressions_appear_once_they_can_be_told_apart(events):
    report = events["long"]()
    assert lay_out(report).item("compressions") is None
    near = lay_out(report, view=(1000.0, 1060.0)).item("compressions")
    assert 60 < len(near.paths[0]) < 1000


def test_a_long_event_stays_light(events):
    picture = lay_out(events["long"]())
    assert len(picture.items) < 900
    assert len([item for item in picture.items if isinstance(item, Bar) and item.role == "hands_on"]) == 1


@pytest.mark.parametrize("view", [(60, 290), (100, 160), (0, 1900), (640, 700)])
@pytest.mark.parametrize("width", [700, 1000, 1400])
def test_the_caption_fits_between_the_edges_of_the_picture(events, view, width):
    """It stands in the middle beneath the plot, and names less where there is less room."""
    picture = lay_out(events["vf"](), view, width)
    middle = (picture.left + picture.width - picture.right) / 2

    assert text_width(picture.caption, 12) / 2 <= min(middle, picture.width - middle)
    assert "not shown" in picture.caption or view == (0, 1900)


def test_what_ended_the_arrest_is_written_with_its_time(events):
    picture = lay_out(events["vf"](), None, 900)

    assert any(label.strong == "ROSC" and label.text for label in picture.labels)


def test_single_compressions_are_one_path_as_deep_as_they_were_and_only_in_a_short_view():
    report = assess([shipped("sample_events") / "sensor_then_device"], draws=0).to_dict()
    assert lay_out(report, (60, 310)).item("compressions") is None
    drawn = lay_out(report, (60, 290)).item("compressions")
    [path] = drawn.paths
    deep = {one["time"]: one["amount"] for one in report["occurrences"] if one["kind"] == "compression"}
    strokes = {x: y - path[0][1] for x, y in path if y > path[0][1]}

    assert len(path) == 3 * len(strokes) > 600
    assert all(60 - 115 <= time <= 290 + 115 for time in strokes)
    scale = {round(stroke / deep[time], 6) for time, stroke in strokes.items()}
    assert len(scale) == 1, "every stroke is as long as its depth, by one scale"


def test_what_ended_the_arrest_and_a_rhythm_show_how_uncertain_their_times_are(make):
    report = make.report()
    for one in report["occurrences"]:
        if one["kind"] in ("rosc", "rhythm"):
            one |= {"low": one["time"] - 30, "high": one["time"] + 30}
    picture = lay_out(report)
    rosc, rhythm = picture.item("occurrence:o11/spread"), picture.item("occurrence:o7/spread")

    assert (rosc.x0, rosc.x1, rosc.lane) == (1280.0, 1340.0, "spine")
    assert (rhythm.x0, rhythm.x1, rhythm.lane) == (495.0, 555.0, "rhythm")
    assert rhythm.y0 >= picture.item("occurrence:o7").y1

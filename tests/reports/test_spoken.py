"""What of a talk stands on the sheet: its points in order, notes by chapter, actions that still count."""

from debrief.reports.spoken import spoken
from debrief.talk.kept import Action, Meeting, Talk
from tests.reports.paper import sample

REPORT = sample("vf_log_and_sheet")


def test_a_talk_that_nobody_began_has_points_alone():
    found = spoken(REPORT, Talk())

    assert 2 <= len(found.points) <= 5
    assert all(question.endswith("?") for question, _ in found.points)
    assert any("Asked:" in told for _, told in found.points)
    assert (found.notes, found.actions) == ((), ())


def test_notes_and_themes_stand_by_chapter_those_of_the_first_meeting_before_the_later():
    hot = Meeting(notes={"change": "Pads\n were late.", "facts": ""}, themes={"change": ["shocks", "roles"]})
    cold = Meeting(notes={"facts": "The log agrees."}, themes={"went_well": ["drugs"]})

    assert spoken(REPORT, Talk(hot=hot, cold=cold)).notes == (
        "What to change: Shocks, Roles. Pads were late.",
        "Facts and reactions: The log agrees.",
        "What went well: Drugs",
    )


def test_who_needs_support_is_not_handed_on():
    assert spoken(REPORT, Talk(hot=Meeting(notes={"support": "A break for two."}))).notes == ()


def test_actions_say_what_who_and_when_and_those_dropped_or_empty_are_left_out():
    actions = (
        Action("a", "Pads first", "charge nurse", "1 May", "done"),
        Action("b", "Call earlier", "team leader"),
        Action("c", "Paint it blue", status="dropped"),
        Action("d", " "),
    )

    assert spoken(REPORT, Talk(actions={one.id: one for one in actions})).actions == (
        ("Call earlier", "team leader", ""),
        ("Pads first (done)", "charge nurse", "1 May"),
    )

"""What stands of a talk after its changes: notes of two people, points in order, the clock, actions."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from debrief.talk.changes import checked
from debrief.talk.kept import Talk, after, arranged, in_order, merged
from tests.made import assessed, compressions, row

NOW = datetime(2026, 3, 4, 14, 0, tzinfo=UTC)


def change(does, at_s=0, **fields):
    if does in ("note", "theme", "here", "not_here", "start", "stop"):
        fields = {"meeting": "hot"} | fields
    at = (NOW + timedelta(seconds=at_s)).isoformat()
    if does in ("start", "stop"):
        fields["when"] = at
    return checked({"do": does, "key": f"{does}{at_s}", **fields}) | {"at": at}


# notes


def test_notes_stand_as_they_were_last_written_each_meeting_for_itself():
    talk = after(
        [
            change("note", section="facts", text="a"),
            change("note", 1, section="facts", text="ab", was="a"),
            change("note", 2, section="facts", text="days later", meeting="cold"),
        ]
    )

    assert talk.hot.notes == {"facts": "ab"}
    assert talk.cold.notes == {"facts": "days later"}


def test_what_two_browsers_wrote_at_once_is_both_kept():
    talk = after(
        [
            change("note", section="facts", text="We began at two."),
            change("note", 1, section="facts", text="We began at two. Bag was late.", was="We began at two."),
            change("note", 2, section="facts", text="We began at three.", was="We began at two."),
        ]
    )

    assert talk.hot.notes["facts"] == "We began at three. Bag was late."


@pytest.mark.parametrize(
    ("was", "mine", "theirs", "both"),
    [
        ("", "x", "", "x"),
        ("", "", "y", "y"),
        ("", "mine", "theirs", "theirs\nmine"),
        ("a", "a", "ab", "ab"),
        ("abc", "abc", "", ""),
        ("one two three", "ONE two three", "one two THREE", "ONE two THREE"),
        ("one two three", "one two THREE", "ONE two three", "ONE two THREE"),
        ("one", "two", "three", "three\ntwo"),
    ],
)
def test_texts_changed_at_once_are_joined(was, mine, theirs, both):
    assert merged(was, mine, theirs) == both


TEXT = st.text("ab \n", max_size=8)


@given(TEXT, TEXT, TEXT)
def test_whatever_both_added_is_in_the_joined_text(was, mine, theirs):
    assert merged(was, was + "X" + mine, theirs + "Y" + was).count("X") == 1
    assert merged(was, was + "X" + mine, theirs + "Y" + was).count("Y") == 1
    assert merged(was, mine, was) == mine
    assert merged(was, was, theirs) == theirs


# themes, people, clock


def test_a_theme_is_ticked_once_and_can_be_unticked():
    ticks = [("yes", "airway"), ("yes", "airway"), ("yes", "roles"), ("no", "airway")]
    talk = after(
        change("theme", n, section="change", theme=theme, on=on) for n, (on, theme) in enumerate(ticks)
    )

    assert talk.hot.themes == {"change": ["roles"]}


def test_who_was_there_is_a_role_and_a_number():
    talk = after(
        [
            change("here", id="a", role="nurse", number="2", arrived="3:10"),
            change("here", 1, id="b", role="runner"),
            change("not_here", 2, id="b"),
        ]
    )

    (one,) = talk.hot.here.values()
    assert (one.role, one.number, one.arrived) == ("nurse", "2", "3:10")


def test_the_clock_adds_up_the_stretches_of_the_talk():
    changes = [
        change("start"),
        change("stop", 100),
        change("start", 200),
        change("start", 210),
        change("stop", 260),
    ]
    meeting = after(changes).hot

    assert not meeting.running
    assert meeting.lasted_s(NOW + timedelta(days=3)) == 160


def test_a_running_clock_counts_until_now():
    meeting = after([change("start")]).hot

    assert meeting.running
    assert meeting.lasted_s(NOW + timedelta(seconds=90)) == 90


def test_a_clock_that_nobody_stopped_ran_until_the_last_change():
    meeting = after([change("start"), change("note", 300, section="facts", text="x")]).hot

    assert meeting.lasted_s(NOW + timedelta(days=2)) == 300


def test_a_meeting_is_empty_until_something_is_written():
    assert Talk().hot.empty
    assert after([change("drop_point", id="gaps")]).hot.empty
    assert not after([change("note", section="facts", text="x")]).hot.empty


# actions


def test_an_action_grows_field_by_field_whoever_writes_them():
    talk = after(
        [
            change("action", id="a", what="Check the suction"),
            change("action", 1, id="a", owner="charge nurse"),
            change("action", 2, id="a", due="2026-04-01"),
            change("action", 3, id="a", status="done", outcome="new tubing"),
        ]
    )
    (action,) = talk.actions.values()

    assert (action.what, action.owner, action.due) == ("Check the suction", "charge nurse", "2026-04-01")
    assert (action.status, action.outcome) == ("done", "new tubing")
    assert action.closed_at > action.set_at


def test_an_action_that_is_opened_again_is_not_closed():
    states = ("done", "open")
    talk = after([change("action", n, id="a", what="x", status=state) for n, state in enumerate(states)])

    assert talk.actions["a"].closed_at == ""


def test_open_actions_stand_first_and_empty_ones_nowhere():
    talk = after(
        [
            change("action", id="a", what="one", status="done"),
            change("action", 1, id="b", what="two"),
            change("action", 2, id="c", owner="nurse"),
        ]
    )

    assert [action.what for action in in_order(talk.actions.values())] == ["two", "one"]


# points


@pytest.fixture(scope="module")
def report():
    rows = [row(0, "recognition"), row(1, "rhythm", "vf"), *compressions((5, 100), (130, 400))]
    return assessed([*rows, row(200, "shock")], draws=0).to_dict()


def names(report, *changes):
    items, left = arranged(report, after(changes))
    return [item.id for item in items], [item.id for item in left]


def test_without_changes_the_points_are_those_of_the_rules(report):
    assert names(report) == (["went_well", "hands_off", "first_shock"], [])


def test_points_are_dropped_moved_added_and_taken_up_again(report):
    dropped = change("drop_point", id="hands_off")
    own = change("add_point", 1, id="own-1", question="How was the handover?")
    up = change("move_point", 2, id="own-1", before="went_well")
    again = change("add_point", 3, id="hands_off")

    assert names(report, dropped) == (["went_well", "first_shock"], ["hands_off"])
    assert names(report, dropped, own) == (["went_well", "first_shock", "own-1"], ["hands_off"])
    assert names(report, dropped, own, up) == (["own-1", "went_well", "first_shock"], ["hands_off"])
    assert names(report, dropped, own, up, again)[0] == ["own-1", "went_well", "first_shock", "hands_off"]


def test_a_point_moved_before_one_that_is_gone_stands_last(report):
    moved = change("move_point", id="went_well", before="nothing")

    assert names(report, moved)[0] == ["hands_off", "first_shock", "went_well"]


def test_an_own_point_without_a_question_is_none(report):
    assert names(report, change("add_point", id="own-1", question="  "))[0][-1] == "first_shock"

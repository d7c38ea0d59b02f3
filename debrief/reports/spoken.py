"""What stands on the sheet of a team's talk: its points, its notes, its actions, in plain words."""

from dataclasses import dataclass
from functools import partial

from debrief.model.contract import Report
from debrief.talk.changes import MEETINGS, SECTIONS
from debrief.talk.kept import Action, Item, Meeting, Talk, arranged, in_order
from debrief.words import say

CHAPTERS = tuple(section for section in SECTIONS if section != "support")
"""What somebody needs now is between those in the room, and is not handed on."""


@dataclass(frozen=True)
class Spoken:
    """What a team has to talk about, and what it has said so far.

    ``points``: a question, and the figure behind it in words; ``notes`` as typed; ``actions``: what, who by
    role, by when.
    """

    points: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    actions: tuple[tuple[str, str, str], ...] = ()


def spoken(report: Report, talk: Talk) -> Spoken:
    """Return what is kept of a talk, as the sheet shows it, without dropped actions and without support."""
    meetings = [talk.meeting(name) for name in MEETINGS]
    actions = [one for one in in_order(talk.actions.values()) if one.status != "dropped"]
    return Spoken(
        points=tuple((item.question, _told(item)) for item in arranged(report, talk)[0]),
        notes=tuple(note for meeting in meetings for note in map(partial(_note, meeting), CHAPTERS) if note),
        actions=tuple((_what(one), one.owner, one.due) for one in actions),
    )


def _note(meeting: Meeting, chapter: str) -> str:
    """Return what was ticked and written in a chapter; empty where nothing was."""
    ticked = ", ".join(say(f"talk.theme.{theme}") for theme in meeting.themes.get(chapter, ()))
    said = ". ".join(filter(None, (ticked, " ".join(meeting.notes.get(chapter, "").split()))))
    return say("sheet.note", chapter=say(f"talk.chapter.{chapter}"), said=said) if said else ""


def _what(action: Action) -> str:
    done = action.status == "done"
    return say("sheet.done", what=action.what, state=say("talk.state.done")) if done else action.what


def _told(item: Item) -> str:
    """Return what was measured, and what is asked of it; empty for a question of the team's own."""
    return f"{item.point.sentence} {item.point.target}".strip() if item.point else ""

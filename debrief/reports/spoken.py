"""What stands on the sheet of a team's talk: its points, its notes, its actions, in plain words."""

from dataclasses import dataclass

from debrief.model.contract import Report
from debrief.talk.changes import MEETINGS, SECTIONS
from debrief.talk.kept import Item, Talk, arranged, in_order


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
    """Return what is kept of a talk, as the sheet shows it; what was dropped is left out."""
    notes = (talk.meeting(name).notes.get(section, "") for name in MEETINGS for section in SECTIONS)
    open_or_done = [one for one in in_order(talk.actions.values()) if one.status != "dropped"]
    return Spoken(
        points=tuple((item.question, _told(item)) for item in arranged(report, talk)[0]),
        notes=tuple(" ".join(note.split()) for note in notes if note.strip()),
        actions=tuple((one.what, one.owner, one.due) for one in open_or_done),
    )


def _told(item: Item) -> str:
    """Return what was measured, and what is asked of it; empty for a question of the team's own."""
    return f"{item.point.sentence} {item.point.target}".strip() if item.point else ""

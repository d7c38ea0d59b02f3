"""What stands of a talk after all its changes: points, notes, themes, who was there, its length, actions."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path

from debrief.model.contract import Report
from debrief.talk.changes import Change, changes_in, lines_of
from debrief.talk.points import MOST, Point, talking_points

LEFT_ON_S = 3600.0
"""A clock that nobody stopped ran until the last change, once nothing was written for so long. [s]"""


@dataclass(frozen=True)
class Present:
    """Who was there: a role and how many of it, and when they arrived, as written. Never a name."""

    id: str
    role: str
    number: str = ""
    arrived: str = ""


@dataclass(frozen=True)
class Action:
    """What is to be done. ``owner`` is a role; ``about`` the mark that it comes from, if it does from one.

    ``set_at`` and ``closed_at`` say when it was set and when it was done or dropped. (ISO 8601)
    """

    id: str
    what: str = ""
    owner: str = ""
    due: str = ""
    status: str = "open"
    outcome: str = ""
    about: str = ""
    set_at: str = ""
    closed_at: str = ""


@dataclass
class Meeting:
    """One time that the team met: soon after the event (hot), or days later (cold)."""

    notes: dict[str, str] = field(default_factory=dict)
    themes: dict[str, list[str]] = field(default_factory=dict)
    here: dict[str, Present] = field(default_factory=dict)
    stretches: list[tuple[datetime, datetime | None]] = field(default_factory=list)
    """When the talk went on, from and to; null while it does."""
    last: datetime | None = None
    """When something of it was last written."""

    @property
    def empty(self) -> bool:
        """Whether nothing was written, ticked or timed."""
        return not (any(self.notes.values()) or any(self.themes.values()) or self.here or self.stretches)

    @property
    def running(self) -> bool:
        """Whether its clock runs."""
        return bool(self.stretches) and self.stretches[-1][1] is None

    def lasted_s(self, now: datetime | None = None) -> float:
        """Return how long the team talked. [s]"""
        now = now or datetime.now(UTC)
        last = max(filter(None, (self.last, *(start for start, _ in self.stretches))), default=now)
        until = last if (now - last).total_seconds() > LEFT_ON_S else now
        lengths = (((end or until) - start).total_seconds() for start, end in self.stretches)
        return sum(max(length, 0.0) for length in lengths)


@dataclass
class Talk:
    """All that is kept of the talk about one event.

    ``arranging``: the changes to the order of the points, oldest first; ``unread``: lines that are no change.
    """

    hot: Meeting = field(default_factory=Meeting)
    cold: Meeting = field(default_factory=Meeting)
    actions: dict[str, Action] = field(default_factory=dict)
    arranging: list[Change] = field(default_factory=list)
    unread: int = 0

    def meeting(self, name: str) -> Meeting:
        """Return a meeting by its name."""
        return self.cold if name == "cold" else self.hot


@dataclass(frozen=True)
class Item:
    """A point as the team has it: one of the rules' (``point``), or a question of its own."""

    id: str
    question: str
    point: Point | None = None


def read_talk(folder: Path, more: Sequence[Change] = ()) -> Talk:
    """Return what stands of the talk in a folder after `more` changes; an empty one where nothing is kept."""
    return talk_of(lines_of(folder), more)


def talk_of(lines: Iterable[bytes], more: Sequence[Change] = ()) -> Talk:
    """Return what stands of a talk after the changes in its lines, and `more` of them."""
    changes, unread = changes_in(lines)
    known = {change["key"] for change in changes}
    talk = after([*changes, *(change for change in more if change["key"] not in known)])
    talk.unread = unread
    return talk


def after(changes: Iterable[Change]) -> Talk:
    """Return what stands after changes, oldest first."""
    talk = Talk()
    for change in changes:
        does = change["do"]
        if does.endswith("_point"):
            talk.arranging.append(change)
        elif does == "action":
            _act(talk, change)
        else:
            meeting = talk.meeting(change["meeting"])
            meeting.last = datetime.fromisoformat(change["at"])
            _note_down(meeting, change)
    return talk


def _act(talk: Talk, change: Change) -> None:
    before = talk.actions.get(change["id"], Action(change["id"], set_at=change["at"]))
    names = ("what", "owner", "due", "status", "outcome", "about")
    now = replace(before, **{name: change[name] for name in names if name in change})
    if now.status != before.status:
        now = replace(now, closed_at="" if now.status == "open" else change["at"])
    talk.actions[now.id] = now


def _note_down(meeting: Meeting, change: Change) -> None:
    does = change["do"]
    if does == "note":
        standing = meeting.notes.get(change["section"], "")
        meeting.notes[change["section"]] = merged(change.get("was", ""), change["text"], standing)
    elif does == "theme":
        ticked = meeting.themes.setdefault(change["section"], [])
        if change["theme"] in ticked:
            ticked.remove(change["theme"])
        if change["on"] == "yes":
            ticked.append(change["theme"])
    elif does == "here":
        given = {name: change[name] for name in ("role", "number", "arrived") if name in change}
        meeting.here[change["id"]] = Present(change["id"], **given)
    elif does == "not_here":
        meeting.here.pop(change["id"], None)
    elif does == "start" and not meeting.running:
        meeting.stretches.append((_when(change), None))
    elif does == "stop" and meeting.running:
        meeting.stretches[-1] = meeting.stretches[-1][0], _when(change)


def _when(change: Change) -> datetime:
    return datetime.fromisoformat(change["when"]).astimezone(UTC)


def merged(was: str, mine: str, theirs: str) -> str:
    """Return a text that two people changed at once, with what each of them wrote.

    Parameters
    ----------
    was
        The text that both began with, as far as `mine` knows.
    mine, theirs
        The text as I have it, and as it stands meanwhile.
    """
    if theirs in (was, mine):
        return mine
    if mine == was:
        return theirs
    start, end = _changed(was, mine)
    their_start, their_end = _changed(was, theirs)
    my_part, their_part = mine[start : len(mine) - (len(was) - end)], theirs[their_start:]
    their_part = their_part[: len(their_part) - (len(was) - their_end)]
    if start == end == their_start == their_end:
        between = "" if their_part.endswith("\n") or my_part.startswith("\n") else "\n"
        return was[:start] + their_part + between + my_part + was[start:]
    if end <= their_start:
        return was[:start] + my_part + was[end:their_start] + their_part + was[their_end:]
    if their_end <= start:
        return was[:their_start] + their_part + was[their_end:start] + my_part + was[end:]
    return f"{theirs}\n{mine}"


def _changed(was: str, now: str) -> tuple[int, int]:
    """Return which part of a text was replaced: from and to, in the text as it was."""
    most = min(len(was), len(now))
    start = next((n for n in range(most) if was[n] != now[n]), most)
    alike = next((n for n in range(most - start) if was[-1 - n] != now[-1 - n]), most - start)
    return start, len(was) - alike


def arranged(report: Report, talk: Talk) -> tuple[list[Item], list[Item]]:
    """Return the points as the team has them, and those of the rules that it has not taken up."""
    offered = {point.rule: Item(point.rule, point.question, point) for point in talking_points(report, 99)}
    items = dict(list(offered.items())[:MOST])
    for change in talk.arranging:
        name = change["id"]
        if change["do"] == "drop_point":
            items.pop(name, None)
        elif change["do"] == "add_point":
            known = offered.get(name) or Item(name, change.get("question", ""))
            if known.question.strip():
                items.setdefault(name, known)
        elif name in items:
            items = _moved(items, name, change.get("before", ""))
    return list(items.values()), [item for name, item in offered.items() if name not in items]


def _moved(items: dict[str, Item], name: str, before: str) -> dict[str, Item]:
    """Return the points with one put before another, or last where that one is not there."""
    order = [key for key in items if key != name]
    order.insert(order.index(before) if before in order else len(order), name)
    return {key: items[key] for key in order}


def in_order(actions: Iterable[Action]) -> Sequence[Action]:
    """Return actions that say something: those still open first, each as it was set."""
    return sorted((one for one in actions if one.what.strip()), key=lambda one: one.status != "open")

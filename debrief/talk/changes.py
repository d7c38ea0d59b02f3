"""Changes to what is kept of a talk: one line each, appended to ``talk.jsonl`` in the event's folder.

A line that was cut off is left out: the browser that sent it was not told that it is kept, and sends it
again. Two browsers, or two programs, only ever add lines.
"""

import json
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from pathlib import Path

from debrief.errors import BadSetting, NotKept
from debrief.importers.folder import TALK
from debrief.resources import append_line
from debrief.words import say

Change = Mapping[str, str]
"""``do`` says what; ``key`` names the change, so that it counts once; ``at`` is when it came (ISO 8601)."""

SECTIONS = ("facts", "went_well", "change", "support")
"""What notes are kept for."""
THEMED = ("went_well", "change")
"""Where common themes are ticked."""
THEMES = ("communication", "roles", "compressions", "shocks", "drugs", "airway", "equipment", "family")
MEETINGS = ("hot", "cold")
STATES = ("open", "done", "dropped")

MOST_LETTERS = {"text": 40_000, "was": 40_000}
"""How long a note may be; every other field is at most ``MOST_IN_FIELD`` long."""
MOST_IN_FIELD = 500

FIELDS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "add_point": (("id",), ("question",)),
    "drop_point": (("id",), ()),
    "move_point": (("id",), ("before",)),
    "note": (("meeting", "section", "text"), ("was",)),
    "theme": (("meeting", "section", "theme", "on"), ()),
    "here": (("meeting", "id", "role"), ("number", "arrived")),
    "not_here": (("meeting", "id"), ()),
    "start": (("meeting", "when"), ()),
    "stop": (("meeting", "when"), ()),
    "action": (("id",), ("what", "owner", "due", "status", "outcome", "about")),
}
"""What a change can do: the fields that it has to have, and those that it may have."""

CHOICES = {"meeting": MEETINGS, "section": SECTIONS, "theme": THEMES, "on": ("yes", "no"), "status": STATES}


def checked(sent: object) -> dict[str, str]:
    """Return a change with the fields that it may have.

    Raises
    ------
    BadSetting
        Where it is none: a field is missing, too long, or says what cannot be.
    """
    if not isinstance(sent, dict) or str(sent.get("do")) not in FIELDS:
        raise BadSetting(say("talk.bad_change", read=str(sent)[:80]))
    does = str(sent["do"])
    needed, possible = FIELDS[does]
    change = {"do": does}
    for name in ("key", *needed, *possible):
        value = sent.get(name, "" if name in possible else None)
        most = MOST_LETTERS.get(name, MOST_IN_FIELD)
        if not isinstance(value, str) or (name in ("id", "key") and not value):
            raise BadSetting(say("talk.bad_field", field=name, read=str(value)[:80]))
        if len(value) > most:
            raise BadSetting(say("talk.too_long", most=f"{most:,}"))
        if value not in CHOICES.get(name, (value,)) and not (name in possible and value == ""):
            raise BadSetting(say("talk.bad_field", field=name, read=value[:80]))
        if name in needed or name in sent or name == "key":
            change[name] = value
    if "when" in change:
        _moment(change["when"])
    return change


def _moment(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text).astimezone(UTC)
    except (ValueError, OverflowError) as error:
        raise BadSetting(say("talk.bad_field", field="when", read=text[:80])) from error


def lines_of(folder: Path) -> list[bytes]:
    """Return the lines of the talk in a folder; none where nothing is kept."""
    path = folder / TALK
    return path.read_bytes().split(b"\n") if path.is_file() else []


def read_changes(folder: Path) -> tuple[list[Change], int]:
    """Return the changes of a folder, oldest first, each once, and how many lines are none of them."""
    return changes_in(lines_of(folder))


def changes_in(lines: Iterable[bytes]) -> tuple[list[Change], int]:
    """Return the changes in lines, oldest first, each once, and how many lines are none of them."""
    found: dict[str, Change] = {}
    unread = 0
    for line in lines:
        if not line.strip():
            continue
        try:
            row = json.loads(line)
            change = checked(row) | {"at": _moment(str(row["at"])).isoformat()}
        except (ValueError, KeyError, TypeError, RecursionError, BadSetting):
            unread += 1
            continue
        found.setdefault(change["key"], change)
    return list(found.values()), unread


def line_of(change: Change, now: datetime | None = None) -> str:
    """Return a change as the line that is kept, stamped with this moment or another."""
    at = (now or datetime.now(UTC)).isoformat(timespec="seconds")
    return json.dumps({"at": at, **change}, ensure_ascii=False)


def append(folder: Path, change: Mapping[str, str], now: datetime | None = None) -> None:
    """Add a change to a folder, and return once the disk has it.

    Raises
    ------
    NotKept
        Where the folder cannot be written.
    """
    try:
        append_line(folder / TALK, line_of(change, now))
    except OSError as error:
        raise NotKept(say("talk.not_kept", folder=folder, reason=error.strerror or error)) from error

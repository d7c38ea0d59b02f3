"""What teams wrote down and set out to do, of many events, as rows and as tables for other programs."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from typing import Any

import pyarrow as pa

from debrief.talk.changes import MEETINGS, SECTIONS
from debrief.talk.kept import Action, Talk, in_order, talk_of

ACTION = ("event_id", *(one.name for one in fields(Action)))
"""Columns of actions."""
NOTE = ("event_id", "meeting", "section", "text", "themes")
"""Columns of notes."""


def actions(talks: Mapping[str, Sequence[bytes]], names: Sequence[str] | None = None) -> list[dict[str, Any]]:
    """Return the actions of events, what is due first standing first, those without a day last.

    Parameters
    ----------
    talks
        Lines of talks by their events.
    names
        Of these events alone, in this order; null for all, by what is due.

    Returns
    -------
    list of dict
        `ACTION`: texts, empty where nothing was said.
    """
    rows = [
        {"event_id": name} | asdict(action)
        for name, talk in _talks(talks, names)
        for action in in_order(talk.actions.values())
    ]
    return rows if names is not None else sorted(rows, key=lambda row: (not row["due"], row["due"]))


def notes(talks: Mapping[str, Sequence[bytes]], names: Sequence[str]) -> list[dict[str, str]]:
    """Return what teams wrote under each heading of each meeting: rows of `NOTE`."""
    return [
        {
            "event_id": name,
            "meeting": when,
            "section": section,
            "text": meeting.notes.get(section, ""),
            "themes": ", ".join(meeting.themes.get(section, ())),
        }
        for name, talk in _talks(talks, names)
        for when, meeting in ((when, talk.meeting(when)) for when in MEETINGS)
        for section in SECTIONS
        if meeting.notes.get(section) or meeting.themes.get(section)
    ]


def tables_of(talks: Mapping[str, Sequence[bytes]], names: Sequence[str]) -> dict[str, pa.Table]:
    """Return notes and actions of events as tables."""
    return {
        "notes": _table(NOTE, notes(talks, names)),
        "actions": _table(ACTION, actions(talks, names)),
    }


def _talks(talks: Mapping[str, Sequence[bytes]], names: Sequence[str] | None) -> list[tuple[str, Talk]]:
    wanted = talks if names is None else [name for name in names if name in talks]
    return [(name, talk_of(talks[name])) for name in wanted]


def _table(columns: Sequence[str], rows: Sequence[Mapping[str, Any]]) -> pa.Table:
    return pa.table(
        [pa.array([row[name] or None for row in rows], pa.string()) for name in columns], list(columns)
    )

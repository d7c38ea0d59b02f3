"""Two events that are one, and one event that is two: new events of the same bytes, the old ones kept aside.

What was there is removed, not deleted, so that restoring it and removing what was made takes all of it back.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import sqlalchemy as sa

from debrief.assess import Assessment, assess
from debrief.errors import BadSetting
from debrief.importers import Settings
from debrief.importers.corrections import CORRECTIONS, writing
from debrief.importers.corrections.writing import By
from debrief.importers.folder import TALK
from debrief.registry import rows, tables
from debrief.registry.arriving import add_all
from debrief.registry.changing import LOCKED
from debrief.registry.folders import Contents
from debrief.registry.incoming import STREAMS, Incoming, Kept, another, lines_in
from debrief.registry.measuring import laid_down
from debrief.registry.store import Registry
from debrief.words import say

PARTS = ("first", "second")


def merge(registry: Registry, names: Sequence[str], role: str = "", why: str = "") -> str:
    """Make one event of several; return its name.

    Of what is known of them, the first that says something is heard; corrections and talks of all go on.

    Raises
    ------
    BadSetting
        Where fewer than two are named, or one is not there or locked.
    """
    names = list(dict.fromkeys(names))
    if len(names) < 2:
        raise BadSetting(say("registry.merge_needs_two"))
    held = [registry.contents(name) for name in names]
    settings: dict[str, Any] = {}
    for one in reversed(held):
        settings |= {key: value for key, value in one.settings.items() if value is not None}
    files: list[Kept] = []
    listed: list[Mapping[str, Any]] = []
    for one in held:
        called: dict[str, str] = {}
        for kept in one.files:
            called[kept.file] = another(kept.file, [*STREAMS, *(other.file for other in files)])
            files.append(replace(kept, file=called[kept.file]))
        listed += [row | {"file": called.get(row["file"], row["file"])} for row in one.settings["sources"]]
    lines = {stream: [line for one in held for line in one.lines[stream]] for stream in STREAMS}
    made = Incoming(
        " and ".join(names),
        settings | {"sources": listed},
        tuple(files),
        {stream: tuple(one) for stream, one in lines.items()},
    )
    return _instead(registry, names, [made], "merge", role, why)[0]


def split(registry: Registry, name: str, files: Sequence[str], role: str = "", why: str = "") -> list[str]:
    """Make two events of one by its files: of those named, and of the rest; return the names of both.

    The talk goes on with the first.

    Raises
    ------
    BadSetting
        Where it has no such file, none would be left, or it is locked.
    """
    held = registry.contents(name)
    read = [kept.file for kept in held.files if kept.read]
    strange = [file for file in files if file not in read]
    if strange or not files or {*files} >= {*read}:
        raise BadSetting(
            say("registry.split_files", event=name, read=", ".join(files), files=", ".join(read))
        )
    listed = held.settings["sources"]
    made = [
        Incoming(
            f"{name} {number}",
            {**held.settings, "sources": [row for row in listed if (row["file"] in files) == own]},
            tuple(kept for kept in held.files if not kept.read or (kept.file in files) == own),
            _lines(held, talk=own),
        )
        for number, own in ((1, True), (2, False))
    ]
    return _instead(registry, [name], made, "split", role, why)


def split_at(registry: Registry, name: str, moment: str, role: str = "", why: str = "") -> list[str]:
    """Make two events of one at a moment on the reference clock: what came before it, and the rest.

    Both keep all files; the marks of the other part are taken out by corrections that say so. The talk goes
    on with the first.

    Raises
    ------
    BadSetting
        Where that clock cannot read the moment, nothing lies on one side of it, or the event is locked.
    """
    held = registry.contents(name)
    with laid_down(held) as folder:
        found = assess([folder], settings=Settings(remembered=registry.layouts()), draws=0)
    sides = _sides(found, moment)
    by = By(role, why or say("registry.split_why", at=moment))
    lines = []
    for out in reversed(sides):  # what the first part leaves is what came after
        with TemporaryDirectory() as own:
            writing.count(Path(own), found.event, out, False, by)
            lines.append((*held.lines[CORRECTIONS], *lines_in(Path(own) / CORRECTIONS)))
    made = [
        Incoming(
            f"{name} {number}",
            held.settings,
            tuple(held.files),
            {**_lines(held, talk=part == PARTS[0]), CORRECTIONS: own},
            part=f"{part} at {moment}",
        )
        for number, part, own in zip((1, 2), PARTS, lines, strict=True)
    ]
    return _instead(registry, [name], made, "split", role, why)


def _sides(found: Assessment, moment: str) -> tuple[list[str], list[str]]:
    """Return the marks before a moment on the reference clock, and the rest.

    Raises
    ------
    BadSetting
        Where that clock cannot read the moment, or all marks lie on one side of it.
    """
    at = found.aligned.read(moment)
    if at is None:
        raise BadSetting(say("registry.split_moment", read=moment))
    ids = (one.source_id for one in found.aligned.members)
    shifts = dict(zip(ids, found.aligned.sources.shift.tolist(), strict=True))
    columns = (found.event.marks[column].to_pylist() for column in ("source_id", "place", "source_time"))
    before: list[str] = []
    after: list[str] = []
    for source, place, time in zip(*columns, strict=True):
        if time is not None and source in shifts:
            (before if time + shifts[source] < at else after).append(f"{source}:{place}")
    if not before or not after:
        raise BadSetting(say("registry.split_empty", read=moment))
    return before, after


def _lines(held: Contents, talk: bool) -> dict[str, tuple[bytes, ...]]:
    """Return the lines of an event for a part of it; the talk goes on with one, so that it counts once."""
    return {stream: tuple(held.lines[stream]) if talk or stream != TALK else () for stream in STREAMS}


def _instead(
    registry: Registry, names: Sequence[str], made: Sequence[Incoming], action: str, role: str, why: str
) -> list[str]:
    """Remove events and add others in their place, at one go; those made before and removed come back."""
    event = tables.event
    with registry.database.writing() as connection:
        for name in names:
            held = rows.held_as(connection, name)
            if held.review == LOCKED:
                raise BadSetting(say("registry.locked_event", event=name))
            row = sa.update(event).where(event.c.id == held.id)
            connection.execute(row.values(removed_at=rows.now()))
        became = add_all(connection, [(one, None) for one in made], role)
        new = [one.event for one in became]
        for one in became:
            if one.did == "removed":
                connection.execute(sa.update(event).where(event.c.name == one.event).values(removed_at=None))
        for name in [*names, *new]:
            held = rows.find(connection, name)
            rows.audit(connection, role, action, held.id, {"of": list(names), "made": new}, why)
    return new

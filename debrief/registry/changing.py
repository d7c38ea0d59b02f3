"""An event changed as a folder: laid down as it stands, and what was written there taken in at one go.

Two people may do so at the same time: what one adds is added to what the other added meanwhile, and of
event.json only those keys are set that were changed.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from debrief.errors import BadSetting
from debrief.importers.corrections import ADDED
from debrief.importers.folder import EVENT_JSON, PICTURES, TALK, TYPING
from debrief.importers.typed import TYPED
from debrief.registry import rows, tables
from debrief.registry.folders import Contents
from debrief.registry.incoming import STREAMS, Kept, lines_in
from debrief.words import say

LOCKED = "locked"
REWRITTEN = (TYPED, TYPING, *PICTURES)
"""Files that people type or photograph, and may type and photograph again; what was there stays in the table
of files. Any other file is as it came."""


@dataclass(frozen=True)
class Change:
    """What was written into an event's folder: new lines by their file, keys of event.json, new files.

    ``rewritten``: files that were there as they were and as they are now, null where they are gone.
    """

    lines: Mapping[str, Sequence[bytes]]
    settings: Mapping[str, Any]
    files: Sequence[Kept]
    rewritten: Sequence[tuple[Kept, Kept | None]] = ()

    def __bool__(self) -> bool:
        """Tell whether anything was."""
        return bool(any(self.lines.values()) or self.settings or self.files or self.rewritten)


def change_in(folder: Path, before: Contents) -> Change:
    """Return what a folder holds more than what was laid down in it.

    Raises
    ------
    BadSetting
        Where a file or a line that was there is no more what it was: sources are never changed, and lines
        only added.
    """
    lines = {}
    for stream in STREAMS:
        now, was = lines_in(folder / stream), tuple(before.lines.get(stream, ()))
        if now[: len(was)] != was:
            raise BadSetting(say("registry.lines_changed", file=stream))
        lines[stream] = now[len(was) :]
    rewritten: list[tuple[Kept, Kept | None]] = []
    for kept in before.files:
        path = folder / kept.file
        content = path.read_bytes() if path.is_file() else None
        if content == kept.content:
            continue
        if kept.file not in REWRITTEN or (content is None and kept.read):
            raise BadSetting(say("registry.source_changed", file=kept.file))
        rewritten.append((kept, None if content is None else replace(kept, content=content)))
    told = json.loads((folder / EVENT_JSON).read_text(encoding="utf-8"))
    was_told = json.loads(json.dumps(before.settings))
    keys = [key for key in {**was_told, **told} if key != "event_id" and told.get(key) != was_told.get(key)]
    known = {kept.file for kept in before.files} | {*STREAMS, EVENT_JSON}
    read = {row.get("file") for row in told.get("sources", ())}
    files = [
        Kept(name, path.read_bytes(), read=name in read)
        for path in sorted(folder.rglob("*"))
        if path.is_file() and (name := path.relative_to(folder).as_posix()) not in known
        if not path.name.startswith(".")
    ]
    return Change(lines, {key: told.get(key) for key in keys}, files, rewritten)


def take_in(connection: sa.Connection, name: str, change: Change, role: str, why: str) -> None:
    """Add what was written to an event as it stands by now.

    Raises
    ------
    BadSetting
        Where it was removed or locked meanwhile (of a locked event only the talk goes on), or somebody else
        has rewritten the same file.
    """
    held = rows.held_as(connection, name)
    talk_alone = not replace(change, lines={**change.lines, TALK: ()})
    if held.review == LOCKED and not talk_alone:
        raise BadSetting(say("registry.locked_event", event=name))
    here = rows.lines_of(connection, held.id)
    for stream, lines in change.lines.items():
        if stream == ADDED and here[stream]:  # two who add the first mark at once both write the headings
            lines = [line for line in lines if line != here[stream][0]]
        rows.append(connection, held.id, stream, lines, role)
    source = tables.source
    last = connection.scalar(sa.select(sa.func.max(source.c.position)).where(source.c.event == held.id))
    if change.files:
        rows.put(connection, [(held.id, 1 + (-1 if last is None else last), change.files)])
    for before, after in change.rewritten:
        rows.rewrite(connection, held.id, before, after)
    settings = json.loads(held.settings)
    was = {key: settings.get(key) for key in change.settings}
    settings |= change.settings
    rows.settle(connection, held.id, {key: value for key, value in settings.items() if value is not None})
    shown = {key: change.settings[key] for key in rows.LISTED if key in change.settings}
    if shown:
        shown = {key: None if value is None else rows.clean(str(value)) for key, value in shown.items()}
        connection.execute(sa.update(tables.event).where(tables.event.c.id == held.id).values(shown))
    detail = {
        "lines": {stream: len(lines) for stream, lines in change.lines.items() if lines},
        "settings": {key: [was[key], value] for key, value in change.settings.items()},
        "files": [kept.file for kept in change.files],
        "rewritten": {before.file: before.sha256 for before, _ in change.rewritten},
    }
    rows.audit(connection, role, "change", held.id, detail, why)

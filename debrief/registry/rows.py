"""Rows of an event, read and written within a transaction that the caller holds."""

import json
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa

from debrief.errors import BadSetting
from debrief.registry import tables
from debrief.registry.folders import Contents, digest_of
from debrief.registry.incoming import STREAMS, Kept, identity_of
from debrief.registry.measuring import Measured
from debrief.words import say

LISTED = ("date", "unit", "population", "setting")
"""What lists show of an event's context."""
MOST_IN_NAME = 80
NOT_FILLED_IN = ("format", "event_id", "sources")
"""Keys of event.json that say nothing of what happened."""


def now() -> str:
    """Return the time as the registry writes it: ISO 8601 in UTC, to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def clean(text: str) -> str:
    """Return a text that every database can hold: without the sign zero, without halves of signs."""
    return text.replace("\0", "").encode("utf-8", "replace").decode()


def find(connection: sa.Connection, name: str) -> Any:  # noqa: ANN401 - a row, its columns as attributes
    """Return the row of an event, removed or not; null where there is none."""
    return connection.execute(sa.select(tables.event).where(tables.event.c.name == clean(name))).first()


def held_as(connection: sa.Connection, name: str) -> Any:  # noqa: ANN401
    """Return the row of an event that was not removed.

    Raises
    ------
    BadSetting
        Where there is none.
    """
    held = find(connection, name)
    if held is None:
        raise BadSetting(say("registry.no_event", read=name[:MOST_IN_NAME]))
    if held.removed_at is not None:
        raise BadSetting(say("registry.was_removed", event=held.name))
    return held


def contents_of(connection: sa.Connection, held: Any) -> Contents:  # noqa: ANN401
    """Return all that is kept of an event."""
    source, file = tables.source, tables.file
    joined = sa.select(source.c.file, source.c.only, source.c.read, file.c.content)
    joined = joined.join(file, file.c.sha256 == source.c.sha256).where(source.c.event == held.id)
    rows = connection.execute(joined.order_by(source.c.position))
    files = [Kept(row.file, row.content, row.only, row.read) for row in rows]
    settings = json.loads(held.settings) | {"event_id": held.name}
    return Contents(settings, files, lines_of(connection, held.id))


def lines_of(connection: sa.Connection, event: int) -> dict[str, list[bytes]]:
    """Return the lines that were added to an event, by the name of their file."""
    entry = tables.entry
    lines: dict[str, list[bytes]] = {name: [] for name in STREAMS}
    rows = sa.select(entry.c.stream, entry.c.content).where(entry.c.event == event).order_by(entry.c.id)
    for row in connection.execute(rows):
        lines[row.stream].append(row.content)
    return lines


def put(connection: sa.Connection, events: Sequence[tuple[int, int, Sequence[Kept]]]) -> None:
    """Keep files of events: of which, from which position on. Bytes that are here are kept only by name."""
    file = tables.file
    digests = {kept.sha256 for _, _, files in events for kept in files}
    here = set(connection.scalars(sa.select(file.c.sha256).where(file.c.sha256.in_(digests))))
    rows = []
    for event, first, files in events:
        for position, kept in enumerate(files, start=first):
            if kept.sha256 not in here:
                here.add(kept.sha256)
                row = {"sha256": kept.sha256, "size": len(kept.content), "content": kept.content}
                connection.execute(sa.insert(file).values(row))
            about = {"file": kept.file, "sha256": kept.sha256, "read": kept.read}
            only = None if kept.only is None else clean(kept.only)
            rows.append({"event": event, "position": position, "only": only} | about)
    if rows:
        connection.execute(sa.insert(tables.source), rows)


def rewrite(connection: sa.Connection, event: int, before: Kept, after: Kept | None) -> None:
    """Keep a file of an event in place of what it was, or take it out of the event; its old bytes stay.

    Raises
    ------
    BadSetting
        Where it is no more what it was, or another event has just these sources by now.
    """
    source = tables.source
    one = sa.and_(source.c.event == event, source.c.file == before.file)
    held = connection.execute(sa.select(source).where(one)).first()
    if held is None or held.sha256 != before.sha256:
        raise BadSetting(say("registry.rewritten", file=before.file))
    connection.execute(sa.delete(source).where(one))
    if after is None:
        return
    put(connection, [(event, held.position, [after])])
    read = sa.select(source.c.sha256, source.c.only).where(source.c.event == event, source.c.read)
    identity = identity_of((row.sha256, row.only) for row in connection.execute(read))
    same = sa.select(tables.event.c.name).where(
        tables.event.c.identity == identity, tables.event.c.id != event
    )
    if other := connection.scalar(same):
        raise BadSetting(say("registry.same_sources", event=other))
    connection.execute(sa.update(tables.event).where(tables.event.c.id == event).values(identity=identity))


def append(connection: sa.Connection, event: int, stream: str, lines: Sequence[bytes], role: str) -> None:
    """Add lines to one of an event's files of lines."""
    if lines:
        connection.execute(sa.insert(tables.entry), entries(event, stream, lines, role))


def entries(event: int, stream: str, lines: Sequence[bytes], role: str) -> list[dict[str, Any]]:
    """Return lines as rows."""
    about = {"event": event, "stream": stream, "at": now(), "role": clean(role)}
    return [about | {"content": line} for line in lines]


def settle(connection: sa.Connection, event: int, settings: Mapping[str, Any]) -> None:
    """Set what event.json says."""
    row = sa.update(tables.event).where(tables.event.c.id == event)
    connection.execute(row.values(settings=json.dumps(settings)))
    renew_digest(connection, event, settings)


def renew_digest(connection: sa.Connection, event: int, settings: Mapping[str, Any]) -> str:
    """Work out anew what an event is measured from; its name is no part of it."""
    source = tables.source
    query = sa.select(source.c.file, source.c.sha256).where(source.c.event == event)
    files = [(row.file, row.sha256) for row in connection.execute(query)]
    digest = digest_of(settings, files, lines_of(connection, event))
    connection.execute(sa.update(tables.event).where(tables.event.c.id == event).values(digest=digest))
    return digest


def keep(connection: sa.Connection, event: int, digest: str, measured: Measured) -> None:
    """Keep what was measured of an event, in place of what was measured before."""
    for table in (tables.figure, tables.measurement):
        connection.execute(sa.delete(table).where(table.c.event == event))
    connection.execute(sa.insert(tables.measurement), [measurement_row(event, digest, measured)])
    if measured.figures:
        connection.execute(sa.insert(tables.figure), figure_rows(event, measured))
    shown = {key: clean(value) for key, value in measured.about.items() if value is not None}
    if shown:
        connection.execute(sa.update(tables.event).where(tables.event.c.id == event).values(shown))


def measurement_row(event: int, digest: str, measured: Measured) -> dict[str, Any]:
    """Return what was measured of an event as a row."""
    return {
        "event": event,
        "digest": digest,
        "definitions": measured.definitions,
        "parameters": measured.parameters,
        "at": now(),
        "status": measured.status,
        "marks": measured.marks,
        "to_check": measured.to_check,
        "problems": json.dumps(measured.problems),
        "facts": json.dumps(measured.facts),
    }


def figure_rows(event: int, measured: Measured) -> list[dict[str, Any]]:
    """Return its figures as rows."""
    return [{"event": event, **row} for row in measured.figures]


def audit(
    connection: sa.Connection, role: str, action: str, event: int | None, detail: Mapping[str, Any], why: str
) -> None:
    """Write down what was done."""
    connection.execute(sa.insert(tables.audit), [audit_row(role, action, event, detail, why)])


def audit_row(
    role: str, action: str, event: int | None, detail: Mapping[str, Any], why: str
) -> dict[str, Any]:
    """Return what was done as a row."""
    about = {"at": now(), "role": clean(role), "action": action, "event": event}
    return about | {"detail": json.dumps(detail), "why": clean(why)}

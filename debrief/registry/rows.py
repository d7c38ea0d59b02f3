"""Rows of an event, read and written within a transaction that the caller holds."""

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Literal

import sqlalchemy as sa

from debrief.errors import BadSetting
from debrief.registry import tables
from debrief.registry.folders import Contents, digest_of
from debrief.registry.incoming import STREAMS, Incoming, Kept
from debrief.registry.measuring import Measured
from debrief.words import say

Did = Literal["added", "known", "more", "contained", "removed"]
LISTED = ("date", "unit", "population", "setting")
"""What lists show of an event's context."""
MOST_IN_NAME = 80
NOT_FILLED_IN = ("format", "event_id", "sources")
"""Keys of event.json that say nothing of what happened."""


@dataclass(frozen=True)
class Added:
    """What became of an event that was to be added.

    ``did``: ``added``; ``known`` (it was there); ``more`` (it was there and something of it was new);
    ``contained`` (another event holds all its sources); ``removed`` (it was there and somebody removed it).
    """

    event: str
    did: Did
    notes: tuple[str, ...] = ()
    measured: Measured | None = None


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


def add_all(
    connection: sa.Connection, arrivals: Sequence[tuple[Incoming, Measured | None]], role: str
) -> list[Added]:
    """Add events, or to those that are here what they have more; what is new is written at one go."""
    here = _Here(connection, [arrival for arrival, _ in arrivals])
    batch = _Batch()
    became = []
    for arrival, measured in arrivals:
        held = here.event_of(arrival.identity)
        if held is not None and held.id in batch.events:
            became.append(Added(held.name, "known", arrival.notes))
        elif held is not None and held.removed_at is not None:
            became.append(Added(held.name, "removed", arrival.notes))
        elif held is not None:
            became.append(_more(connection, held, arrival, role))
        else:
            became.append(_new(connection, here, batch, arrival, measured, role))
    batch.write(connection)
    return became


class _Here:
    """What is in the registry already of events that are to be added."""

    def __init__(self, connection: sa.Connection, arrivals: Sequence[Incoming]) -> None:
        event, source = tables.event, tables.source
        identities = [arrival.identity for arrival in arrivals]
        found = connection.execute(sa.select(event).where(event.c.identity.in_(identities)))
        self._events: dict[str, Any] = {row.identity: row for row in found}
        digests = {kept.sha256 for arrival in arrivals for kept in arrival.files if kept.read}
        joined = sa.select(event.c.name, source.c.file, source.c.sha256, source.c.only)
        joined = joined.join(event, event.c.id == source.c.event).where(
            source.c.sha256.in_(digests), source.c.read, event.c.removed_at.is_(None)
        )
        self._sources: dict[tuple[str, str | None], dict[str, str]] = {}
        for row in connection.execute(joined.order_by(event.c.id, source.c.position)):
            self._sources.setdefault((row.sha256, row.only), {})[row.name] = row.file

    def event_of(self, identity: str) -> Any:  # noqa: ANN401 - a row, its columns as attributes
        """Return the event of these sources, null where there is none."""
        return self._events.get(identity)

    def sharing(self, arrival: Incoming) -> dict[str, list[str]]:
        """Return the events that have sources of this one, and how they call them."""
        found: dict[str, list[str]] = {}
        for key in sources_of(arrival):
            for name, file in self._sources.get(key, {}).items():
                found.setdefault(name, []).append(file)
        return found

    def take(self, connection: sa.Connection, number: int, arrival: Incoming) -> None:
        """Know an event that was added just now."""
        row = connection.execute(sa.select(tables.event).where(tables.event.c.id == number)).one()
        self._events[arrival.identity] = row
        for key, kept in sources_of(arrival).items():
            self._sources.setdefault(key, {})[row.name] = kept.file


class _Batch:
    """Rows of new events, to be written together."""

    def __init__(self) -> None:
        self.events: set[int] = set()
        self.files: list[tuple[int, Sequence[Kept]]] = []
        self.rows: dict[sa.Table, list[dict[str, Any]]] = {}

    def put(self, table: sa.Table, rows: Sequence[dict[str, Any]]) -> None:
        """Take rows of a table."""
        self.rows.setdefault(table, []).extend(rows)

    def write(self, connection: sa.Connection) -> None:
        """Write all of it."""
        put(connection, [(number, 0, files) for number, files in self.files])
        for table, rows in self.rows.items():
            if rows:
                connection.execute(sa.insert(table), rows)


def sources_of(arrival: Incoming) -> dict[tuple[str, str | None], Kept]:
    """Return the files that tell what happened, by their bytes and which event of them."""
    return {(kept.sha256, kept.only and clean(kept.only)): kept for kept in arrival.files if kept.read}


def _new(
    connection: sa.Connection,
    here: _Here,
    batch: _Batch,
    arrival: Incoming,
    measured: Measured | None,
    role: str,
) -> Added:
    shared = here.sharing(arrival)
    for other, files in shared.items():
        if len(files) == len(sources_of(arrival)):
            return Added(other, "contained", arrival.notes)
    name = _free(connection, arrival.name)
    settings = {**arrival.settings, "event_id": name}
    digest = digest_of(settings, [(kept.file, kept.sha256) for kept in arrival.files], arrival.lines)
    shown = {key: settings[key] for key in LISTED if settings.get(key) is not None}
    shown |= {key: value for key, value in (measured.about.items() if measured else ()) if value is not None}
    made = connection.execute(
        sa.insert(tables.event).values(
            name=name,
            identity=arrival.identity,
            settings=json.dumps(settings),
            digest=digest,
            added_at=now(),
            **{key: clean(str(value)) for key, value in shown.items()},
        )
    )
    (number,) = made.inserted_primary_key or (0,)
    here.take(connection, number, arrival)
    batch.events.add(number)
    batch.files.append((number, arrival.files))
    for stream, lines in arrival.lines.items():
        batch.put(tables.entry, _entries(number, stream, lines, ""))
    if measured:
        batch.put(tables.measurement, [_measurement(number, digest, measured)])
        batch.put(tables.figure, _figures(number, measured))
    detail = {"files": [{"file": kept.file, "sha256": kept.sha256} for kept in arrival.files]}
    batch.put(tables.audit, [_audited(role, "add", number, detail, "")])
    notes = [
        say("registry.shares", file=file, event=other) for other, files in shared.items() for file in files
    ]
    return Added(name, "added", (*arrival.notes, *notes), measured)


def _more(connection: sa.Connection, held: Any, arrival: Incoming, role: str) -> Added:  # noqa: ANN401
    """Add to an event that is here what its folder has more by now; what contradicts is left and said."""
    settings = json.loads(held.settings)
    told = {key: value for key, value in arrival.settings.items() if key not in NOT_FILLED_IN}
    fresh = {key: value for key, value in told.items() if value is not None and settings.get(key) is None}
    notes = [
        say("registry.differs", named=key, kept=settings[key], read=value)
        for key, value in told.items()
        if value is not None and key not in fresh and settings[key] != value
    ]
    kept_lines, count = lines_of(connection, held.id), 0
    for stream, lines in arrival.lines.items():
        missing = Counter(lines) - Counter(kept_lines[stream])
        new = []
        for line in reversed(lines):  # of lines alike, the first are those that are here
            if missing[line] > 0:
                missing[line] -= 1
                new.append(line)
        append(connection, held.id, stream, new[::-1], role)
        count += len(new)
    source = tables.source
    here = sa.select(source.c.sha256, source.c.position).where(source.c.event == held.id)
    rows = connection.execute(here).all()
    known = {row.sha256 for row in rows}
    files = [kept for kept in arrival.files if not kept.read and kept.sha256 not in known]
    put(connection, [(held.id, 1 + max(row.position for row in rows), files)])
    if not (fresh or count or files):
        return Added(held.name, "known", (*arrival.notes, *notes))
    settings |= fresh
    settle(connection, held.id, settings)
    shown = {key: clean(str(fresh[key])) for key in LISTED if key in fresh}
    if shown:
        connection.execute(sa.update(tables.event).where(tables.event.c.id == held.id).values(shown))
    detail = {"context": fresh, "lines": count, "files": [kept.file for kept in files]}
    audit(connection, role, "more", held.id, detail, "")
    notes.append(say("registry.taken", context=", ".join(fresh) or "0", lines=count, files=len(files)))
    return Added(held.name, "more", (*arrival.notes, *notes))


def _free(connection: sa.Connection, wanted: str) -> str:
    """Return a name for an event that no other has."""
    name = " ".join("".join(sign if sign.isprintable() else " " for sign in clean(wanted)).split())
    name = name[:MOST_IN_NAME] or "event"
    number, free = 2, name
    while find(connection, free) is not None:
        free, number = f"{name}-{number}", number + 1
    return free


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


def append(connection: sa.Connection, event: int, stream: str, lines: Sequence[bytes], role: str) -> None:
    """Add lines to one of an event's files of lines."""
    if lines:
        connection.execute(sa.insert(tables.entry), _entries(event, stream, lines, role))


def _entries(event: int, stream: str, lines: Sequence[bytes], role: str) -> list[dict[str, Any]]:
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
    connection.execute(sa.insert(tables.measurement), [_measurement(event, digest, measured)])
    if measured.figures:
        connection.execute(sa.insert(tables.figure), _figures(event, measured))
    shown = {key: clean(value) for key, value in measured.about.items() if value is not None}
    if shown:
        connection.execute(sa.update(tables.event).where(tables.event.c.id == event).values(shown))


def _measurement(event: int, digest: str, measured: Measured) -> dict[str, Any]:
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
    }


def _figures(event: int, measured: Measured) -> list[dict[str, Any]]:
    return [{"event": event, **row} for row in measured.figures]


def audit(
    connection: sa.Connection, role: str, action: str, event: int | None, detail: Mapping[str, Any], why: str
) -> None:
    """Write down what was done."""
    connection.execute(sa.insert(tables.audit), [_audited(role, action, event, detail, why)])


def _audited(
    role: str, action: str, event: int | None, detail: Mapping[str, Any], why: str
) -> dict[str, Any]:
    about = {"at": now(), "role": clean(role), "action": action, "event": event}
    return about | {"detail": json.dumps(detail), "why": clean(why)}

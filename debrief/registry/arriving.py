"""Events that arrive: the new are written at one go, those that are here gain what is new."""

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import sqlalchemy as sa

from debrief.registry import rows, tables
from debrief.registry.folders import digest_of
from debrief.registry.incoming import Incoming, Kept
from debrief.registry.measuring import Measured
from debrief.words import say

Did = Literal["added", "known", "more", "contained", "removed"]


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

    def put(self, table: sa.Table, new: Sequence[dict[str, Any]]) -> None:
        """Take rows of a table."""
        self.rows.setdefault(table, []).extend(new)

    def write(self, connection: sa.Connection) -> None:
        """Write all of it."""
        rows.put(connection, [(number, 0, files) for number, files in self.files])
        for table, new in self.rows.items():
            if new:
                connection.execute(sa.insert(table), new)


def sources_of(arrival: Incoming) -> dict[tuple[str, str | None], Kept]:
    """Return the files that tell what happened, by their bytes and which event of them."""
    return {(kept.sha256, kept.only and rows.clean(kept.only)): kept for kept in arrival.files if kept.read}


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
        if len(files) == len(sources_of(arrival)) and not arrival.part:
            return Added(other, "contained", arrival.notes)
    name = _free(connection, arrival.name)
    settings = {**arrival.settings, "event_id": name}
    digest = digest_of(settings, [(kept.file, kept.sha256) for kept in arrival.files], arrival.lines)
    shown = {key: settings[key] for key in rows.LISTED if settings.get(key) is not None}
    shown |= {key: value for key, value in (measured.about.items() if measured else ()) if value is not None}
    made = connection.execute(
        sa.insert(tables.event).values(
            name=name,
            identity=arrival.identity,
            settings=json.dumps(settings),
            digest=digest,
            added_at=rows.now(),
            **{key: rows.clean(str(value)) for key, value in shown.items()},
        )
    )
    (number,) = made.inserted_primary_key or (0,)
    here.take(connection, number, arrival)
    batch.events.add(number)
    batch.files.append((number, arrival.files))
    for stream, lines in arrival.lines.items():
        batch.put(tables.entry, rows.entries(number, stream, lines, ""))
    if measured:
        batch.put(tables.measurement, [rows.measurement_row(number, digest, measured)])
        batch.put(tables.figure, rows.figure_rows(number, measured))
    detail = {"files": [{"file": kept.file, "sha256": kept.sha256} for kept in arrival.files]}
    batch.put(tables.audit, [rows.audit_row(role, "add", number, detail, "")])
    notes = [
        say("registry.shares", file=file, event=other) for other, files in shared.items() for file in files
    ]
    return Added(name, "added", (*arrival.notes, *notes), measured)


def _more(connection: sa.Connection, held: Any, arrival: Incoming, role: str) -> Added:  # noqa: ANN401
    """Add to an event that is here what its folder has more by now; what contradicts is left and said."""
    settings = json.loads(held.settings)
    told = {key: value for key, value in arrival.settings.items() if key not in rows.NOT_FILLED_IN}
    fresh = {key: value for key, value in told.items() if value is not None and settings.get(key) is None}
    notes = [
        say("registry.differs", named=key, kept=settings[key], read=value)
        for key, value in told.items()
        if value is not None and key not in fresh and settings[key] != value
    ]
    kept_lines, count = rows.lines_of(connection, held.id), 0
    for stream, lines in arrival.lines.items():
        missing = Counter(lines) - Counter(kept_lines[stream])
        new = []
        for line in reversed(lines):  # of lines alike, the first are those that are here
            if missing[line] > 0:
                missing[line] -= 1
                new.append(line)
        rows.append(connection, held.id, stream, new[::-1], role)
        count += len(new)
    source = tables.source
    here = sa.select(source.c.sha256, source.c.position).where(source.c.event == held.id)
    sources = connection.execute(here).all()
    known = {row.sha256 for row in sources}
    files = [kept for kept in arrival.files if not kept.read and kept.sha256 not in known]
    rows.put(connection, [(held.id, 1 + max(row.position for row in sources), files)])
    if not (fresh or count or files):
        return Added(held.name, "known", (*arrival.notes, *notes))
    settings |= fresh
    rows.settle(connection, held.id, settings)
    shown = {key: rows.clean(str(fresh[key])) for key in rows.LISTED if key in fresh}
    if shown:
        connection.execute(sa.update(tables.event).where(tables.event.c.id == held.id).values(shown))
    detail = {"context": fresh, "lines": count, "files": [kept.file for kept in files]}
    rows.audit(connection, role, "more", held.id, detail, "")
    notes.append(say("registry.taken", context=", ".join(fresh) or "0", lines=count, files=len(files)))
    return Added(held.name, "more", (*arrival.notes, *notes))


def _free(connection: sa.Connection, wanted: str) -> str:
    """Return a name for an event that no other has."""
    clean = rows.clean(wanted).replace("/", "-").replace("\\", "-")  # names stand in addresses of pages
    name = " ".join("".join(sign if sign.isprintable() else " " for sign in clean).split())
    name = name[: rows.MOST_IN_NAME] or "event"
    number, free = 2, name
    while rows.find(connection, free) is not None:
        free, number = f"{name}-{number}", number + 1
    return free

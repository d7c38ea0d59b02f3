"""What a registry holds, as it can be asked; nothing here changes it."""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Literal, Self

import sqlalchemy as sa

from debrief.importers.folder import TALK
from debrief.registry import rows, tables
from debrief.registry.database import Database
from debrief.registry.folders import Contents
from debrief.registry.laid import Laid

Review = Literal["reviewed", "locked", "not_an_arrest", "excluded"]


class Held:
    """An open registry to be asked, as `store.Registry` is one to be changed."""

    def __init__(self, where: str | Path | None = None, *, create: bool = False) -> None:
        self.database = Database(where, create=create)
        self._laid = Laid()

    def close(self) -> None:
        """Let go of it, and of the folders that it laid down."""
        self.database.close()
        self._laid.close()

    def __enter__(self) -> Self:
        """Use it for a while."""
        return self

    def __exit__(self, *_: object) -> None:
        """Let go of it."""
        self.close()

    def known(self, identities: Iterable[str]) -> set[str]:
        """Return which of these identities of events are here, those of removed events among them."""
        column = tables.event.c.identity
        with self.database.reading() as connection:
            return set(connection.scalars(sa.select(column).where(column.in_([*identities]))))

    def has(self, name: str) -> bool:
        """Tell whether an event of that name is here and was not removed."""
        with self.database.reading() as connection:
            held = rows.find(connection, name)
        return held is not None and held.removed_at is None

    def check_held(self, name: str) -> None:
        """Refuse a name that no event has, or a removed one.

        Raises
        ------
        BadSetting
            Then.
        """
        with self.database.reading() as connection:
            rows.held_as(connection, name)

    def contents(self, name: str) -> Contents:
        """Return all that is kept of an event.

        Raises
        ------
        BadSetting
            Where no event has that name, or it was removed.
        """
        with self.database.reading() as connection:
            return rows.contents_of(connection, rows.held_as(connection, name))

    def folder(self, name: str) -> Path:
        """Return a folder of our own that holds an event as it stands now; it goes when the registry closes.

        Raises
        ------
        BadSetting
            As `contents`.
        """
        with self.database.reading() as connection:
            return self._laid.event(connection, rows.held_as(connection, name))

    def digest(self, name: str) -> str:
        """Return the digest of all that an event is measured from.

        Raises
        ------
        BadSetting
            As `contents`.
        """
        with self.database.reading() as connection:
            return str(rows.held_as(connection, name).digest)

    def settings(self, name: str) -> dict[str, Any]:
        """Return the event.json of an event as it stands.

        Raises
        ------
        BadSetting
            As `contents`.
        """
        with self.database.reading() as connection:
            return dict(json.loads(rows.held_as(connection, name).settings))

    def reviewed(self, name: str) -> tuple[Review | None, str, str, str]:
        """Return what a reviewer says of a whole event, why, by which role and when (ISO 8601).

        Raises
        ------
        BadSetting
            As `contents`.
        """
        table = tables.audit
        with self.database.reading() as connection:
            held = rows.held_as(connection, name)
            query = sa.select(table).where(table.c.event == held.id, table.c.action == "review")
            last = connection.execute(query.order_by(table.c.id.desc()).limit(1)).first()
        if held.review is None or last is None:
            return None, "", "", ""
        return held.review, held.review_why or "", last.role, last.at

    def talks(self) -> dict[str, list[bytes]]:
        """Return the lines of all talks by their events, those of removed events left out."""
        event, entry = tables.event, tables.entry
        query = sa.select(event.c.name, entry.c.content).join(entry, entry.c.event == event.c.id)
        query = query.where(entry.c.stream == TALK, event.c.removed_at.is_(None)).order_by(entry.c.id)
        found: dict[str, list[bytes]] = {}
        with self.database.reading() as connection:
            for row in connection.execute(query):
                found.setdefault(row.name, []).append(row.content)
        return found

    def version(self, name: str) -> str:
        """Return a text that is another one after each change of an event, the talk's among them.

        Raises
        ------
        BadSetting
            As `contents`.
        """
        with self.database.reading() as connection:
            held = rows.held_as(connection, name)
            query = sa.select(sa.func.count()).where(tables.entry.c.event == held.id)
            return f"{held.digest}-{connection.scalar(query) or 0}-{held.review or ''}"

    def named(self, kind: str) -> dict[str, Any]:
        """Return what a site named of one kind, by name, in order of the names."""
        table = tables.named
        query = sa.select(table.c.name, table.c.content).where(table.c.kind == kind).order_by(table.c.name)
        with self.database.reading() as connection:
            return {row.name: json.loads(row.content) for row in connection.execute(query)}

    def layouts(self) -> Path:
        """Return a folder of our own with all answers remembered, as `Settings.remembered` has it.

        The same answers give the same folder, other answers another one.
        """
        with self.database.reading() as connection:
            return self._laid.layouts(connection)

    def history(self, name: str) -> list[dict[str, Any]]:
        """Return what was done to an event, the earliest first: at, role, action, detail, why."""
        table = tables.audit
        with self.database.reading() as connection:
            held = rows.find(connection, name)
            query = sa.select(table).where(table.c.event == (held.id if held else -1)).order_by(table.c.id)
            done = connection.execute(query).mappings().all()
        return [
            {key: row[key] for key in ("at", "role", "action", "why")} | {"detail": json.loads(row["detail"])}
            for row in done
        ]

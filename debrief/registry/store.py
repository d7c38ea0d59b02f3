"""The registry: events that are kept, and every way in which they change, each one transaction."""

import json
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Literal, get_args

import sqlalchemy as sa

from debrief.errors import BadSetting
from debrief.importers import mapping as layouts
from debrief.importers.folder import EVENT_JSON, TALK, about_event
from debrief.registry import rows, tables
from debrief.registry.arriving import Added, add_all
from debrief.registry.changing import LOCKED, change_in, take_in
from debrief.registry.database import Database
from debrief.registry.folders import Contents
from debrief.registry.incoming import Incoming
from debrief.registry.laid import Laid
from debrief.registry.measuring import Measured, laid_down
from debrief.words import say

Review = Literal["reviewed", "locked", "not_an_arrest", "excluded"]
REVIEWS: tuple[Review, ...] = get_args(Review)
"""What a reviewer can say of a whole event."""
WITH_REASON: tuple[Review, ...] = ("not_an_arrest", "excluded")
MOST_IN_AUDIT = 10_000
"""Longer texts are not repeated in the audit. [letters]"""


class Registry:
    """An open registry. May be used by several threads; other programs may write to it meanwhile.

    Parameters
    ----------
    where, create
        As `Database` has them.
    """

    def __init__(self, where: str | Path | None = None, *, create: bool = False) -> None:
        self.database = Database(where, create=create)
        self._laid = Laid()

    def close(self) -> None:
        """Let go of it, and of the folders that it laid down."""
        self.database.close()
        self._laid.close()

    def __enter__(self) -> "Registry":
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

    def add(self, arrivals: Sequence[tuple[Incoming, Measured | None]], role: str = "") -> list[Added]:
        """Add events with what was measured of them, all of them or none; say what became of each.

        An event that is here adds nothing, but what its folder has more than the registry: context, lines,
        files that are not read.
        """
        with self.database.writing() as connection:
            return add_all(connection, arrivals, role)

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

    @contextmanager
    def changing(self, name: str, role: str = "", why: str = "") -> Iterator[Path]:
        """Give a folder with an event as it stands; what is written there is kept once this ends well.

        Nothing is kept where it ends in an error. What others changed meanwhile stays: see `changing`.

        Raises
        ------
        BadSetting
            As `contents`, and where the event is locked or a file that was there was changed.
        """
        before = self.contents(name)
        with laid_down(before) as folder:
            yield folder
            change = change_in(folder, before)
        if change:
            with self.database.writing() as connection:
                take_in(connection, name, change, role, why)

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

    def review(self, name: str, review: Review | None, role: str = "", why: str = "") -> None:
        """Say what a reviewer says of a whole event; null takes it back.

        Raises
        ------
        BadSetting
            As `contents`, and where an event is excluded, or said to be no arrest, without a reason.
        """
        if review not in (None, *REVIEWS):
            raise BadSetting(say("registry.unknown_review", read=review, choices=", ".join(REVIEWS)))
        if review in WITH_REASON and not why.strip():
            raise BadSetting(say("registry.review_without_reason", review=say(f"registry.review_{review}")))
        with self.database.writing() as connection:
            held = rows.held_as(connection, name)
            values = {"review": review, "review_why": rows.clean(why) if review else None}
            connection.execute(sa.update(tables.event).where(tables.event.c.id == held.id).values(values))
            rows.audit(connection, role, "review", held.id, {"from": held.review, "to": review}, why)

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

    def named(self, kind: str) -> dict[str, Any]:
        """Return what a site named of one kind, by name, in order of the names."""
        table = tables.named
        query = sa.select(table.c.name, table.c.content).where(table.c.kind == kind).order_by(table.c.name)
        with self.database.reading() as connection:
            return {row.name: json.loads(row.content) for row in connection.execute(query)}

    def name(self, kind: str, name: str, content: Any, role: str = "", why: str = "") -> None:  # noqa: ANN401
        """Keep something under a name, in place of what had it; null takes it out.

        Parameters
        ----------
        kind, name
            What sort of thing it is (``cohort``, ``admissions``, ``case``), and what it is called.
        content
            Anything that JSON can hold.
        role, why
            For the audit, which keeps what was there before where it is short (`MOST_IN_AUDIT`).
        """
        table, text = tables.named, None if content is None else json.dumps(content, sort_keys=True)
        name = rows.clean(name)
        with self.database.writing() as connection:
            same = sa.and_(table.c.kind == kind, table.c.name == name)
            was = connection.scalar(sa.select(table.c.content).where(same))
            if was == text:
                return
            connection.execute(sa.delete(table).where(same))
            if text is not None:
                row = {
                    "kind": kind,
                    "name": name,
                    "content": text,
                    "at": rows.now(),
                    "role": rows.clean(role),
                }
                connection.execute(sa.insert(table).values(row))
            kept = {"from": was, "to": text}
            short = {key: one for key, one in kept.items() if one is None or len(one) <= MOST_IN_AUDIT}
            rows.audit(connection, role, "name", None, {"kind": kind, "name": name} | short, why)

    def append(self, name: str, stream: str, lines: Sequence[bytes], role: str = "") -> None:
        """Add lines to what an event keeps of corrections, added marks or the talk (`STREAMS`).

        Raises
        ------
        BadSetting
            As `contents`.
        """
        with self.database.writing() as connection:
            held = rows.held_as(connection, name)
            if held.review == LOCKED and stream != TALK:
                raise BadSetting(say("registry.locked_event", event=name))
            rows.append(connection, held.id, stream, lines, role)
            rows.renew_digest(connection, held.id, json.loads(held.settings))

    def enter(self, name: str, key: str, value: Any, role: str = "", why: str = "") -> None:  # noqa: ANN401
        """Enter what is known of an event by now, under a key of event.json; null takes it out.

        Raises
        ------
        BadSetting
            As `contents`, and where the key cannot hold that value.
        """
        if key in rows.NOT_FILLED_IN:
            raise BadSetting(say("registry.not_entered", read=key))
        known, notices = about_event({key: value}, EVENT_JSON)
        if notices or (value is not None and key not in known):
            raise BadSetting(say("registry.not_entered", read=key))
        with self.database.writing() as connection:
            held = rows.held_as(connection, name)
            if held.review == LOCKED:
                raise BadSetting(say("registry.locked_event", event=name))
            settings = json.loads(held.settings)
            was = settings.get(key)
            settings = {**settings, key: value}
            rows.settle(connection, held.id, settings)
            if key in rows.LISTED:
                shown = {key: None if value is None else rows.clean(str(value))}
                connection.execute(sa.update(tables.event).where(tables.event.c.id == held.id).values(shown))
            rows.audit(connection, role, "enter", held.id, {"key": key, "from": was, "to": value}, why)

    def remove(self, name: str, role: str = "", why: str = "") -> None:
        """Take an event out of all lists and figures. Nothing of it is deleted.

        Raises
        ------
        BadSetting
            As `contents`.
        """
        with self.database.writing() as connection:
            held = rows.held_as(connection, name)
            row = sa.update(tables.event).where(tables.event.c.id == held.id)
            connection.execute(row.values(removed_at=rows.now()))
            rows.audit(connection, role, "remove", held.id, {}, why)

    def restore(self, name: str, role: str = "", why: str = "") -> None:
        """Bring a removed event back as it was.

        Raises
        ------
        BadSetting
            Where no event has that name, or it was not removed.
        """
        with self.database.writing() as connection:
            held = rows.find(connection, name)
            if held is None:
                raise BadSetting(say("registry.no_event", read=name[: rows.MOST_IN_NAME]))
            if held.removed_at is None:
                raise BadSetting(say("registry.not_removed", event=name))
            row = sa.update(tables.event).where(tables.event.c.id == held.id)
            connection.execute(row.values(removed_at=None))
            rows.audit(connection, role, "restore", held.id, {}, why)

    def keep(self, name: str, digest: str, measured: Measured) -> bool:
        """Keep what was measured of an event, unless the event is no more what it was measured from.

        Parameters
        ----------
        name, digest
            The event, and the digest that it had before it was measured.
        measured
            What was measured.

        Returns
        -------
        bool
            Whether it was kept.
        """
        with self.database.writing() as connection:
            held = rows.find(connection, name)
            if held is None or held.digest != digest:
                return False
            rows.keep(connection, held.id, digest, measured)
            return True

    def remember(self, mapping: layouts.Mapping, role: str = "") -> None:
        """Remember answers for their layout, in place of what was remembered for it."""
        with tempfile.TemporaryDirectory() as folder:
            content = layouts.remember(mapping, Path(folder)).read_text(encoding="utf-8")
        table, layout = tables.mapping, mapping.layout
        with self.database.writing() as connection:
            was = connection.scalar(sa.select(table.c.content).where(table.c.layout == layout))
            if was == content:
                return
            connection.execute(sa.delete(table).where(table.c.layout == layout))
            connection.execute(sa.insert(table).values(layout=layout, content=content, at=rows.now()))
            rows.audit(connection, role, "remember", None, {"layout": layout, "from": was, "to": content}, "")

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

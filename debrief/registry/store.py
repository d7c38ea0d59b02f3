"""The registry: events that are kept, and every way in which they change, each one transaction."""

import json
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, get_args

import sqlalchemy as sa

from debrief.errors import BadSetting
from debrief.importers import mapping as layouts
from debrief.importers.folder import EVENT_JSON, TALK, about_event
from debrief.registry import rows, tables
from debrief.registry.arriving import Added, add_all
from debrief.registry.changing import LOCKED, change_in, take_in
from debrief.registry.incoming import Incoming
from debrief.registry.measuring import Measured, laid_down
from debrief.registry.reading import Held, Review
from debrief.words import say

REVIEWS: tuple[Review, ...] = get_args(Review)
"""What a reviewer can say of a whole event."""
WITH_REASON: tuple[Review, ...] = ("not_an_arrest", "excluded")
MOST_IN_AUDIT = 10_000
"""Longer texts are not repeated in the audit. [letters]"""


class Registry(Held):
    """An open registry. May be used by several threads; other programs may write to it meanwhile.

    Parameters
    ----------
    where, create
        As `Database` has them.
    """

    def add(self, arrivals: Sequence[tuple[Incoming, Measured | None]], role: str = "") -> list[Added]:
        """Add events with what was measured of them, all of them or none; say what became of each.

        An event that is here adds nothing, but what its folder has more than the registry: context, lines,
        files that are not read.
        """
        with self.database.writing() as connection:
            return add_all(connection, arrivals, role)

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

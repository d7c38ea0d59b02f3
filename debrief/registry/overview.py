"""All events of a registry as short lines, quickly, for a list that is searched, filtered and sorted."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from debrief.measures import CORE
from debrief.registry import tables
from debrief.registry.listing import REMOVED
from debrief.registry.store import Registry

MOST_NAMES = 500
"""How many names are asked about at once."""


@dataclass(frozen=True)
class Line:
    """An event of a list.

    Null: not known. ``status`` as `listing.events` has it, ``why`` a reviewer's; ``to_check``: how many
    problems somebody should look at; ``found``: what a search looks through beside what is shown; ``stale``:
    whether the event was changed since it was measured.
    """

    event_id: str
    date: str | None
    unit: str | None
    population: str | None
    rhythm: str | None
    status: str
    why: str | None
    to_check: int
    found: str
    stale: bool = False


def lines(registry: Registry, *, removed: bool = False) -> list[Line]:
    """Return a line for each event, or for each that was taken out, by name."""
    event, measured = tables.event, tables.measurement
    query = sa.select(
        event.c.name,
        event.c.date,
        event.c.unit,
        event.c.population,
        event.c.setting,
        event.c.settings,
        event.c.review,
        event.c.review_why,
        measured.c.status,
        measured.c.to_check,
        measured.c.facts,
        (measured.c.digest != event.c.digest).label("changed"),
    ).join(measured, measured.c.event == event.c.id, isouter=True)
    gone = event.c.removed_at
    query = query.where(gone.is_not(None) if removed else gone.is_(None)).order_by(event.c.name)
    with registry.database.reading() as connection:
        rows = connection.execute(query).all()
    return [_line(row, removed) for row in rows]


def _line(row: Any, removed: bool) -> Line:  # noqa: ANN401 - a row, its columns as attributes
    told = json.loads(row.settings)
    facts = json.loads(row.facts) if row.facts else {}
    files = [source.get("file") for source in told.get("sources") or ()]
    told_of = (told.get("local_reference"), told.get("outcome"), row.review_why)
    searched = (row.name, row.setting, *told_of, *files)
    return Line(
        row.name,
        row.date,
        row.unit,
        row.population,
        told.get("first_rhythm") or facts.get("first_rhythm"),
        REMOVED if removed else row.review or row.status or "nothing_measured",
        row.review_why,
        row.to_check or 0,
        " ".join(str(one) for one in searched if one),
        bool(row.changed),
    )


def values(registry: Registry, figure: str) -> dict[str, float]:
    """Return one figure of all events where it is known, by their names."""
    event, one = tables.event, tables.figure
    query = sa.select(event.c.name, one.c.value).join(one, one.c.event == event.c.id)
    query = query.where(one.c.name == figure, one.c.value.is_not(None))
    with registry.database.reading() as connection:
        return {row.name: row.value for row in connection.execute(query)}


def figures(registry: Registry, names: Sequence[str], wanted: Sequence[str]) -> dict[str, dict[str, Any]]:
    """Return some figures of some events: rows of `tables.figure` by the event's name and the figure's."""
    event, one = tables.event, tables.figure
    found: dict[str, dict[str, Any]] = {name: {} for name in names}
    with registry.database.reading() as connection:
        for start in range(0, len(names), MOST_NAMES):
            some = names[start : start + MOST_NAMES]
            query = sa.select(event.c.name.label("of_event"), *(column for column in one.c)).join(
                one, one.c.event == event.c.id
            )
            query = query.where(event.c.name.in_(some), one.c.name.in_(wanted))
            for row in connection.execute(query).mappings():
                found[row["of_event"]][row["name"]] = dict(row)
    return found


def missing(of_event: dict[str, Any]) -> list[tuple[str, str]]:
    """Return the core figures of an event that have no value though they apply, each with why."""
    rows = (of_event[name] for name in CORE if name in of_event)
    return [
        (row["name"], row["because"] or "")
        for row in rows
        if row["value"] is None and row["verdict"] not in ("not_applicable", "not_met")
    ]

"""Events and their figures as rows, for lists and for other programs."""

import json
from collections.abc import Sequence
from typing import Any

import sqlalchemy as sa

from debrief import __version__
from debrief.model.contract import DEFINITIONS
from debrief.registry import tables
from debrief.registry.store import Registry

REMOVED = "removed"


def events(
    registry: Registry,
    *,
    unit: str | None = None,
    since: str | None = None,
    until: str | None = None,
    status: str | None = None,
) -> list[dict[str, Any]]:
    """Return the events that fit, by date and name, those without a date last.

    Parameters
    ----------
    registry
        Where from.
    unit
        Of this ward or service, whatever the case of its letters.
    since, until
        From this day on, and up to it (YYYY-MM-DD); those without a date are left out then.
    status
        One of `measuring.STATUSES`, or of `store.REVIEWS`, which stand before them, or ``removed``: else
        removed ones are left out.

    Returns
    -------
    list of dict
        ``event_id``, ``date``, ``unit``, ``population``, ``setting``, ``status``, ``why`` (a reviewer's),
        ``marks``, ``to_check``
        (problems that somebody should look at), ``figures`` (``with_bounds``, ``without_bounds`` or
        ``stale``) and ``added``.
    """
    event, measured = tables.event, tables.measurement
    query = sa.select(
        event,
        measured.c.status.label("found"),
        measured.c.marks,
        measured.c.to_check,
        measured.c.parameters,
        measured.c.definitions,
        measured.c.digest.label("measured_from"),
    ).join(measured, measured.c.event == event.c.id, isouter=True)
    query = query.where(
        event.c.removed_at.is_not(None) if status == REMOVED else event.c.removed_at.is_(None)
    )
    if unit is not None:
        query = query.where(sa.func.lower(event.c.unit) == unit.lower())
    if since is not None:
        query = query.where(event.c.date >= since)
    if until is not None:
        query = query.where(event.c.date <= until)
    if status not in (None, REMOVED):
        query = query.where(sa.func.coalesce(event.c.review, measured.c.status) == status)
    with registry.database.reading() as connection:
        found = [_row(row) for row in connection.execute(query).mappings()]
    if unit is not None:  # databases differ in what letters are alike
        found = [row for row in found if (row["unit"] or "").casefold() == unit.casefold()]
    return sorted(found, key=lambda row: (row["date"] is None, row["date"], row["event_id"]))


def names(registry: Registry) -> list[str]:
    """Return the names of the events, the newest first, those without a date last."""
    event = tables.event
    query = sa.select(event.c.name, event.c.date).where(event.c.removed_at.is_(None)).order_by(event.c.name)
    with registry.database.reading() as connection:
        found = connection.execute(query).all()
    return [row.name for row in sorted(found, key=lambda row: row.date or "", reverse=True)]


def latest(registry: Registry, most: int) -> list[str]:
    """Return the names of the events that were added last, the latest first."""
    event = tables.event
    query = sa.select(event.c.name).where(event.c.removed_at.is_(None)).order_by(event.c.id.desc())
    with registry.database.reading() as connection:
        return list(connection.scalars(query.limit(most)))


def _row(row: sa.RowMapping) -> dict[str, Any]:
    return {
        "event_id": row["name"],
        "date": row["date"],
        "unit": row["unit"],
        "population": row["population"],
        "setting": row["setting"],
        "status": REMOVED if row["removed_at"] else row["review"] or row["found"],
        "why": row["review_why"],
        "marks": row["marks"],
        "to_check": row["to_check"],
        "figures": _standing(row),
        "added": row["added_at"],
    }


def _standing(row: sa.RowMapping) -> str:
    if row["measured_from"] != row["digest"] or row["definitions"] != DEFINITIONS:
        return "stale"
    parameters = json.loads(row["parameters"])
    if parameters["software"] != __version__:
        return "stale"
    return "with_bounds" if parameters["draws"] else "without_bounds"


def stale(
    registry: Registry, parameters: str, names: Sequence[str] | None = None, *, found: Sequence[str] = ()
) -> list[tuple[str, str]]:
    """Return the names and digests of events whose figures were not measured by these parameters.

    Parameters
    ----------
    registry, parameters
        Which, and what they would be measured by now (`measuring.How.parameters`).
    names
        Only of these; null for all.
    found
        Only of those that measuring found to stand so (`measuring.STATUSES`); none for all.
    """
    event, measured = tables.event, tables.measurement
    current = sa.and_(
        measured.c.digest == event.c.digest,
        measured.c.definitions == DEFINITIONS,
        measured.c.parameters == parameters,
    )
    query = (
        sa.select(event.c.name, event.c.digest)
        .join(measured, sa.and_(measured.c.event == event.c.id, current), isouter=True)
        .where(event.c.removed_at.is_(None), measured.c.event.is_(None))
    )
    if found:
        last = measured.alias()
        query = query.where(event.c.id.in_(sa.select(last.c.event).where(last.c.status.in_(found))))
    with registry.database.reading() as connection:
        waiting = sorted((row.name, row.digest) for row in connection.execute(query))
    wanted = None if names is None else set(names)
    return [row for row in waiting if wanted is None or row[0] in wanted]


def figures(registry: Registry, names: Sequence[str]) -> list[dict[str, Any]]:
    """Return the figures of events as they stand, in the order of the names, each event's as measured."""
    event, figure = tables.event, tables.figure
    query = sa.select(
        event.c.name.label("event_id"), *(c.label(f"{c.name}_") for c in figure.c if c.name != "event")
    )
    query = query.join(figure, figure.c.event == event.c.id)
    wanted = {name: at for at, name in enumerate(names)}
    with registry.database.reading() as connection:
        rows = [row for row in connection.execute(query).mappings() if row["event_id"] in wanted]
    found = [{key.rstrip("_"): value for key, value in row.items()} for row in rows]
    return sorted(found, key=lambda row: (wanted[row["event_id"]], row["name"]))


def facts(registry: Registry) -> dict[str, dict[str, Any]]:
    """Return what event.json says of each event (``settings``), and its ``facts``, by name."""
    event, measured = tables.event, tables.measurement
    query = sa.select(event.c.name, event.c.settings, measured.c.facts)
    query = query.join(measured, measured.c.event == event.c.id, isouter=True)
    with registry.database.reading() as connection:
        return {
            row.name: {"settings": json.loads(row.settings), "facts": json.loads(row.facts or "{}")}
            for row in connection.execute(query)
        }


def problems(registry: Registry, names: Sequence[str]) -> list[dict[str, Any]]:
    """Return the problems of events as they were when they were measured, in the order of the names."""
    event, measured = tables.event, tables.measurement
    query = sa.select(event.c.name, measured.c.problems).join(measured, measured.c.event == event.c.id)
    with registry.database.reading() as connection:
        kept = {row.name: row.problems for row in connection.execute(query)}
    return [{"event_id": name, **one} for name in names for one in json.loads(kept.get(name, "[]"))]

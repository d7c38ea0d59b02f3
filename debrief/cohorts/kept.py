"""Rows of a measure from what the registry keeps of its events, without measuring any of them."""

import json
from collections import Counter
from collections.abc import Collection
from typing import Any

import sqlalchemy as sa

from debrief import targets
from debrief.cohorts.cohort import NOT_COUNTED, Row, day_facts
from debrief.model.contract import Target
from debrief.registry import tables
from debrief.registry.store import Registry
from debrief.targets.edition import Edition


def rows_kept(registry: Registry, measure: str, edition: Edition | None = None) -> list[Row]:
    """Return a row for each event that was measured and not removed, as it was measured last.

    Parameters
    ----------
    registry
        Where from.
    measure
        The name of the figure.
    edition
        Where what is asked is looked up; null for the usual one. What none of it names is told by its id.
    """
    asked = {row.id: row for row in (edition or targets.load()).targets}
    event, measured, figure = tables.event, tables.measurement, tables.figure
    query = (
        sa.select(
            event.c.name.label("event_id"),
            *(event.c[name] for name in ("date", "unit", "setting", "population", "settings", "digest")),
            event.c.review,
            measured.c.facts,
            measured.c.definitions,
            figure.c.value,
            figure.c.unit.label("figure_unit"),
            *(figure.c[name] for name in ("low", "high", "verdict", "target")),
        )
        .join(measured, measured.c.event == event.c.id)
        .join(figure, sa.and_(figure.c.event == event.c.id, figure.c.name == measure))
        .where(event.c.removed_at.is_(None))
        .order_by(event.c.date, event.c.name)
    )
    with registry.database.reading() as connection:
        return [_row(row, asked) for row in connection.execute(query).mappings()]


def _row(kept: sa.RowMapping, asked: Any) -> Row:  # noqa: ANN401 - targets by their ids
    facts = json.loads(kept["facts"]) if kept["facts"] else {}
    told = json.loads(kept["settings"])
    ended = facts.get("ended_as") or []
    reviewed = kept["review"] if kept["review"] in NOT_COUNTED else None
    value = kept["value"]
    if value is not None and kept["figure_unit"] == "":
        value = bool(value)
    return Row(
        event_id=kept["event_id"],
        **day_facts(facts.get("wall"), kept["date"]),
        unit=kept["unit"],
        setting=kept["setting"],
        population=facts.get("population") or kept["population"] or "adult",
        shockable=facts.get("shockable"),
        witnessed=told.get("witnessed"),
        monitored=told.get("monitored"),
        value=value,
        low=kept["low"],
        high=kept["high"],
        figure_unit=kept["figure_unit"],
        verdict=kept["verdict"],
        target=_target(kept, asked),
        edition=str(facts.get("edition", "")),
        definitions=kept["definitions"],
        ended_as=reviewed
        or next((detail for detail in ended if detail in NOT_COUNTED), ended[-1] if ended else None),
        inputs=(kept["digest"],),
    )


def _target(kept: sa.RowMapping, asked: Any) -> Target | None:  # noqa: ANN401 - targets by their ids
    if kept["target"] is None:
        return None
    row = asked.get(kept["target"])
    by_weight = row is None or row.unit != kept["figure_unit"]
    return Target(
        id=kept["target"],
        rule=kept["target"] if row is None else row.rule,
        low=None if by_weight else row.lowest(None),
        low_included=by_weight or row.low_included,
        high=None if by_weight else row.highest(None),
        high_included=by_weight or row.high_included,
        unit=kept["figure_unit"] if row is None else row.unit,
        kind="guideline" if row is None else row.kind,
        edition="" if row is None else row.edition,
        citation="" if row is None else row.citation,
        basis="memory" if row is None else row.basis,
        judged=True,
        verdict=kept["verdict"],
    )


def gaps_kept(registry: Registry, measure: str, events: Collection[str]) -> list[tuple[str, int]]:
    """Return why a figure of some events is not known, or cannot be judged, and of how many; the most first.

    Mending the first reason would make the most figures known.
    """
    event, figure = tables.event, tables.figure
    query = (
        sa.select(event.c.name, figure.c.because)
        .join(figure, figure.c.event == event.c.id)
        .where(figure.c.name == measure, figure.c.because.is_not(None))
        .where(figure.c.verdict.in_(("no_data", "uncertain")))
    )
    wanted = frozenset(events)
    with registry.database.reading() as connection:
        counts = Counter(row.because for row in connection.execute(query) if row.name in wanted)
    return sorted(counts.items(), key=lambda one: (-one[1], one[0]))

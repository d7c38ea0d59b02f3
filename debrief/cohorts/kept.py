"""Rows of a measure from what the registry keeps of its events, without measuring any of them.

Figures that were judged by another edition than is asked for are judged again (`targets.again`).
"""

import json
from collections import Counter
from collections.abc import Callable, Collection, Mapping
from functools import cache, lru_cache
from typing import Any

import sqlalchemy as sa

from debrief import targets
from debrief.cohorts.cohort import NOT_COUNTED, Filter, Row, day_facts, filter_named
from debrief.errors import BadSetting
from debrief.model.contract import Target, Verdict
from debrief.model.figures import Facts
from debrief.registry import tables
from debrief.registry.store import Registry
from debrief.targets.again import kept_finding
from debrief.targets.edition import Edition
from debrief.targets.row import TargetRow
from debrief.words import say

BESIDE = {
    "time_to_first_shock": "registry_first_shock",
    "time_to_first_epinephrine": "registry_epinephrine",
    "time_to_first_compression": "registry_first_compression",
    "time_to_advanced_airway": "registry_airway_confirmed",
}
"""The registry's own measure of what a figure is about."""
COHORT = "cohort"
"""The kind of what a site names (`Registry.named`) that is ``{"where": ["key=value", ...]}``."""


def rows_kept(registry: Registry, measure: str, edition: Edition | None = None) -> list[Row]:
    """Return a row for each event that was measured and not removed, as it was measured last.

    Parameters
    ----------
    registry
        Where from.
    measure
        The name of the figure.
    edition
        What judges; null for the usual one. Figures that cannot be judged by it stand as they were judged
        last (`Row.stale`); a target that it does not know is then told by its id.
    """
    judging = edition or targets.load()
    asked = {row.id: row for row in judging.targets}

    @cache
    def target_of(name: str, unit: str, verdict: Verdict) -> Target:
        return _target(name, unit, verdict, asked.get(name))

    event, measured, figure = tables.event, tables.measurement, tables.figure
    query = (
        sa.select(
            event.c.name.label("event_id"),
            event.c.unit.label("ward"),
            *(event.c[name] for name in ("date", "setting", "population", "settings", "digest")),
            event.c.review,
            measured.c.facts,
            measured.c.definitions,
            measured.c.parameters,
            (measured.c.digest != event.c.digest).label("changed"),
            *(figure.c[name] for name in ("name", "value", "unit", "low", "high", "certainty")),
            *(figure.c[name] for name in ("verdict", "because", "target")),
        )
        .join(measured, measured.c.event == event.c.id)
        .join(figure, sa.and_(figure.c.event == event.c.id, figure.c.name == measure))
        .where(event.c.removed_at.is_(None))
        .order_by(event.c.date, event.c.name)
    )
    with registry.database.reading() as connection:
        found = connection.execute(query)
        columns = tuple(found.keys())
        rows = [dict(zip(columns, row, strict=True)) for row in found]
    return [_row(_judged_by(judging, row), target_of) for row in rows]


def _judged_by(edition: Edition, kept: dict[str, Any]) -> dict[str, Any]:
    """Return what is kept of a figure with the verdict of an edition, as far as it can be judged by it."""
    facts = _facts(kept["facts"] or "{}")
    kept["edition"] = edition.name
    judging = facts.get("judging")
    own = facts.get("edition") == edition.name and _site_of(kept["parameters"]) == edition.site_sha256
    if judging is None:
        return kept if own else kept | {"changed": True, "edition": facts.get("edition", "")}
    if own and kept["value"] is not None:
        return kept
    finding = kept_finding(kept, judging["findings"].get(kept["name"], {}))
    known = Facts(**judging["facts"])
    target, verdict, because = targets.decided(finding, edition, known)
    if target is None or not targets.is_ruled_out(target, known):
        kept["watched_s"] = finding.observed
    return kept | {"verdict": verdict, "because": because, "target": target and target.id}


@lru_cache(200_000)
def _facts(text: str) -> dict[str, Any]:
    known: dict[str, Any] = json.loads(text)
    return known


@lru_cache(1000)
def _site_of(parameters: str) -> str | None:
    site: str | None = json.loads(parameters).get("site")
    return site


@lru_cache(200_000)
def _about(settings: str, facts: str, date: str | None) -> tuple[dict[str, Any], list[str]]:
    """Return what a row tells of its event whatever the measure, and what ended the efforts."""
    told, known = json.loads(settings), _facts(facts)
    about = day_facts(known.get("wall"), date) | {
        "shockable": known.get("shockable"),
        "witnessed": told.get("witnessed"),
        "monitored": told.get("monitored"),
    }
    return about | {"population": known.get("population")}, known.get("ended_as") or []


def _row(kept: dict[str, Any], target_of: Callable[[str, str, Verdict], Target]) -> Row:
    told, ended = _about(kept["settings"], kept["facts"] or "{}", kept["date"])
    reviewed = kept["review"] if kept["review"] in NOT_COUNTED else None
    value = kept["value"]
    if value is not None and kept["unit"] == "":
        value = bool(value)
    return Row(
        event_id=kept["event_id"],
        **(told | {"population": told["population"] or kept["population"] or "adult"}),
        unit=kept["ward"],
        setting=kept["setting"],
        value=value,
        low=kept["low"],
        high=kept["high"],
        figure_unit=kept["unit"],
        verdict=kept["verdict"],
        target=kept["target"] and target_of(kept["target"], kept["unit"], kept["verdict"]),
        edition=kept["edition"],
        definitions=kept["definitions"],
        ended_as=reviewed
        or next((detail for detail in ended if detail in NOT_COUNTED), ended[-1] if ended else None),
        inputs=(kept["digest"],),
        stale=bool(kept["changed"]),
        watched_s=kept.get("watched_s"),
    )


def _target(name: str, unit: str, verdict: Verdict, row: TargetRow | None) -> Target:
    plain = row is not None and row.unit == unit  # a limit by weight differs by event
    return Target(
        id=name,
        rule=name if row is None else row.rule,
        low=row.lowest(None) if row and plain else None,
        low_included=bool(row and row.low_included),
        high=row.highest(None) if row and plain else None,
        high_included=bool(row and row.high_included),
        unit=unit if row is None else row.unit,
        kind="guideline" if row is None else row.kind,
        edition="" if row is None else row.edition,
        citation="" if row is None else row.citation,
        basis="memory" if row is None else row.basis,
        judged=True,
        verdict=verdict,
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


def filters_named(named: Mapping[str, Any], name: str) -> tuple[Filter, ...]:
    """Return the filters of one of a site's cohorts, `Registry.named` of `COHORT`; none for no name.

    Raises
    ------
    BadSetting
        Where no cohort has that name, or a filter of it takes no such value.
    """
    if not name:
        return ()
    if name not in named:
        raise BadSetting(
            say("trends_page.no_cohort", read=name, names=", ".join(named) or say("trends.nothing"))
        )
    return tuple(map(filter_named, named[name].get("where", ())))

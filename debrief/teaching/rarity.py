"""How many events of a registry are like a case: where few are, whoever knows them may know this one."""

import json

import sqlalchemy as sa

from debrief.model.contract import Report
from debrief.registry import tables
from debrief.registry.store import Registry
from debrief.words import say

FEWEST = 5
"""A combination that fewer events share is told as a risk. Common practice for small numbers."""
SHARED = ("population", "first_rhythm")


def rarity(registry: Registry, report: Report) -> str:
    """Return in a sentence how many events kept here have the same population and first rhythm.

    Fewer than `FEWEST` are told as so few, the event itself among them, never as their number.
    """
    first = report["first_rhythm"]
    wanted = {"population": report["event"]["population"], "first_rhythm": first and first["rhythm"]}
    event, measured = tables.event, tables.measurement
    query = sa.select(measured.c.facts).join(event, event.c.id == measured.c.event)
    with registry.database.reading() as connection:
        held = [json.loads(text) for text in connection.scalars(query.where(event.c.removed_at.is_(None)))]
    alike = sum(all(one.get(name) == wanted[name] for name in SHARED) for one in held)
    key = "rare_in_registry" if alike < FEWEST else "shared_in_registry"
    return say(f"teaching.{key}", count=alike, fewest=FEWEST, of=len(held))

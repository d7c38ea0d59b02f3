"""A registry filled with invented events that were measured, put in as rows: quickly, and many."""

import json
import random

import sqlalchemy as sa

from debrief import __version__
from debrief.model.contract import DEFINITIONS
from debrief.registry import tables

UNITS = ("Alder ward", "Beech ward", "Cedar unit", "Emergency")
FIGURES = (
    ("time_to_first_shock", "s", "registry.first_shock"),
    ("time_to_first_epinephrine", "s", None),
    ("time_to_first_compression", "s", None),
    ("longest_pause", "s", None),
    ("chest_compression_fraction", "1", "consensus_2013.compression_fraction"),
    ("any_rosc", "", None),
    ("registry_first_shock", "", None),
    ("registry_epinephrine", "", None),
    ("registry_first_compression", "", None),
)
BECAUSE = "No source of this event records when a shock was given."


def fill(registry, count, months=24, start=2024, first=1):
    """Put events into a registry, evenly over so many months, the later third of them slower to shock."""
    draw = random.Random(1)
    events, measured, figures = [], [], []
    for number in range(first, first + count):
        month = (number - first) * months // count
        day = f"{start + month // 12}-{month % 12 + 1:02d}-{number % 28 + 1:02d}"
        unit = UNITS[number % len(UNITS)]
        about = {"date": day, "unit": unit, "population": "adult", "setting": "invented"}
        own = {"id": number, "name": f"event {number:05d}", "identity": f"i{number}", "digest": f"d{number}"}
        events.append(own | about | {"settings": json.dumps({"witnessed": number % 2 == 0}), "added_at": day})
        facts = {
            "wall": f"{day}T{number % 24:02d}:14:00",
            "first_rhythm": "vf",
            "shockable": True,
            "ended_as": [],
            "population": "adult",
            "edition": "AHA 2020",
        }
        measured.append(
            {
                "event": number,
                "digest": f"d{number}",
                "definitions": DEFINITIONS,
                "parameters": json.dumps({"software": __version__, "draws": 500}),
                "at": day,
                "status": "new",
                "marks": 50,
                "to_check": 0,
                "problems": "[]",
                "facts": json.dumps(facts),
            }
        )
        figures += [_figure(draw, number, month / months, *one) for one in FIGURES]
    with registry.database.writing() as connection:
        connection.execute(sa.insert(tables.event), events)
        connection.execute(sa.insert(tables.measurement), measured)
        connection.execute(sa.insert(tables.figure), figures)


def _figure(draw, number, late, name, unit, target):
    value = {"s": 60 + 90 * draw.random() + (60 if late > 2 / 3 else 0), "1": 0.6 + 0.35 * draw.random()}
    found = value.get(unit, float(draw.random() < 0.7))
    verdict = "no_target"
    if target:
        verdict = "met" if (found <= 130 if unit == "s" else found >= 0.8) else "not_met"
        verdict = "uncertain" if number % 11 == 0 else verdict
    missing = target and number % 17 == 0
    return {
        "event": number,
        "name": name,
        "value": None if missing else found,
        "unit": unit,
        "low": None,
        "high": None,
        "certainty": "assessed",
        "verdict": "no_data" if missing else verdict,
        "because": BECAUSE if missing or verdict == "uncertain" else None,
        "target": target,
    }

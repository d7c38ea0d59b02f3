"""Amounts, ages and weights as they may stand in a copy."""

from math import floor
from typing import Any

from debrief.importers.amounts import most_usual
from debrief.model.event import WEIGHTS_KG
from debrief.teaching.tally import Tally, number
from debrief.words import UNITS

MOST = 1000.0
"""No amount without a limit of its own is larger; a larger number is of something else, such as a record."""

OLDEST_YEARS = 89
OVER_OLDEST = "90 or older"
"""What 45 CFR 164.514(b)(2)(i)(C) has stand for all ages over 89."""

ADULT_STEP_KG = 5
CHILD_STEP_KG = 1
"""What weights are rounded to. No item of the rule asks for it; common practice."""


def amount(value: object, unit: str | None, kind: str, detail: str | None) -> float | None:
    """Return an amount to four digits, null where it is more than is usual at one go."""
    given = number(value)
    if given is None:
        return None
    most, of = most_usual(kind, detail) or (MOST, "")
    known, limited = UNITS.get(unit or ""), UNITS.get(of)
    if known and limited and known.dimension == limited.dimension:
        most *= limited.factor / known.factor
    return float(f"{given:.4g}") if abs(given) <= most else None


def age(years: object, tally: Tally) -> dict[str, Any]:
    """Return an age as it may stand: whole years, ``90 or older``, or none under one year."""
    given = number(years)
    if given is None:
        return {}
    if given >= OLDEST_YEARS + 1:
        tally.drop("age_over_89")
        return {"age_group": OVER_OLDEST}
    if given < 1:
        tally.drop("age_under_one")
        return {}
    return {"age_years": floor(given)}


def weight(kg: object, population: str | None) -> dict[str, Any]:
    """Return a rounded weight: to 5 kg, of anybody but an adult to 1 kg; none that nobody has."""
    given = number(kg)
    if given is None or not WEIGHTS_KG[0] <= given <= WEIGHTS_KG[1]:
        return {}
    step = ADULT_STEP_KG if population == "adult" else CHILD_STEP_KG
    return {"weight_kg": max(step, step * floor(given / step + 0.5))}

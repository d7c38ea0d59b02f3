"""Verdicts on single shocks and single gaps between doses, with their own bounds."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from debrief.assess.findings import bounded, number
from debrief.measures import drugs, shocks
from debrief.measures.answers import STATES, Why
from debrief.measures.shocks import ShockPauses
from debrief.model.axis import Floats, Ints
from debrief.model.contract import Verdict
from debrief.model.figures import Facts, Finding
from debrief.model.structure import Course
from debrief.model.times import US
from debrief.targets import Edition, judge
from debrief.words import say

SIDES = (("pre_shock_pause", "before"), ("post_shock_pause", "after"), ("peri_shock_pause", "around"))


def shock_verdicts(
    course: Course, drawn: Course | None, edition: Edition, facts: Facts
) -> tuple[ShockPauses, list[dict[str, Verdict]]]:
    """Return the pauses around each shock, and for each shock the verdict by the name of the figure."""
    found = course.derived(shocks.pauses)
    doubts = [say("because.loose_shock") if loose else None for loose in shocks.loose(course).tolist()]
    verdicts: list[dict[str, Verdict]] = [{} for _ in found.slot]
    for name, side in SIDES:
        over_draws = None if drawn is None else getattr(drawn.derived(shocks.pauses), side)
        for i, verdict in enumerate(
            _judged(
                name, getattr(found, side), getattr(found, f"why_{side}"), over_draws, edition, facts, doubts
            )
        ):
            verdicts[i][name] = verdict
    if edition.speaking("energy_per_kg", facts):
        for said, verdict in zip(verdicts, _energy_verdicts(course, edition, facts), strict=True):
            said["energy_per_kg"] = verdict
    return found, verdicts


def _energy_verdicts(course: Course, edition: Edition, facts: Facts) -> list[Verdict]:
    """Return the verdict on the energy of each shock by weight: guidelines ask more of later ones."""
    structure, weight = course.structure, facts.weight_kg or np.nan
    per_kg = structure.occurrences.amount[structure.shocks] / weight
    inside = structure.shock_episode >= 0
    unknown = Why.NO_WEIGHT if np.isnan(weight) else Why.NO_ENERGY
    why = np.where(inside, np.where(np.isnan(per_kg), unknown, Why.KNOWN), Why.NO_SHOCK)
    verdicts = []
    for nth, value, code in zip(np.cumsum(inside).tolist(), per_kg.tolist(), why.tolist(), strict=True):
        finding = Finding(
            "energy_per_kg",
            "J/kg",
            value=None if code else value,
            state=STATES[Why(code)],
            because=_because(Why(code)),
        )
        verdicts.append(judge(finding, edition, replace(facts, shock=max(nth, 1)))["verdict"])
    return verdicts


def dose_verdicts(
    course: Course, drawn: Course | None, edition: Edition, facts: Facts
) -> tuple[Floats, list[Verdict | None]]:
    """Return each dose's gap to the counted one of its drug before, and the verdict on epinephrine's. [s]"""
    gaps = np.full(len(course.structure.doses), np.nan)
    follows, before = drugs.follows(course)
    gaps[follows] = (course.dose[follows] - course.dose[before]) / US
    items = drugs.pairs(course)
    over_draws = None if drawn is None else drugs.gaps(drawn)[1]
    judged = _judged(
        "epinephrine_interval", gaps[items], np.zeros(len(items), np.int64), over_draws, edition, facts
    )
    verdicts: list[Verdict | None] = [None] * len(gaps)
    for item, verdict in zip(items.tolist(), judged, strict=True):
        verdicts[item] = verdict
    return gaps, verdicts


def _judged(
    name: str,
    value: Floats,
    why: Ints,
    over_draws: Floats | None,
    edition: Edition,
    facts: Facts,
    doubts: Sequence[str | None] = (),
) -> list[Verdict]:
    """Return the verdict on each item. ``over_draws``: every draw's items, one draw after the other."""
    low = high = np.full(len(value), np.nan)
    if over_draws is not None:
        low, high = bounded(value, over_draws.reshape(-1, len(value)).T if len(value) else over_draws)
    verdicts = []
    for i, amount in enumerate(value.tolist()):
        reason = Why(int(why[i]))
        finding = Finding(
            name,
            "s",
            value=number(amount),
            low=number(float(low[i])),
            high=number(float(high[i])),
            state=STATES[reason],
            because=_because(reason),
            doubt=doubts[i] if doubts else None,
            assessed=over_draws is not None,
        )
        verdicts.append(judge(finding, edition, facts)["verdict"])
    return verdicts


def _because(reason: Why) -> str | None:
    return say(f"because.{reason.name.lower()}") if reason else None

"""What stays in a copy, and what could still tell somebody who it was: sentences."""

from collections.abc import Sequence

from debrief.model.contract import Report
from debrief.teaching.amounts import ADULT_STEP_KG, CHILD_STEP_KG
from debrief.teaching.identifiers import likely_identifiers, split_identifiers
from debrief.words import say

LONG_S = 90 * 60.0
"""A resuscitation longer than this is rare enough to be known by it. Common practice. [s]"""
MANY_SHOCKS = 10
"""As many shocks, or more, are rare. Common practice."""
MANY_ARRESTS = 3
HEAVY_KG = 150
"""An adult of this weight, or more, is rare. Common practice. [kg]"""


def kept_of(report: Report) -> tuple[str, ...]:
    """Return what stayed in a copy, in sentences."""
    event = report["event"]
    kept = [say("teaching.kept_times"), say("teaching.kept_marks"), say("teaching.kept_figures")]
    if "age_years" in event or "age_group" in event:
        kept.append(say("teaching.kept_age", age=event.get("age_group", event.get("age_years"))))
    elif event["population"]:
        kept.append(say("teaching.kept_population"))
    if "weight_kg" in event:
        step = ADULT_STEP_KG if event["population"] == "adult" else CHILD_STEP_KG
        kept.append(say("teaching.kept_weight", weight=event["weight_kg"], step=step))
    kept.append(say("teaching.kept_sources", names=", ".join(one["name"] for one in report["sources"])))
    return tuple(kept)


def rare_of(report: Report) -> list[str]:
    """Return what is rare about an event, by name: ``teaching.rare_<name>`` says it.

    The names are what a registry can count, to tell how many events share a combination.
    """
    event, kinds = report["event"], {one["kind"] for one in report["occurrences"]}
    shocks = sum(one["kind"] == "shock" for one in report["occurrences"])
    asked = {
        "newborn": event["population"] == "newborn_at_birth",
        "child": event["population"] in ("child", "infant"),
        "oldest": "age_group" in event,
        "heavy": event["population"] == "adult" and event.get("weight_kg", 0) >= HEAVY_KG,
        "ecls": bool(kinds & {"ecls_flow", "cannulation"}),
        "long": report["end"]["time"] > LONG_S,
        "shocks": shocks >= MANY_SHOCKS,
        "arrests": len(report["episodes"]) >= MANY_ARRESTS,
    }
    return [name for name, rare in asked.items() if rare]


def risks_of(report: Report, notes: Sequence[str]) -> tuple[str, ...]:
    """Return what could still tell who it was. ``notes``: those that were passed, in order of time."""
    rare = rare_of(report)
    risks = [say("teaching.risk_staff")]
    risks += [say(f"teaching.rare_{name}") for name in rare]
    if len(rare) > 1:
        risks.append(say("teaching.risk_together"))
    if any(one["unit"].endswith("/kg") and one["value"] is not None for one in report["figures"]):
        risks.append(say("teaching.risk_weight"))
    if notes:
        count = sum(len(likely_identifiers(note)) for note in notes) + len(split_identifiers(notes))
        risks.append(say("teaching.risk_notes", count=len(notes)))
        if count:
            risks.append(say("teaching.risk_in_notes", count=count))
    return tuple(risks)

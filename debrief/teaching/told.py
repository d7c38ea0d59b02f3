"""What else a copy tells: whom the event is about, how it was measured, its sources and problems."""

import re
from string import Formatter
from typing import Any

from debrief import words
from debrief.model import contract
from debrief.model.problems import problem
from debrief.targets import editions
from debrief.teaching.amounts import age, weight
from debrief.teaching.naming import Names
from debrief.teaching.sayings import blanks
from debrief.teaching.tally import Tally, number, seconds
from debrief.words import CAUSES, POPULATIONS, RHYTHMS, say

EVENT_ID = "case"
"""What every event is called in its copy."""

PROBLEMS = (
    "population_assumed",
    "zero_assumed",
    "starts_alone",
    "singles_too_coarse",
    "hands_on_disagree",
    "compressions_across_rosc",
    "rearrest_implied",
    "end_assumed",
    "work_after_end",
    "route_assumed",
    "breaths_inferred",
    "same_marks_twice",
)
"""Problems that say something of the event. Those of files, words and clocks say something of a site."""

_REMOVED = {
    "event_id": "event_id",
    "date": "date",
    "time_zero": "date",
    "end": "date",
    "time_zone": "time_zone",
    "setting": "place",
    "unit": "place",
    "local_reference": "local_reference",
    "reference": "source_name",
    **dict.fromkeys(("had_rosc", "survived_event", "discharged_alive", "cerebral_performance"), "outcome"),
    "outcome": "word",
}
"""Keys of the context that never go over."""

_NUMBERS = ("min_pause_s", "draws", "what_if_longest_pause_s", "what_if_fraction")
_WINDOW = re.compile(r"whole|first:\d{1,3}(?:min|s)")
_COUNTED = re.compile(r"-?\d{1,4}(?::\d\d){0,2}")


def about(event: dict[str, Any], tally: Tally) -> dict[str, Any]:
    """Return whom the event is about: population, age, rounded weight, what was seen at its beginning."""
    population = tally.word(event.get("population"), POPULATIONS)
    for key, what in _REMOVED.items():
        if event.get(key) is not None:
            tally.drop(what)
    first_rhythm = tally.word(event.get("first_rhythm"), RHYTHMS)
    flags = {key: event[key] for key in ("witnessed", "monitored") if isinstance(event.get(key), bool)}
    return (
        {"event_id": EVENT_ID, "population": population}
        | age(event.get("age_years"), tally)
        | weight(event.get("weight_kg"), population)
        | flags
        | ({"first_rhythm": first_rhythm} if first_rhythm else {})
    )


def parameters(given: dict[str, Any]) -> dict[str, Any]:
    """Return how the event was measured."""
    window = given.get("window")
    return {
        "beside": given.get("beside") if given.get("beside") in editions() else None,
        "window": window if isinstance(window, str) and _WINDOW.fullmatch(window) else "whole",
        **{key: number(given.get(key)) for key in _NUMBERS},
        "charting_lag_s": [seconds(bound) for bound in given["charting_lag_s"]],
        "charting_lag_basis": "common practice",
        "bounds_percent": [seconds(bound) for bound in given["bounds_percent"]],
        "off_by_cause_s": {
            cause: seconds(length) for cause, length in given["off_by_cause_s"].items() if cause in CAUSES
        },
    }


def source(one: contract.SourceOut, names: Names, tally: Tally) -> contract.SourceOut:
    """Return a source by its new name. Of its clock nothing is left but how unsure it is."""
    new = names.source(one["source_id"]) or ""
    tally.drop("file_name")
    tally.drop("source_name")
    if one["clock"] is not None:
        tally.drop("device_clock")
    return contract.SourceOut(
        source_id=new,
        file=new,
        name=new,
        kind=one["kind"] if one["kind"] in ("device", "person", "sensor") else "person",
        scale="elapsed",
        group=int(one["group"]),
        clock=None if one["clock"] is None else _clock(one["clock"]),
        offers=[],
    )


def _clock(one: contract.ClockOut) -> contract.ClockOut:
    return contract.ClockOut(
        offset=0.0,
        at=0.0,
        rate=1.0,
        low=seconds(one["low"]) - seconds(one["offset"]),
        high=seconds(one["high"]) - seconds(one["offset"]),
        lag=[seconds(bound) for bound in one["lag"]],
        evidence=[],
        others=[],
    )


def problem_told(one: contract.ProblemOut, names: Names, tally: Tally) -> contract.ProblemOut | None:
    """Return a problem in words that name nothing; null, and counted, where there are none."""
    new = names.source(one["source_id"])
    filled = _filled(one, new or say("teaching.a_source"))
    if filled is None:
        tally.drop("problem")
        return None
    made = problem(one["code"], **filled)
    name = names.mark(f"{one['source_id']}:{one['place']}") if one["place"] else None
    return contract.ProblemOut(
        source_id=new,
        place=name.partition(":")[2] if name else None,
        severity=made.severity,
        code=made.code,
        message=made.message,
    )


def _filled(one: contract.ProblemOut, source_name: str) -> dict[str, str] | None:
    """Return what fills the blanks of a problem: counts and elapsed times; sources by neutral words."""
    if one["code"] not in PROBLEMS:
        return None
    template = words.sentences()[f"problems.{one['code']}"].partition(": ")[2]
    neutral = {"file": source_name, "other": say("teaching.another_source")}
    asked = {name for _, name, _, _ in Formatter().parse(template) if name}
    if asked <= set(neutral):
        return {name: neutral[name] for name in asked}
    found = blanks(one["message"], template)
    if found is None or not all(_COUNTED.fullmatch(each) for each in found.values()):
        return None
    return found

"""Figures of a course: pure functions over its columns, for every event and draw at once.

To add one, write a function in the file of its subject and one `Measure` in that file's tuple; give it its
words in ``words/english/figures.toml``.
"""

from collections.abc import Collection

import numpy as np

from debrief.measures import (
    drugs,
    first_times,
    hands_on,
    outcome,
    physiology,
    registry,
    rhythm,
    sensor,
    shocks,
)
from debrief.measures.answers import STATES, Answer, Evidence, Measure, Why
from debrief.model.structure import Course

__all__ = ["BY_SUBJECT", "CORE", "MEASURES", "STATES", "Answer", "Evidence", "Measure", "Why", "measure"]

BY_SUBJECT: dict[str, tuple[Measure, ...]] = {
    "hands_on": hands_on.MEASURES,
    "sensor": sensor.MEASURES,
    "first_times": first_times.MEASURES,
    "shocks": shocks.MEASURES,
    "drugs": drugs.MEASURES,
    "rhythm": rhythm.MEASURES,
    "physiology": physiology.MEASURES,
    "outcome": outcome.MEASURES,
    "registry": registry.MEASURES,
}
MEASURES: tuple[Measure, ...] = tuple(measure for group in BY_SUBJECT.values() for measure in group)

CORE_VERSION = 1
CORE = (
    "chest_compression_fraction",
    "compression_coverage",
    "longest_pause",
    "peri_shock_pause_max",
    "time_to_first_compression",
    "time_to_first_shock",
    "time_to_first_epinephrine",
    "epinephrine_interval_median",
    "time_to_advanced_airway",
    "call_to_team_arrival",
    "any_rosc",
    "resuscitation_duration",
)
"""The twelve figures whose share is `completeness`; a change of the list is a new version."""

SETTLED = np.array([STATES[why] in ("known", "not_applicable", "ended") for why in Why], np.int64)


def measure(course: Course, only: Collection[str] = ()) -> dict[str, Answer]:
    """Return every figure (or only some) of every slot; a newborn at birth has none of compressions."""
    off = np.tile(course.structure.people.newborn, course.draws)
    answers = {}
    for item in MEASURES:
        if only and item.name not in only:
            continue
        found = item.compute(course)
        if item.hands and off.any():
            found = Answer(
                np.where(off, np.nan, found.value), np.where(off, Why.NEWBORN, found.why), found.observed
            )
        answers[item.name] = found
    if not only:
        answers["completeness"] = _completeness(answers)
    return answers


def _completeness(answers: dict[str, Answer]) -> Answer:
    """Return the share of the core figures that are known, or known not to apply. [1]"""
    known = np.sum([SETTLED[answers[name].why] for name in CORE], axis=0) / len(CORE)
    return Answer(known, np.zeros(len(known), np.int64))

"""Registry measures: as charts are read for a registry, in whole minutes as written, without bounds.

They stand apart from the figures of the same name measured to the second, so that a percentage here can be
laid beside the registry's.
"""

from collections.abc import Callable

import numpy as np

from debrief.measures.answers import Answer, Measure, Why, answer, per_event
from debrief.measures.first_times import (
    FIRST_COMPRESSION,
    FIRST_EPINEPHRINE,
    FIRST_SHOCK,
    First,
    evidence_of,
    row_of,
)
from debrief.measures.outcome import MEASURES as OUTCOME
from debrief.model.axis import Bools, Ints
from debrief.model.structure import ASSUMED, Course
from debrief.model.times import MINUTE_US
from debrief.words import SHOCKABLE_RHYTHMS


def _minutes(course: Course, row: Ints, zero: Ints) -> Ints:
    """Return the whole minutes from one row to another.

    Both as written, where one source wrote them, on its own clock, right or wrong; else on the reference.
    """
    occ = course.structure.occurrences
    time, source = np.append(occ.time, 0), np.append(occ.source, -1)
    alike = source[row] == source[zero]
    off = np.where(alike, np.append(occ.sources.off, 0)[source[row]], 0)
    minutes: Ints = (time[row] - off) // MINUTE_US - (time[zero] - off) // MINUTE_US
    return minutes


def shockable(course: Course) -> tuple[Bools, Bools]:
    """Return which events' first rhythm is shockable, and of which it is known. One entry an event."""
    occ, row = course.structure.occurrences, course.structure.first_rhythm
    label = np.append(occ.detail.among(*SHOCKABLE_RHYTHMS, "advised"), False)[row]
    return label, row >= 0


def _minutes_to(first: First, rule: Callable[[Course], Bools]) -> Callable[[Course], Answer]:
    def compute(course: Course) -> Answer:
        row, zero = row_of(course, first), course.structure.zero.mark
        minutes = _minutes(course, row, zero).astype(float)
        return answer(
            np.tile(minutes, course.draws),
            (per_event(course, ~rule(course)), Why.NOT_IN_REGISTRY_RULE),
            (per_event(course, (zero < 0) | (course.structure.basis == ASSUMED)), Why.NOT_IN_REGISTRY_RULE),
            (per_event(course, row < 0), first.no_record),
            (per_event(course, minutes < 0), Why.NOT_IN_REGISTRY_RULE),
        )

    return compute


def _shock_rule(course: Course) -> Bools:
    """First documented rhythm VF or pulseless VT; no implanted device shocked first."""
    label, known = shockable(course)
    return label & known & ~implanted_first(course)


def implanted_first(course: Course) -> Bools:
    """Return in which events an implanted device gave the first shock. One entry an event."""
    occ, row = course.structure.occurrences, row_of(course, FIRST_SHOCK)
    return np.append(occ.detail.among("implanted"), False)[row]


def _epinephrine_rule(course: Course) -> Bools:
    """First documented rhythm asystole or PEA."""
    label, known = shockable(course)
    return known & ~label


def _compression_rule(course: Course) -> Bools:
    """Children and infants: the registry measures no adult's first compression."""
    return ~course.structure.people.adult


_AIRWAY = next(measure for measure in OUTCOME if measure.name == "airway_confirmed")

MEASURES = (
    Measure("registry_first_shock", "min", _minutes_to(FIRST_SHOCK, _shock_rule), evidence_of(FIRST_SHOCK)),
    Measure(
        "registry_epinephrine",
        "min",
        _minutes_to(FIRST_EPINEPHRINE, _epinephrine_rule),
        evidence_of(FIRST_EPINEPHRINE),
    ),
    Measure(
        "registry_first_compression",
        "min",
        _minutes_to(FIRST_COMPRESSION, _compression_rule),
        evidence_of(FIRST_COMPRESSION),
        hands=True,
    ),
    Measure("registry_airway_confirmed", "", _AIRWAY.compute, _AIRWAY.evidence),
)

"""Why hands were off: one cause a pause, by a fixed order, the others that fit beside it."""

from dataclasses import dataclass

import numpy as np

from debrief.measures.outcome import airway_in
from debrief.model import axis, spans
from debrief.model.axis import Bools, Ints
from debrief.model.occurrences import Occurrences
from debrief.model.structure import ABSENT, Course
from debrief.model.times import US
from debrief.words import CAUSES, Cause

NEAR_US = 3 * US

PATTERNS = ((30, 2), (15, 1))
"""Compressions to two breaths, and how many more or fewer still fit: 30:2, and 15:2 for children."""

PATTERN_AT_LEAST = 3
BREATHS_MAX_US = 10 * US


@dataclass(frozen=True)
class Explained:
    """Which causes fit each pause (bool, shape (pauses, causes)), and the code of the one chosen."""

    fits: Bools
    chosen: Ints


def explain(course: Course) -> Explained:
    """Return why hands were off in each pause: from marks within 3 s or their cell, what is wider."""
    occ = course.structure.occurrences
    pauses = course.pauses
    fits = np.zeros((len(pauses), len(CAUSES)), np.bool_)
    for cause in CAUSES.values():
        rows = np.flatnonzero(_speaks(course, cause))
        start = course.placing.marks(rows)
        end = start + np.tile(np.maximum(occ.length[rows], 0), course.draws)
        near = np.tile(np.maximum(occ.half[rows], NEAR_US), course.draws)
        first = np.searchsorted(pauses.end, start - near)
        last = np.searchsorted(pauses.start, end + near, "right")
        for low, high in zip(first, last, strict=True):
            fits[low:high, cause.code] = True
    fits[breaths_by_pattern(course), CAUSES["ventilation"].code] = True
    unexplained = CAUSES["unexplained"].code
    fits[:, unexplained] = ~fits.any(axis=1)
    return Explained(fits, fits.argmax(axis=1))


def _speaks(course: Course, cause: Cause) -> Bools:
    """Return which occurrences speak for a cause: its kinds of mark, and pauses that name it."""
    occ = course.structure.occurrences
    named = occ.of("pause") & occ.detail.among(cause.name)
    if not cause.kinds:
        return np.zeros(len(occ), np.bool_)
    marked = _put_on(occ) if cause.name == "mechanical_device" else occ.of(*cause.kinds)
    if cause.details:
        marked = marked & (occ.detail.among(*cause.details) | (occ.detail.code < 0))
    return marked | named


def breaths_by_pattern(course: Course) -> Bools:
    """Return which pauses look like two breaths by their pattern: bool, shape (pauses,).

    At most 10 s, before any advanced airway, after 28 to 32 (or 14 to 16) single compressions; at least three
    of them in the event.
    """
    pauses, slot = course.pauses, course.pauses.slot
    at = course.placing.marks(course.structure.singles)
    if not len(at) or not len(pauses):
        return np.zeros(len(pauses), np.bool_)
    opened = course.windows.start[spans.touching(course.windows, pauses.start)]
    since = np.maximum(np.append(0, pauses.end[:-1]), opened)
    at = np.sort(at)
    run = np.searchsorted(at, pauses.start, "right") - np.searchsorted(at, since)
    airway = course.first(course.derived(airway_in))
    airway = np.where(airway == ABSENT, axis.SLOT_US, airway)
    short = (pauses.length <= BREATHS_MAX_US) & (axis.time_of(pauses.start) < airway[slot])
    found = np.zeros(len(pauses), np.bool_)
    for compressions, give in PATTERNS:
        fits = short & (abs(run - compressions) <= give)
        found |= fits & (np.bincount(slot[fits], minlength=course.slots)[slot] >= PATTERN_AT_LEAST)
    return found


def _put_on(occ: Occurrences) -> Bools:
    """Return which starts of a mechanical device are the first after compressions by hand: it was put on."""
    rows = np.flatnonzero(occ.of("mechanical_start", "compressions_start"))
    device = occ.of("mechanical_start")[rows]
    again = np.append(False, device[:-1] & (occ.event[rows[1:]] == occ.event[rows[:-1]]))[: len(rows)]
    chosen = np.zeros(len(occ), np.bool_)
    chosen[rows[device & ~again]] = True
    return chosen


def seconds_by_cause(course: Course) -> dict[str, float]:
    """Return how long hands were off for each cause, largest first. [s]"""
    chosen = explain(course).chosen
    names = list(CAUSES)
    sums = {name: float(course.pauses.length[chosen == code].sum() / US) for code, name in enumerate(names)}
    return dict(sorted(((n, s) for n, s in sums.items() if s > 0), key=lambda item: -item[1]))


def what_if(course: Course, longest_us: int) -> float | None:
    """Return the fraction of one event had no pause been longer than this, null where there is none. [1]"""
    asked = int(spans.totals(course.asked, 1)[0])
    if not asked or not course.structure.measured[0] or course.structure.people.newborn[0]:
        return None
    return float(1 - np.minimum(course.pauses.length, longest_us).sum() / asked)

"""What a sensor tells of each compression by hand: rate, depth, recoil, duty cycle.

Its marks are shifted whole in draws, so what it tells of itself has no bounds from clocks: all but the number
delivered in a minute is measured at the point times.
"""

import numpy as np

from debrief.measures.answers import Answer, Evidence, Measure, Why, answer, medians, per_event
from debrief.model import spans
from debrief.model.axis import Bools, Floats, Ints
from debrief.model.structure import Course
from debrief.model.times import MINUTE_US, US

ADULT_DEPTH_MM = (50.0, 60.0)
"""At least 5 cm and not more than 6 cm, adults (AHA 2015 and 2020). [mm]"""


def _event(course: Course) -> Ints:
    return course.structure.occurrences.event[course.structure.singles]


def _counted(course: Course, chosen: Bools) -> Ints:
    return np.bincount(_event(course)[chosen], minlength=course.structure.occurrences.events)


def _gaps(course: Course) -> tuple[Ints, Ints]:
    """Return the event and length of each gap between compressions that follow each other in a run. [us]"""
    structure, occ = course.structure, course.structure.occurrences
    rows = structure.singles[np.argsort(occ.source[structure.singles], kind="stable")]
    gap = np.diff(occ.time[rows])
    run = (np.diff(occ.source[rows]) == 0) & (
        gap < structure.min_pause_us + _step(course)[occ.source[rows[1:]]]
    )
    return occ.event[rows[1:][run]], gap[run]


def _step(course: Course) -> Ints:
    """Return how long a stamp of each source stands for where stamps are whole seconds, else 0. [us]"""
    occ, singles = course.structure.occurrences, course.structure.singles
    step = np.zeros(len(occ.sources.rank), np.int64)
    np.maximum.at(step, occ.source[singles], 2 * occ.half[singles])
    return np.where(step == US, US, 0)


def _none(course: Course) -> tuple[Bools, Why]:
    return per_event(
        course, _counted(course, np.ones(len(course.structure.singles), np.bool_)) == 0
    ), Why.NO_SENSOR


def rate(course: Course) -> Answer:
    """Return compressions a minute inside runs: 60 over the mean gap, pauses left out. [/min]"""
    event, gap = course.derived(_gaps)
    events = course.structure.occurrences.events
    total = np.bincount(event, gap, minlength=events)
    count = np.bincount(event, minlength=events)
    value = np.divide(count * MINUTE_US, total, out=np.full(events, np.nan), where=total > 0)
    return answer(per_event(course, value), _none(course), (per_event(course, total == 0), Why.NO_RUN))


def per_minute(course: Course) -> Answer:
    """Return compressions delivered in a minute covered by the sensor, pauses counted in. [/min]"""
    structure = course.structure
    sensing = np.zeros(len(structure.order), np.bool_)
    sensing[structure.occurrences.source[structure.singles]] = True
    covered = structure.seen.covered
    covered = covered.only(sensing[covered.source])
    event = structure.occurrences.sources.event[covered.source]
    watched = spans.merge(
        course.placing.stretches(covered.start, event), course.placing.stretches(covered.end, event)
    )
    watched = spans.subtract(spans.intersect(watched, course.windows), course.mechanical)
    time = spans.totals(watched, course.slots)
    count = per_event(course, _counted(course, np.ones(len(structure.singles), np.bool_)))
    value = np.divide(count * MINUTE_US, time, out=np.full(course.slots, np.nan), where=time > 0)
    return answer(value, _none(course), (time == 0, Why.NOT_COVERED))


def _depth(course: Course) -> Floats:
    occ, singles = course.structure.occurrences, course.structure.singles
    return np.where(occ.unit.among("mm")[singles], occ.amount[singles], np.nan)


def depth_median(course: Course) -> Answer:
    """Return the median depth of compressions. [mm]"""
    value = medians(_event(course), course.derived(_depth), course.structure.occurrences.events)
    return answer(per_event(course, value), _none(course), (per_event(course, np.isnan(value)), Why.NO_DEPTH))


def depth_in_range(course: Course) -> Answer:
    """Return the share of an adult's compressions from 50 to 60 mm deep, both included. [1]"""
    depth = course.derived(_depth)
    known = np.isfinite(depth)
    within = (depth >= ADULT_DEPTH_MM[0]) & (depth <= ADULT_DEPTH_MM[1])
    return _share(course, within, known, Why.NO_DEPTH, (~course.structure.people.adult, Why.DEPTH_BY_CHEST))


def _share(course: Course, chosen: Bools, known: Bools, unknown: Why, *more: tuple[Bools, Why]) -> Answer:
    part, whole = _counted(course, chosen & known), _counted(course, known)
    return answer(
        per_event(course, part / np.maximum(whole, 1)),
        _none(course),
        *((per_event(course, holds), why) for holds, why in more),
        (per_event(course, whole == 0), unknown),
    )


def leaning(course: Course) -> Answer:
    """Return the share of compressions after which the chest was not fully released. [1]"""
    occ, singles = course.structure.occurrences, course.structure.singles
    leant = occ.detail.among("leaning")[singles]
    return _share(course, leant, leant | occ.detail.among("released")[singles], Why.NO_RECOIL)


def duty_cycle(course: Course) -> Answer:
    """Return how much of the cycle was compression, over runs in which both are known. [1]"""
    structure, occ = course.structure, course.structure.occurrences
    rows = structure.singles[np.argsort(occ.source[structure.singles], kind="stable")]
    gap, length = np.diff(occ.time[rows]), occ.length[rows[:-1]]
    chosen = (np.diff(occ.source[rows]) == 0) & (gap < structure.min_pause_us) & (length > 0)
    event = occ.event[rows[1:][chosen]]
    whole = np.bincount(event, gap[chosen], minlength=occ.events)
    part = np.bincount(event, length[chosen], minlength=occ.events)
    value = np.divide(part, whole, out=np.full(occ.events, np.nan), where=whole > 0)
    return answer(per_event(course, value), _none(course), (per_event(course, whole == 0), Why.NO_PHASE))


def _evidence(course: Course) -> Evidence:
    return Evidence(course.windows, course.structure.singles)


MEASURES = (
    Measure("compression_rate", "/min", rate, _evidence, hands=True),
    Measure("compressions_per_minute", "/min", per_minute, _evidence, hands=True),
    Measure("compression_depth_median", "mm", depth_median, _evidence, hands=True),
    Measure("depth_in_range", "1", depth_in_range, _evidence, hands=True),
    Measure("leaning", "1", leaning, _evidence, hands=True),
    Measure("duty_cycle", "1", duty_cycle, _evidence, hands=True),
)

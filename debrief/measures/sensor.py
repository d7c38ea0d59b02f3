"""What a sensor tells of each compression by hand: rate, depth, recoil, duty cycle.

Its marks are shifted whole in draws, so what it tells of itself has no bounds from clocks: all but the number
delivered in a minute is measured at the point times.
"""

import numpy as np

from debrief.measures.answers import Answer, Evidence, Measure, Why, answer, medians, per_event, where_any
from debrief.model import spans
from debrief.model.axis import Bools, Floats, Ints
from debrief.model.structure import Course
from debrief.model.times import MINUTE_US, US

ADULT_DEPTH_MM = (50.0, 60.0)
"""At least 5 cm and not more than 6 cm, adults (AHA 2015 and 2020). [mm]"""


def _event(course: Course) -> Ints:
    return course.structure.occurrences.event[course.singles]


def _counted(course: Course, chosen: Bools) -> Ints:
    return np.bincount(_event(course)[chosen], minlength=course.structure.occurrences.events)


def _gaps(course: Course) -> tuple[Ints, Ints]:
    """Return the row of each compression that another follows in its run, and how long after. [us]"""
    structure, occ = course.structure, course.structure.occurrences
    rows = course.singles[np.argsort(occ.source[course.singles], kind="stable")]
    gap = np.diff(occ.time[rows])
    run = (np.diff(occ.source[rows]) == 0) & (
        gap < structure.min_pause_us + _step(course)[occ.source[rows[1:]]]
    )
    return rows[:-1][run], gap[run]


def _step(course: Course) -> Ints:
    """Return how long a stamp of each source stands for where stamps are whole seconds, else 0. [us]"""
    occ, singles = course.structure.occurrences, course.singles
    step = np.zeros(len(occ.sources.rank), np.int64)
    np.maximum.at(step, occ.source[singles], 2 * occ.half[singles])
    return np.where(step == US, US, 0)


def _none(course: Course) -> tuple[Bools, Why]:
    return per_event(course, _counted(course, np.ones(len(course.singles), np.bool_)) == 0), Why.NO_SENSOR


def rate(course: Course) -> Answer:
    """Return compressions a minute inside runs: 60 over the mean gap, pauses left out. [/min]"""
    row, gap = course.derived(_gaps)
    event, events = course.structure.occurrences.event[row], course.structure.occurrences.events
    total = np.bincount(event, gap, minlength=events)
    count = np.bincount(event, minlength=events)
    value = np.divide(count * MINUTE_US, total, out=np.full(events, np.nan), where=total > 0)
    return answer(per_event(course, value), _none(course), (per_event(course, total == 0), Why.NO_RUN))


def per_minute(course: Course) -> Answer:
    """Return compressions delivered in a minute covered by the sensor, pauses counted in. [/min]"""
    structure = course.structure
    sensing = np.zeros(len(structure.order), np.bool_)
    sensing[structure.occurrences.source[course.singles]] = True
    covered = structure.seen.covered
    covered = covered.only(sensing[covered.source])
    event = structure.occurrences.sources.event[covered.source]
    watched = spans.merge(
        course.placing.stretches(covered.start, event), course.placing.stretches(covered.end, event)
    )
    watched = spans.subtract(spans.intersect(watched, course.windows), course.mechanical)
    time = spans.totals(watched, course.slots)
    count = per_event(course, _counted(course, np.ones(len(course.singles), np.bool_)))
    value = np.divide(count * MINUTE_US, time, out=np.full(course.slots, np.nan), where=time > 0)
    return answer(value, _none(course), (time == 0, Why.NOT_COVERED))


def _depth(course: Course) -> Floats:
    occ, singles = course.structure.occurrences, course.singles
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
    occ, singles = course.structure.occurrences, course.singles
    leant = occ.detail.among("leaning")[singles]
    return _share(course, leant, leant | occ.detail.among("released")[singles], Why.NO_RECOIL)


def duty_cycle(course: Course) -> Answer:
    """Return how much of the cycle was compression, over runs in which both are known. [1]"""
    occ, (row, gap) = course.structure.occurrences, course.derived(_gaps)
    known = occ.length[row] > 0
    event = occ.event[row[known]]
    whole = np.bincount(event, gap[known], minlength=occ.events)
    part = np.bincount(event, occ.length[row[known]], minlength=occ.events)
    value = np.divide(part, whole, out=np.full(occ.events, np.nan), where=whole > 0)
    return answer(per_event(course, value), _none(course), (per_event(course, whole == 0), Why.NO_PHASE))


def _evidence(course: Course) -> Evidence:
    return Evidence(course.windows, course.singles)


def _singles(course: Course) -> Ints:
    return course.structure.singles


MEASURES = tuple(
    Measure(name, unit, where_any(_singles, Why.NO_SENSOR, compute), _evidence, hands=True)
    for name, unit, compute in (
        ("compression_rate", "/min", rate),
        ("compressions_per_minute", "/min", per_minute),
        ("compression_depth_median", "mm", depth_median),
        ("depth_in_range", "1", depth_in_range),
        ("leaning", "1", leaning),
        ("duty_cycle", "1", duty_cycle),
    )
)

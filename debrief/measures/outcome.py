"""How it went on and ended: ROSC, how long, and the airway's confirmation."""

import numpy as np

from debrief.measures.answers import Answer, Evidence, Measure, Why, answer, nothing, per_event
from debrief.measures.first_times import FIRST_AIRWAY, row_times
from debrief.model import axis, spans
from debrief.model.axis import Bools, Floats, Ints
from debrief.model.structure import ABSENT, EFFORTS_ENDED, ROSC, Course
from debrief.model.times import MINUTE_US, US

SUSTAINED_US = 20 * MINUTE_US


def _arrest(course: Course) -> Floats:
    sums = np.zeros(course.slots, np.int64)
    np.add.at(sums, axis.slot_of(course.episode_start), course.episode_end - course.episode_start)
    return sums / US


def time_in_arrest(course: Course) -> Answer:
    """Return the total of the episodes of arrest. [s]"""
    return answer(course.derived(_arrest), (_empty(course), Why.NO_MARKS))


def _empty(course: Course) -> Bools:
    occ = course.structure.occurrences
    return per_event(course, np.bincount(occ.event, minlength=occ.events) == 0)


def _episodes(course: Course) -> Evidence:
    edges = course.structure.episodes
    rows = np.concatenate([edges.opened.mark, edges.closed.mark])
    return Evidence(spans.merge(course.episode_start, course.episode_end), np.unique(rows[rows >= 0]))


def _closed_by(course: Course, code: int) -> Bools:
    """Return which slots have an episode closed so: bool, shape (slots,)."""
    structure = course.structure
    events = structure.episodes.event[structure.episodes.closed_by == code]
    return per_event(course, np.bincount(events, minlength=structure.occurrences.events) > 0)


def any_rosc(course: Course) -> Answer:
    """Return whether a ROSC is marked; unknown where neither it nor an end of efforts is."""
    there, ended = per_event(course, first_rosc(course) >= 0), _closed_by(course, EFFORTS_ENDED)
    return answer(there.astype(float), (~there & ~ended, Why.NO_OUTCOME))


def first_rosc(course: Course) -> Ints:
    """Return the row of each event's first ROSC from time zero on, -1 where there is none."""
    occ = course.structure.occurrences
    return occ.first(occ.of("rosc") & (row_times(course) >= 0))


def _after_rosc(course: Course) -> tuple[Ints, Ints]:
    """Return the slot of each ROSC, and how long after it no arrest was seen. [us]"""
    structure, occ = course.structure, course.structure.occurrences
    start, end = course.episode_start, course.episode_end
    slot = axis.slot_of(start)
    last = course.first(occ.last(np.ones(len(occ), np.bool_)))
    seen_to = last[slot] + axis.middle(slot)
    follows = np.append(slot[1:] == slot[:-1], False)[: len(slot)]
    until = np.where(follows, np.append(start[1:], 0)[: len(slot)], seen_to)
    rosc = np.tile(structure.episodes.closed_by == ROSC, course.draws)
    return slot[rosc], (until - end)[rosc]


def sustained_rosc(course: Course) -> Answer:
    """Return whether 20 min without arrest were seen after a ROSC; unknown where less was after the last."""
    slot, after = course.derived(_after_rosc)
    sustained = np.bincount(slot[after >= SUSTAINED_US], minlength=course.slots) > 0
    there, ended = _closed_by(course, ROSC), _closed_by(course, EFFORTS_ENDED)
    episodes = course.structure.episodes
    last = np.zeros(course.structure.occurrences.events, np.int64)
    last[episodes.event] = episodes.closed_by
    open_ended = per_event(course, last == ROSC)
    return answer(
        sustained.astype(float),
        (~sustained & open_ended, Why.SHORT_AFTER_ROSC),
        (~there & ~ended, Why.NO_OUTCOME),
        (~sustained & ~per_event(course, last == EFFORTS_ENDED) & ~open_ended, Why.NO_OUTCOME),
    )


def _rosc_evidence(course: Course) -> Evidence:
    return Evidence(spans.NONE, np.flatnonzero(course.structure.occurrences.of("rosc", "efforts_ended")))


def _after_evidence(course: Course) -> Evidence:
    closed = course.structure.episodes.closed_by == ROSC
    end = course.episode_end[closed]
    until = end + course.derived(_after_rosc)[1]
    return Evidence(spans.merge(end, until), _rosc_evidence(course).rows)


def _ends(course: Course) -> Ints:
    """Return in each slot the time of the first ROSC, else of the end. [us]"""
    rosc = course.first(first_rosc(course))
    end = np.zeros(course.slots, np.int64)
    end[axis.slot_of(course.episode_start)] = axis.time_of(course.episode_end)
    return np.where(rosc == ABSENT, end, rosc)


def resuscitation_duration(course: Course) -> Answer:
    """Return the time from the first compression to the first ROSC or the end. [s]"""
    first = course.structure.first_compression
    took = _ends(course) - course.first(first)
    none = per_event(course, first < 0)
    return answer(took / US, (none, Why.NO_COMPRESSION), (~none & (took < 0), Why.ROSC_FIRST))


def _duration_evidence(course: Course) -> Evidence:
    first = course.structure.first_compression
    if first[0] < 0:
        return nothing()
    zero = axis.middle(np.zeros(1, np.int64))
    window = spans.merge(zero + course.first(first), zero + _ends(course))
    rows = np.append(first, first_rosc(course))
    return Evidence(window, rows[rows >= 0])


def airway_in(course: Course) -> Ints:
    """Return the row of each event's first advanced airway, before or in arrest; -1 where there is none."""
    return course.structure.occurrences.first(FIRST_AIRWAY.chosen(course))


def airway_confirmed(course: Course) -> Answer:
    """Return whether the position of an advanced airway is marked as confirmed."""
    occ = course.structure.occurrences
    airway = per_event(course, course.derived(airway_in) >= 0)
    confirmed = per_event(course, occ.first(occ.of("airway_confirmed")) >= 0)
    return answer(confirmed.astype(float), (~airway, Why.NO_AIRWAY), (~confirmed, Why.NOT_CONFIRMED))


def _airway_evidence(course: Course) -> Evidence:
    occ = course.structure.occurrences
    rows = np.append(course.derived(airway_in), occ.first(occ.of("airway_confirmed")))
    return Evidence(spans.NONE, rows[rows >= 0])


MEASURES = (
    Measure("any_rosc", "", any_rosc, _rosc_evidence),
    Measure("sustained_rosc", "", sustained_rosc, _after_evidence),
    Measure("resuscitation_duration", "s", resuscitation_duration, _duration_evidence),
    Measure("time_in_arrest", "s", time_in_arrest, _episodes),
    Measure("pulseless_time", "s", time_in_arrest, _episodes),
    Measure("airway_confirmed", "", airway_confirmed, _airway_evidence),
)

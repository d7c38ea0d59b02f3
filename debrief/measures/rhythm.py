"""Rhythm: how often it was looked at, how long that took, and how long a shockable one went unshocked."""

from collections.abc import Callable

import numpy as np

from debrief.measures.answers import Answer, Evidence, Measure, Why, answer, maxima, medians, per_event
from debrief.model import axis, spans
from debrief.model.axis import Floats, Ints
from debrief.model.sequences import alternate
from debrief.model.spans import Spans
from debrief.model.structure import Course, Placing, PointTimes, moments
from debrief.model.times import US
from debrief.words import SHOCKABLE_RHYTHMS


def _checks(course: Course) -> Ints:
    occ = course.structure.occurrences
    return np.flatnonzero(occ.of("rhythm_check", "analysis"))


def _changes(course: Course) -> Ints:
    return np.flatnonzero(course.structure.occurrences.of("compressor_change"))


def _episode(course: Course, rows: Ints) -> Ints:
    """Return the episode that holds each row at its point time, -1 outside of arrest."""
    occ, episodes = course.structure.occurrences, course.structure.episodes
    times = PointTimes(occ)
    placing = Placing(occ, times, moments(times.of_marks, course.structure.zero, 1))
    start = placing.moments(episodes.opened, episodes.event)
    end = placing.moments(episodes.closed, episodes.event)
    at = placing.marks(rows)
    row = np.searchsorted(start, at, "right") - 1
    inside = (row >= 0) & (at <= end[row]) & (episodes.event[row] == occ.event[rows])
    return np.where(inside, row, -1)


def _gaps(course: Course, rows: Ints, but: Spans) -> tuple[Ints, Floats]:
    """Return slot and length of each gap between rows of one episode in which nothing of ``but`` lies. [s]"""
    episode = _episode(course, rows)
    follows = (episode[1:] == episode[:-1]) & (episode[1:] >= 0)
    at = course.placing.marks(rows).reshape(course.draws, -1)
    before, after = at[:, :-1][:, follows].ravel(), at[:, 1:][:, follows].ravel()
    after = np.maximum(before, after)
    free = spans.amount_within(but, before, after) == 0
    return axis.slot_of(after)[free], (after - before)[free] / US


def _median_gap(course: Course, rows: Ints, none: Why, one: Why, but: Spans = spans.NONE) -> Answer:
    slot, gap = _gaps(course, rows, but)
    events = course.structure.occurrences.events
    count = np.bincount(course.structure.occurrences.event[rows], minlength=events)
    return answer(
        medians(slot, gap, course.slots),
        (per_event(course, count == 0), none),
        (np.bincount(slot, minlength=course.slots) == 0, one),
    )


def check_interval(course: Course) -> Answer:
    """Return the median gap between rhythm checks (or analyses) inside one episode. [s]"""
    return _median_gap(course, _checks(course), Why.NO_CHECK, Why.ONE_CHECK)


def change_interval(course: Course) -> Answer:
    """Return the median gap between changes of the compressor inside one episode, all of it by hand. [s]"""
    return _median_gap(course, _changes(course), Why.NO_CHANGE, Why.ONE_CHANGE, course.mechanical)


def _check_pauses(course: Course) -> tuple[Ints, Floats]:
    """Return slot and length of each pause in which a rhythm check is marked, once a pause. [s]"""
    held = spans.touching(course.pauses, course.placing.marks(_checks(course)))
    pauses = course.pauses.only(np.unique(held[held >= 0]))
    return pauses.slot, pauses.length / US


def check_pause(course: Course) -> Answer:
    """Return the median length of the pauses in which a rhythm check is marked. [s]"""
    slot, length = course.derived(_check_pauses)
    occ = course.structure.occurrences
    none = np.bincount(occ.event[_checks(course)], minlength=occ.events) == 0
    return answer(
        medians(slot, length, course.slots),
        (per_event(course, none), Why.NO_CHECK),
        (per_event(course, ~course.structure.measured), Why.NO_INTERRUPTIONS),
        (np.bincount(slot, minlength=course.slots) == 0, Why.NO_CHECK_PAUSE),
    )


def _unshocked(course: Course) -> tuple[Ints, Ints]:
    """Return the rows that open each stretch of a shockable rhythm unshocked, and those that end it.

    From the first shockable label since the last shock or other rhythm to the shock, the next other label,
    ROSC or the end; -1 where the end of the arrest ends it.
    """
    occ = course.structure.occurrences
    label = occ.of("rhythm", "rhythm_check", "pulse_check", "analysis") & (occ.detail.code >= 0)
    opens = label & occ.detail.among(*SHOCKABLE_RHYTHMS, "advised")
    closes = (label & ~opens & ~occ.detail.among("unknown")) | occ.of(
        "shock", "rosc", "ecls_flow", "efforts_ended"
    )
    rows = np.flatnonzero(opens | closes)
    starts, stops = alternate(occ.event[rows], opens[rows])
    return rows[starts], np.append(rows, -1)[stops]


def _stretches(course: Course) -> tuple[Ints, Ints]:
    """Return where each such stretch starts and ends, draw by draw. [us]"""
    begun, ended = _unshocked(course)
    start = course.placing.marks(begun)
    known = per_event(course, ended >= 0)
    stop = np.where(known, course.placing.marks(np.maximum(ended, 0)), axis.last(axis.slot_of(start)))
    return start, np.maximum(start, stop)


def shockable_unshocked(course: Course) -> Answer:
    """Return the longest stretch of a shockable rhythm in arrest without a shock. [s]"""
    start, stop = _stretches(course)
    arrest = spans.merge(course.episode_start, course.episode_end)
    unshocked = spans.amount_within(arrest, start, stop) / US
    stood = (unshocked > 0) | (spans.touching(arrest, start) >= 0)
    longest = maxima(axis.slot_of(start), np.where(stood, unshocked, np.nan), course.slots)
    return answer(longest, (np.isnan(longest), Why.NO_SHOCKABLE))


def _unshocked_evidence(course: Course) -> Evidence:
    rows = np.concatenate(_unshocked(course))
    arrest = spans.merge(course.episode_start, course.episode_end)
    return Evidence(spans.intersect(arrest, spans.merge(*_stretches(course))), np.unique(rows[rows >= 0]))


def _between(rows: Callable[[Course], Ints]) -> Callable[[Course], Evidence]:
    def evidence(course: Course) -> Evidence:
        at = course.placing.marks(rows(course))
        return Evidence(spans.merge(at[:-1], at[1:]), rows(course))

    return evidence


def _check_pause_evidence(course: Course) -> Evidence:
    rows = _checks(course)
    held = spans.touching(course.pauses, course.placing.marks(rows))
    return Evidence(course.pauses.only(np.unique(held[held >= 0])), rows[held >= 0])


MEASURES = (
    Measure("rhythm_check_interval", "s", check_interval, _between(_checks)),
    Measure("rhythm_check_pause", "s", check_pause, _check_pause_evidence, hands=True),
    Measure("compressor_change_interval", "s", change_interval, _between(_changes), hands=True),
    Measure("shockable_unshocked", "s", shockable_unshocked, _unshocked_evidence),
)

"""First times: how long from time zero to the first of something, and what it means that it was not seen."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from debrief.measures.answers import (
    Answer,
    Evidence,
    Measure,
    Why,
    answer,
    nothing,
    nowhere,
    per_event,
    seconds,
)
from debrief.model import axis
from debrief.model.axis import Bools, Ints
from debrief.model.hands import BEGINS, NEVER, Edges, at, choose
from debrief.model.spans import Spans
from debrief.model.structure import ABSENT, BY_REVIEWER, LAST_MARK, Course, PointTimes, moments
from debrief.model.times import US
from debrief.words import ADVANCED_AIRWAYS, KINDS


@dataclass(frozen=True)
class First:
    """Which marks count, and which family of marks a source must hold to tell that there was none."""

    chosen: Callable[[Course], Bools]
    family: str
    no_record: Why
    not_seen: Why
    not_needed: Why


def row_of(course: Course, first: First, number: int = 0) -> Ints:
    """Return the row of the first one in each event's first (or nth) episode, -1 where there is none."""
    return course.derived(_found[first, number])


def _find(course: Course, first: First, number: int) -> Ints:
    occ, time = course.structure.occurrences, course.derived(row_times)
    start, end = course.derived(_EDGES[number])
    rows = np.flatnonzero(first.chosen(course))
    event, at = occ.event[rows], time[rows]
    return occ.first_of(rows[(at >= start[event]) & (at <= end[event])])


def row_times(course: Course) -> Ints:
    """Return the point time of every occurrence, from time zero: int64, shape (n,). [us]"""
    occ = course.structure.occurrences
    zero: Ints = moments(PointTimes(occ).of_marks, course.structure.zero, 1)[0]
    time: Ints = occ.time - zero[occ.event]
    return time


def _edges(course: Course, number: int) -> tuple[Ints, Ints]:
    """Return where each event's nth episode starts and ends, as point time from zero. [us]"""
    episodes = course.structure.episodes
    chosen = np.flatnonzero(episodes.number == number)
    times, event = PointTimes(course.structure.occurrences), episodes.event[chosen]
    zero = moments(times.of_marks, course.structure.zero, 1)[0, event]
    start = np.full(course.structure.occurrences.events, NEVER)
    end = np.full(course.structure.occurrences.events, ABSENT)
    start[event] = moments(times.of_marks, episodes.opened.only(chosen), 1)[0] - zero
    end[event] = moments(times.of_marks, episodes.closed.only(chosen), 1)[0] - zero
    return start, end


def _first_edges(course: Course) -> tuple[Ints, Ints]:
    return _edges(course, 0)


def _second_edges(course: Course) -> tuple[Ints, Ints]:
    return _edges(course, 1)


_EDGES = (_first_edges, _second_edges)


def _observed(course: Course, family: str) -> Ints:
    """Return until when each event's sources of a family looked, -1 where none holds such marks. [us]"""
    occ = course.structure.occurrences
    kinds = np.array([kind.family == family for kind in KINDS.values()])
    holds = np.zeros(len(occ.sources.event), np.bool_)
    holds[occ.source[kinds[occ.kind]]] = True
    looked = np.full(occ.events, -1)
    until = course.derived(_source_ends)
    np.maximum.at(looked, occ.sources.event[holds], until[holds])
    return looked


def _source_ends(course: Course) -> Ints:
    """Return the time of each source's last mark, from zero. [us]"""
    occ = course.structure.occurrences
    until = np.full(len(occ.sources.event), -1)
    until[occ.source] = course.derived(row_times)
    return until


def time_to(course: Course, first: First) -> Answer:
    """Return the time from zero to the first one in the first episode. [s]

    Not seen is three things: nothing records it; it was looked for and not seen, for as long as ``observed``
    says; or the arrest ended first.
    """
    structure, occ = course.structure, course.structure.occurrences
    row = row_of(course, first)
    if first is not FIRST_COMPRESSION and (row >= 0).all():
        return answer(seconds(course.first(row)))
    earlier = occ.first(first.chosen(course))
    before = (earlier >= 0) & (np.append(course.derived(row_times), 0)[earlier] < 0)
    if first is not FIRST_COMPRESSION:
        before &= row < 0
    end = course.derived(_first_edges)[1]
    looked = np.minimum(course.derived(_LOOKED[first.family]), end)
    closed_by = structure.episodes.closed_by[structure.episodes.number == 0]
    closed = (closed_by != LAST_MARK) & (closed_by != BY_REVIEWER) & (looked >= end)
    missing = row < 0
    return answer(
        seconds(course.first(row)),
        (per_event(course, before), Why.BEFORE_ZERO),
        (per_event(course, missing & (looked < 0)), first.no_record),
        (per_event(course, missing & closed), first.not_needed),
        (per_event(course, missing), first.not_seen),
        observed=np.tile(np.where(missing & ~before & (looked >= 0), looked / US, np.nan), course.draws),
    )


def evidence_of(first: First) -> Callable[[Course], Evidence]:
    """Return how one event shows such a time: from zero to the mark."""

    def evidence(course: Course) -> Evidence:
        row = row_of(course, first)
        if row[0] < 0:
            return nothing()
        rows = np.array([course.structure.zero.mark[0], row[0]])
        return Evidence(_between(0, int(course.first(row)[0])), np.unique(rows[rows >= 0]))

    return evidence


def _between(start_us: int, end_us: int) -> Spans:
    zero = int(axis.middle(np.zeros(1, np.int64))[0])
    if end_us <= start_us:
        return Spans(np.empty(0, np.int64), np.empty(0, np.int64))
    return Spans(np.array([zero + start_us]), np.array([zero + end_us]))


def since_rearrest(course: Course, first: First) -> Answer:
    """Return the time from the first re-arrest to the first one in its episode. [s]"""
    if not course.structure.episodes.number.any():
        return nowhere(course, Why.NO_REARREST)
    start, end = course.derived(_second_edges)
    there, row = end != ABSENT, row_of(course, first, 1)
    looked = np.minimum(course.derived(_LOOKED[first.family]), end)
    opened = np.append(course.structure.episodes.number == 1, False)
    at = np.full((course.draws, len(there)), ABSENT)
    at[:, there] = axis.time_of(course.episode_start).reshape(course.draws, -1)[:, opened[:-1]]
    return answer(
        (course.first(row) - at.ravel()) / US,
        (per_event(course, ~there), Why.NO_REARREST),
        (per_event(course, (row < 0) & (looked < start)), first.no_record),
        (per_event(course, row < 0), first.not_seen),
        observed=np.tile(
            np.where((row < 0) & there & (looked >= start), (looked - start) / US, np.nan), course.draws
        ),
    )


def _rearrest_evidence(first: First) -> Callable[[Course], Evidence]:
    def evidence(course: Course) -> Evidence:
        row = row_of(course, first, 1)
        if row[0] < 0:
            return nothing()
        start, opened = int(course.derived(_second_edges)[0][0]), course.structure.episodes.opened.mark[1]
        rows = np.array([opened, row[0]])
        return Evidence(_between(start, int(course.first(row)[0])), np.unique(rows[rows >= 0]))

    return evidence


def _compressions(course: Course) -> Bools:
    return course.structure.occurrences.of(*BEGINS)


def _shocks(course: Course) -> Bools:
    return course.structure.occurrences.of("shock")


def _airways(course: Course) -> Bools:
    occ = course.structure.occurrences
    return occ.of("airway") & (occ.detail.among(*ADVANCED_AIRWAYS) | (occ.detail.code < 0))


def counted(course: Course, drug: str) -> Ints:
    """Return the items of ``structure.doses`` that are counted doses of a drug."""
    structure, occ = course.structure, course.structure.occurrences
    return np.flatnonzero((structure.why_not == 0) & occ.detail.among(drug)[structure.doses])


def _epinephrine(course: Course) -> Bools:
    structure = course.structure
    chosen = np.zeros(len(structure.occurrences), np.bool_)
    chosen[structure.doses[counted(course, "epinephrine")]] = True
    return chosen


def _rosc(course: Course) -> Bools:
    return course.structure.occurrences.of("rosc")


FIRST_COMPRESSION = First(
    _compressions, "compressions", Why.NO_COMPRESSION, Why.NO_COMPRESSION_SEEN, Why.NO_COMPRESSION_SEEN
)
FIRST_SHOCK = First(_shocks, "shocks", Why.NO_SHOCK_RECORD, Why.NO_SHOCK_SEEN, Why.NO_SHOCK_NEEDED)
FIRST_EPINEPHRINE = First(_epinephrine, "drugs", Why.NO_DRUG_RECORD, Why.NO_DOSE_SEEN, Why.NO_DOSE_NEEDED)
FIRST_AIRWAY = First(_airways, "airway", Why.NO_AIRWAY_RECORD, Why.NO_AIRWAY_SEEN, Why.NO_AIRWAY_NEEDED)
FIRST_ROSC = First(_rosc, "outcome", Why.NO_OUTCOME, Why.NO_OUTCOME, Why.NO_ROSC)

_LOOKED = {family: partial(_observed, family=family) for family in {kind.family for kind in KINDS.values()}}

_found = {
    (first, number): partial(_find, first=first, number=number)
    for first in (FIRST_COMPRESSION, FIRST_SHOCK, FIRST_EPINEPHRINE, FIRST_AIRWAY, FIRST_ROSC)
    for number in (0, 1)
}
"""Kept by name so that a course finds each of them once."""


def _measure(name: str, first: First, *, hands: bool = False) -> Measure:
    return Measure(name, "s", partial(time_to, first=first), evidence_of(first), hands=hands)


def _call_to_arrival_rows(course: Course) -> tuple[Ints, Ints]:
    occ = course.structure.occurrences
    return occ.first(occ.of("call")), occ.first(occ.of("team_arrival"))


def call_to_team_arrival(course: Course) -> Answer:
    """Return the time from the call to the team's arrival. [s]"""
    call, arrival = _call_to_arrival_rows(course)
    took = course.first(arrival) - course.first(call)
    there = per_event(course, (call >= 0) & (arrival >= 0))
    return answer(
        np.where(there, took / US, np.nan),
        (per_event(course, call < 0), Why.NO_CALL),
        (per_event(course, arrival < 0), Why.NO_ARRIVAL),
        (there & (took < 0), Why.BEFORE_ZERO),
    )


def _arrival_evidence(course: Course) -> Evidence:
    call, arrival = _call_to_arrival_rows(course)
    if call[0] < 0 or arrival[0] < 0:
        return nothing()
    start, end = int(course.first(call)[0]), int(course.first(arrival)[0])
    return Evidence(_between(start, end), np.array([call[0], arrival[0]]))


def _onset(course: Course) -> Ints:
    """Return each event's first label of an arrest rhythm before recognition, -1 where there is none."""
    occ = course.structure.occurrences
    recognised: Ints = moments(PointTimes(occ).of_marks, course.derived(_recognised), 1)[0]
    return occ.first(course.structure.arrest_label & (occ.time < recognised[occ.event]))


def _recognised(course: Course) -> Edges:
    """Return when each arrest was recognised: as marked, else time zero."""
    occ = course.structure.occurrences
    marked = occ.first(occ.of("recognition"))
    return choose([marked >= 0], [at(marked)], course.structure.zero)


def onset_to_recognition(course: Course) -> Answer:
    """Return how long an arrest rhythm was labelled before the arrest was recognised. [s]"""
    onset = course.derived(_onset)
    there = np.ones(len(onset), np.bool_)
    took = course.first_moment(course.derived(_recognised), there) - course.first(onset)
    return answer(took / US, (per_event(course, onset < 0), Why.NO_LABEL_BEFORE))


def _onset_evidence(course: Course) -> Evidence:
    onset = course.derived(_onset)
    if onset[0] < 0:
        return nothing()
    recognised = course.derived(_recognised)
    end = int(course.first_moment(recognised, np.ones(1, np.bool_))[0])
    rows = np.array([onset[0], recognised.mark[0]])
    return Evidence(_between(int(course.first(onset)[0]), end), rows[rows >= 0])


MEASURES = (
    _measure("time_to_first_compression", FIRST_COMPRESSION, hands=True),
    _measure("time_to_first_shock", FIRST_SHOCK),
    _measure("time_to_first_epinephrine", FIRST_EPINEPHRINE),
    _measure("time_to_advanced_airway", FIRST_AIRWAY),
    _measure("time_to_rosc", FIRST_ROSC),
    *(
        Measure(
            f"rearrest_to_{name}",
            "s",
            partial(since_rearrest, first=first),
            _rearrest_evidence(first),
            hands=hands,
        )
        for name, first, hands in (
            ("first_compression", FIRST_COMPRESSION, True),
            ("first_shock", FIRST_SHOCK, False),
            ("first_epinephrine", FIRST_EPINEPHRINE, False),
            ("advanced_airway", FIRST_AIRWAY, False),
            ("rosc", FIRST_ROSC, False),
        )
    ),
    Measure("call_to_team_arrival", "s", call_to_team_arrival, _arrival_evidence),
    Measure("onset_to_recognition", "s", onset_to_recognition, _onset_evidence),
)

"""Drugs: gaps between doses of epinephrine, and when the first came among the shocks."""

from collections.abc import Callable

import numpy as np

from debrief.measures.answers import Answer, Evidence, Measure, Why, answer, medians, per_event
from debrief.measures.first_times import counted
from debrief.model import axis, spans
from debrief.model.axis import Bools, Floats, Ints
from debrief.model.structure import Course
from debrief.model.times import US

RANGE_S = (180.0, 300.0)
"""The range that guidelines give for repeating epinephrine: every 3 to 5 min, both included. [s]"""

STACKED_MAX = 3


def _epinephrine(course: Course) -> Ints:
    return counted(course, "epinephrine")


def pairs(course: Course) -> Ints:
    """Return the counted doses of epinephrine that follow another in the same episode, as items of doses."""
    items = course.derived(_epinephrine)
    episode = course.structure.dose_episode[items]
    following: Ints = items[1:][episode[1:] == episode[:-1]]
    return following


def follows(course: Course) -> tuple[Ints, Ints]:
    """Return the counted doses that follow one of their drug in the same episode, and the ones before."""
    structure = course.structure
    drug = structure.occurrences.detail.code[structure.doses]
    items = np.flatnonzero(structure.why_not == 0)
    items = items[np.lexsort((items, structure.dose_episode[items], drug[items]))]
    before, after = items[:-1], items[1:]
    same = (drug[before] == drug[after]) & (structure.dose_episode[before] == structure.dose_episode[after])
    return after[same], before[same]


def gaps(course: Course) -> tuple[Ints, Floats]:
    """Return the slot and length of each gap between counted doses inside one episode, draw by draw. [s]"""
    items = course.derived(_epinephrine)
    episode = course.structure.dose_episode[items]
    second = np.flatnonzero(episode[1:] == episode[:-1]) + 1
    dose = course.dose.reshape(course.draws, -1)[:, items]
    gap = np.maximum(dose[:, second] - dose[:, second - 1], 0)
    return axis.slot_of(dose[:, second]).ravel(), gap.ravel() / US


def _count(course: Course) -> Ints:
    structure = course.structure
    events = structure.occurrences.event[structure.doses[course.derived(_epinephrine)]]
    return np.tile(np.bincount(events, minlength=structure.occurrences.events), course.draws)


def _no_gap(course: Course) -> tuple[tuple[Bools, Why], ...]:
    slot, _ = course.derived(gaps)
    return (
        (course.derived(_count) == 0, Why.NO_DOSE),
        (np.bincount(slot, minlength=course.slots) == 0, Why.ONE_DOSE),
    )


def interval_median(course: Course) -> Answer:
    """Return the median gap between counted doses of epinephrine inside one episode. [s]"""
    return answer(medians(*course.derived(gaps), course.slots), *_no_gap(course))


def interval_in_range(course: Course) -> Answer:
    """Return the share of gaps from 3 to 5 min, both included. [1]"""
    slot, gap = course.derived(gaps)
    inside = (gap >= RANGE_S[0]) & (gap <= RANGE_S[1])
    total = np.bincount(slot, minlength=course.slots)
    share = np.bincount(slot, inside, minlength=course.slots) / np.maximum(total, 1)
    return answer(share, *_no_gap(course))


def _arrest_after_first(course: Course) -> Floats:
    """Return arrest time from the first counted dose of epinephrine to the end. [s]"""
    items = course.derived(_epinephrine)
    first = np.full(course.slots, np.iinfo(np.int64).max)
    dose = course.dose.reshape(course.draws, -1)[:, items].ravel()
    np.minimum.at(first, axis.slot_of(dose), dose)
    start, end = course.episode_start, course.episode_end
    slot = axis.slot_of(start)
    after = np.maximum(end - np.maximum(start, np.minimum(first[slot], end)), 0)
    sums = np.zeros(course.slots, np.int64)
    np.add.at(sums, slot, after)
    return sums / US


def average_period(course: Course) -> Answer:
    """Return arrest time from the first dose to the end, by the number of doses after the first. [s]"""
    count = course.derived(_count)
    period = course.derived(_arrest_after_first) / np.maximum(count - 1, 1)
    return answer(period, (count == 0, Why.NO_DOSE), (count == 1, Why.ONE_DOSE))


def average_interval(course: Course) -> Answer:
    """Return arrest time from the first dose to the end, by the number of doses. [s]"""
    count = course.derived(_count)
    return answer(course.derived(_arrest_after_first) / np.maximum(count, 1), (count == 0, Why.NO_DOSE))


def shocks_before_epinephrine(course: Course) -> Answer:
    """Return how many shocks came before the first dose in the first episode, stacked ones as one. [1]

    Up to three are stacked where no compression was seen between them.
    """
    structure, occ = course.structure, course.structure.occurrences
    first_episode = np.append(structure.episodes.number == 0, False)
    items = course.derived(_epinephrine)
    items = items[first_episode[structure.dose_episode[items]]]
    first = np.full(course.slots, -1)
    dose = course.dose.reshape(course.draws, -1)[:, items[::-1]].ravel()
    first[axis.slot_of(dose)] = dose
    chosen = np.flatnonzero(first_episode[structure.shock_episode] & (structure.shock_episode >= 0))
    shock = course.shock.reshape(course.draws, -1)[:, chosen].ravel()
    slot = axis.slot_of(shock)
    counts = (first[slot] >= 0) & (shock < first[slot]) & ~_stacked(course, shock, slot)
    return answer(
        np.bincount(slot[counts], minlength=course.slots).astype(float),
        (
            per_event(course, np.bincount(occ.event[structure.shocks[chosen]], minlength=occ.events) == 0),
            Why.NO_SHOCK_FIRST,
        ),
        (first < 0, Why.NO_DOSE_FIRST),
    )


def _stacked(course: Course, shock: Ints, slot: Ints) -> Bools:
    """Return which shocks are the second or third of a stack."""
    if len(shock) < 2:
        return np.zeros(len(shock), np.bool_)
    near = spans.amount_within(course.hands_on, shock[:-1], np.maximum(shock[1:], shock[:-1])) == 0
    seen = per_event(course, course.structure.measured)[slot[1:]]
    follows = np.append(False, near & seen & (slot[1:] == slot[:-1]))
    group = np.cumsum(~follows)
    return (np.arange(len(shock)) - np.searchsorted(group, group)) % STACKED_MAX > 0


def _first_of(course: Course, *drugs: str) -> Ints:
    """Return the row of each event's first counted dose of any of the drugs, -1 where there is none."""
    occ, doses = course.structure.occurrences, course.structure.doses
    chosen = np.zeros(len(occ), np.bool_)
    for drug in drugs:
        chosen[doses[counted(course, drug)]] = True
    return occ.first(chosen)


def _milligrams(course: Course, row: Ints) -> Floats:
    occ = course.structure.occurrences
    known = np.append(occ.unit.among("mg"), False)[row]
    return np.where(known, np.append(occ.amount, np.nan)[row], np.nan)


ANTIARRHYTHMICS = ("amiodarone", "lidocaine")


def first_antiarrhythmic(course: Course) -> Ints:
    """Return the row of each event's first counted dose of amiodarone or lidocaine, -1 without."""
    return _first_of(course, *ANTIARRHYTHMICS)


def antiarrhythmic_dose(course: Course) -> Answer:
    """Return the first counted dose of amiodarone or lidocaine. [mg]"""
    row = first_antiarrhythmic(course)
    dose = _milligrams(course, row)
    return answer(
        per_event(course, dose),
        (per_event(course, row < 0), Why.NO_ANTIARRHYTHMIC),
        (per_event(course, np.isnan(dose)), Why.NO_DOSE_AMOUNT),
    )


def dose_per_kg(course: Course) -> Answer:
    """Return the first counted dose of epinephrine by weight. [mg/kg]"""
    row = _first_of(course, "epinephrine")
    dose, weight = _milligrams(course, row), course.structure.people.weight
    return answer(
        per_event(course, dose / weight),
        (per_event(course, row < 0), Why.NO_DOSE),
        (per_event(course, np.isnan(dose)), Why.NO_DOSE_AMOUNT),
        (per_event(course, course.structure.people.adult), Why.ADULT_BY_WEIGHT),
        (per_event(course, np.isnan(weight)), Why.NO_WEIGHT),
    )


def _first_evidence(*drugs: str) -> Callable[[Course], Evidence]:
    def evidence(course: Course) -> Evidence:
        row = _first_of(course, *drugs)
        return Evidence(spans.NONE, row[row >= 0])

    return evidence


def _dose_evidence(course: Course) -> Evidence:
    items = course.derived(_epinephrine)
    where = course.dose[items]
    return Evidence(spans.merge(where[:-1], where[1:]), course.structure.doses[items])


def _after_evidence(course: Course) -> Evidence:
    items = course.derived(_epinephrine)
    if not len(items):
        return Evidence(spans.NONE, items)
    episodes = spans.merge(course.episode_start, course.episode_end)
    first = np.array([course.dose[items].min()])
    return Evidence(
        spans.intersect(episodes, spans.Spans(first, course.episode_end[-1:])), course.structure.doses[items]
    )


def _before_evidence(course: Course) -> Evidence:
    items = course.derived(_epinephrine)[:1]
    if not len(items):
        return Evidence(spans.NONE, items)
    before = course.structure.shocks[course.shock < course.dose[items[0]]]
    zero = axis.middle(np.zeros(1, np.int64))
    return Evidence(
        spans.merge(zero, course.dose[items]), np.concatenate([before, course.structure.doses[items]])
    )


MEASURES = (
    Measure("epinephrine_interval_median", "s", interval_median, _dose_evidence),
    Measure("epinephrine_interval_in_range", "1", interval_in_range, _dose_evidence),
    Measure("epinephrine_average_period", "s", average_period, _after_evidence),
    Measure("epinephrine_average_interval", "s", average_interval, _after_evidence),
    Measure("shocks_before_epinephrine", "count", shocks_before_epinephrine, _before_evidence),
    Measure("antiarrhythmic_dose", "mg", antiarrhythmic_dose, _first_evidence(*ANTIARRHYTHMICS)),
    Measure("dose_per_kg", "mg/kg", dose_per_kg, _first_evidence("epinephrine")),
)

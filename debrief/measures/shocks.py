"""Shocks: the pauses around each, their spacing and energy."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from debrief.course.hands import INSTANT_US
from debrief.measures.answers import (
    Answer,
    Evidence,
    Measure,
    Why,
    answer,
    maxima,
    medians,
    nowhere,
    per_event,
)
from debrief.model import axis, spans
from debrief.model.axis import Bools, Floats, Ints
from debrief.model.hands import NEVER
from debrief.model.spans import Spans
from debrief.model.structure import ABSENT, Course
from debrief.model.times import US

LOOSE_US = 5 * US
"""A shock whose time is known no better than this says nothing of a pause that another source saw. [us]"""

AROUND = ("pre_shock_pause", "post_shock_pause", "peri_shock_pause", "hands_off_before_shock")
"""What the names of figures of pauses around shocks begin with."""


@dataclass(frozen=True)
class ShockPauses:
    """Pauses around each shock over all draws; NaN where ``why`` says why. [s]"""

    slot: Ints
    before: Floats
    after: Floats
    around: Floats
    why_before: Ints
    why_after: Ints
    why_around: Ints
    start: Ints
    end: Ints


def known(course: Course) -> Spans:
    """Return where it is known whether hands were on: covered, or before the first compression."""
    first = course.first(course.structure.first_compression)
    start = axis.middle(course.slot) - axis.HALF_US
    return spans.union(
        course.covered, spans.merge(start, np.where(first == ABSENT, start, start + axis.HALF_US + first))
    )


def pauses(course: Course) -> ShockPauses:
    """Return, for each shock, last compression to shock, shock to next compression, and their sum.

    Hands on through the shock, or a gap under the shortest pause, gives 0; no compression before or after in
    its episode is not applicable; a stretch that is not covered gives no data.
    """
    structure, shock, hands = course.structure, course.shock, course.hands_on
    slot = axis.slot_of(shock)
    episode = course.items_over_draws(structure.shock_episode, len(structure.episodes))
    start = np.append(course.episode_start, 0)[episode]
    end = np.append(course.episode_end, 0)[episode]
    hands_start, hands_end = np.append(hands.start, 0), np.append(hands.end, 0)

    on = spans.holding(hands, shock)
    alone = hands_end[on] - hands_start[on] <= INSTANT_US
    through = (on >= 0) & ((hands_start[on] < shock) | alone)
    last = np.searchsorted(hands.end, shock, "right") - 1
    stopped = np.where(through, shock, hands_end[last])
    has_before = through | ((last >= 0) & (stopped > start))
    following = np.searchsorted(hands.start, shock)
    resumed = np.where(through, shock, hands_start[np.minimum(following, len(hands))])
    has_after = through | ((following < len(hands)) & (resumed <= end))

    unmeasured = ~per_event(course, structure.measured)[slot]
    outside = episode < 0

    def reason(there: Bools, seen: Bools) -> Ints:
        return np.select(
            [outside, unmeasured, ~there, ~seen],
            [Why.NONE_AROUND, Why.NO_INTERRUPTIONS, Why.NONE_AROUND, Why.NOT_COVERED],
            Why.KNOWN,
        )

    covered = course.derived(known)
    seen_before = spans.amount_within(covered, stopped, shock) == shock - stopped
    seen_after = spans.amount_within(covered, shock, resumed) == resumed - shock
    why_before, why_after = reason(has_before, seen_before), reason(has_after, seen_after)
    before = np.where(why_before > 0, np.nan, (shock - stopped) / US)
    after = np.where(why_after > 0, np.nan, (resumed - shock) / US)
    around = np.where(np.isnan(before + after), np.nan, (resumed - stopped) / US)
    why_around = np.where(why_before > 0, why_before, why_after)
    return ShockPauses(slot, before, after, around, why_before, why_after, why_around, stopped, resumed)


def loose(course: Course) -> Bools:
    """Return which shocks are known too poorly to be laid beside hands-on: bool, one entry a shock.

    Another source than that of hands-on tells of them, and its clock, cell and lateness leave more than
    `LOOSE_US`: where in a stretch of compressions such a shock lands says nothing of the pause around it.
    """
    structure, occ = course.structure, course.structure.occurrences
    sources, source = occ.sources, occ.source[structure.shocks]
    begins, ends = (edge[structure.shocks] for edge in occ.cells())
    room = ends - begins + (sources.high - sources.low + sources.lag)[source]
    found: Bools = (structure.order[source] != 0) & (room > LOOSE_US)
    return found


def _summary(course: Course, value: Floats, why: Ints, of: Callable[[Ints, Floats, int], Floats]) -> Answer:
    """Return a summary of each slot's shocks inside an episode; without a value, why the last has none."""
    inside, slot = course.derived(_slots_inside)
    if not len(slot):
        return nowhere(course, Why.NO_SHOCK)
    reasons = np.full(course.slots, Why.NO_SHOCK, np.int64)
    reasons[slot] = why[inside]
    found = of(slot, value[inside], course.slots)
    return Answer(found, np.where(np.isnan(found), reasons, Why.KNOWN))


def _slots_inside(course: Course) -> tuple[Ints, Ints]:
    """Return the shocks inside an episode, over all draws, and the slot of each."""
    inside = np.flatnonzero(np.tile(course.structure.shock_episode >= 0, course.draws))
    return inside, axis.slot_of(course.shock[inside])


def _pause_measure(name: str, which: str, of: Callable[[Ints, Floats, int], Floats]) -> Measure:
    def compute(course: Course) -> Answer:
        found = course.derived(pauses)
        return _summary(course, getattr(found, which), getattr(found, f"why_{which}"), of)

    def evidence(course: Course) -> Evidence:
        found = course.derived(pauses)
        known = np.isfinite(getattr(found, which))
        if of is maxima and known.any():
            known &= getattr(found, which) == np.nanmax(getattr(found, which))
        start = np.where(which == "after", course.shock, found.start)[known]
        end = np.where(which == "before", course.shock, found.end)[known]
        return Evidence(spans.merge(start, end), course.structure.shocks[known])

    return Measure(name, "s", compute, evidence, hands=True)


def _gaps(course: Course) -> tuple[Ints, Floats]:
    """Return the slot and length of each gap between shocks that follow each other in one episode. [s]"""
    episode = course.structure.shock_episode
    pair = np.flatnonzero((episode[1:] == episode[:-1]) & (episode[1:] >= 0))
    shock = course.shock.reshape(course.draws, -1)
    gap = shock[:, pair + 1] - shock[:, pair]
    return axis.slot_of(shock[:, pair]).ravel(), np.maximum(gap, 0).ravel() / US


def shock_interval(course: Course) -> Answer:
    """Return the median gap between shocks that follow each other in one episode. [s]"""
    slot, gap = course.derived(_gaps)
    count = np.bincount(
        course.structure.occurrences.event[_inside(course)], minlength=course.structure.occurrences.events
    )
    return answer(
        medians(slot, gap, course.slots),
        (per_event(course, count == 0), Why.NO_SHOCK),
        (np.bincount(slot, minlength=course.slots) == 0, Why.ONE_SHOCK),
    )


def _inside(course: Course) -> Ints:
    """Return the rows of shocks inside an episode."""
    return course.structure.shocks[course.structure.shock_episode >= 0]


def _interval_evidence(course: Course) -> Evidence:
    rows = _inside(course)
    where = course.placing.marks(rows)
    return Evidence(spans.merge(where[:-1], where[1:]), rows)


def _first_shock(course: Course) -> Ints:
    structure, occ = course.structure, course.structure.occurrences
    chosen = np.zeros(len(occ), np.bool_)
    in_first = (structure.shock_episode >= 0) & (structure.episodes.number[structure.shock_episode] == 0)
    chosen[structure.shocks[in_first]] = True
    return occ.first(chosen)


def first_shock_energy(course: Course) -> Answer:
    """Return the energy of the first shock of the first episode. [J]"""
    row = _first_shock(course)
    energy = np.append(course.structure.occurrences.amount, np.nan)[row]
    return answer(
        np.tile(energy, course.draws),
        (per_event(course, row < 0), Why.NO_SHOCK_FIRST),
        (per_event(course, np.isnan(energy)), Why.NO_ENERGY),
    )


def energy_per_kg(course: Course) -> Answer:
    """Return the energy of the first shock by weight. [J/kg]"""
    row, weight = _first_shock(course), course.structure.people.weight
    energy = np.append(course.structure.occurrences.amount, np.nan)[row]
    return answer(
        per_event(course, energy / weight),
        (per_event(course, row < 0), Why.NO_SHOCK_FIRST),
        (per_event(course, np.isnan(energy)), Why.NO_ENERGY),
        (per_event(course, course.structure.people.adult), Why.ADULT_BY_WEIGHT),
        (per_event(course, np.isnan(weight)), Why.NO_WEIGHT),
    )


def _energy_evidence(course: Course) -> Evidence:
    row = _first_shock(course)
    return Evidence(spans.NONE, row[row >= 0])


BEFORE_US = 30 * US


def off_before(course: Course) -> tuple[Floats, Ints]:
    """Return, for each shock over all draws, hands-off time in the 30 s before it, and why not. [s]"""
    structure, shock = course.structure, course.shock
    episode = course.items_over_draws(structure.shock_episode, len(structure.episodes))
    opened = np.append(np.where(course.closes > course.opens, course.opens, NEVER), NEVER)
    start = shock - BEFORE_US
    seen = spans.amount_within(course.covered, start, shock) == BEFORE_US
    why = np.select(
        [
            episode < 0,
            ~per_event(course, structure.measured)[axis.slot_of(shock)],
            opened[episode] > start,
            ~seen,
        ],
        [Why.NONE_AROUND, Why.NO_INTERRUPTIONS, Why.NO_SHORT_WINDOW, Why.NOT_COVERED],
        Why.KNOWN,
    )
    off = (BEFORE_US - spans.amount_within(course.hands_on, start, shock)) / US
    return np.where(why > 0, np.nan, off), why


def _off_measure(name: str, of: Callable[[Ints, Floats, int], Floats]) -> Measure:
    def compute(course: Course) -> Answer:
        return _summary(course, *course.derived(off_before), of)

    def evidence(course: Course) -> Evidence:
        known = np.isfinite(course.derived(off_before)[0])
        where = course.shock[known]
        return Evidence(spans.merge(where - BEFORE_US, where), course.structure.shocks[known])

    return Measure(name, "s", compute, evidence, hands=True)


MEASURES = (
    *(
        _pause_measure(f"{name}_{suffix}", which, of)
        for name, which in (
            ("pre_shock_pause", "before"),
            ("post_shock_pause", "after"),
            ("peri_shock_pause", "around"),
        )
        for suffix, of in (("median", medians), ("max", maxima))
    ),
    _off_measure("hands_off_before_shock_median", medians),
    _off_measure("hands_off_before_shock_max", maxima),
    Measure("shock_interval", "s", shock_interval, _interval_evidence),
    Measure("first_shock_energy", "J", first_shock_energy, _energy_evidence),
    Measure("energy_per_kg", "J/kg", energy_per_kg, _energy_evidence),
)

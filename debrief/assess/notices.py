"""What the course found odd, as problems that the user sees."""

from collections.abc import Callable, Iterator, Sequence
from math import inf

import numpy as np

from debrief.assess.findings import population, weight_kg
from debrief.clocks.align import Aligned
from debrief.measures.causes import breaths_by_pattern
from debrief.model import axis, spans
from debrief.model.axis import Ints
from debrief.model.event import WEIGHTS_KG, Context
from debrief.model.hands import BEGINS
from debrief.model.problems import Problem, problem
from debrief.model.structure import ASSUMED, BY_REVIEWER, LAST_MARK, ROSC, Course
from debrief.model.times import US, clock
from debrief.words import POPULATIONS, say

DIFFERS_US = 10 * US

USUAL = {
    "adult": ((12.0, inf), (30.0, inf)),
    "child": ((1.0, 18.0), (5.0, 120.0)),
    "infant": ((0.0, 1.0), (1.0, 15.0)),
    "newborn_at_birth": ((0.0, 1 / 12), (0.3, 7.0)),
}
"""Ages and weights that a population usually has, from and up to; common practice. [years, kg]"""


def notices(course: Course, aligned: Aligned, names: list[str], context: Context) -> list[Problem]:
    """Return what is odd in the context and the structure of one event.

    ``names``: the leading mark of each occurrence, ``source:place``.
    """
    sources = [source.source_id for source in aligned.members]
    odd = odd_structure(course, sources, names.__getitem__)
    return [*about_context(context), *(found for _, found in odd)]


def odd_structure(
    course: Course, sources: Sequence[str], named: Callable[[int], str]
) -> Iterator[tuple[int, Problem]]:
    """Yield what is odd in the structure of events, each with the number of its event.

    Those of one event come in the order in which it tells them.

    Parameters
    ----------
    sources
        The name of each source.
    named
        The leading mark of an occurrence, ``source:place``, by its row.
    """
    yield from _about_zero(course, named)
    yield from _about_sources(course, sources)
    yield from _about_episodes(course, named)
    yield from _about_doses(course, named)
    yield from _about_breaths(course)


def _at(course: Course, rows: Ints) -> list[str]:
    return [clock(us / US) for us in axis.time_of(course.placing.marks(rows)).tolist()]


def about_context(context: Context) -> Iterator[Problem]:
    """Yield what is odd in what is known of an event beside its marks."""
    if context.population is None and context.age_years is None:
        yield problem("population_assumed")
    if context.population is not None and context.population not in POPULATIONS:
        yield problem("population_unknown", read=context.population, known=", ".join(POPULATIONS))
    if context.weight_kg is not None and weight_kg(context) is None:
        low, high = WEIGHTS_KG
        yield problem("weight_odd", read=f"{context.weight_kg:g}", low=f"{low:g}", high=f"{high:g}")
    yield from _about_population(population(context), context.age_years, weight_kg(context))


def _about_population(taken: str, age_years: float | None, weight: float | None) -> Iterator[Problem]:
    """Yield that somebody taken for one population has an age or weight of another."""
    if taken not in USUAL:
        return
    ages, weights = USUAL[taken]
    odd = [
        say(f"assess.{name}", value=f"{value:g}")
        for name, value, (low, high) in (("age", age_years, ages), ("weight", weight, weights))
        if value is not None and not low <= value < high
    ]
    if odd:
        yield problem("population_odd", taken=say(f"targets.whom_{taken}"), odd=say("targets.and").join(odd))


def _about_zero(course: Course, named: Callable[[int], str]) -> Iterator[tuple[int, Problem]]:
    structure = course.structure
    for slot in np.flatnonzero(structure.basis == ASSUMED).tolist():
        yield slot, _of_mark("zero_assumed", named(int(structure.zero.mark[slot])))


def _of_mark(code: str, name: str, **values: object) -> Problem:
    source_id, _, place = name.partition(":")
    return problem(code, source_id, place, **values)


def _about_sources(course: Course, sources: Sequence[str]) -> Iterator[tuple[int, Problem]]:
    structure, occ = course.structure, course.structure.occurrences
    event, order = occ.sources.event, structure.order
    starting = np.bincount(occ.source[occ.of(*BEGINS)], minlength=len(sources)) > 0
    singles = np.bincount(occ.source[occ.of("compression")], minlength=len(sources)) > 0
    for row in np.flatnonzero(starting & (order < 0)).tolist():
        code = "singles_too_coarse" if singles[row] else "starts_alone"
        yield int(event[row]), problem(code, sources[row])
    for row in np.flatnonzero(order > 0).tolist():
        first = np.flatnonzero((order == 0) & (event == event[row]))
        apart = _disagreement(course, row, int(first[0]), event[[row]])
        if apart > DIFFERS_US:
            yield int(event[row]), problem("hands_on_disagree", sources[row], apart=clock(apart / US))


def _disagreement(course: Course, first: int, second: int, event: Ints) -> int:
    """Return how long two sources of an event that both cover say different things of the hands. [us]"""
    told, placing = course.structure.seen, course.placing

    def of(source: int) -> tuple[spans.Spans, spans.Spans]:
        on, off, covered = (runs.only(runs.source == source) for runs in (told.on, told.off, told.covered))
        sets = [
            spans.merge(
                placing.stretches(runs.start, np.repeat(event, len(runs))),
                placing.stretches(runs.end, np.repeat(event, len(runs))),
            )
            for runs in (on, off, covered)
        ]
        return spans.subtract(sets[0], sets[1]), sets[2]

    (hands_a, covered_a), (hands_b, covered_b) = of(first), of(second)
    both = spans.intersect(covered_a, covered_b)
    apart = spans.union(spans.subtract(hands_a, hands_b), spans.subtract(hands_b, hands_a))
    return int(spans.intersect(apart, both).length.sum())


def _about_episodes(course: Course, named: Callable[[int], str]) -> Iterator[tuple[int, Problem]]:
    structure, occ, episodes = course.structure, course.structure.occurrences, course.structure.episodes
    implied = episodes.opened.mark[episodes.implied]
    for code, rows in (("compressions_across_rosc", structure.absorbed), ("rearrest_implied", implied)):
        for row, at in zip(rows.tolist(), _at(course, rows), strict=True):
            yield int(occ.event[row]), _of_mark(code, named(row), at=at)
    last = np.flatnonzero(np.append(episodes.event[1:] != episodes.event[:-1], True)[: len(episodes)])
    by = episodes.closed_by[last]
    for event in episodes.event[last[by == LAST_MARK]].tolist():
        yield event, problem("end_assumed")
    ended = np.full(occ.events, axis.SLOT_US * (occ.events + 1))
    told = last[~np.isin(by, (ROSC, LAST_MARK, BY_REVIEWER))]
    ended[episodes.event[told]] = course.episode_end[told]
    late = np.flatnonzero(occ.of(*BEGINS, "shock"))
    late = late[course.placing.marks(late) > ended[occ.event[late]]]
    late = late[np.unique(occ.event[late], return_index=True)[1]]
    for row, at in zip(late.tolist(), _at(course, late), strict=True):
        yield int(occ.event[row]), _of_mark("work_after_end", named(row), at=at)


def _about_doses(course: Course, named: Callable[[int], str]) -> Iterator[tuple[int, Problem]]:
    structure, occ = course.structure, course.structure.occurrences
    unwritten = structure.doses[(structure.why_not == 0) & (occ.route.code[structure.doses] < 0)]
    events, first, count = np.unique(occ.event[unwritten], return_index=True, return_counts=True)
    for event, row, many in zip(events.tolist(), unwritten[first].tolist(), count.tolist(), strict=True):
        yield event, _of_mark("route_assumed", named(row), count=many)


def _about_breaths(course: Course) -> Iterator[tuple[int, Problem]]:
    events, count = np.unique(course.pauses.slot[breaths_by_pattern(course)], return_counts=True)
    for event, many in zip(events.tolist(), count.tolist(), strict=True):
        yield event, problem("breaths_inferred", count=many)

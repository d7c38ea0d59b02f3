"""What the course found odd, as problems that the user sees."""

from collections.abc import Iterator
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
    """Return what is odd in the structure of one event.

    ``names``: the leading mark of each occurrence, ``source:place``.
    """
    return [
        *_about_context(context),
        *_about_zero(course, names),
        *_about_sources(course, aligned),
        *_about_episodes(course, names),
        *_about_doses(course, names),
        *_about_breaths(course),
    ]


def _at(course: Course, rows: Ints) -> list[str]:
    return [clock(us / US) for us in axis.time_of(course.placing.marks(rows)).tolist()]


def _about_context(context: Context) -> Iterator[Problem]:
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


def _about_zero(course: Course, names: list[str]) -> Iterator[Problem]:
    structure = course.structure
    if structure.basis[0] == ASSUMED:
        mark = int(structure.zero.mark[0])
        yield _of_mark("zero_assumed", names[mark])


def _of_mark(code: str, name: str, **values: object) -> Problem:
    source_id, _, place = name.partition(":")
    return problem(code, source_id, place, **values)


def _about_sources(course: Course, aligned: Aligned) -> Iterator[Problem]:
    structure, occ = course.structure, course.structure.occurrences
    starting = np.bincount(occ.source[occ.of(*BEGINS)], minlength=len(aligned.members)) > 0
    singles = np.bincount(occ.source[occ.of("compression")], minlength=len(aligned.members)) > 0
    for row, source in enumerate(aligned.members):
        if starting[row] and structure.order[row] < 0:
            yield problem("singles_too_coarse" if singles[row] else "starts_alone", source.source_id)
    asked = np.flatnonzero(structure.order >= 0)
    for row in asked[structure.order[asked] > 0]:
        apart = _disagreement(course, int(row), int(asked[structure.order[asked] == 0][0]))
        if apart > DIFFERS_US:
            yield problem("hands_on_disagree", aligned.members[row].source_id, apart=clock(apart / US))


def _disagreement(course: Course, first: int, second: int) -> int:
    """Return how long two sources that both cover say different things of the hands. [us]"""
    told, placing = course.structure.seen, course.placing
    event = np.zeros(1, np.int64)

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


def _about_episodes(course: Course, names: list[str]) -> Iterator[Problem]:
    structure, occ, episodes = course.structure, course.structure.occurrences, course.structure.episodes
    for row, at in zip(structure.absorbed.tolist(), _at(course, structure.absorbed), strict=True):
        yield _of_mark("compressions_across_rosc", names[row], at=at)
    for row in episodes.opened.mark[episodes.implied].tolist():
        yield _of_mark("rearrest_implied", names[row], at=_at(course, np.array([row]))[0])
    if episodes.closed_by[-1] == LAST_MARK:
        yield problem("end_assumed")
    if (episodes.closed_by != ROSC)[-1] and episodes.closed_by[-1] not in (LAST_MARK, BY_REVIEWER):
        late = np.flatnonzero(occ.of(*BEGINS, "shock"))
        late = late[course.placing.marks(late) > course.episode_end[-1]]
        if len(late):
            yield _of_mark("work_after_end", names[int(late[0])], at=_at(course, late[:1])[0])


def _about_doses(course: Course, names: list[str]) -> Iterator[Problem]:
    structure, occ = course.structure, course.structure.occurrences
    unwritten = structure.doses[(structure.why_not == 0) & (occ.route.code[structure.doses] < 0)]
    if len(unwritten):
        yield _of_mark("route_assumed", names[int(unwritten[0])], count=len(unwritten))


def _about_breaths(course: Course) -> Iterator[Problem]:
    count = int(breaths_by_pattern(course).sum())
    if count:
        yield problem("breaths_inferred", count=count)

"""What would settle an uncertain figure: the same draws again, each time with one thing known."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from debrief.assess.findings import COVERED_AT_LEAST, FRACTIONS, findings
from debrief.clocks.align import Aligned
from debrief.clocks.draws import Sure, draw
from debrief.course import place
from debrief.measures import Answer, measure, shocks
from debrief.model import contract
from debrief.model.figures import Facts
from debrief.model.structure import ASSUMED, Course
from debrief.model.times import US
from debrief.targets import Edition, judge
from debrief.words import say

DRAWS = 200
COARSE_US = US
"""A cell finer than this leaves nothing to be settled. [us]"""


@dataclass(frozen=True)
class Known:
    """One thing that could be known of one source, and what it is called in ``words``."""

    what: str
    source: str
    sure: Sure


def settled(
    figures: list[contract.Figure],
    course: Course,
    answers: Mapping[str, Answer],
    aligned: Aligned,
    edition: Edition,
    facts: Facts,
    window_us: int | None,
) -> list[contract.Figure]:
    """Return figures in which every uncertain verdict says what would make it sure."""
    doubted = {figure["name"]: figure for figure in figures if figure["verdict"] == "uncertain"}
    if not doubted:
        return figures
    told = {name: text for name in doubted if (text := _of_structure(name, course, answers))}
    open_to = [name for name in doubted if name not in told]
    best: dict[str, tuple[float, str]] = {}
    for known in _knowable(course, aligned) if open_to else ():
        drawn = draw(course.structure.occurrences, DRAWS, aligned.spreads, known.sure)
        wanted = (*open_to, "compression_coverage")
        sampled = measure(place(course.structure, drawn, window_us=window_us), wanted)
        for finding in findings(course, {name: answers[name] for name in wanted}, sampled):
            name = finding.name
            if name not in open_to or name in told or finding.low is None or finding.high is None:
                continue
            if judge(finding, edition, facts)["verdict"] != "uncertain":
                told[name] = say(f"settling.{known.what}", source=known.source)
            best[name] = min(
                best.get(name, (np.inf, "")),
                (finding.high - finding.low, say(f"settling.part_{known.what}", source=known.source)),
            )
    return [
        figure | {"settled_by": told.get(figure["name"]) or best.get(figure["name"], (0, None))[1]}
        if figure["name"] in doubted
        else figure
        for figure in figures
    ]


def _of_structure(name: str, course: Course, answers: Mapping[str, Answer]) -> str | None:
    """Return what would settle a figure whose doubt no draw touches."""
    if name.startswith("time_to_") and course.structure.basis[0] == ASSUMED:
        return say("settling.zero")
    if name in FRACTIONS and answers["compression_coverage"].value[0] < COVERED_AT_LEAST:
        return say("settling.coverage")
    if name.startswith(shocks.AROUND) and shocks.loose(course).any():
        return say("settling.shocks")
    return None


def _knowable(course: Course, aligned: Aligned) -> Iterator[Known]:
    """Return what could be known of each source: its clock, its times to the second, how late it is."""
    occ = course.structure.occurrences
    for row, (source, spread) in enumerate(zip(aligned.members, aligned.spreads, strict=True)):
        name = source.name or source.file
        if spread.shift[0] != spread.shift[-1]:
            yield Known("clock", name, Sure(clocks=(row,)))
        mine = occ.half[occ.source == row]
        if len(mine) and 2 * int(mine.max()) > COARSE_US:
            yield Known("cell", name, Sure(cells=(row,)))
        if spread.lag.max() > 0:
            yield Known("lag", name, Sure(lags=(row,)))

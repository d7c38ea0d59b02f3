"""Write an assessed event as the contract asks: plain values, seconds from time zero, names of marks."""

from collections.abc import Iterable
from itertools import groupby

import numpy as np

from debrief.assess.findings import number
from debrief.measures import MEASURES
from debrief.measures.causes import explain
from debrief.measures.minutes import by_minute
from debrief.measures.shocks import ShockPauses
from debrief.model import axis, contract
from debrief.model.axis import Floats, Ints
from debrief.model.hands import Edges
from debrief.model.spans import Spans, intersect, subtract
from debrief.model.structure import BASES, CLOSED, OPENED, WHY_NOT, Course
from debrief.model.times import to_s
from debrief.words import CAUSES, KINDS, RHYTHMS, SHOCKABLE_RHYTHMS

NAMED_ONE_BY_ONE = 12
"""Marks of one source up to this many are named each; more as a run, first to last."""

ADVICE = {"advised": "shockable", "not_advised": "not_shockable"}
KIND_NAMES = tuple(KINDS)
"""Names of kinds by code."""


class Writer:
    """Writes the lists of the contract for one event placed at its point times.

    ``seen_by``: for each occurrence the names of its marks, ``source:place``, the leading one first;
    ``source_ids``: by row of the sources.
    """

    def __init__(self, course: Course, seen_by: list[list[str]], source_ids: list[str]) -> None:
        self.course, self.seen_by, self.source_ids = course, seen_by, source_ids
        self.occ = course.structure.occurrences

    def marks(self, rows: Iterable[int]) -> list[str]:
        """Return the names of the marks behind occurrences, many of one source as a run."""
        names = [name for row in sorted(set(rows)) if row >= 0 for name in self.seen_by[row]]
        written = []
        for source, group in groupby(sorted(names, key=_source), key=_source):
            held = list(group)
            if len(held) > NAMED_ONE_BY_ONE:
                held = [f"{held[0]}-{held[-1].removeprefix(f'{source}:')}"]
            written.extend(held)
        return written

    def at(self, edges: Edges, index: int) -> list[str]:
        """Return the mark behind one edge."""
        return self.marks([int(edges.mark[index])])

    def episodes(self) -> list[contract.Episode]:
        """Write the stretches of arrest."""
        course, episodes = self.course, self.course.structure.episodes
        return [
            contract.Episode(
                start=start,
                end=end,
                opened_by=OPENED[opened],
                closed_by=CLOSED[closed],
                implied=bool(implied),
            )
            for start, end, opened, closed, implied in zip(
                _seconds(course.episode_start),
                _seconds(course.episode_end),
                episodes.opened_by,
                episodes.closed_by,
                episodes.implied,
                strict=True,
            )
        ]

    def first_rhythm(self, stated: str | None) -> contract.FirstRhythm | None:
        """Write the first rhythm: the one stated for the event, else the one that was labelled."""
        if stated in RHYTHMS:
            return contract.FirstRhythm(rhythm=stated, shockable=stated in SHOCKABLE_RHYTHMS, marks=[])
        row = int(self.course.structure.first_rhythm[0])
        name = self.occ.detail.text(row) if row >= 0 else None
        if name is None:
            return None
        name = ADVICE.get(name, name)
        return contract.FirstRhythm(rhythm=name, shockable=name in SHOCKABLE_RHYTHMS, marks=self.marks([row]))

    def hands_on(self) -> list[contract.HandsOn]:
        """Write hands-on as its sources tell it, manual and mechanical apart; short gaps left open."""
        course, order = self.course, self.course.structure.order
        written = []
        for nth, hands in enumerate(course.hands_by):
            source_id = self.source_ids[int(np.flatnonzero(order == nth)[0])]
            machine = intersect(hands, course.mechanical)
            for spans, manual in ((subtract(hands, course.mechanical), True), (machine, False)):
                written += [
                    contract.HandsOn(start=start, end=end, source_id=source_id, manual=manual)
                    for start, end in _pairs(spans)
                ]
        return sorted(written, key=lambda piece: piece["start"])

    def covered(self) -> list[list[float]]:
        """Write where compressions could have been seen, up to the end of the last episode."""
        ends = self.course.episode_end
        last = intersect(self.course.covered, Spans(np.zeros_like(ends[-1:]), ends[-1:]))
        return [[start, stop] for start, stop in _pairs(last)]

    def occurrences(self) -> list[contract.Occurrence]:
        """Write what happened. Bounds are the cell, the clock's spread, and a person's lateness."""
        occ, sources = self.occ, self.occ.sources
        time = axis.time_of(self.course.placing.marks(np.arange(len(occ))))
        begins, ends = occ.cells()
        low = time + begins + (sources.low - sources.lag)[occ.source]
        high = time + ends + sources.high[occ.source]
        return [
            contract.Occurrence(
                id=f"o{row + 1}",
                kind=KIND_NAMES[occ.kind[row]],
                detail=occ.detail.text(row),
                amount=number(float(occ.amount[row])),
                unit=occ.unit.text(row),
                route=occ.route.text(row),
                length=None if occ.length[row] < 0 else to_s(int(occ.length[row])),
                time=to_s(int(time[row])),
                low=to_s(int(low[row])),
                high=to_s(int(high[row])),
                lead=self.seen_by[row][0],
                marks=self.seen_by[row],
            )
            for row in range(len(occ))
        ]

    def evidence(self, name: str) -> tuple[list[list[float]], list[str]]:
        """Write where a figure was measured, and the marks behind it."""
        measure = next((measure for measure in MEASURES if measure.name == name), None)
        if measure is None:
            return [], []
        found = measure.evidence(self.course)
        return [[start, end] for start, end in _pairs(found.window)], self.marks(found.rows.tolist())

    def by_minute(self) -> list[contract.Minute]:
        """Write each minute from the first compression."""
        minutes = by_minute(self.course)
        return [
            contract.Minute(
                start=start,
                end=end,
                fraction=number(float(minutes.fraction[i])),
                delivered=None if minutes.delivered[i] < 0 else int(minutes.delivered[i]),
                longest_pause=number(float(minutes.longest_pause[i])),
                coverage=float(np.nan_to_num(minutes.coverage[i])),
            )
            for i, (start, end) in enumerate(zip(_seconds(minutes.start), _seconds(minutes.end), strict=True))
        ]

    def pauses(self) -> list[contract.Pause]:
        """Write the pauses, each with its cause."""
        course, names = self.course, list(CAUSES)
        causes = explain(course)
        episode = course.window_episode[
            np.searchsorted(course.windows.start, course.pauses.start, "right") - 1
        ]
        rows = np.flatnonzero((course.structure.order[self.occ.source] >= 0) & self.occ.of(*HANDS))
        where = course.placing.marks(rows)
        return [
            contract.Pause(
                start=start,
                end=end,
                length=to_s(int(course.pauses.length[i])),
                cause=names[causes.chosen[i]],
                also=[names[c] for c in np.flatnonzero(causes.fits[i]) if c != causes.chosen[i]],
                episode=int(episode[i]),
                marks=self.marks(
                    rows[(where >= course.pauses.start[i]) & (where <= course.pauses.end[i])].tolist()
                ),
            )
            for i, (start, end) in enumerate(_pairs(course.pauses))
        ]

    def shocks(
        self, pauses: ShockPauses, verdicts: list[dict[str, contract.Verdict]]
    ) -> list[contract.Shock]:
        """Write the shocks. ``verdicts``: for each, by the name of the figure."""
        structure = self.course.structure
        time = _seconds(self.course.shock)
        return [
            contract.Shock(
                time=time[i],
                energy=number(float(self.occ.amount[row])),
                rhythm=self._rhythm_before(row),
                episode=_episode(structure.shock_episode[i]),
                pre_shock_pause=number(float(pauses.before[i])),
                post_shock_pause=number(float(pauses.after[i])),
                peri_shock_pause=number(float(pauses.around[i])),
                verdicts=verdicts[i],
                marks=self.marks([row]),
            )
            for i, row in enumerate(structure.shocks.tolist())
        ]

    def _rhythm_before(self, row: int) -> str | None:
        labels = np.flatnonzero(self.occ.of("rhythm", "rhythm_check", "pulse_check", "analysis"))
        for label in labels[labels < row][::-1].tolist():
            if name := self.occ.detail.text(label):
                return ADVICE.get(name, name)
        return None

    def doses(self, gaps: Floats, verdicts: list[contract.Verdict | None]) -> list[contract.Dose]:
        """Write the doses. ``gaps``: to the counted dose of the same drug before, NaN without. [s]"""
        structure = self.course.structure
        time = _seconds(self.course.dose)
        return [
            contract.Dose(
                time=time[i],
                drug=self.occ.detail.text(row) or "unknown",
                dose=number(float(self.occ.amount[row])),
                unit=self.occ.unit.text(row),
                route=self.occ.route.text(row),
                counted=bool(structure.why_not[i] == 0),
                why_not=WHY_NOT[structure.why_not[i]] or None,
                gap=number(float(gaps[i])),
                verdict=verdicts[i],
                episode=_episode(structure.dose_episode[i]),
                marks=self.marks([row]),
            )
            for i, row in enumerate(structure.doses.tolist())
        ]

    def basis(self) -> tuple[str, list[str]]:
        """Write what decided time zero."""
        structure = self.course.structure
        return BASES[structure.basis[0]], self.at(structure.zero, 0)

    def end(self) -> contract.Moment:
        """Write the end of the event: that of its last episode."""
        episodes = self.course.structure.episodes
        return contract.Moment(
            time=_second(int(self.course.episode_end[-1])),
            basis=CLOSED[episodes.closed_by[-1]],
            marks=self.at(episodes.closed, -1),
        )


HANDS = (
    "compressions_start",
    "compressions_stop",
    "mechanical_start",
    "mechanical_stop",
    "pause",
    "compression",
)


def _source(name: str) -> str:
    return name.partition(":")[0]


def _episode(index: int) -> int | None:
    return None if index < 0 else int(index)


def _second(position: int) -> float:
    return to_s(int(axis.time_of(np.array([position]))[0]))


def _seconds(position: Ints) -> list[float]:
    return [to_s(us) for us in axis.time_of(position).tolist()]


def _pairs(spans: Spans) -> list[tuple[float, float]]:
    return list(zip(_seconds(spans.start), _seconds(spans.end), strict=True))

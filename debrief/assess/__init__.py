"""Assess an event: the one place that joins reading, clocks, course, measures and targets."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from debrief import __version__, importers
from debrief.assess.clocks import borrowed, clocks_out
from debrief.assess.findings import facts, findings, people, population
from debrief.assess.notices import notices
from debrief.assess.report import Writer
from debrief.assess.settling import settled
from debrief.assess.verdicts import dose_verdicts, shock_verdicts
from debrief.clocks.align import Aligned, align, only, within
from debrief.clocks.checks import STALE_DAYS
from debrief.clocks.draws import draw
from debrief.clocks.lateness import LAG_S
from debrief.clocks.reconcile import reconcile
from debrief.course import decide, place
from debrief.errors import BadSetting, NothingMeasurable
from debrief.importers.corrections import CORRECTIONS
from debrief.measures import Answer, measure
from debrief.measures.causes import seconds_by_cause, what_if
from debrief.model import contract
from debrief.model.axis import Ints
from debrief.model.event import Event
from debrief.model.occurrences import from_marks
from debrief.model.problems import Problem, problem
from debrief.model.structure import ABSENT, Course, PointTimes
from debrief.model.times import MINUTE_US, US, to_us
from debrief.targets import Edition, decided, judge, load
from debrief.targets.again import beside_value
from debrief.words import KINDS, say

DRAWS = 500
WHAT_IF_S = 10


@dataclass(frozen=True)
class Asked:
    """How an event is to be assessed. Times in seconds."""

    edition: str | None = None
    site: Path | None = None
    min_pause_s: float = 1.0
    window: str = "whole"
    draws: int = DRAWS
    beside: str | None = None
    """A second edition, whose targets are shown beside the first's, each with its own verdict."""

    def window_us(self) -> int | None:
        """Return how long from the first compression hands-on is asked for, null for all of it. [us]

        Raises
        ------
        BadSetting
            Where the window is none of ``whole``, ``first:5min``, ``first:90s``.
        """
        if self.window == "whole":
            return None
        head, _, length = self.window.partition(":")
        for unit, size in (("min", MINUTE_US), ("s", US)):
            digits = length.removesuffix(unit)
            if head == "first" and length.endswith(unit) and digits.isdecimal() and int(digits):
                return int(digits) * size
        raise BadSetting(say("assess.bad_window", read=self.window))

    def check(self) -> None:
        """Refuse what cannot be.

        Raises
        ------
        BadSetting
            Where the window, the shortest pause, an edition or the site's file cannot be used.
        """
        self.window_us()
        if not 0.01 <= self.min_pause_s <= 60:
            raise BadSetting(say("assess.bad_min_pause", read=f"{self.min_pause_s:g}"))
        load(self.edition, self.site)
        if self.beside:
            load(self.beside, self.site)


@dataclass(frozen=True)
class Assessment:
    """One event, measured and judged. ``to_dict`` gives it in the form that others read."""

    event: Event
    asked: Asked
    aligned: Aligned
    edition: Edition
    beside: Edition | None
    course: Course
    answers: Mapping[str, Answer]
    drawn_course: Course | None
    drawn: Mapping[str, Answer] | None
    problems: tuple[Problem, ...]
    seen_by: list[list[str]] = field(repr=False)
    apart: tuple["Assessment", ...] = ()
    """What sources tell that stand on no clock of these, each group by itself."""

    def judged(self) -> list[contract.Figure]:
        """Return its own figures with their verdicts, without evidence or what would settle them."""
        known = facts(self.course, self.event.context)
        found = findings(self.course, self.answers, self.drawn)
        return [judge(finding, self.edition, known, self.beside) for finding in found]

    def particulars(self) -> dict[str, Any]:
        """Return what cohorts choose events by, beside their context.

        ``wall``: time zero as ISO 8601, or as a time of day alone, null where not known; ``first_rhythm`` and
        ``shockable``: null where none was seen; ``ended_as``: every end of efforts that was written, in
        order; ``population``; ``edition``; ``judging``: what verdicts hang on beside values and bounds
        (`targets.again`).
        """
        occ = self.course.structure.occurrences
        writer = Writer(self.course, [[""]] * len(occ), [one.source_id for one in self.aligned.members])
        rhythm = writer.first_rhythm(self.event.context.first_rhythm)
        ended = np.flatnonzero(occ.kind == KINDS["efforts_ended"].code).tolist()
        return {
            "wall": self.aligned.wall(int(self.course.placing.zero[0, 0])),
            "first_rhythm": rhythm and rhythm["rhythm"],
            "shockable": rhythm and rhythm["shockable"],
            "ended_as": [occ.detail.text(row) for row in ended],
            "population": population(self.event.context),
            "edition": self.edition.name,
            "judging": self._judging(),
        }

    def _judging(self) -> dict[str, Any]:
        known = facts(self.course, self.event.context)
        found = findings(self.course, self.answers, self.drawn)
        told = zip(found, (decided(finding, self.edition, known)[1] for finding in found), strict=True)
        beside = {finding.name: said for finding, verdict in told if (said := beside_value(finding, verdict))}
        return {"facts": asdict(known), "findings": beside}

    def to_dict(self) -> contract.Report:
        """Return the assessment as the contract ``debrief-1``."""
        context, course = self.event.context, self.course
        known = facts(course, context)
        hands = not course.structure.people.newborn[0]  # a newborn's pattern has no pauses in this sense
        writer = Writer(course, self.seen_by, [source.source_id for source in self.aligned.members])
        figures = self.judged()
        for figure in figures:
            figure["window"], figure["marks"] = writer.evidence(figure["name"])
        if self.drawn is not None:
            figures = settled(
                figures, course, self.answers, self.aligned, self.edition, known, self.asked.window_us()
            )
        apart = [each.to_dict() for each in self.apart]
        basis, zero_marks = writer.basis()
        pauses, shocks = shock_verdicts(course, self.drawn_course, self.edition, known)
        gaps, doses = dose_verdicts(course, self.drawn_course, self.edition, known)
        zero = int(course.placing.zero[0, 0])
        return contract.Report(
            format=contract.FORMAT,
            software=f"debrief {__version__}",
            definitions=contract.DEFINITIONS,
            inputs=[{"file": entry.file, "sha256": entry.sha256} for entry in self.event.inputs],
            event={key: value for key, value in asdict(context).items() if value is not None}
            | {"event_id": context.event_id, "population": known.population},
            edition=self.edition.name,
            parameters={
                "beside": None if self.beside is None else self.beside.name,
                "min_pause_s": self.asked.min_pause_s,
                "window": self.asked.window,
                "draws": self.asked.draws,
                "charting_lag_s": [0.0, LAG_S],
                "charting_lag_basis": "common practice",
                "bounds_percent": [2.5, 97.5],
                "off_by_cause_s": seconds_by_cause(course) if hands else {},
                "what_if_longest_pause_s": WHAT_IF_S,
                "what_if_fraction": what_if(course, WHAT_IF_S * US) if hands else None,
            },
            time_zero={"wall": self.aligned.wall(zero), "basis": basis, "marks": zero_marks},
            end=writer.end(),
            first_rhythm=writer.first_rhythm(context.first_rhythm),
            episodes=writer.episodes(),
            hands_on=writer.hands_on(),
            covered=writer.covered(),
            occurrences=writer.occurrences(),
            figures=borrowed(figures, apart),
            by_minute=writer.by_minute() if hands else [],
            pauses=writer.pauses() if hands else [],
            shocks=writer.shocks(pauses, shocks),
            doses=writer.doses(gaps, doses),
            sources=clocks_out(self.event.sources, [self.aligned, *(each.aligned for each in self.apart)]),
            problems=[contract.ProblemOut(**asdict(entry)) for entry in self.problems],  # type: ignore[typeddict-item]
            apart=apart,
        )


def assess(
    paths: Sequence[Path],
    *,
    settings: importers.Settings | None = None,
    edition: str | None = None,
    site: Path | None = None,
    min_pause_s: float = 1.0,
    window: str = "whole",
    draws: int = DRAWS,
    beside: str | None = None,
) -> Assessment:
    """Read, align, measure and judge one event.

    Parameters
    ----------
    paths : sequence of Path
        One folder with an event.json, or the files of one event.
    edition, site
        Which targets judge; null: the site's choice, else the default.
    min_pause_s : float
        Shortest gap that is a pause. [s]
    window : str
        ``whole``, or the first stretch of compressions: ``first:5min``, ``first:90s``.
    draws : int
        Draws of the uncertain times behind the bounds; 0 for none.
    beside
        A second edition: what it alone asks stands last among each figure's other targets.

    Raises
    ------
    UnreadableFile, BadSetting
        Where a file or a setting cannot be read.
    NothingMeasurable
        Where no mark can be placed in time.
    """
    event = importers.read_event(paths, settings or importers.Settings())
    return assess_event(event, Asked(edition, site, min_pause_s, window, draws, beside))


def assess_event(event: Event, asked: Asked) -> Assessment:
    """Align, measure and judge one event that was read.

    Raises
    ------
    BadSetting, NothingMeasurable
        As `assess`.
    """
    asked.check()
    window_us = asked.window_us()
    edition = load(asked.edition, asked.site)
    beside = load(asked.beside, asked.site) if asked.beside else None
    aligned = align(event, edition.clock_check_days or STALE_DAYS)
    if not len(aligned.marks):
        files = ", ".join(entry.file for entry in event.inputs)
        raise NothingMeasurable(say("assess.nothing", files=files, problems=_first_of(event.problems)))
    names = _names(aligned)
    occurrences = from_marks(aligned.marks, aligned.sources, aligned.source)
    linked, parted = (said - within(said, aligned.apart) for said in (event.linked, event.parted))
    reconciled = reconcile(occurrences, names, linked, parted)
    occ = reconciled.occurrences
    seen_by = [[names[row] for row in rows] for rows in reconciled.marks]
    zero_at, end_at, unread = _reviewed(event, aligned)
    structure = decide(
        occ,
        people(event.context),
        min_pause_us=to_us(asked.min_pause_s),
        zero_at=zero_at,
        end_at=end_at,
    )
    course = place(structure, PointTimes(occ), window_us=window_us)
    drawn_course, drawn = None, None
    if asked.draws:
        drawn_course = place(structure, draw(occ, asked.draws, aligned.spreads), window_us=window_us)
        drawn = measure(drawn_course)
    found = notices(course, aligned, [marks[0] for marks in seen_by], event.context)
    return Assessment(
        event=event,
        asked=asked,
        aligned=aligned,
        edition=edition,
        beside=beside,
        course=course,
        answers=measure(course),
        drawn_course=drawn_course,
        drawn=drawn,
        problems=(*event.problems, *aligned.problems, *reconciled.problems, *found, *unread),
        seen_by=seen_by,
        apart=_apart(event, aligned, asked),
    )


def _apart(event: Event, aligned: Aligned, asked: Asked) -> tuple[Assessment, ...]:
    """Return what the sources tell that nothing places, those whose clocks agree together."""
    if not aligned.apart:
        return ()
    try:
        first = assess_event(only(event, aligned.apart), asked)
    except NothingMeasurable:
        return ()
    return (replace(first, apart=()), *first.apart)


def _names(aligned: Aligned) -> list[str]:
    ids, places = aligned.marks["source_id"].to_pylist(), aligned.marks["place"].to_pylist()
    return [f"{source_id}:{place}" for source_id, place in zip(ids, places, strict=True)]


def _first_of(problems: Sequence[Problem]) -> str:
    return " ".join(entry.message for entry in problems if entry.severity != "note")


def _reviewed(event: Event, aligned: Aligned) -> tuple[Ints, Ints, list[Problem]]:
    """Return time zero and end on the reference clock as they were set, or that they were not. [us]

    What a reviewer set is told where that clock cannot read it.

    Raises
    ------
    BadSetting
        Where event.json says what cannot be read.
    """
    found, problems = [], []
    for name, text in (("time_zero", event.context.time_zero), ("end", event.context.end)):
        read = ABSENT if text is None else aligned.read(text)
        if read is None and name not in event.moments:
            raise BadSetting(say("assess.bad_moment", key=name, read=text))
        if read is None:
            moment = say(f"corrections.about_{name}")
            problems.append(problem("moment_unread", None, CORRECTIONS, moment=moment, read=text))
        found.append(np.array([ABSENT if read is None else read]))
    return found[0], found[1], problems

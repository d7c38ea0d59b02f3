"""A teaching copy of an event: the contract again, with nothing in it but elapsed time.

A copy is built, never scrubbed: of numbers that can be what they say, and of words of closed lists. No text
of the original goes over, so that nothing which was written can be overlooked. What a reviewer passed is the
one exception.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from debrief import __version__
from debrief.errors import BadSetting
from debrief.model import contract
from debrief.model.contract import Report
from debrief.model.structure import BASES, CLOSED
from debrief.teaching import told
from debrief.teaching.happened import Happened, episode, minute, stretches
from debrief.teaching.judged import UNITS_OF_FIGURES, Judged, called, edition_name
from debrief.teaching.naming import Names, with_apart
from debrief.teaching.risks import kept_of, risks_of
from debrief.teaching.tally import Removed, Tally, seconds
from debrief.words import say

__all__ = ["PassedNote", "Removed", "TeachingCopy", "teaching_copy"]


@dataclass(frozen=True)
class PassedNote:
    """A note that a reviewer passed: the mark by its new name, its time, and the text as rewritten. [s]"""

    mark: str
    time: float
    text: str


@dataclass(frozen=True)
class TeachingCopy:
    """An event with nobody in it.

    ``report`` has the shape of `contract.Report`; ``removed`` stands in order of items; ``kept`` and
    ``risks`` are sentences: what stayed, and what could still tell who it was.
    """

    report: Report
    removed: tuple[Removed, ...]
    kept: tuple[str, ...]
    risks: tuple[str, ...]
    notes: tuple[PassedNote, ...] = ()


def teaching_copy(report: Report, *, passed_notes: Mapping[str, str] | None = None) -> TeachingCopy:
    """Return the teaching copy of an event. The report is left as it was.

    Parameters
    ----------
    report
        The contract of one event.
    passed_notes
        Notes that a reviewer passed, as rewritten, by the mark that they stand at (``source:place``).

    Raises
    ------
    BadSetting
        Where a note is passed at a mark that is not on the timeline of the event.
    """
    passed = dict(passed_notes or {})
    names, tally = Names(report), Tally()
    happened = Happened(names, tally, passed)
    times = {
        mark: one["time"]
        for each in with_apart(report)
        for one in each["occurrences"]
        for mark in one["marks"]
    }
    for mark in passed:
        if mark not in times:
            raise BadSetting(say("teaching.no_such_mark", mark=mark))
    tally.drop("mark_name", len(times))
    made = _built(report, happened)
    notes = tuple(
        PassedNote(names.mark(mark) or "", seconds(times[mark]), text)
        for mark, text in sorted(passed.items(), key=lambda item: times[item[0]])
    )
    return TeachingCopy(
        report=made,
        removed=tally.removed(),
        kept=kept_of(made),
        risks=risks_of(made, [note.text for note in notes]),
        notes=notes,
    )


def _built(report: Report, happened: Happened) -> Report:
    """Return the copy of a report and of those apart from it."""
    names, tally = happened.names, happened.tally
    longest_s = _span_s(report)
    occurrences = [
        happened.occurrence(one, nth, longest_s) for nth, one in enumerate(report["occurrences"], 1)
    ]
    apart = [_built(each, happened) for each in report["apart"]]
    judged = Judged(names, tally, called(report["sources"], names), happened.lost)
    tally.drop("digest", len(report["inputs"]))
    if report["time_zero"]["wall"]:
        tally.drop("date")
    zero, end = report["time_zero"], report["end"]
    problems = (told.problem_told(one, names, tally) for one in report["problems"])
    return Report(
        format=contract.FORMAT,
        software=f"debrief {__version__}",
        definitions=int(report["definitions"]),
        inputs=[],
        event=told.about(report["event"], tally),
        edition=edition_name(report["edition"]),
        parameters=told.parameters(report["parameters"]),
        time_zero=contract.TimeZero(
            wall=None,
            basis=zero["basis"] if zero["basis"] in BASES else BASES[0],
            marks=names.marks(zero["marks"]),
        ),
        end=contract.Moment(
            time=seconds(end["time"]),
            basis=end["basis"] if end["basis"] in CLOSED else CLOSED[-1],
            marks=names.marks(end["marks"]),
        ),
        first_rhythm=happened.first_rhythm(report["first_rhythm"]),
        episodes=[episode(one) for one in report["episodes"]],
        hands_on=[happened.hands_on(one) for one in report["hands_on"]],
        covered=stretches(report["covered"]),
        occurrences=occurrences,
        figures=[
            judged.figure(one, report["apart"])
            for one in report["figures"]
            if one["name"] in UNITS_OF_FIGURES
        ],
        by_minute=[minute(one) for one in report["by_minute"]],
        pauses=[happened.pause(one) for one in report["pauses"]],
        shocks=[happened.shock(one, UNITS_OF_FIGURES) for one in report["shocks"]],
        doses=[happened.dose(one) for one in report["doses"]],
        sources=[told.source(one, names, tally) for one in report["sources"]],
        problems=[one for one in problems if one is not None],
        apart=apart,
    )


def _span_s(report: Report) -> float:
    """Return how long the event is, from its first mark to its last. [s]"""
    times = [0.0, seconds(report["end"]["time"]), *(seconds(one["time"]) for one in report["occurrences"])]
    return max(times) - min(times)

"""A teaching copy of an event: the contract again, with nothing in it but elapsed time.

A copy is built, never scrubbed: numbers that can be what they say, and words of closed lists. No text of
the original goes over, so that nothing which was written can be overlooked.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from debrief.model import contract


@dataclass(frozen=True)
class Removed:
    """What was left out, how often, and under which item of 45 CFR 164.514(b)(2)(i) it falls.

    ``item``: ``A`` to ``R``, or ``A-R`` for free text, which may hold any of them; ``what``: a name that
    ``teaching.removed_<what>`` says in words. The values are nowhere.
    """

    item: str
    what: str
    count: int


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

    report: contract.Report
    removed: tuple[Removed, ...]
    kept: tuple[str, ...]
    risks: tuple[str, ...]
    notes: tuple[PassedNote, ...] = ()


def teaching_copy(report: contract.Report, *, passed_notes: Mapping[str, str] | None = None) -> TeachingCopy:
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
        Where a note is passed at a mark that the event does not have.
    """
    raise NotImplementedError

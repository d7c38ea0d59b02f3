"""The records of a course: a structure tied to marks, the times given to it, and the course they make.

A structure holds rows of occurrences and edges tied to them, never times; so it can be decided once and
placed in time as often as needed.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol, TypeVar, cast

import numpy as np

from debrief.model import axis
from debrief.model.axis import Bools, Floats, Ints
from debrief.model.hands import NEVER, Edges, Runs, Seen, at
from debrief.model.occurrences import Occurrences
from debrief.model.spans import Spans

T = TypeVar("T")

BASES = ("reviewer", "poor_perfusion", "pulseless", "recognition", "assumed")
REVIEWER, POOR_PERFUSION, PULSELESS, RECOGNITION, ASSUMED = range(5)

OPENED = ("time_zero", "rearrest", "compressions", "shock")
AT_ZERO, AT_REARREST, AT_COMPRESSIONS, AT_SHOCK = range(4)

CLOSED = ("rosc", "ecls_flow", "efforts_ended", "reviewer", "last_mark", "last_compression_or_shock")
ROSC, ECLS_FLOW, EFFORTS_ENDED, BY_REVIEWER, LAST_MARK, LAST_COMPRESSION = range(6)

WHY_NOT = ("", "infusion", "other_route", "before_arrest", "outside_arrest")
COUNTED, INFUSION, OTHER_ROUTE, BEFORE_ARREST, OUTSIDE_ARREST = range(5)


@dataclass(frozen=True)
class People:
    """Who the events are about, one entry an event. ``weight``: NaN where not known. [kg]"""

    adult: Bools
    newborn: Bools
    weight: Floats


class Times(Protocol):
    """Where occurrences stand on their reference clock, in one or many draws."""

    @property
    def draws(self) -> int:
        """Number of draws; 1 for point times."""
        ...

    def of_marks(self, rows: Ints) -> Ints:
        """Return the times of rows: int64, shape (draws, n). [us]"""
        ...

    def of_edges(self, rows: Ints) -> Ints:
        """As `of_marks`, for edges of hands-on: those of a device or sensor are shifted whole. [us]"""
        ...


@dataclass(frozen=True)
class PointTimes:
    """The times as read, each at the point time of its cell."""

    occurrences: Occurrences
    draws: int = 1

    def of_marks(self, rows: Ints) -> Ints:
        """Return the point times of rows: int64, shape (1, n). [us]"""
        return self.occurrences.time[rows][None, :]

    of_edges = of_marks


@dataclass(frozen=True)
class Placing:
    """Times on the axis: slot ``draw * events + event``, with time zero of each in its middle.

    ``zero``: int64, shape (draws, events). [us]
    """

    occurrences: Occurrences
    times: Times
    zero: Ints

    @cached_property
    def _origin(self) -> Ints:
        """Where time 0 of the reference clock stands on the axis: int64, shape (draws, events). [us]"""
        draws, events = self.zero.shape
        return axis.middle(np.arange(draws * events)).reshape(draws, events) - self.zero

    def marks(self, rows: Ints) -> Ints:
        """Return where rows stand, draw by draw: int64, shape (draws * n,). [us]"""
        return (self.times.of_marks(rows) + self._origin[:, self.occurrences.event[rows]]).ravel()

    def moments(self, edges: Edges, event: Ints) -> Ints:
        """Return where edges stand, draw by draw, in its slot at the latest: int64, (draws * n,). [us]"""
        return self._edges(moments(self.times.of_marks, edges, self.times.draws), edges, event)

    def stretches(self, edges: Edges, event: Ints) -> Ints:
        """As `moments`, for the edges of hands-on. [us]"""
        return self._edges(moments(self.times.of_edges, edges, self.times.draws), edges, event)

    def _edges(self, time: Ints, edges: Edges, event: Ints) -> Ints:
        position = time + self._origin[:, event]
        if len(edges) and edges.plus.max() >= NEVER:
            draws, events = self.zero.shape
            position = np.minimum(position, axis.last(np.arange(draws)[:, None] * events + event))
        return position.ravel()


def moments(of: Callable[[Ints], Ints], edges: Edges, draws: int) -> Ints:
    """Return the times of edges: int64, shape (draws, n). [us]"""
    if (edges.mark >= 0).all():
        return of(edges.mark) + edges.plus
    tied = edges.mark >= 0
    time = np.zeros((draws, len(edges)), np.int64)
    time[:, tied] = of(edges.mark[tied])
    return time + edges.plus


@dataclass(frozen=True)
class Episodes:
    """Stretches of arrest, by event, then time. ``number`` counts from 0 in each event."""

    event: Ints
    number: Ints
    opened: Edges
    closed: Edges
    opened_by: Ints
    closed_by: Ints
    implied: Bools

    def __len__(self) -> int:
        return len(self.event)


@dataclass(frozen=True)
class Structure:
    """What was decided, as rows of ``occurrences``; -1 where there is none.

    One entry an event: ``zero``, ``basis`` (`BASES`), ``measured`` (some source tells hands-on time),
    ``first_compression``, ``first_rhythm``. One entry a source: ``order``, in which sources are asked for
    hands-on time (-1: not at all). ``mechanical``: where a device is at work,
    whoever says so; ``singles``: single compressions by hand inside an episode, of sources that tell
    hands-on time. One entry an item: ``shocks`` and ``doses`` with the row of ``episodes``
    they fall into, ``why_not`` (`WHY_NOT`). ``arrest_label``, one an
    occurrence: it names an arrest rhythm. ``begins``: where compressions begin in sources that do not
    tell hands-on time. ``absorbed``: ROSC across which compressions ran or resumed in passing.
    """

    occurrences: Occurrences
    people: People
    min_pause_us: int
    zero: Edges
    basis: Ints
    seen: Seen
    order: Ints
    measured: Bools
    mechanical: Runs
    singles: Ints
    begins: Ints
    begin_episode: Ints
    first_compression: Ints
    first_rhythm: Ints
    arrest_label: Bools
    episodes: Episodes
    shocks: Ints
    shock_episode: Ints
    doses: Ints
    dose_episode: Ints
    why_not: Ints
    absorbed: Ints


@dataclass(frozen=True, eq=False)
class Course:
    """A structure placed on the axis. Items keep their structure's order within each draw. [us]

    ``hands_by``: hands-on by the order of sources asked; ``hands_on``: of all, gaps under the shortest pause
    closed; ``mechanical``: where a device is at work, hands-on or not. ``opens``, ``closes``: the window of
    each episode, none where it closes no later than it opens.
    ``windows`` (one a row of ``window_episode``): where in them hands-on is asked for; ``asked``: the covered
    part of them; ``pauses``: its hands-off stretches; ``singles``: single compressions by hand in them.
    """

    structure: Structure
    placing: Placing
    slots: int
    hands_on: Spans
    hands_by: tuple[Spans, ...]
    mechanical: Spans
    covered: Spans
    episode_start: Ints
    episode_end: Ints
    opens: Ints
    closes: Ints
    windows: Spans
    window_episode: Ints
    asked: Spans
    pauses: Spans
    singles: Ints
    shock: Ints
    dose: Ints
    _derived: dict[object, object] = field(default_factory=dict, repr=False)

    def derived(self, of: "Callable[[Course], T]") -> T:
        """Return what a function makes of this course; several measures share it, made once."""
        if of not in self._derived:
            self._derived[of] = of(self)
        return cast(T, self._derived[of])

    @property
    def slot(self) -> Ints:
        """Every slot: int64, shape (slots,)."""
        return np.arange(self.slots)

    @property
    def draws(self) -> int:
        """Number of draws; 1 for point times."""
        return self.placing.times.draws

    def events_over_draws(self, per_event: Ints) -> Ints:
        """Return one entry an event as one entry a slot."""
        return np.tile(per_event, self.draws) if self.draws > 1 else per_event

    def items_over_draws(self, per_item: Ints, rows: int) -> Ints:
        """Return rows of a per-event table (episodes) as rows of the same table over all draws; -1 stays."""
        shifted = per_item + np.arange(self.draws)[:, None] * rows
        return np.asarray(np.where(per_item < 0, -1, shifted)).ravel()

    def first(self, row: Ints) -> Ints:
        """Return one row an event as time from zero in each slot, `ABSENT` where the row is -1. [us]"""
        return self.first_moment(at(row), row >= 0)

    def first_moment(self, edges: Edges, there: Bools) -> Ints:
        """As `first`, for edges."""
        found = np.full((self.draws, len(there)), ABSENT)
        if there.any():
            time = moments(self.placing.times.of_marks, edges.only(there), self.draws)
            found[:, there] = time - self.placing.zero[:, there]
        return found.ravel()


ABSENT = -(1 << 60)
"""In place of a time that there is not."""

"""An event as read: its context, its sources with their clocks, and the marks they hold."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import pyarrow as pa

from debrief.model.problems import Problem

WEIGHTS_KG = (0.3, 350.0)
"""What a patient can weigh, from the smallest newborn on; beyond it is a slip. Common practice. [kg]"""

SourceKind = Literal["device", "person", "sensor"]
Scale = Literal["utc", "local", "clock", "elapsed"]


@dataclass(frozen=True)
class Offset:
    """How far a source's clock stands from the reference: ``reference = source + offset``. [us]

    Of a source that counts from its own zero: from midnight of the reference's day.
    """

    offset: int
    low: int
    high: int
    by: Literal["stated", "accepted", "another_match", "by_hand"] = "stated"


@dataclass(frozen=True)
class ClockCheck:
    """What two clocks read at one moment, as written: the source's, and the one it was held ``against``.

    ``against`` null is the event's reference; ``date``: ISO, null where not known; ``then_set``: right after
    this, the clock was set by the other.
    """

    source_reads: str
    reference_reads: str
    date: str | None = None
    against: str | None = None
    then_set: bool = False


@dataclass(frozen=True)
class Source:
    """One file or one sitting of manual entry, with one clock.

    ``scale`` says what ``source_time`` counts from: ``utc`` and ``local`` from 1970-01-01, ``clock`` from
    midnight of the first row's day (no date known), ``elapsed`` from the source's own zero.
    ``clock`` is null where nobody has said how this clock stands to the reference.
    """

    source_id: str
    file: str
    kind: SourceKind
    importer: str
    scale: Scale
    rounding: Literal["down", "nearest", "unknown"] = "unknown"
    zone: str | None = None
    name: str = ""
    clock: Offset | None = None
    checks: tuple[ClockCheck, ...] = ()


@dataclass(frozen=True)
class Input:
    """A file that was read, and the digest of its bytes."""

    file: str
    sha256: str


@dataclass(frozen=True)
class Context:
    """What is known of the event beside its marks. Every item may be missing.

    ``outcome`` is in the site's words; the four after it are what registries ask for, entered once known.
    ``cerebral_performance``: the cerebral performance category at discharge, 1 (good) to 5 (dead).
    """

    event_id: str = "event"
    population: str | None = None
    age_years: float | None = None
    weight_kg: float | None = None
    date: str | None = None
    time_zone: str | None = None
    setting: str | None = None
    unit: str | None = None
    witnessed: bool | None = None
    monitored: bool | None = None
    first_rhythm: str | None = None
    outcome: str | None = None
    had_rosc: bool | None = None
    survived_event: bool | None = None
    discharged_alive: bool | None = None
    cerebral_performance: int | None = None
    local_reference: str | None = None
    reference: str | None = None
    time_zero: str | None = None
    end: str | None = None


FLAGS = ("witnessed", "monitored", "had_rosc", "survived_event", "discharged_alive")
"""Items of the context that are true or false."""
CATEGORIES = (1, 2, 3, 4, 5)
"""Cerebral performance: good, moderate disability, severe disability, no awareness, dead."""


@dataclass(frozen=True)
class Corrected:
    """A mark that a reviewer corrected.

    ``read`` is what its source says in the columns of the marks table that were changed; ``time_text`` the
    time that was written in place of its own, null where that stands.
    """

    read: Mapping[str, str | float | None]
    time_text: str | None = None


@dataclass(frozen=True)
class Event:
    """One resuscitation as its files tell it. ``marks`` follows ``model.marks.SCHEMA``; ``time`` is null."""

    context: Context
    sources: tuple[Source, ...]
    marks: pa.Table
    inputs: tuple[Input, ...]
    problems: tuple[Problem, ...] = ()
    removed: frozenset[str] = field(default_factory=frozenset)
    """Marks (``source:place``) that a reviewer took out; kept in the table, not counted."""
    linked: frozenset[tuple[str, str]] = field(default_factory=frozenset)
    """Pairs of marks that a reviewer says are one occurrence, each pair in order of its names."""
    parted: frozenset[tuple[str, str]] = field(default_factory=frozenset)
    """Pairs of marks that a reviewer says are two occurrences."""
    corrected: Mapping[str, Corrected] = field(default_factory=dict)
    """By name the marks that stand in the table otherwise than read, save ``time_text`` and ``label``."""
    moments: frozenset[str] = field(default_factory=frozenset)
    """Which of time zero and the end a reviewer set."""

"""The output contract, ``debrief-1``: what ``assess(...).to_dict()`` and ``--format json`` give.

Times are seconds from time zero, to the microsecond; lists stand in time order; null with a sentence
in ``because``, never NaN. Everything that shows an event (table, page, sheet) reads this and nothing else.
A mark is named ``source:place``, a run of them ``source:12-480``.
"""

from typing import Any, Literal, TypedDict

FORMAT = "debrief-1"
DEFINITIONS = 1
"""Version of the figures' definitions; a figure of one version is not compared with one of another."""

Verdict = Literal["met", "not_met", "uncertain", "no_data", "not_applicable", "no_target"]
Certainty = Literal["assessed", "not_assessed"]


class Moment(TypedDict):
    """The end of the event, and what decided it."""

    time: float
    basis: str
    marks: list[str]


class TimeZero(TypedDict):
    """Time zero: wall time where a date or clock is known (ISO 8601), and what decided it."""

    wall: str | None
    basis: str
    marks: list[str]


class FirstRhythm(TypedDict):
    """The rhythm at the start of the arrest."""

    rhythm: str
    shockable: bool
    marks: list[str]


class Episode(TypedDict):
    """A stretch of arrest. [s]"""

    start: float
    end: float
    opened_by: str
    closed_by: str
    implied: bool


class HandsOn(TypedDict):
    """A stretch of compressions, from the one source that was chosen for it. [s]"""

    start: float
    end: float
    source_id: str
    manual: bool


class Occurrence(TypedDict):
    """What happened once. ``low`` and ``high`` bound its time: its cell and its clock's spread. [s]"""

    id: str
    kind: str
    detail: str | None
    amount: float | None
    unit: str | None
    route: str | None
    length: float | None
    time: float
    low: float
    high: float
    lead: str
    marks: list[str]


class Target(TypedDict):
    """What somebody asks of a figure, with its source. ``rule`` is it in words: ``at least 80 %``."""

    id: str
    rule: str
    low: float | None
    low_included: bool
    high: float | None
    high_included: bool
    unit: str
    kind: Literal["guideline", "consensus", "study", "registry", "site"]
    edition: str
    citation: str
    basis: Literal["seen", "second_hand", "memory"]
    judged: bool
    verdict: Verdict


class Figure(TypedDict):
    """A value with unit, bounds, definition, window and the marks behind it.

    ``window`` lists the stretches it was measured over. [s] What only a second edition asks
    (``parameters["beside"]``) stands last in ``other_targets``; its ``edition`` begins with that one's name.
    ``settled_by``: what would make an uncertain verdict sure, a sentence; null with any other verdict.
    """

    name: str
    value: float | bool | None
    unit: str
    low: float | None
    high: float | None
    certainty: Certainty
    verdict: Verdict
    because: str | None
    settled_by: str | None
    target: Target | None
    other_targets: list[Target]
    window: list[list[float]]
    marks: list[str]


class Minute(TypedDict):
    """One minute, counted from the first compression. ``coverage`` and ``fraction`` are 0 to 1. [s]"""

    start: float
    end: float
    fraction: float | None
    delivered: int | None
    longest_pause: float | None
    coverage: float


class Pause(TypedDict):
    """A covered hands-off stretch. ``also`` lists the causes that fit as well. [s]"""

    start: float
    end: float
    length: float
    cause: str
    also: list[str]
    episode: int
    marks: list[str]


class Shock(TypedDict):
    """One shock. ``verdicts`` maps a figure's name to the verdict on this shock. [s, J]"""

    time: float
    energy: float | None
    rhythm: str | None
    episode: int | None
    pre_shock_pause: float | None
    post_shock_pause: float | None
    peri_shock_pause: float | None
    verdicts: dict[str, Verdict]
    marks: list[str]


class Dose(TypedDict):
    """One dose. ``gap``: to the counted dose before it in the same episode. [s]"""

    time: float
    drug: str
    dose: float | None
    unit: str | None
    route: str | None
    counted: bool
    why_not: str | None
    gap: float | None
    verdict: Verdict | None
    episode: int | None
    marks: list[str]


class ClockPair(TypedDict):
    """Two marks taken to be one occurrence. ``residual``: reference less aligned time of the source. [s]"""

    mark: str
    other: str
    residual: float


class ClockEvidence(TypedDict):
    """Why a clock is taken to stand where it does.

    ``kind``: ``reference``, ``reviewer``, ``stated``, ``clock_check`` or ``shared_marks``; ``text``: a
    sentence; ``pairs``: the marks that two sources share, by time.
    """

    kind: str
    text: str
    pairs: list[ClockPair]


class ClockOther(TypedDict):
    """Another offset that shared marks could mean, and how many of them pair up under it. [s]"""

    offset: float
    low: float
    high: float
    pairs: int


class ClockOut(TypedDict):
    """A source's clock map: ``reference = source + offset + (rate - 1) * (source - at)``. [s]

    ``low`` and ``high`` bound the offset; ``lag``: how late its marks are taken to be written, from and to.
    The offset of a source that counts from its own zero is from midnight of the reference's day.
    """

    offset: float
    at: float
    rate: float
    low: float
    high: float
    lag: list[float]
    evidence: list[ClockEvidence]
    others: list[ClockOther]


class SourceOut(TypedDict):
    """One source. Those of one ``group`` share a timeline; group 1 is that of the reference.

    ``clock`` is null outside group 1; ``offers`` are then ways in which its marks may match, the best first.
    ``scale``: what its times count from: ``utc``, ``local``, ``clock`` (hours without a date) or ``elapsed``.
    """

    source_id: str
    file: str
    name: str
    kind: str
    scale: str
    group: int
    clock: ClockOut | None
    offers: list[ClockOther]


class ProblemOut(TypedDict):
    """Something wrong or odd in the data."""

    source_id: str | None
    place: str | None
    severity: Literal["note", "check", "blocking"]
    code: str
    message: str


class Report(TypedDict):
    """All that was measured of one event.

    ``apart``: what sources tell whose clocks could not be brought onto the reference, a report a group, each
    with its own time zero.
    """

    format: str
    software: str
    definitions: int
    inputs: list[dict[str, str]]
    event: dict[str, Any]
    edition: str
    parameters: dict[str, Any]
    time_zero: TimeZero
    end: Moment
    first_rhythm: FirstRhythm | None
    episodes: list[Episode]
    hands_on: list[HandsOn]
    covered: list[list[float]]
    occurrences: list[Occurrence]
    figures: list[Figure]
    by_minute: list[Minute]
    pauses: list[Pause]
    shocks: list[Shock]
    doses: list[Dose]
    sources: list[SourceOut]
    problems: list[ProblemOut]
    apart: list["Report"]

"""What a measure answers: one value a slot, and why where there is none."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from debrief.model.axis import Bools, Floats, Ints
from debrief.model.figures import State
from debrief.model.spans import NONE, Spans
from debrief.model.structure import ABSENT, Course
from debrief.model.times import US

T = TypeVar("T", np.bool_, np.int64, np.float64)


class Why(IntEnum):
    """Why there is no value. The sentence of each stands in ``words/english/because.toml``."""

    KNOWN = 0
    NO_INTERRUPTIONS = 1
    NO_COMPRESSION = 2
    NO_WINDOW = 3
    NOT_COVERED = 4
    NO_SHOCK = 5
    NO_SHOCK_RECORD = 6
    NO_SHOCK_SEEN = 7
    NO_SHOCK_NEEDED = 8
    ONE_SHOCK = 9
    NO_ENERGY = 10
    NONE_AROUND = 11
    NO_DOSE = 12
    NO_DRUG_RECORD = 13
    NO_DOSE_SEEN = 14
    NO_DOSE_NEEDED = 15
    ONE_DOSE = 16
    NO_AIRWAY = 17
    NO_AIRWAY_RECORD = 18
    NO_AIRWAY_SEEN = 19
    NO_AIRWAY_NEEDED = 20
    NOT_CONFIRMED = 21
    NO_ROSC = 22
    NO_OUTCOME = 23
    SHORT_AFTER_ROSC = 24
    NO_CALL = 25
    NO_ARRIVAL = 26
    NO_LABEL_BEFORE = 27
    BEFORE_ZERO = 28
    NO_COMPRESSION_SEEN = 29
    NEWBORN = 30
    NO_MARKS = 31
    NOT_IN_REGISTRY_RULE = 32
    NO_SHORT_WINDOW = 33
    NO_SENSOR = 34
    NO_RUN = 35
    NO_DEPTH = 36
    DEPTH_BY_CHEST = 37
    NO_RECOIL = 38
    NO_PHASE = 39
    NO_ETCO2 = 40
    ENDED_BEFORE_20_MIN = 41
    NO_VENTILATION = 42
    NO_WHOLE_MINUTE = 43
    NO_CHECK = 44
    ONE_CHECK = 45
    NO_CHANGE = 46
    ONE_CHANGE = 47
    NO_CHECK_PAUSE = 48
    NO_SHOCKABLE = 49
    NO_WEIGHT = 50
    NO_DOSE_AMOUNT = 51
    NO_ANTIARRHYTHMIC = 52
    NO_REARREST = 53
    NO_PAUSE = 54
    NO_SHOCK_FIRST = 55
    NO_DOSE_FIRST = 56
    ROSC_FIRST = 57
    ADULT_BY_WEIGHT = 58


_NO_DATA: State = "no_data"
STATES: dict[Why, State] = {
    **dict.fromkeys(Why, _NO_DATA),
    Why.KNOWN: "known",
    **dict.fromkeys(
        (Why.NO_SHOCK_SEEN, Why.NO_DOSE_SEEN, Why.NO_AIRWAY_SEEN, Why.NO_COMPRESSION_SEEN), "not_seen"
    ),
    **dict.fromkeys((Why.NO_SHOCK_NEEDED, Why.NO_DOSE_NEEDED, Why.NO_AIRWAY_NEEDED), "ended"),
    **dict.fromkeys(
        (
            Why.NO_SHOCK,
            Why.ONE_SHOCK,
            Why.NONE_AROUND,
            Why.NO_DOSE,
            Why.ONE_DOSE,
            Why.NO_AIRWAY,
            Why.NO_ROSC,
            Why.NO_LABEL_BEFORE,
            Why.BEFORE_ZERO,
            Why.NEWBORN,
            Why.NOT_IN_REGISTRY_RULE,
            Why.NO_SHORT_WINDOW,
            Why.DEPTH_BY_CHEST,
            Why.ENDED_BEFORE_20_MIN,
            Why.NO_WHOLE_MINUTE,
            Why.ONE_CHECK,
            Why.ONE_CHANGE,
            Why.NO_CHECK_PAUSE,
            Why.NO_SHOCKABLE,
            Why.NO_ANTIARRHYTHMIC,
            Why.NO_REARREST,
            Why.NO_PAUSE,
            Why.NO_SHOCK_FIRST,
            Why.NO_DOSE_FIRST,
            Why.ROSC_FIRST,
            Why.ADULT_BY_WEIGHT,
        ),
        "not_applicable",
    ),
}


@dataclass(frozen=True)
class Answer:
    """One value a slot.

    ``value``: float64, shape (slots,), NaN where there is none; ``why``: codes of `Why`; ``observed``: how
    long was looked where nothing was seen, NaN elsewhere. [s]
    """

    value: Floats
    why: Ints
    observed: Floats | None = None


@dataclass(frozen=True)
class Evidence:
    """Where a figure of one event was measured, and the rows of its occurrences behind it."""

    window: Spans
    rows: Ints


Compute = Callable[[Course], Answer]


@dataclass(frozen=True)
class Measure:
    """A figure: its name and unit, how it is computed for all slots at once, and where one event shows it.

    The unit of a yes or no is empty: its value is 1 or 0 here, true or false in the contract.
    ``hands`` marks figures of compressions, rate and pauses, which a newborn at birth does not have.
    """

    name: str
    unit: str
    compute: Compute
    evidence: Callable[[Course], Evidence]
    hands: bool = False


def answer(value: Floats, *missing: tuple[Bools, Why], observed: Floats | None = None) -> Answer:
    """Return values with the first reason that holds where there is none."""
    why = np.zeros(len(value), np.int64)
    value = value.copy()
    for holds, reason in reversed(missing):
        why[holds] = reason
        value[holds] = np.nan
    return Answer(value, why, observed)


def where_any(rows: Callable[[Course], Ints], why: Why, compute: Compute) -> Compute:
    """Return the computation, spared where no event has any of the rows that it needs."""

    def spared(course: Course) -> Answer:
        return compute(course) if (rows(course) >= 0).any() else nowhere(course, why)

    return spared


def nowhere(course: Course, why: Why) -> Answer:
    """Return no value in any slot, for one reason."""
    return Answer(np.full(course.slots, np.nan), np.full(course.slots, why, np.int64))


def seconds(us: Ints) -> Floats:
    """Return whole microseconds as seconds, `ABSENT` as NaN."""
    return np.where(us == ABSENT, np.nan, us / US)


def per_event(course: Course, values: NDArray[T]) -> NDArray[T]:
    """Return one entry an event as one a slot."""
    return np.tile(values, course.draws) if course.draws > 1 else values


def medians(slot: Ints, value: Floats, slots: int) -> Floats:
    """Return the median of each slot's finite values, NaN where it has none: float64, shape (slots,)."""
    finite = np.isfinite(value)
    if not finite.any():
        return np.full(slots, np.nan)
    slot, value = slot[finite], value[finite]
    value = value[np.lexsort((value, slot))]
    count = np.bincount(slot, minlength=slots)
    first = np.cumsum(count) - count
    some = count > 0
    found = np.full(slots, np.nan)
    low = value[first[some] + (count[some] - 1) // 2]
    found[some] = (low + value[first[some] + count[some] // 2]) / 2
    return found


def maxima(slot: Ints, value: Floats, slots: int) -> Floats:
    """Return the largest of each slot's finite values, NaN where it has none: float64, shape (slots,)."""
    found = np.full(slots, -np.inf)
    finite = np.isfinite(value)
    np.maximum.at(found, slot[finite], value[finite])
    return np.where(np.isinf(found), np.nan, found)


def nothing() -> Evidence:
    """Return evidence of nothing."""
    return Evidence(NONE, np.empty(0, np.int64))

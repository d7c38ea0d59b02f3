"""Hands on the chest: fractions, coverage, pauses."""

import numpy as np

from debrief.measures.answers import Answer, Evidence, Measure, Why, answer, maxima, medians, per_event
from debrief.model import axis, spans
from debrief.model.axis import Bools, Floats, Ints
from debrief.model.hands import BEGINS
from debrief.model.spans import Spans
from debrief.model.structure import Course
from debrief.model.times import US


def _missing(course: Course) -> tuple[tuple[Bools, Why], ...]:
    structure = course.structure
    return (
        (per_event(course, structure.first_compression < 0), Why.NO_COMPRESSION),
        (per_event(course, ~structure.measured), Why.NO_INTERRUPTIONS),
        (spans.totals(course.asked, course.slots) == 0, Why.NOT_COVERED),
    )


def _asked(course: Course) -> Floats:
    return spans.totals(course.asked, course.slots) / US


def _off(course: Course) -> Floats:
    return spans.totals(course.pauses, course.slots) / US


def _share(part: Floats, whole: Floats) -> Floats:
    share: Floats = np.divide(part, whole, out=np.full(len(whole), np.nan), where=whole > 0)
    return share


def fraction(course: Course) -> Answer:
    """Return hands-on time as a share of covered time in the windows. [1]"""
    asked = course.derived(_asked)
    return answer(_share(asked - course.derived(_off), asked), *course.derived(_missing))


def _before_first(course: Course) -> Floats:
    """Return how long each slot's first window could have opened earlier, at time zero. [s]"""
    return np.maximum(course.first(course.structure.first_compression), 0) / US


def fraction_from_recognition(course: Course) -> Answer:
    """Return the fraction with the first window opened at time zero. [1]"""
    asked = course.derived(_asked)
    early = course.derived(_before_first)
    return answer(_share(asked - course.derived(_off), asked + early), *course.derived(_missing))


def hands_off_time(course: Course) -> Answer:
    """Return covered hands-off time in the windows. [s]"""
    return answer(course.derived(_off), *course.derived(_missing))


def coverage(course: Course) -> Answer:
    """Return covered time as a share of the windows. [1]"""
    window = spans.totals(course.windows, course.slots) / US
    return answer(
        _share(course.derived(_asked), window),
        (per_event(course, course.structure.first_compression < 0), Why.NO_COMPRESSION),
        (window == 0, Why.NO_WINDOW),
    )


def _pause_lengths(course: Course) -> Floats:
    return course.pauses.length / US


def longest_pause(course: Course) -> Answer:
    """Return the longest hands-off stretch in the windows, 0 where covered and none. [s]"""
    longest = maxima(course.pauses.slot, course.derived(_pause_lengths), course.slots)
    return answer(np.nan_to_num(longest), *course.derived(_missing))


def median_pause(course: Course) -> Answer:
    """Return the median hands-off stretch in the windows. [s]"""
    middle = medians(course.pauses.slot, course.derived(_pause_lengths), course.slots)
    return answer(middle, *course.derived(_missing), (np.isnan(middle), Why.NO_PAUSE))


def _longer_than(course: Course, limit_us: int) -> Answer:
    slot = course.pauses.slot[course.pauses.length > limit_us]
    return answer(np.bincount(slot, minlength=course.slots).astype(float), *course.derived(_missing))


def pauses_over_10_s(course: Course) -> Answer:
    """Return how many pauses last longer than 10 s. [1]"""
    return _longer_than(course, 10 * US)


def pauses_over_20_s(course: Course) -> Answer:
    """Return how many pauses last longer than 20 s. [1]"""
    return _longer_than(course, 20 * US)


def last_compression_to_end(course: Course) -> Answer:
    """Return the time from the last compression or shock to the end of the last episode. [s]"""
    slot = axis.slot_of(course.episode_start)
    last = np.full(course.slots, -1)
    last[slot] = np.arange(len(slot))
    worked = np.where(course.closes > course.opens, course.closes, -1)[last]
    end = course.episode_end[last]
    return answer(
        (end - worked) / US,
        (per_event(course, course.structure.first_compression < 0), Why.NO_COMPRESSION),
        (per_event(course, ~course.structure.measured), Why.NO_INTERRUPTIONS),
        (worked < 0, Why.NO_WINDOW),
    )


def _whole(course: Course) -> Evidence:
    return Evidence(course.windows, _hands_rows(course, course.windows))


def _from_zero(course: Course) -> Evidence:
    opened = course.windows.start.copy()
    first = course.window_episode == 0
    opened[first] = axis.middle(np.zeros(int(first.sum()), np.int64))
    windows = Spans(opened, course.windows.end)
    return Evidence(windows, _hands_rows(course, windows))


def _hands_rows(course: Course, within: Spans) -> Ints:
    occ = course.structure.occurrences
    rows = np.flatnonzero(
        occ.of(*BEGINS, "compressions_stop", "mechanical_stop", "pause")
        & (course.structure.order[occ.source] >= 0)
    )
    return rows[spans.touching(within, course.placing.marks(rows)) >= 0]


def _of_pauses(course: Course, chosen: Bools) -> Evidence:
    pauses = course.pauses.only(chosen)
    return Evidence(pauses, _hands_rows(course, pauses))


def _all_pauses(course: Course) -> Evidence:
    return _of_pauses(course, course.pauses.length > 0)


def _longest(course: Course) -> Evidence:
    return _of_pauses(course, course.pauses.length == course.pauses.length.max(initial=0))


def _over_10(course: Course) -> Evidence:
    return _of_pauses(course, course.pauses.length > 10 * US)


def _over_20(course: Course) -> Evidence:
    return _of_pauses(course, course.pauses.length > 20 * US)


def _after_last(course: Course) -> Evidence:
    there = course.closes[-1:] > course.opens[-1:]
    after = Spans(course.closes[-1:], course.episode_end[-1:])
    after = after.only(there & (after.length > 0))
    return Evidence(after, _hands_rows(course, after))


MEASURES = (
    Measure("chest_compression_fraction", "1", fraction, _whole, hands=True),
    Measure(
        "chest_compression_fraction_from_recognition", "1", fraction_from_recognition, _from_zero, hands=True
    ),
    Measure("hands_off_time", "s", hands_off_time, _all_pauses, hands=True),
    Measure("compression_coverage", "1", coverage, _whole, hands=True),
    Measure("longest_pause", "s", longest_pause, _longest, hands=True),
    Measure("median_pause", "s", median_pause, _all_pauses, hands=True),
    Measure("pauses_over_10_s", "count", pauses_over_10_s, _over_10, hands=True),
    Measure("pauses_over_20_s", "count", pauses_over_20_s, _over_20, hands=True),
    Measure("last_compression_to_end", "s", last_compression_to_end, _after_last, hands=True),
)

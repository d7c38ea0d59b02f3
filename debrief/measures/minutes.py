"""Each minute of one event, counted from the first compression."""

from dataclasses import dataclass

import numpy as np

from debrief.course.hands import INSTANT_US
from debrief.model import spans
from debrief.model.axis import Floats, Ints
from debrief.model.structure import Course
from debrief.model.times import MINUTE_US, US


@dataclass(frozen=True)
class Minutes:
    """One row a minute; NaN where nothing was covered. ``delivered``: single compressions, -1 without."""

    start: Ints
    end: Ints
    fraction: Floats
    delivered: Ints
    longest_pause: Floats
    coverage: Floats


def by_minute(course: Course) -> Minutes:
    """Return hands-on, compressions delivered, longest pause [s] and coverage of each minute of one event.

    Minutes run from the first compression to the end of the last window; the last may be short. What lies
    outside the windows counts in neither.
    """
    windows, occ = course.windows, course.structure.occurrences
    if not len(windows):
        none = np.zeros(0)
        return Minutes(none.astype(np.int64), none.astype(np.int64), none, none.astype(np.int64), none, none)
    start = np.arange(windows.start[0], windows.end[-1], MINUTE_US)
    end = np.append(start[1:], windows.end[-1])
    window = spans.amount_within(windows, start, end)
    asked = spans.amount_within(course.asked, start, end)
    asked[asked <= INSTANT_US] = 0
    off = spans.amount_within(course.pauses, start, end)
    singles = occ.of("compression")
    at = course.placing.marks(np.flatnonzero(singles & (course.structure.order[occ.source] == 0)))
    ends = np.append(end[:-1], end[-1] + 1)  # the last compression ends the last minute
    counted = np.searchsorted(at, ends) - np.searchsorted(at, start)
    cut, minute = spans.intersect_keeping(spans.Spans(start, end), course.pauses)
    longest = np.zeros(len(start), np.int64)
    np.maximum.at(longest, minute, cut.length)
    with np.errstate(invalid="ignore", divide="ignore"):
        return Minutes(
            start,
            end,
            (asked - off) / np.where(asked > 0, asked, np.nan),
            counted if len(at) else np.full(len(start), -1),
            np.where(asked > 0, longest / US, np.nan),
            asked / np.where(window > 0, window, np.nan),
        )

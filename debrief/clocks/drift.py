"""How clocks drift, and where one was set: what is common to all its checks between two settings."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from debrief.clocks.line import Floats, Line, robust_line
from debrief.clocks.readings import Reading
from debrief.model.times import DAY_US, US, to_s
from debrief.words import say

DRIFT_US = US
"""How much a clock drifts in a day: about a second is typical of equipment (DICOM PS3.17, R.6.2). [us]"""

STEP_US = 10 * US
"""What no drift explains in a day: 100 parts in a million are 8.6 s. From memory. [us]"""

MOST = 100
"""So many checks, those nearest to the event, make a line at most."""


def drift(readings: Sequence[Reading]) -> Line | None:
    """Return how a clock drifts by readings on several days since it was last set, the slope in us a day.

    A clock that loses time has a rising line. Null where no two readings are a day apart.
    """
    placed = sorted((one for one in readings if one.placed), key=lambda reading: reading.at)
    last = stretches_of(placed)[-1][-MOST:] if placed else []
    return line_of(last, last[-1].at) if last else None


def drift_words(slope: float) -> str:
    """Return in a sentence what a clock loses or gains in a day. [us]"""
    return say("clocks.loses" if slope >= 0 else "clocks.gains", size=f"{abs(to_s(round(slope))):.2f}")


def stretches_of(readings: Sequence[Reading]) -> list[list[Reading]]:
    """Return readings in order of time, parted where the clock was set."""
    stretches = [[readings[0]]]
    for before, after in pairwise(readings):
        if before.check is after.check or _step(before, after):
            stretches.append([])
        stretches[-1].append(after)
    return stretches


def _step(before: Reading, after: Reading) -> bool:
    """Tell whether nothing but setting the clock, or a slip, explains what two readings in turn say."""
    days = (after.at - before.at) / DAY_US
    drift = days * (DRIFT_US if days < 1 else STEP_US)
    return abs(after.offset - before.offset) > before.half + after.half + drift


def line_of(readings: Sequence[Reading], at_us: int) -> Line | None:
    """Return the line through readings, days before and after a time, null where they are not a day apart.

    Its slope is bounded by how slopes spread and by how well the readings furthest apart were written. [us]
    """
    days, offsets, halves = columns_of(readings, at_us)
    first, last = int(days.argmin()), int(days.argmax())
    apart = days[last] - days[first]
    if apart < 1:
        return None
    line = robust_line(days, offsets, apart=1.0)
    half = float((halves[first] + halves[last]) / apart)
    return replace(line, low=min(line.low, line.slope - half), high=max(line.high, line.slope + half))


def columns_of(readings: Sequence[Reading], at_us: int) -> tuple[Floats, Floats, Floats]:
    """Return of readings: days from a time, offset [us], and how well that is known [us]."""
    days, offsets, halves = np.array(
        [((reading.at - at_us) / DAY_US, reading.offset, reading.half) for reading in readings], np.float64
    ).T
    return days, offsets, halves

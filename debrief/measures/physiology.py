"""What was breathed while an advanced airway was in: ventilations and end-tidal carbon dioxide."""

import numpy as np

from debrief.measures.answers import (
    Answer,
    Evidence,
    Measure,
    Why,
    answer,
    maxima,
    medians,
    per_event,
    where_any,
)
from debrief.measures.outcome import airway_in, first_rosc
from debrief.model import axis, spans
from debrief.model.axis import Bools, Floats, Ints
from debrief.model.structure import Course
from debrief.model.times import MINUTE_US

ATMOSPHERE_MMHG = 760.0
"""By definition, for readings in percent. [mmHg]"""

AT_20_US = (19 * MINUTE_US, 21 * MINUTE_US)
AROUND_ROSC_US = MINUTE_US


def _airway(course: Course) -> Ints:
    """Return where the first advanced airway stands in each slot, the far future where there is none. [us]"""
    row = course.derived(airway_in)
    at = course.first(row) + axis.middle(course.slot)
    return np.where(per_event(course, row < 0), np.iinfo(np.int64).max, at)


def _no_airway(course: Course) -> tuple[Bools, Why]:
    return per_event(course, course.derived(airway_in) < 0), Why.NO_AIRWAY


def etco2_mmhg(course: Course) -> tuple[Ints, Floats]:
    """Return the rows of end-tidal readings, and each in mmHg; NaN where its unit is not known."""
    occ = course.structure.occurrences
    rows = np.flatnonzero(occ.of("etco2"))
    percent = occ.unit.among("percent")[rows]
    known = occ.unit.among("mmHg")[rows] | percent
    value = occ.amount[rows] * np.where(percent, ATMOSPHERE_MMHG / 100, 1.0)
    return rows, np.where(known, value, np.nan)


def _readings(course: Course) -> tuple[Ints, Ints, Floats]:
    """Return slot, position and value of each reading while the airway is in, NaN before it. [us, mmHg]"""
    rows, value = etco2_mmhg(course)
    position = course.placing.marks(rows)
    slot = axis.slot_of(position)
    inside = position >= course.derived(_airway)[slot]
    return slot, position, np.where(inside, np.tile(value, course.draws), np.nan)


def etco2_lowest(course: Course) -> Answer:
    """Return the lowest end-tidal reading with an advanced airway during arrest. [mmHg]"""
    slot, position, value = course.derived(_readings)
    arrest = spans.merge(course.episode_start, course.episode_end)
    value = np.where(spans.touching(arrest, position) >= 0, value, np.nan)
    lowest = -maxima(slot, -value, course.slots)
    return answer(lowest, _no_airway(course), (np.isnan(lowest), Why.NO_ETCO2))


def etco2_at_20_min(course: Course) -> Answer:
    """Return the median end-tidal reading from 19 to 21 min after time zero. [mmHg]"""
    slot, position, value = course.derived(_readings)
    time = axis.time_of(position)
    value = np.where((time >= AT_20_US[0]) & (time <= AT_20_US[1]), value, np.nan)
    middle = medians(slot, value, course.slots)
    ended = np.zeros(course.slots, np.int64)
    ended[axis.slot_of(course.episode_end)] = axis.time_of(course.episode_end)
    return answer(
        middle,
        (ended < 20 * MINUTE_US, Why.ENDED_BEFORE_20_MIN),
        _no_airway(course),
        (np.isnan(middle), Why.NO_ETCO2),
    )


def etco2_rise_at_rosc(course: Course) -> Answer:
    """Return the largest reading in the minute after the first ROSC less the median of that before. [mmHg]"""
    slot, position, value = course.derived(_readings)
    rosc = course.derived(first_rosc)
    since = position - (course.first(rosc) + axis.middle(course.slot))[slot]
    before = medians(slot, np.where((since >= -AROUND_ROSC_US) & (since < 0), value, np.nan), course.slots)
    after = maxima(slot, np.where((since >= 0) & (since <= AROUND_ROSC_US), value, np.nan), course.slots)
    return answer(
        after - before,
        (per_event(course, rosc < 0), Why.NO_ROSC),
        _no_airway(course),
        (np.isnan(after - before), Why.NO_ETCO2),
    )


def ventilation_rate(course: Course) -> Answer:
    """Return the median of ventilations in each whole minute of arrest with an advanced airway. [/min]

    Minutes run from the airway, or the start of the episode; those before the first breath seen and after the
    last are not covered.
    """
    position = course.placing.marks(np.flatnonzero(course.structure.occurrences.of("ventilation")))
    slot = axis.slot_of(course.episode_start)
    opens = np.maximum(course.episode_start, course.derived(_airway)[slot])
    whole = np.maximum(course.episode_end - opens, 0) // MINUTE_US
    first = np.cumsum(whole) - whole
    episode = np.searchsorted(course.episode_start, position, "right") - 1
    since = np.where(episode >= 0, position - opens[episode], -1)
    inside = (since >= 0) & (since < whole[episode] * MINUTE_US)
    minute = (first[episode] + since // MINUTE_US)[inside]
    breaths = np.bincount(minute, minlength=int(whole.sum())).astype(float)
    of = np.repeat(slot, whole)
    low, high = np.full(course.slots, len(of)), np.full(course.slots, -1)
    np.minimum.at(low, of[minute], minute)
    np.maximum.at(high, of[minute], minute)
    at = np.arange(len(of))
    covered = (at >= low[of]) & (at <= high[of])
    return answer(
        medians(of[covered], breaths[covered], course.slots),
        _no_airway(course),
        (np.bincount(of, minlength=course.slots) == 0, Why.NO_WHOLE_MINUTE),
        (high < 0, Why.NO_VENTILATION),
    )


def _etco2_evidence(course: Course) -> Evidence:
    rows, value = etco2_mmhg(course)
    inside = np.isfinite(value) & (course.placing.marks(rows) >= course.derived(_airway)[0])
    return Evidence(_with_airway(course), rows[inside])


def _ventilation_evidence(course: Course) -> Evidence:
    return Evidence(_with_airway(course), np.flatnonzero(course.structure.occurrences.of("ventilation")))


def _with_airway(course: Course) -> spans.Spans:
    arrest = spans.merge(course.episode_start, course.episode_end)
    start = course.derived(_airway)[:1]
    return spans.intersect(arrest, spans.merge(start, np.maximum(course.episode_end[-1:], start)))


def _airways(course: Course) -> Ints:
    return course.derived(airway_in)


MEASURES = (
    Measure(
        "ventilation_rate",
        "/min",
        where_any(_airways, Why.NO_AIRWAY, ventilation_rate),
        _ventilation_evidence,
    ),
    Measure("etco2_lowest", "mmHg", where_any(_airways, Why.NO_AIRWAY, etco2_lowest), _etco2_evidence),
    Measure("etco2_at_20_min", "mmHg", etco2_at_20_min, _etco2_evidence),
    Measure("etco2_rise_at_rosc", "mmHg", etco2_rise_at_rosc, _etco2_evidence),
)

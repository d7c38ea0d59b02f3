"""The days of a column of clock times: one order of day and month for all, and days for bare times."""

from datetime import date, timedelta

import numpy as np

from debrief import words
from debrief.importers.notices import Told
from debrief.importers.parsed import Day, Parsed
from debrief.importers.written import Order, Triple, resolve
from debrief.model.axis import Ints
from debrief.model.columns import MISSING, Repeated
from debrief.model.times import DAY_US

_EPOCH = date(1970, 1, 1)
_FIRST_YEAR, _LAST_YEAR = 1970, 2099


def read_days(parsed: Parsed, said: Order | None, near: date | None, told: Told) -> Ints:
    """Return the date of each row as its midnight, all numeric ones in one order; ``MISSING`` for none. [us]

    Parameters
    ----------
    parsed
        What each row says.
    said
        Somebody's answer which of day and month comes first.
    near
        The date of the event, where it is known: it decides what is assumed where both orders fit.
    told
        Where to tell of dates that fit no order or no life, and to ask.
    """
    written = Repeated(parsed.day.values, np.where(parsed.known, parsed.day.codes, -1).astype(np.int32))
    rows = np.flatnonzero(parsed.known & parsed.day.where(lambda day: isinstance(day, Triple)))
    order = said or _order(written.take(rows), near, told)
    resolved = [resolve(day, order) if isinstance(day, Triple) else day for day in written.values]
    unfit = [isinstance(day, Triple) and resolve(day, order) is None for day in written.values]
    told.tell_each(
        "date_other_form", _flags(written, unfit), parsed.texts, order=words.say(f"importing.choice_{order}")
    )
    lived = [day is not None and _FIRST_YEAR <= day.year <= _LAST_YEAR for day in resolved]
    absurd = [day is not None and not real for day, real in zip(resolved, lived, strict=True)]
    told.tell_each("date_absurd", _flags(written, absurd), parsed.texts)
    midnights = [day_us(day) if day and real else MISSING for day, real in zip(resolved, lived, strict=True)]
    return np.array([*midnights, MISSING], np.int64)[written.codes]


def _flags(column: Repeated[Day], flags: list[bool]) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Return a flag of each value as one of each row; code -1 is no row."""
    return np.array([*flags, False], np.bool_)[column.codes]


def _order(triples: Repeated[Day], near: date | None, told: Told) -> Order:
    """Decide which of day and month comes first, by all rows, and ask where both fit them all."""
    codes, first, counts = np.unique(triples.codes, return_index=True, return_counts=True)
    values = [(triples.values[code], int(count)) for code, count in zip(codes, counts, strict=True)]
    days = [(day, count) for day, count in values if isinstance(day, Triple)]
    day_first = [resolve(day, "day_first") for day, _ in days]
    month_first = [resolve(day, "month_first") for day, _ in days]
    unfit = [
        sum(count for (_, count), day in zip(days, read, strict=True) if day is None)
        for read in (day_first, month_first)
    ]
    if unfit[0] != unfit[1] or day_first == month_first:
        return "day_first" if unfit[0] <= unfit[1] else "month_first"
    assumed: Order = "day_first"
    pairs = [(day_first[at], month_first[at]) for at in np.argsort(first)]
    both = next(((day, month) for day, month in pairs if day and month), None)
    if both and near and abs(both[1] - near) < abs(both[0] - near):
        assumed = "month_first"
    taken = both and both[assumed == "month_first"]
    told.ask("dates", assumed, "day_first", "month_first")
    order = words.say(f"importing.choice_{assumed}")
    told.tell("dates_ambiguous", order=order, day=f"{taken.day} {taken:%B %Y}" if taken else "?")
    return assumed


def on_their_days(clocks: Ints, days: Ints, start: date | None, near: int | None) -> Ints:
    """Return clock times with their days, each bare one on the day nearest the row before it. [us]

    The first row is on its own date, else on the day nearest the first dated row, else nearest ``near``,
    else on ``start``, else on day 0. ``MISSING`` where a row has no clock time, or no date.
    """
    found = np.full(len(clocks), MISSING)
    rows = np.flatnonzero(clocks != MISSING)
    if not len(rows):
        return found
    clock, day = clocks[rows], days[rows]
    dated = np.flatnonzero(day != MISSING)
    if len(dated):
        before = int(day[dated[0]] + clock[dated[0]])
    else:
        before = int(clock[0]) + (day_us(start) if start else 0) if near is None else near
    since = np.where(day == MISSING, 0, day)
    if day[0] == MISSING:
        since[0] = _nearest(before - clock[0])
    moved = np.zeros(len(rows), np.int64)
    moved[1:] = _nearest(clock[:-1] - clock[1:])
    moved[dated] = 0
    total = np.cumsum(moved)
    fixed = np.zeros(len(rows), np.int64)
    fixed[dated] = dated
    fixed = np.maximum.accumulate(fixed)
    found[rows] = since[fixed] + total - total[fixed] + clock
    return found


def _nearest(us: Ints) -> Ints:
    """Return the whole days nearest a stretch. [us]"""
    return (us + DAY_US // 2) // DAY_US * DAY_US


def day_us(day: date) -> int:
    """Return a date as microseconds from 1970-01-01."""
    return (day - _EPOCH).days * DAY_US


def day_of(wall: int) -> date:
    """Return the date of a wall time. [us from 1970-01-01]"""
    return _EPOCH + timedelta(days=wall // DAY_US)

"""A column of written times becomes times on its source's own clock.

Nothing is read cell by cell that only the column can tell: whether ``10:05`` is a clock time, which of day
and month comes first, on which day a bare time falls. What had to be assumed becomes a problem and, where it
matters, a question.
"""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal
from zoneinfo import ZoneInfo

import numpy as np

from debrief.importers.days import on_their_days, read_days
from debrief.importers.notices import Notice, Question, Told
from debrief.importers.parsed import Day, Parsed, parse_all
from debrief.importers.places import Places
from debrief.importers.written import Order, parse_day
from debrief.importers.zones import name_of, to_utc
from debrief.model.axis import Bools, Ints
from debrief.model.columns import MISSING, Repeated
from debrief.model.event import Scale
from debrief.model.times import DAY_US, HOUR_US, US

Form = Literal["clock", "elapsed"]
Rounding = Literal["down", "nearest", "unknown"]

_ASK_SPAN_US = 3 * HOUR_US
_FAR_US = DAY_US
_LATEST_US = 10**17
"""A count further from its zero than this (3000 years) is no time of an event."""


@dataclass(frozen=True)
class Rules:
    """What is known about a column of times beside the column itself.

    ``said`` and ``dates`` are somebody's answers, ``heading`` what the heading says; ``unit_s`` is the unit
    of plain numbers; ``date`` that of the first row; ``near`` a wall time close to the first row, where
    another source of the event gives one: from 1970-01-01 with a ``date``, else from midnight. [us]
    ``in_order`` is false where rows do not stand as they were recorded, ``one_event`` where they may be of
    several events, which may lie far apart.
    """

    said: Form | None = None
    heading: Form | None = None
    unit_s: float = 1.0
    dates: Order | None = None
    date: dt.date | None = None
    near: int | None = None
    zone: ZoneInfo | None = None
    rounding: Rounding = "unknown"
    column: str = "time"
    in_order: bool = True
    one_event: bool = True


@dataclass
class Times:
    """A column of times, read: int64, shape (n,), ``MISSING`` where a row has no time. [us]

    ``wall`` is the first time before any zone was applied, for sources that follow; ``writes_dates``: the
    rows have dates of their own.
    """

    scale: Scale
    source_time: Ints
    cell: Ints
    zone: str | None = None
    wall: int | None = None
    writes_dates: bool = False
    notices: list[Notice] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)

    def take(self, rows: Ints | Bools) -> "Times":
        """Return some of the times."""
        return replace(self, source_time=self.source_time[rows], cell=self.cell[rows])


def read(texts: Repeated[str], places: Places, rules: Rules, days: Repeated[str] | None = None) -> Times:
    """Return the times of one source.

    Parameters
    ----------
    texts, places
        The written times, and where each stands; one a row.
    rules
        What is known beside the column.
    days
        The cells of a separate date column.
    """
    told = Told(places, rules.column)
    parsed = _parsed(texts, days, told)
    form = _form(parsed, rules, told)
    impossible = parsed.known & (getattr(parsed, form) == MISSING)
    told.tell_each("time_unreadable", impossible, texts, column=rules.column)
    parsed = parsed.only(~impossible)
    found = _elapsed(parsed, rules, told) if form == "elapsed" else _clock(parsed, rules, told)
    _finest_cells(found, parsed)
    if rules.one_event:
        _leave_out_far(found, texts, told)
    if rules.in_order:
        _out_of_order(found, told)
    if rules.rounding != "nearest":
        coarse = found.cell > US
        found.source_time[coarse] += found.cell[coarse] // 2
    found.notices, found.questions = told.notices, told.questions
    return found


def _parsed(texts: Repeated[str], days: Repeated[str] | None, told: Told) -> Parsed:
    """Return what each row says by itself, with the date of its own column where there is one."""
    parsed = parse_all(texts)
    empty = texts.where(lambda text: not text)
    if empty.any():
        told.tell("time_missing", empty)
    told.tell_each("time_unreadable", ~empty & ~parsed.known, texts, column=told.column)
    if days is None:
        return parsed
    of_day: Callable[[str], Day] = parse_day
    read_as = days.map(of_day)
    bare = parsed.known & (parsed.clock != MISSING) & parsed.day.where(lambda day: day is None)
    dated = bare & days.where(bool)
    bad = dated & read_as.where(lambda day: day is None)
    told.tell_each("date_unreadable", bad, days)
    return parsed.with_days(dated, read_as).only(~bad)


def _form(parsed: Parsed, rules: Rules, told: Told) -> Form:
    """Decide whether the column holds clock times or elapsed ones, and ask where it cannot be told."""
    known = np.flatnonzero(parsed.known)
    clock, elapsed = parsed.clock[known], parsed.elapsed[known]
    clocks_alone = np.count_nonzero(elapsed == MISSING)
    said = rules.said or rules.heading
    if said and clocks_alone <= len(known) / 2:
        return said
    if clocks_alone or not len(known):
        return "clock"
    over = known[(clock == MISSING) & parsed.sure[known] & ~parsed.plain[known]]
    if len(over):
        told.tell("elapsed_assumed", over[0], read=parsed.texts[over[0]])
        return "elapsed"
    clocks = clock[clock != MISSING]
    if len(clocks) < len(known) / 2:
        return "elapsed"
    counts = bool(parsed.plain[known].all())
    if counts and not np.isin(parsed.decimals[known], (0, 2)).all():  # 12.25 among 13.5 is no clock
        return "elapsed"
    numbers = counts and not any(text.startswith("0") for text in parsed.texts.take(known))  # 0903: a clock
    both_fit = len(clocks) == len(known)
    if both_fit and (numbers or clocks[0] == 0 or _span(clocks) > _ASK_SPAN_US):
        told.ask("times", "clock", "clock", "elapsed")
        told.tell("times_ambiguous", read=parsed.texts[known[0]])
    return "clock"


def _span(clocks: Ints) -> int:
    """Return how far clock times reach, each on the day nearest the one before. [us]"""
    steps = (np.diff(clocks) + DAY_US // 2) % DAY_US - DAY_US // 2
    total = np.cumsum(steps)
    return int(total.max(initial=0) - total.min(initial=0))


def _elapsed(parsed: Parsed, rules: Rules, told: Told) -> Times:
    """Return times that count from the source's own zero."""
    unit_s = np.where(parsed.plain, rules.unit_s, 1.0)
    exact = unit_s == 1.0
    start, cell = parsed.elapsed, parsed.elapsed_cell
    absurd = parsed.known & (np.abs(start.astype(np.float64)) * unit_s > _LATEST_US)
    told.tell_each("time_unreadable", absurd, parsed.texts, column=told.column)
    known = parsed.known & ~absurd
    counted = np.where(known & ~exact, np.rint(np.where(known, start, 0) * unit_s), 0).astype(np.int64)
    width = np.where(known & ~exact, np.rint(cell * unit_s), 0).astype(np.int64)
    return Times(
        "elapsed",
        np.where(known, np.where(exact, start, counted), MISSING),
        np.where(known, np.where(exact, cell, width), MISSING),
    )


def _clock(parsed: Parsed, rules: Rules, told: Told) -> Times:
    """Return clock times, each on its day, in UTC where date and zone are known."""
    days = read_days(parsed, rules.dates, rules.date, told)
    undated = parsed.day.where(lambda day: day is None)
    placed = parsed.known & (undated | (days != MISSING))
    walls = on_their_days(np.where(placed, parsed.clock, MISSING), days, rules.date, rules.near)
    found = Times("clock", walls, np.where(placed, parsed.clock_cell, MISSING))
    rows = np.flatnonzero(placed)
    found.wall = int(walls[rows[0]]) if len(rows) else None
    found.writes_dates = bool((days != MISSING).any())
    if not found.writes_dates and rules.date is None:
        return found
    found.scale = "local"
    offset = np.where(parsed.known, parsed.offset, MISSING)
    stated = offset[offset != MISSING]
    fixed = dt.timezone(dt.timedelta(microseconds=int(stated[0]))) if len(stated) else None
    if zone := rules.zone or fixed:
        found.source_time, skipped, twice = to_utc(walls, offset, zone)
        found.scale, found.zone = "utc", name_of(zone)
        told.tell_each("hour_missing", skipped, parsed.texts, zone=zone)
        told.tell_each("hour_twice", twice, parsed.texts, zone=zone)
    return found


def _finest_cells(found: Times, parsed: Parsed) -> None:
    """Give all cells of a second, and all plain numbers, the width of the finest decimals of the source."""
    fine = (found.cell == US) | (parsed.plain & (found.scale == "elapsed") & (found.cell != MISSING))
    decimals = int(parsed.decimals[fine].max(initial=0))
    found.cell[fine] = np.maximum(1, found.cell[fine] // 10**decimals)


def far_apart(source_time: Ints) -> Ints:
    """Return how far each time lies from the middle one, where that is more than a day; else 0. [us]"""
    known = source_time[source_time != MISSING]
    if not len(known):
        return np.zeros(len(source_time), np.int64)
    middle = np.partition(known, (len(known) - 1) // 2)[(len(known) - 1) // 2]
    apart = np.abs(np.where(source_time == MISSING, middle, source_time) - middle)
    return np.where(apart > _FAR_US, apart, 0)


def _leave_out_far(found: Times, texts: Repeated[str], told: Told) -> None:
    """Leave out what lies more than a day from most of the source."""
    apart = far_apart(found.source_time)
    far = apart > 0
    days = [f"{us / DAY_US:.1f}" for us in apart[far].tolist()]
    for text in dict.fromkeys(days):
        same = np.zeros(len(far), np.bool_)
        same[np.flatnonzero(far)] = [day == text for day in days]
        told.tell_each("time_far", same, texts, days=text)
    found.source_time[far] = found.cell[far] = MISSING


def _out_of_order(found: Times, told: Told) -> None:
    """Tell of rows that are earlier than the row before them: late entries, which stay where they are."""
    known = np.flatnonzero(found.source_time != MISSING)
    start, cell = found.source_time[known], found.cell[known]
    late = known[1:][start[1:] + cell[1:] <= start[:-1]]
    if len(late):
        told.tell("out_of_order", late)

"""A column of written times becomes times on its source's own clock.

Nothing is read cell by cell that only the column can tell: whether ``10:05`` is a clock time, which of day
and month comes first, on which day a bare time falls. What had to be assumed becomes a problem and, where it
matters, a question.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from statistics import median_low
from typing import Literal
from zoneinfo import ZoneInfo

from debrief.importers.days import on_their_days, read_days
from debrief.importers.notices import Notice, Question, Told
from debrief.importers.written import Order, Written, parse, parse_day
from debrief.importers.zones import name_of, to_utc
from debrief.model.event import Scale
from debrief.model.times import DAY_US, HOUR_US, US

Form = Literal["clock", "elapsed"]
Rounding = Literal["down", "nearest", "unknown"]

_ASK_SPAN_US = 3 * HOUR_US
_FAR_US = DAY_US


@dataclass(frozen=True)
class Rules:
    """What is known about a column of times beside the column itself.

    ``said`` and ``dates`` are somebody's answers, ``heading`` what the heading says; ``unit_s`` is the unit
    of plain numbers; ``date`` that of the first row; ``near`` a wall time close to the first row, where
    another source of the event gives one: from 1970-01-01 with a ``date``, else from midnight. [us]
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


@dataclass
class Times:
    """A column of times, read. ``source_time`` and ``cell`` are null where a row has no time. [us]

    ``wall`` is the first time before any zone was applied, for sources that follow; ``writes_dates``: the
    rows have dates of their own.
    """

    scale: Scale
    source_time: list[int | None]
    cell: list[int | None]
    zone: str | None = None
    wall: int | None = None
    writes_dates: bool = False
    notices: list[Notice] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)


def read(
    texts: Sequence[str], places: Sequence[str], rules: Rules, days: Sequence[str] | None = None
) -> Times:
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
    told = Told(places)
    written = _parsed(texts, days, rules, told)
    form = _form(written, texts, rules, told)
    for row, one in enumerate(written):
        if one and getattr(one, form) is None:
            told.tell("time_unreadable", row, read=texts[row], column=rules.column)
            written[row] = None
    found = _elapsed(written, rules) if form == "elapsed" else _clock(written, texts, rules, told)
    _finest_cells(found, written)
    _far_apart(found, texts, told)
    _out_of_order(found, told)
    if rules.rounding != "nearest":
        found.source_time = [
            start + cell // 2 if start is not None and cell and cell > US else start
            for start, cell in zip(found.source_time, found.cell, strict=True)
        ]
    found.notices, found.questions = told.notices, told.questions
    return found


def _parsed(
    texts: Sequence[str], days: Sequence[str] | None, rules: Rules, told: Told
) -> list[Written | None]:
    """Return what each row says by itself, with the date of its own column where there is one."""
    found: list[Written | None] = []
    for row, text in enumerate(texts):
        one = parse(text) if text else None
        if not text:
            told.tell("time_missing", row)
        elif one is None:
            told.tell("time_unreadable", row, read=text, column=rules.column)
        elif days and days[row] and one.clock is not None and one.day is None:
            day = parse_day(days[row])
            if day is None:
                told.tell("date_unreadable", row, read=days[row])
            one = replace(one, elapsed=None, day=day) if day else None
        found.append(one)
    return found


def _form(written: Sequence[Written | None], texts: Sequence[str], rules: Rules, told: Told) -> Form:
    """Decide whether the column holds clock times or elapsed ones, and ask where it cannot be told."""
    known = [(row, one) for row, one in enumerate(written) if one]
    clocks_alone = sum(one.elapsed is None for _, one in known)
    said = rules.said or rules.heading
    if said and clocks_alone <= len(known) / 2:
        return said
    if clocks_alone or not known:
        return "clock"
    over = next((row for row, one in known if one.clock is None and one.sure and not one.plain), None)
    if over is not None:
        told.tell("elapsed_assumed", over, read=texts[over])
        return "elapsed"
    clocks = [one.clock for _, one in known if one.clock is not None]
    if len(clocks) < len(known) / 2:
        return "elapsed"
    both_fit = len(clocks) == len(known)
    numbers = all(one.plain and not texts[row].startswith("0") for row, one in known)  # 0903 is a clock
    if both_fit and (numbers or clocks[0] == 0 or _span(clocks) > _ASK_SPAN_US):
        told.ask("times", "clock", "clock", "elapsed")
        told.tell("times_ambiguous", read=texts[known[0][0]])
    return "clock"


def _span(clocks: Sequence[int]) -> int:
    """Return how far clock times reach, each on the day nearest the one before. [us]"""
    total = low = high = 0
    for before, after in pairwise(clocks):
        total += (after - before + DAY_US // 2) % DAY_US - DAY_US // 2
        low, high = min(low, total), max(high, total)
    return high - low


def _elapsed(written: Sequence[Written | None], rules: Rules) -> Times:
    """Return times that count from the source's own zero."""
    found = Times("elapsed", [None] * len(written), [None] * len(written))
    for row, one in enumerate(written):
        if one and one.elapsed is not None:
            unit_s = rules.unit_s if one.plain else 1.0
            found.source_time[row] = round(one.elapsed * unit_s)
            found.cell[row] = round(one.elapsed_cell * unit_s)
    return found


def _clock(written: Sequence[Written | None], texts: Sequence[str], rules: Rules, told: Told) -> Times:
    """Return clock times, each on its day, in UTC where date and zone are known."""
    days = read_days(written, texts, rules.dates, rules.date, told)
    placed = [one if one and (one.day is None or days[row]) else None for row, one in enumerate(written)]
    walls = on_their_days([one.clock if one else None for one in placed], days, rules.date, rules.near)
    found = Times("clock", walls, [one.clock_cell if one else None for one in placed])
    found.wall = next((wall for wall in walls if wall is not None), None)
    found.writes_dates = any(days)
    if not found.writes_dates and rules.date is None:
        return found
    found.scale = "local"
    offsets = [one.offset if one else None for one in written]
    fixed = next((dt.timezone(offset) for offset in offsets if offset is not None), None)
    if zone := rules.zone or fixed:
        found.source_time, doubts = to_utc(walls, offsets, zone)
        found.scale, found.zone = "utc", name_of(zone)
        for code, row in doubts:
            told.tell(code, row, read=texts[row], zone=zone)
    return found


def _finest_cells(found: Times, written: Sequence[Written | None]) -> None:
    """Give all cells of a second, and all plain numbers, the width of the finest decimals of the source."""
    fine = {
        row: one.decimals
        for row, (one, cell) in enumerate(zip(written, found.cell, strict=True))
        if one and (cell == US or (one.plain and found.scale == "elapsed"))
    }
    decimals = max(fine.values(), default=0)
    for row in fine:
        cell = found.cell[row]
        found.cell[row] = cell and max(1, cell // 10**decimals)


def _far_apart(found: Times, texts: Sequence[str], told: Told) -> None:
    """Leave out what lies more than a day from most of the source."""
    known = [start for start in found.source_time if start is not None]
    middle = median_low(known) if known else 0
    for row, start in enumerate(found.source_time):
        if start is not None and abs(start - middle) > _FAR_US:
            told.tell("time_far", row, read=texts[row], days=f"{abs(start - middle) / DAY_US:.1f}")
            found.source_time[row] = found.cell[row] = None


def _out_of_order(found: Times, told: Told) -> None:
    """Tell of rows that are earlier than the row before them: late entries, which stay where they are."""
    before: int | None = None
    for row, (start, cell) in enumerate(zip(found.source_time, found.cell, strict=True)):
        if start is None or cell is None:
            continue
        if before is not None and start + cell <= before:
            told.tell("out_of_order", row)
        before = start

"""A column of written times becomes times on its source's own clock.

Nothing is read cell by cell that only the column can tell: whether ``10:05`` is a clock time, which of day
and month comes first, on which day a bare time falls. What had to be assumed becomes a problem and, where
it matters, a question.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, timezone, tzinfo
from itertools import pairwise
from statistics import median_low
from typing import Literal
from zoneinfo import ZoneInfo

from debrief import words
from debrief.importers.notices import Choice, Notice, Question, notice
from debrief.importers.written import Triple, Written, parse, parse_day, resolve
from debrief.importers.zones import to_utc
from debrief.model.event import Scale
from debrief.model.times import DAY_US, HOUR_US, US

Form = Literal["clock", "elapsed"]
Order = Literal["day_first", "month_first"]
Rounding = Literal["down", "nearest", "unknown"]

EPOCH = date(1970, 1, 1)
_FIRST_YEAR, _LAST_YEAR = 1970, 2099
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
    column = _Column(texts, places, rules)
    written = column.parsed(days)
    form = column.form(written)
    starts: list[int | None]
    if form == "elapsed":
        starts, cells = column.elapsed(written)
        found = Times("elapsed", starts, cells)
    else:
        found = column.clock(written)
    _finest_cells(found, written, form)
    column.far_apart(found)
    column.out_of_order(found)
    if rules.rounding != "nearest":
        found.source_time = [
            start + cell // 2 if start is not None and cell and cell > US else start
            for start, cell in zip(found.source_time, found.cell, strict=True)
        ]
    found.notices, found.questions = column.notices, column.questions
    return found


def _finest_cells(found: Times, written: Sequence[Written | None], form: Form) -> None:
    """Give all cells of a second, and all plain numbers, the width of the finest decimals of the source."""
    rows = [row for row, one in enumerate(written) if one and found.cell[row]]
    numbers = [row for row in rows if form == "elapsed" and written[row].plain]  # type: ignore[union-attr]
    seconds = [row for row in rows if found.cell[row] == US] if form == "clock" else rows
    decimals = max((written[row].decimals for row in {*numbers, *seconds}), default=0)  # type: ignore[union-attr]
    for row in {*numbers, *seconds}:
        cell = found.cell[row]
        if cell and (cell == US or row in numbers):
            found.cell[row] = max(1, cell // 10**decimals)


@dataclass
class _Column:
    """The column being read, and what there is to tell about it."""

    texts: Sequence[str]
    places: Sequence[str]
    rules: Rules
    notices: list[Notice] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)

    def tell(self, code: str, row: int | None = None, **values: object) -> None:
        self.notices.append(notice(code, None if row is None else self.places[row], **values))

    def ask(self, key: str, assumed: str, *choices: str) -> None:
        self.questions.append(
            Question(
                key,
                words.say(f"importing.ask_{key}"),
                tuple(Choice(value, words.say(f"importing.choice_{value}")) for value in choices),
                assumed,
            )
        )

    def parsed(self, days: Sequence[str] | None) -> list[Written | None]:
        """Return what each row says by itself."""
        found: list[Written | None] = []
        for row, text in enumerate(self.texts):
            one = parse(text) if text else None
            if one is None:
                self.tell("time_unreadable", row, read=text, column=self.rules.column) if text else self.tell(
                    "time_missing", row
                )
            elif days and days[row] and one.clock is not None and one.day is None:
                day = parse_day(days[row])
                if day is None:
                    self.tell("date_unreadable", row, read=days[row])
                    one = None
                else:
                    one = Written(
                        one.clock, one.clock_cell, None, day=day, offset=one.offset, decimals=one.decimals
                    )
            found.append(one)
        return found

    def form(self, written: Sequence[Written | None]) -> Form:
        """Decide whether the column holds clock times or elapsed ones, and ask where it cannot be told."""
        known = [(row, one) for row, one in enumerate(written) if one]
        clocks_alone = sum(one.elapsed is None for _, one in known)
        said = self.rules.said or self.rules.heading
        if said and clocks_alone <= len(known) / 2:
            return said
        if clocks_alone or not known:
            return "clock"
        over = next((row for row, one in known if one.clock is None and one.sure and not one.plain), None)
        if over is not None:
            self.tell("elapsed_assumed", over, read=self.texts[over])
            return "elapsed"
        if sum(one.clock is None for _, one in known) > len(known) / 2:
            return "elapsed"
        clocks = [one.clock for _, one in known if one.clock is not None]
        both = len(clocks) == len(known)
        if both and (all(one.plain for _, one in known) or _span(clocks) > _ASK_SPAN_US):
            self.ask("times", "clock", "clock", "elapsed")
            self.tell("times_ambiguous", read=self.texts[known[0][0]])
        return "clock"

    def elapsed(self, written: Sequence[Written | None]) -> tuple[list[int | None], list[int | None]]:
        """Return starts and cells on a clock that counts from the source's own zero. [us]"""
        starts: list[int | None] = []
        cells: list[int | None] = []
        for row, one in enumerate(written):
            if one and one.elapsed is None:
                self.tell("time_unreadable", row, read=self.texts[row], column=self.rules.column)
            unit_s = self.rules.unit_s if one and one.plain else 1.0
            starts.append(None if one is None or one.elapsed is None else round(one.elapsed * unit_s))
            cells.append(None if one is None or one.elapsed is None else round(one.elapsed_cell * unit_s))
        return starts, cells

    def clock(self, written: Sequence[Written | None]) -> Times:
        """Return clock times, each on its day, in UTC where the zone is known."""
        for row, one in enumerate(written):
            if one and one.clock is None:
                self.tell("time_unreadable", row, read=self.texts[row], column=self.rules.column)
        days = self.days(written)
        clocks = [
            one.clock if one and (one.day is None or days[row] is not None) else None
            for row, one in enumerate(written)
        ]
        scale: Scale = "clock"
        if self.rules.date or any(day is not None for day in days):
            scale = "local"
        walls = self.on_their_days(clocks, days)
        cells = [
            one.clock_cell if one and wall is not None else None
            for one, wall in zip(written, walls, strict=True)
        ]
        found = Times(
            scale, list(walls), cells, wall=next((wall for wall in walls if wall is not None), None)
        )
        found.writes_dates = any(day is not None for day in days)
        offsets = [one.offset if one else None for one in written]
        dated = scale == "local"
        if dated and (self.rules.zone or any(offset is not None for offset in offsets)):
            zone: tzinfo = self.rules.zone or timezone(
                next(offset for offset in offsets if offset is not None)
            )
            found.source_time, doubtful = to_utc(walls, offsets, zone)
            for code, row in doubtful:
                self.tell(code, row, read=self.texts[row], zone=zone)
            found.scale, found.zone = "utc", _zone_name(zone)
        return found

    def days(self, written: Sequence[Written | None]) -> list[date | None]:
        """Return the date of each row that has one, all numeric ones in one order."""
        order = self.order([one.day for one in written if one and isinstance(one.day, Triple)])
        found: list[date | None] = []
        for row, one in enumerate(written):
            day = resolve(one.day, order) if one and isinstance(one.day, Triple) else one.day if one else None
            if one and one.day and day is None:
                self.tell(
                    "date_other_form", row, read=self.texts[row], order=words.say(f"importing.choice_{order}")
                )
            if isinstance(day, date) and not _FIRST_YEAR <= day.year <= _LAST_YEAR:
                self.tell("date_absurd", row, read=self.texts[row])
                day = None
            found.append(day if isinstance(day, date) else None)
        return found

    def order(self, triples: list[Triple]) -> Order:
        """Decide which of day and month comes first in the column, and ask where both fit every row."""
        if not triples or self.rules.dates:
            return self.rules.dates or "day_first"
        day_first = [resolve(each, "day_first") for each in triples]
        month_first = [resolve(each, "month_first") for each in triples]
        missing = day_first.count(None), month_first.count(None)
        if missing[0] != missing[1] or day_first == month_first:
            return "day_first" if missing[0] <= missing[1] else "month_first"
        assumed: Order = "day_first"
        first = next((pair for pair in zip(day_first, month_first, strict=True) if None not in pair), None)
        if first and self.rules.date and first[0] and first[1]:
            gaps = [abs(each - self.rules.date) for each in first if each]
            assumed = "day_first" if gaps[0] <= gaps[1] else "month_first"
        taken = first and first[0 if assumed == "day_first" else 1]
        self.ask("dates", assumed, "day_first", "month_first")
        order = words.say(f"importing.choice_{assumed}")
        self.tell("dates_ambiguous", order=order, day=f"{taken.day} {taken:%B %Y}" if taken else "")
        return assumed

    def on_their_days(self, clocks: Sequence[int | None], days: Sequence[date | None]) -> list[int | None]:
        """Return times with their days: each bare time on the day nearest the row before it. [us]"""
        dated = [
            _day_us(day) + clock for clock, day in zip(clocks, days, strict=True) if clock is not None and day
        ]
        first = next((clock for clock in clocks if clock is not None), 0)
        if dated:
            before = dated[0]
        elif self.rules.near is not None:
            before = self.rules.near
        else:
            before = first + (_day_us(self.rules.date) if self.rules.date else 0)
        found: list[int | None] = []
        for clock, day in zip(clocks, days, strict=True):
            if clock is None:
                found.append(None)
                continue
            start = (
                _day_us(day) + clock if day else clock + DAY_US * ((before - clock + DAY_US // 2) // DAY_US)
            )
            before = start
            found.append(start)
        return found

    def far_apart(self, found: Times) -> None:
        """Leave out what lies more than a day from most of the source."""
        known = [start for start in found.source_time if start is not None]
        if not known:
            return
        middle = median_low(known)
        for row, start in enumerate(found.source_time):
            if start is not None and abs(start - middle) > _FAR_US:
                self.tell("time_far", row, read=self.texts[row], days=f"{abs(start - middle) / DAY_US:.1f}")
                found.source_time[row] = found.cell[row] = None

    def out_of_order(self, found: Times) -> None:
        """Tell of rows that are earlier than the row before them: late entries, which stay where they are."""
        before: int | None = None
        for row, (start, cell) in enumerate(zip(found.source_time, found.cell, strict=True)):
            if start is None or cell is None:
                continue
            if before is not None and start + cell <= before:
                self.tell("out_of_order", row)
            before = start


def _day_us(day: date) -> int:
    return (day - EPOCH).days * DAY_US


def _span(clocks: Sequence[int]) -> int:
    """Return how far clock times reach, each on the day nearest the one before. [us]"""
    total = low = high = 0
    for before, after in pairwise(clocks):
        total += (after - before + DAY_US // 2) % DAY_US - DAY_US // 2
        low, high = min(low, total), max(high, total)
    return high - low


def _zone_name(zone: tzinfo) -> str | None:
    """Return the IANA name of a zone; of a fixed offset, where it has one."""
    if isinstance(zone, ZoneInfo):
        return zone.key
    offset = zone.utcoffset(datetime(2000, 1, 1)) or timedelta(0)  # noqa: DTZ001
    hours, rest = divmod(round(offset.total_seconds()), 3600)
    if rest or not -14 <= -hours <= 12:
        return None
    return f"Etc/GMT{-hours:+}" if hours else "UTC"

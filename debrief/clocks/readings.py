"""Readings: what one clock check says, as well as it was written."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from debrief.model.event import ClockCheck
from debrief.model.problems import Problem, problem
from debrief.model.times import DAY_US, HOUR_US, MINUTE_US, US
from debrief.words import say

READING_US = US
"""How far apart in time somebody may have read two clocks. Common practice. [us]"""

EPOCH = date(1970, 1, 1)
_CLOCK = re.compile(
    r"(?:(\d{4}-\d{2}-\d{2})[T ])?([01]?\d|2[0-3]):([0-5]\d)(?::([0-5]\d)(?:[.,](\d{1,6}))?)?", re.ASCII
)
_ELAPSED = re.compile(r"()(?:(\d{1,4}):)?(\d{1,4}):([0-5]\d)(?:[.,](\d{1,6}))?", re.ASCII)


@dataclass(frozen=True)
class Reading:
    """What one check says: ``offset`` is to be added to the clock, give or take ``half``. [us]

    ``at``: when it was, on the clock that was checked: from 1970-01-01, else (not ``placed``) from midnight;
    of a clock that counts from its own zero, from there.
    """

    check: ClockCheck
    offset: int
    half: int
    at: int
    placed: bool
    date: str | None = None

    def named(self) -> str:
        """Return the reading in words."""
        check, day = self.check, self.date or say("clocks.no_date")
        return say("clocks.reading", source=check.source_reads, other=check.reference_reads, date=day)


@dataclass(frozen=True)
class _Moment:
    """A written reading of a clock, the middle of its cell: from midnight, or from its zero. [us]"""

    time: int
    cell: int
    date: str | None


def read_check(check: ClockCheck, *, elapsed: tuple[bool, bool] = (False, False)) -> Reading | Problem:
    """Return how far a clock was off by one check, to the nearest of a day, or the problem with it.

    ``elapsed`` tells which of the two, the clock and the one beside it, counts from a zero of its own; such a
    reading is minutes and seconds, and nothing is taken to the nearest of a day.
    """
    texts = (check.source_reads, check.reference_reads)
    read = [_moment(text, counts) for text, counts in zip(texts, elapsed, strict=True)]
    source, other = read
    if source is None or other is None:
        return problem("check_unreadable", read=texts[0] if source is None else texts[1])
    half = (source.cell + other.cell) // 2 + READING_US
    offset = other.time - source.time
    written = other.date or check.date
    day = _day(written) if written else None
    if any(elapsed):
        at = source.time + (0 if elapsed[0] else day or 0)
        return Reading(check, offset, half, at, elapsed[0] or day is not None, written)
    if source.date and day is not None:
        own = _day(source.date)
        return Reading(check, offset + day - own, half, own + source.time, True, written)
    offset = (offset + DAY_US // 2) % DAY_US - DAY_US // 2
    return Reading(check, offset, half, (day or 0) + other.time - offset, day is not None, written)


def read_checks(
    checks: Sequence[ClockCheck], elapsed: tuple[bool, bool] = (False, False)
) -> tuple[list[Reading], list[Problem]]:
    """Return what checks say, and what is wrong with them. A clock that was then set read right at once."""
    readings: list[Reading] = []
    problems: list[Problem] = []
    for check in checks:
        read = read_check(check, elapsed=elapsed)
        if isinstance(read, Problem):
            problems.append(read)
            continue
        readings.append(read)
        if check.then_set and not any(elapsed):
            readings.append(replace(read, offset=0, at=read.at + max(read.offset, 1)))
    return readings, problems


def is_reading(text: str) -> bool:
    """Tell whether a text is a reading of a clock that has hours."""
    match = _CLOCK.fullmatch(text.strip())
    return match is not None and (match[1] is None or is_day(match[1]))


def _moment(text: str, elapsed: bool) -> _Moment | None:
    match = (_ELAPSED if elapsed else _CLOCK).fullmatch(text.strip())
    if match is None:
        return None
    day, hours, minutes, seconds, decimals = match.groups("")
    time = int(hours or 0) * HOUR_US + int(minutes) * MINUTE_US + int(seconds or 0) * US
    cell = US // 10 ** len(decimals) if seconds else MINUTE_US
    middle = time + int(decimals.ljust(6, "0")) + cell // 2
    return None if day and not is_day(day) else _Moment(middle, cell, day or None)


def is_day(text: str) -> bool:
    """Tell whether a text is a day of the calendar, as YYYY-MM-DD."""
    try:
        return len(text) == 10 and bool(date.fromisoformat(text))
    except ValueError:
        return False


def _day(text: str) -> int:
    return (date.fromisoformat(text) - EPOCH).days * DAY_US

"""How wrong the clock of one device was, check by check, laid out over the days; painted by ``svg.paint``."""

import math
from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from debrief.clocks.drift import stretches_of
from debrief.clocks.readings import EPOCH, Reading
from debrief.clocks.standing import Standing
from debrief.model.times import DAY_US, US, to_s
from debrief.picture.clock_log import error_words
from debrief.picture.clock_words import apart_words
from debrief.picture.plain import Label, Line, Mark, Picture, Tick
from debrief.words import say

_LEFT_PX, _RIGHT_PX = 128.0, 46.0
_TOP_PX, _BOTTOM_PX = 22.0, 176.0
_DAY_S = to_s(DAY_US)
_LEAST_DAYS = 7
_LEAST_S = 6.0
"""A chart reaches at least so many days, and so far up and down."""
_STEPS_S = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200)
_STEPS_DAYS = (1, 2, 7, 14, 28, 56, 91, 182, 364, 728, 1820)
_LABEL_PX = 92
"""Room for a day under the axis."""


class _Sheet:
    """Seconds from the first day along the picture, seconds of error up and down."""

    def __init__(self, standing: Standing, readings: Sequence[Reading], width: int) -> None:
        today_us = (standing.today - EPOCH).days * DAY_US + DAY_US // 2
        at_us = [reading.at + reading.offset for reading in readings]
        self.first_us = min(*at_us, today_us - _LEAST_DAYS * DAY_US)
        self.today = (today_us - self.first_us) / US
        reach = max(self.today, *(self.x(reading) for reading in readings))
        self.view = (-0.03 * reach, 1.03 * reach)
        self.width = width
        ends = [to_s(-end) for one in readings for end in (one.offset - one.half, one.offset + one.half)]
        if standing.now:
            ends += [to_s(-standing.now.low), to_s(-standing.now.high)]
        self.stale_days = standing.stale_after_days
        self.low, self.high = min(*ends, -_LEAST_S), max(*ends, _LEAST_S)

    def x(self, reading: Reading) -> float:
        return (reading.at + reading.offset - self.first_us) / US

    def y(self, offset_us: float) -> float:
        """Return where a clock stands that lacks so much: ahead above, behind below. [px]"""
        up = (-offset_us / US - self.low) / (self.high - self.low)
        return _BOTTOM_PX - up * (_BOTTOM_PX - _TOP_PX)

    def point(self, reading: Reading) -> tuple[float, float]:
        return self.x(reading), self.y(reading.offset)

    def upright(self, x: float) -> tuple[tuple[float, float], tuple[float, float]]:
        return (x, _TOP_PX - 8), (x, _BOTTOM_PX)

    def stale(self, last: Reading) -> float:
        """Return when a check began to be stale."""
        return self.x(last) + self.stale_days * _DAY_S

    def day(self, x: float) -> date:
        return EPOCH + timedelta(days=(self.first_us + x * US) // DAY_US)

    def levels(self) -> list[int]:
        """Return what clocks lack at the lines across. [us]"""
        step = next((step for step in _STEPS_S if (self.high - self.low) / step <= 5), _STEPS_S[-1])
        first, last = math.ceil(self.low / step), math.floor(self.high / step)
        return [-level * step * US for level in range(first, last + 1)]

    def ticks(self) -> tuple[Tick, ...]:
        days = round((self.view[1] - self.view[0]) / _DAY_S)
        room = max(1, int((self.width - _LEFT_PX - _RIGHT_PX) / _LABEL_PX))
        step = next((step for step in _STEPS_DAYS if days / step <= room), _STEPS_DAYS[-1])
        first = self.day(0)
        noon = (DAY_US // 2 - self.first_us % DAY_US) / US
        return tuple(
            Tick(noon + n * _DAY_S, (first + timedelta(days=n)).isoformat(), "")
            for n in range(0, days + 1, step)
        )


def lay_device_clock(standing: Standing, width: int) -> Picture | None:
    """Lay out the checks that count of one device; null where there are none.

    The x of the picture is seconds from its first day.

    Parameters
    ----------
    width
        How wide the picture will be. [px]
    """
    readings = standing.readings
    if not readings:
        return None
    sheet = _Sheet(standing, readings, width)
    errors = [-reading.offset for reading in readings]
    said = say(
        "clock_log.chart",
        device=standing.device,
        against=standing.against,
        count=len({id(reading.check) for reading in readings}),
        first=readings[0].date,
        last=readings[-1].date,
        low=error_words(-min(errors)),
        high=error_words(-max(errors)),
    )
    return Picture(
        width=width,
        height=_BOTTOM_PX + 46,
        left=_LEFT_PX,
        right=_RIGHT_PX,
        axis_y=_BOTTOM_PX + 6,
        view=sheet.view,
        extent=sheet.view,
        lanes=(),
        ticks=sheet.ticks(),
        minor=(),
        items=tuple(_items(sheet, standing, readings)),
        labels=tuple(_labels(sheet, standing, readings)),
        unplaced=(),
        caption=say("clock_log.caption"),
        description=said,
    )


def _items(sheet: _Sheet, standing: Standing, readings: Sequence[Reading]) -> Iterator[Line | Mark]:
    for level in sheet.levels():
        across = ((end, sheet.y(level)) for end in sheet.view)
        yield _line(f"level:{level}", "guide" if level else "clock_row", *across)
    stretches = stretches_of(readings)
    for number, stretch in enumerate(stretches):
        yield _line(f"drift:{number}", "two_lines", *map(sheet.point, stretch))
        if number:
            yield _line(f"set:{number}", "guide", *sheet.upright(sheet.x(stretch[0])))
    last = readings[-1]
    if standing.now and sheet.today > sheet.x(last):
        for way, end in ((-1, standing.now.low), (1, standing.now.high)):
            start = sheet.x(last), sheet.y(last.offset + way * last.half)
            yield _line(f"today:{way}", "tail_lines", start, (sheet.today, sheet.y(end)))
    if standing.stale:
        yield _line("stale", "frame", *sheet.upright(sheet.stale(last)))
    for number, reading in enumerate(_checked(readings)):
        x, y = sheet.point(reading)
        ends = (sheet.y(reading.offset + way * reading.half) for way in (-1, 1))
        yield _line(f"within:{number}", "mark", *((x, end) for end in ends))
        yield Mark(f"check:{number}", "residual", "errors", _hover(standing, reading), (), x, y)


def _line(name: str, role: str, *points: tuple[float, float]) -> Line:
    return Line(name, role, "errors", "", (), (points,))


def _checked(readings: Sequence[Reading]) -> list[Reading]:
    """Return readings that somebody took, without those that say where a clock was then set."""
    return list({id(reading.check): reading for reading in reversed(readings)}.values())[::-1]


def _hover(standing: Standing, reading: Reading) -> str:
    return say(
        "clock_log.hover",
        date=reading.date,
        device=reading.check.source_reads,
        reference=reading.check.reference_reads,
        against=standing.against,
        error=error_words(reading.offset),
        within=apart_words(to_s(reading.half)),
    )


def _labels(sheet: _Sheet, standing: Standing, readings: Sequence[Reading]) -> Iterator[Label]:
    for level in sheet.levels():
        words = error_words(level)
        yield Label(f"level:{level}", sheet.view[0], sheet.y(level), "", words, "soft", 11.5, "end", -10)
    uprights = [
        (f"set:{number}", sheet.x(stretch[0]), say("clock_log.set_here"), "soft")
        for number, stretch in enumerate(stretches_of(readings))
        if number
    ]
    if standing.stale:
        x = sheet.stale(readings[-1])
        words = say("clock_log.stale_from", date=sheet.day(x).isoformat())
        uprights.append(("stale", x, words, "warning"))
    for name, x, words, tone in uprights:
        yield Label(name, x, _TOP_PX - 14, "", words, tone, 11.5, "middle")

"""A column of written times, each different text parsed once, its readings side by side as columns."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from debrief.importers.written import Triple, parse, parse_day
from debrief.model.axis import Bools, Ints
from debrief.model.columns import MISSING, Repeated, repeated
from debrief.model.times import MINUTE_US, US

Day = date | Triple | None

_CHUNK = 50_000
_FARTHEST = 1 << 62
"""Counts further than this from their zero are not read. [us]"""
_MICROSECOND = timedelta(microseconds=1)
_FEWEST_SINCE_1970 = 10
"""Digits in a count from 1970, at least."""
_WIDTH = 18
"""Letters in a clock time with nine decimals."""
_NUMBERS = ("clock", "clock_cell", "elapsed", "elapsed_cell", "decimals")


@dataclass(frozen=True)
class Parsed:
    """What each row says by itself, as ``Written`` has it, shape (n,); ``MISSING`` where it has no reading.

    ``known`` tells which rows hold a time at all; ``offset`` is the distance from UTC that a row states. [us]
    """

    texts: Repeated[str]
    known: Bools
    clock: Ints
    clock_cell: Ints
    elapsed: Ints
    elapsed_cell: Ints
    decimals: Ints
    offset: Ints
    plain: Bools
    sure: Bools
    day: Repeated[Day]

    def only(self, known: Bools) -> "Parsed":
        """Return the column with some of its rows known and the others not."""
        return replace(self, known=self.known & known)

    def with_days(self, rows: Bools, days: Repeated[Day]) -> "Parsed":
        """Return the column with the dates of another put to some rows, which then hold clock times."""
        values = [*self.day.values, *days.values]
        codes = np.where(rows, days.codes + np.int32(len(self.day.values)), self.day.codes)
        return replace(
            self,
            day=Repeated(values, codes.astype(np.int32)),
            elapsed=np.where(rows, MISSING, self.elapsed),
        )


def parse_all(texts: Repeated[str]) -> Parsed:
    """Return what each row of a column says."""
    used, at = np.unique(texts.codes, return_inverse=True)
    values = [texts.values[code] for code in used]
    parts = [_columns(values[start : start + _CHUNK]) for start in range(0, max(len(values), 1), _CHUNK)]
    numbers = np.concatenate([part[0] for part in parts], axis=1)[:, at]
    flags = np.concatenate([part[1] for part in parts], axis=1)[:, at]
    days = repeated([day for part in parts for day in part[2]]).take(at)
    clock, clock_cell, elapsed, elapsed_cell, decimals, offset = numbers
    return Parsed(
        texts, flags[0], clock, clock_cell, elapsed, elapsed_cell, decimals, offset, flags[1], flags[2], days
    )


def _columns(texts: Sequence[str]) -> tuple[Ints, Bools, list[Day]]:
    """Return the readings of texts: numbers and offsets one row each, flags one row each, and the days."""
    numbers, flags, days, done = _clocks(texts)
    _counts(texts, numbers, flags, done)
    for row in np.flatnonzero(~done).tolist():
        found = parse(texts[row]) if texts[row] else None
        if found is not None:
            numbers[:5, row] = [_number(getattr(found, name)) for name in _NUMBERS]
            if found.offset is not None:
                numbers[5, row] = found.offset // _MICROSECOND
            flags[:, row] = True, found.plain, found.sure
            days[row] = found.day
    return numbers, flags, days


def _clocks(texts: Sequence[str]) -> tuple[Ints, Bools, list[Day], Bools]:
    """Return the readings of plain clock times, all at once, and which texts they are.

    These are most of what devices write: ``14:03:22``, ``14:03:22.500``, behind an ISO date or without one.
    """
    count = len(texts)
    dated = [len(text) > 18 and text[4] == "-" and text[10] in " T" for text in texts]
    dates = {
        text: parse_day(text) for text in {text[:10] for text, has in zip(texts, dated, strict=True) if has}
    }
    clocks = [text[11:] if has else text for text, has in zip(texts, dated, strict=True)]
    raw = "".join(clock[:_WIDTH].ljust(_WIDTH) for clock in clocks).encode("ascii", "replace")
    letters = np.frombuffer(raw, np.uint8).reshape(count, _WIDTH)
    digits = letters.astype(np.int64) - ord("0")
    is_digit = (digits >= 0) & (digits <= 9)
    hour, minute, second = (10 * digits[:, at] + digits[:, at + 1] for at in (0, 3, 6))
    decimals = np.cumprod(is_digit[:, 9:], axis=1).sum(axis=1)
    point = letters[:, 8] == ord(".")
    end = np.where(point, 9 + decimals, 8)
    done = is_digit[:, [0, 1, 3, 4, 6, 7]].all(axis=1) & (letters[:, [2, 5]] == ord(":")).all(axis=1)
    done &= (hour < 24) & (minute < 60) & (second < 60)
    done &= np.fromiter(map(len, clocks), np.int64, count) == end
    done &= (decimals > 0) == point
    days: list[Day] = [dates[text[:10]] if has else None for text, has in zip(texts, dated, strict=True)]
    has_day = np.array(dated, np.bool_)
    done &= ~has_day | np.fromiter((isinstance(day, date) for day in days), np.bool_, count)
    fraction = (np.where(is_digit, digits, 0)[:, 9:15] * 10 ** np.arange(5, -1, -1)).sum(axis=1)
    clock = ((hour * 60 + minute) * 60 + second) * US + np.where(point, fraction, 0)
    one_second = np.full(count, US)
    numbers = np.where(
        done,
        np.array(
            [
                clock,
                one_second,
                np.where(has_day, MISSING, clock),
                one_second,
                np.where(point, decimals, 0),
                np.full(count, MISSING),
            ]
        ),
        np.array([[MISSING], [0], [MISSING], [0], [0], [MISSING]]),
    )
    flags = np.array([done, np.zeros(count, np.bool_), done])
    return (
        numbers,
        flags,
        [day if is_done else None for day, is_done in zip(days, done.tolist(), strict=True)],
        done,
    )


def _counts(texts: Sequence[str], numbers: Ints, flags: Bools, done: Bools) -> None:
    """Fill in the readings of plain counts, ``90`` and ``12.345``, that no clock or calendar could mean."""
    rows, wholes, fractions, decimals = [], [], [], []
    for row in np.flatnonzero(~done).tolist():
        whole, point, fraction = texts[row].partition(".")
        digits = whole + fraction
        if not (digits.isdecimal() and digits.isascii() and 0 < len(whole) < _FEWEST_SINCE_1970):
            continue
        if (len(fraction) == 2 and len(whole) == 2) if point else len(whole) == 4:
            continue
        if point and not fraction:
            continue
        rows.append(row)
        wholes.append(int(whole))
        fractions.append(int(fraction[:6].ljust(6, "0")))
        decimals.append(len(fraction))
    done[rows] = True
    counts = np.array(wholes, np.int64) * US + np.array(fractions, np.int64)
    blank = np.full(len(rows), MISSING)
    minute, second = np.full(len(rows), MINUTE_US), np.full(len(rows), US)
    numbers[:, rows] = np.array([blank, minute, counts, second, np.array(decimals, np.int64), blank])
    flags[:, rows] = np.array([[True], [True], [False]])


def _number(value: int | None) -> int:
    return MISSING if value is None or abs(value) > _FARTHEST else value

"""The days of a column of clock times: one order of day and month for all, and days for bare times."""

from collections.abc import Sequence
from datetime import date, timedelta

from debrief import words
from debrief.importers.notices import Told
from debrief.importers.written import Order, Triple, Written, resolve
from debrief.model.times import DAY_US

_EPOCH = date(1970, 1, 1)
_FIRST_YEAR, _LAST_YEAR = 1970, 2099


def read_days(
    written: Sequence[Written | None],
    texts: Sequence[str],
    said: Order | None,
    near: date | None,
    told: Told,
) -> list[date | None]:
    """Return the date of each row that has one, all numeric ones in one order.

    Parameters
    ----------
    written, texts
        What each row says, and as it is written.
    said
        Somebody's answer which of day and month comes first.
    near
        The date of the event, where it is known: it decides what is assumed where both orders fit.
    told
        Where to tell of dates that fit no order or no life, and to ask.
    """
    order = said or _order([one.day for one in written if one and isinstance(one.day, Triple)], near, told)
    found: list[date | None] = []
    for row, one in enumerate(written):
        day = one.day if one else None
        if isinstance(day, Triple):
            day = resolve(day, order)
            if day is None:
                told.tell(
                    "date_other_form", row, read=texts[row], order=words.say(f"importing.choice_{order}")
                )
        if day is not None and not _FIRST_YEAR <= day.year <= _LAST_YEAR:
            told.tell("date_absurd", row, read=texts[row])
            day = None
        found.append(day)
    return found


def _order(triples: list[Triple], near: date | None, told: Told) -> Order:
    """Decide which of day and month comes first, by all rows, and ask where both fit them all."""
    day_first = [resolve(each, "day_first") for each in triples]
    month_first = [resolve(each, "month_first") for each in triples]
    unfit = day_first.count(None), month_first.count(None)
    if unfit[0] != unfit[1] or day_first == month_first:
        return "day_first" if unfit[0] <= unfit[1] else "month_first"
    assumed: Order = "day_first"
    pairs = ((day, month) for day, month in zip(day_first, month_first, strict=True) if day and month)
    first = next(pairs, None)
    if first and near and abs(first[1] - near) < abs(first[0] - near):
        assumed = "month_first"
    taken = first and first[assumed == "month_first"]
    told.ask("dates", assumed, "day_first", "month_first")
    order = words.say(f"importing.choice_{assumed}")
    told.tell("dates_ambiguous", order=order, day=f"{taken.day} {taken:%B %Y}" if taken else "?")
    return assumed


def on_their_days(
    clocks: Sequence[int | None], days: Sequence[date | None], start: date | None, near: int | None
) -> list[int | None]:
    """Return clock times with their days, each bare one on the day nearest the row before it. [us]

    The first row is on its own date, else on the day nearest the first dated row, else nearest ``near``,
    else on ``start``, else on day 0.
    """
    pairs = list(zip(clocks, days, strict=True))
    dated = (day_us(day) + clock for clock, day in pairs if clock is not None and day)
    first = next((clock for clock in clocks if clock is not None), 0) + (day_us(start) if start else 0)
    before = next(dated, first if near is None else near)
    found: list[int | None] = []
    for clock, day in pairs:
        if clock is None:
            found.append(None)
            continue
        since = day_us(day) if day else (before - clock + DAY_US // 2) // DAY_US * DAY_US
        before = since + clock
        found.append(before)
    return found


def day_us(day: date) -> int:
    """Return a date as microseconds from 1970-01-01."""
    return (day - _EPOCH).days * DAY_US


def day_of(wall: int) -> date:
    """Return the date of a wall time. [us from 1970-01-01]"""
    return _EPOCH + timedelta(days=wall // DAY_US)

"""What one written time says by itself, before its column decides how to read it.

``10:05`` is five past ten or ten minutes and five seconds; ``1403`` may be a clock or a count of seconds;
both readings are kept until the whole column is seen.
"""

import re
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

from debrief.model.times import HOUR_US, MINUTE_US, US

Order = Literal["day_first", "month_first"]

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

_LONGEST = 60
"""Letters in a time, at most."""

_CLOCK = re.compile(
    r"(?P<sign>[+-])?(?P<h>\d{1,3})(?P<sep>[:h])(?P<m>\d{2})(?::(?P<s>\d{2}))?(?:[.,](?P<f>\d{1,9}))?\s*"
    r"(?P<half>[ap]\.?m\.?)?\s*(?P<zone>z|utc|[+-]\d{2}:?\d{2})?",
    re.IGNORECASE,
)
_HOUR = re.compile(r"(?P<h>\d{1,2})\s*(?P<half>[ap]\.?m\.?)", re.IGNORECASE)
_NUMBER = re.compile(r"(?P<sign>[+-])?(?P<n>\d+)(?:[.,](?P<f>\d+))?")
_UNITS = re.compile(
    r"(?:(?P<h>\d+)\s*h(?:(?:ou)?rs?)?\s*)?(?:(?P<m>\d+)\s*m(?:in(?:ute)?s?)?\s*)?"
    r"(?:(?P<s>\d+)(?:[.,](?P<f>\d+))?\s*s(?:ec(?:ond)?s?)?)?",
    re.IGNORECASE,
)
_NUMERIC_DATE = r"(?P<a>\d{1,4})(?P<dsep>[./-])(?P<b>\d{1,2})(?P=dsep)(?P<c>\d{4}|\d{2})"
_DAY_MONTH = r"(?P<nd>\d{1,2})(?:st|nd|rd|th)?[ .-]*(?P<nm>[a-z]{3,9})\.?,?[ -]*(?P<ny>\d{4}|\d{2})"
_MONTH_DAY = r"(?P<um>[a-z]{3,9})\.?[ -]*(?P<ud>\d{1,2})(?:st|nd|rd|th)?,?[ -]+(?P<uy>\d{4})"
_BASIC = r"(?P<basic>\d{8})(?=t\d)"
_DATE = rf"(?:{_NUMERIC_DATE}|{_DAY_MONTH}|{_MONTH_DAY}|{_BASIC})"
_RUN = re.compile(r"((?:19|20)\d{6})(\d{4}(?:\d{2})?)")
"""Year to minutes or seconds in one run of digits."""
_DATE_FIRST = re.compile(rf"(?:[a-z]{{3,9}},?\s+)?{_DATE}(?:\s*,\s*|\s+|t|$)(?P<rest>.*)", re.IGNORECASE)
_DATE_LAST = re.compile(rf"(?P<rest>\S*:\S*(?:\s*[ap]m)?),?\s+{_DATE}", re.IGNORECASE)


@dataclass(frozen=True)
class Triple:
    """A date in three numbers, whose order the column decides. ``dotted``: written with points, day first."""

    a: int
    b: int
    c: int
    dotted: bool = False


@dataclass(frozen=True, slots=True)
class Written:
    """What a text may say. Each reading is null where it is impossible. [us]

    ``clock`` counts from midnight, ``elapsed`` from the source's zero; each has its own cell. ``plain`` is
    a number without a unit, whose unit the heading decides. ``decimals`` are those of the seconds. ``sure``
    is false for a reading that alone should turn no column: a number, or hours over 23 with minutes and
    seconds behind them.
    """

    clock: int | None = None
    clock_cell: int = US
    elapsed: int | None = None
    elapsed_cell: int = US
    day: date | Triple | None = None
    offset: timedelta | None = None
    decimals: int = 0
    plain: bool = False
    sure: bool = True


def parse(text: str) -> Written | None:
    """Return what a text says, or null where it is no time."""
    if len(text) > _LONGEST:
        return None
    text = text.strip().removeprefix("T+").removeprefix("t+").replace("\u2212", "-")
    if match := _RUN.fullmatch(text):
        text = f"{match[1]}T{match[2]}"
    elif found := _time(text):
        return found
    match = _DATE_FIRST.fullmatch(text) or _DATE_LAST.fullmatch(text)
    if match is None or (day := _day(match)) is None:
        return None
    rest = match["rest"].strip()
    if match["basic"]:
        rest = re.sub(r"^(\d{2})(\d{2})(\d{2})?", lambda m: ":".join(filter(None, m.groups())), rest)
    found = _time(rest)
    if found is None or found.clock is None:
        return None
    return replace(found, elapsed=None, day=day, sure=True)


def parse_day(text: str) -> date | Triple | None:
    """Return what the cell of a date column says, or null where it is no date."""
    match = _DATE_FIRST.fullmatch(text.strip()) if len(text) <= _LONGEST else None
    return _day(match) if match and not match["rest"] else None


def _time(text: str) -> Written | None:
    if match := _CLOCK.fullmatch(text):
        return _clock(match)
    if match := _HOUR.fullmatch(text):
        hour = _hour(int(match["h"]), match["half"])
        return None if hour is None else Written(hour * HOUR_US, HOUR_US)
    if match := _NUMBER.fullmatch(text):
        return _number(match)
    if text and (match := _UNITS.fullmatch(text)) and any(match[name] for name in "hms"):
        decimals = len(match["f"] or "")
        elapsed = (int(match["h"] or 0) * 60 + int(match["m"] or 0)) * MINUTE_US + int(match["s"] or 0) * US
        cell = US if match["s"] else MINUTE_US if match["m"] else HOUR_US
        return Written(elapsed=elapsed + _fraction(match["f"]), elapsed_cell=cell, decimals=decimals)
    return None


def _clock(match: re.Match[str]) -> Written | None:
    """Return both readings of parts with colons between them."""
    first, second, third = int(match["h"]), int(match["m"]), int(match["s"] or 0)
    fraction, decimals = _fraction(match["f"]), len(match["f"] or "")
    if second > 59 or third > 59:
        return None
    two_parts = match["s"] is None
    hour = _hour(first, match["half"]) if match["half"] else first if first < 24 else None
    clock = None
    if hour is not None and not match["sign"] and not (two_parts and match["f"]):
        clock = hour * HOUR_US + second * MINUTE_US + third * US + fraction
    elapsed = None
    if not match["half"] and not match["zone"] and match["sep"] == ":":
        elapsed = (first * 60 + second) * (US if two_parts else MINUTE_US) + third * US + fraction
        elapsed *= -1 if match["sign"] == "-" else 1
    if clock is None and elapsed is None:
        return None
    return Written(
        clock,
        MINUTE_US if two_parts else US,
        elapsed,
        US,
        offset=_offset(match["zone"]),
        decimals=decimals,
        sure=two_parts or clock is not None or bool(match["sign"]),
    )


def _number(match: re.Match[str]) -> Written:
    """Return a plain number, and its reading as a clock where it is like ``1403`` or ``14.03``."""
    elapsed = int(match["n"]) * US + _fraction(match["f"])
    if not match["sign"] and (since_1970 := _since_1970(match["n"], match["f"])):
        return since_1970
    clock = None
    if not match["sign"]:
        whole, fraction = match["n"], match["f"]
        hours, minutes = (whole, fraction) if fraction else (whole[:-2], whole[-2:])
        if len(minutes) == 2 and len(hours) == 2 and int(hours) < 24 and int(minutes) < 60:
            clock = int(hours) * HOUR_US + int(minutes) * MINUTE_US
    return Written(
        clock,
        MINUTE_US,
        -elapsed if match["sign"] == "-" else elapsed,
        decimals=len(match["f"] or ""),
        plain=True,
        sure=bool(match["sign"]),
    )


def _since_1970(whole: str, fraction: str | None) -> Written | None:
    """Return a count of seconds or milliseconds from 1970, known by its many digits, as date and time."""
    if not re.fullmatch(r"1\d{9}|1\d{12}", whole):
        return None
    milliseconds = whole[10:]
    days, rest_s = divmod(int(whole[:10]), 86_400)
    digits = milliseconds or fraction or ""
    day = date(1970, 1, 1) + timedelta(days=days)
    return Written(rest_s * US + _fraction(digits), day=day, offset=timedelta(0), decimals=len(digits))


def _hour(hour: int, half: str) -> int | None:
    if not 1 <= hour <= 12:
        return None
    return hour % 12 + (12 if half[0] in "pP" else 0)


def _fraction(digits: str | None) -> int:
    return int((digits or "0")[:6].ljust(6, "0"))


def _offset(zone: str | None) -> timedelta | None:
    if not zone:
        return None
    if zone.lower() in ("z", "utc"):
        return timedelta(0)
    digits = zone[1:].replace(":", "")
    offset = timedelta(hours=int(digits[:2]), minutes=int(digits[2:]))
    return -offset if zone[0] == "-" else offset


def _day(match: re.Match[str]) -> date | Triple | None:
    if match["basic"]:
        return _real(int(match["basic"][:4]), int(match["basic"][4:6]), int(match["basic"][6:]))
    if match["a"]:
        a, b, c = int(match["a"]), int(match["b"]), int(match["c"])
        if len(match["a"]) == 4:
            return _real(a, b, c)
        return Triple(a, b, _year(c), match["dsep"] == ".") if len(match["a"]) < 3 else None
    name, day, year = (match["nm"] or match["um"]), (match["nd"] or match["ud"]), (match["ny"] or match["uy"])
    month = MONTHS.index(name[:3].lower()) + 1 if name[:3].lower() in MONTHS else 0
    return _real(_year(int(year)), month, int(day))


def _year(year: int) -> int:
    return year + 2000 if year < 100 else year


def _real(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def resolve(day: Triple, order: Order) -> date | None:
    """Return a date of three numbers, ``day_first`` or ``month_first``, or null where it is none."""
    if order == "day_first":
        return _real(day.c, day.b, day.a)
    return None if day.dotted else _real(day.c, day.a, day.b)

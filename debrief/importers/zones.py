"""Local times become UTC, on the two days a year that have an hour too few or too many as well."""

from datetime import UTC, datetime, timedelta, tzinfo
from typing import Literal
from zoneinfo import ZoneInfo

import numpy as np

from debrief.model.axis import Bools, Ints
from debrief.model.columns import MISSING
from debrief.model.times import HOUR_US

_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001 - a wall time, on purpose
_MICROSECOND = timedelta(microseconds=1)


def to_utc(walls: Ints, offsets: Ints, zone: tzinfo) -> tuple[Ints, Bools, Bools]:
    """Return wall times as UTC, and the rows whose hour does not exist, and those whose hour exists twice.

    Such a row has two readings, by the offset before the change and by the one after. From the first row that
    is not in doubt, forward and then back, the one nearer its neighbour is taken, so that rows keep their
    distances. Where all are in doubt, the first stands by the earlier offset.

    Parameters
    ----------
    walls
        Microseconds from 1970-01-01 by the wall clock; ``MISSING`` stays.
    offsets
        What a row itself says of its distance from UTC, which then stands; else ``MISSING``. [us]
    """
    known, stated = walls != MISSING, offsets != MISSING
    found = np.where(known & stated, walls - np.where(stated, offsets, 0), MISSING)
    first, second = found.copy(), found.copy()
    skipped, twice = np.zeros(len(walls), np.bool_), np.zeros(len(walls), np.bool_)
    asked = np.flatnonzero(known & ~stated)
    hours, hour = np.unique(walls[asked] // HOUR_US, return_inverse=True)
    away = np.array([_offset_of_hour(int(each) * HOUR_US, zone) for each in hours], np.int64)
    away = away[hour] if len(hours) else np.zeros(0, np.int64)
    plain = asked[away != MISSING]
    first[plain] = second[plain] = walls[plain] - away[away != MISSING]
    for row in asked[away == MISSING]:
        first[row], second[row], doubt = _readings(int(walls[row]), zone)
        skipped[row], twice[row] = doubt == "hour_missing", doubt == "hour_twice"
    rows = np.flatnonzero(known)
    doubtful = first[rows] != second[rows]
    found[rows] = first[rows]
    start = int(np.argmin(doubtful)) if len(rows) else 0
    steps = [(at, at - 1) for at in range(start + 1, len(rows)) if doubtful[at]]
    steps += [(at, at + 1) for at in range(start - 1, -1, -1) if doubtful[at]]
    for at, beside in steps if doubtful.any() else ():
        near, row = found[rows[beside]], rows[at]
        if abs(second[row] - near) < abs(first[row] - near):
            found[row] = second[row]
    return found, skipped, twice


def _offset_of_hour(start: int, zone: tzinfo) -> int:
    """Return the distance from UTC in an hour of a wall clock, ``MISSING`` where it changes within. [us]"""
    ends = (start, start + HOUR_US - 1)
    away = {reading for wall in ends for reading in _away(_EPOCH + timedelta(microseconds=wall), zone)}
    return away.pop() if len(away) == 1 else MISSING


def _away(local: datetime, zone: tzinfo) -> tuple[int, int]:
    """Return both distances from UTC of a wall time, equal on most days. [us]"""
    first = zone.utcoffset(local) or timedelta(0)
    second = zone.utcoffset(local.replace(fold=1)) or timedelta(0)
    return first // _MICROSECOND, second // _MICROSECOND


def _readings(wall: int, zone: tzinfo) -> tuple[int, int, Literal["hour_missing", "hour_twice"] | None]:
    """Return both readings of a wall time [us], equal on most days, and what is odd about its hour."""
    local = _EPOCH + timedelta(microseconds=wall)
    first, second = _away(local, zone)
    both = wall - first, wall - second
    if first == second:
        return *both, None
    shown = (
        (_EPOCH.replace(tzinfo=UTC) + timedelta(microseconds=both[0])).astimezone(zone).replace(tzinfo=None)
    )
    return *both, "hour_twice" if shown == local else "hour_missing"


def name_of(zone: tzinfo) -> str | None:
    """Return the IANA name of a zone; of a fixed offset, where it has one."""
    if isinstance(zone, ZoneInfo):
        return zone.key
    hours, rest = divmod(zone.utcoffset(_EPOCH) or timedelta(0), timedelta(hours=1))
    if rest or not -12 <= hours <= 14:
        return None
    return f"Etc/GMT{-hours:+}" if hours else "UTC"

"""Local times become UTC, on the two days a year that have an hour too few or too many as well."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Literal
from zoneinfo import ZoneInfo

Doubt = tuple[Literal["hour_missing", "hour_twice"], int]
_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001 - a wall time, on purpose
_MICROSECOND = timedelta(microseconds=1)


def to_utc(
    walls: Sequence[int | None], offsets: Sequence[timedelta | None], zone: tzinfo
) -> tuple[list[int | None], list[Doubt]]:
    """Return wall times as UTC, and the rows whose hour does not exist or exists twice.

    Such a row has two readings, by the offset before the change and by the one after. From the first row that
    is not in doubt, forward and then back, the one nearer its neighbour is taken, so that rows keep their
    distances. Where all are in doubt, the first stands by the earlier offset.

    Parameters
    ----------
    walls
        Microseconds from 1970-01-01 by the wall clock; null stays null.
    offsets
        What a row itself says of its distance from UTC, which then stands.
    """
    readings = {
        row: _readings(wall, offset, zone)
        for row, (wall, offset) in enumerate(zip(walls, offsets, strict=True))
        if wall is not None
    }
    rows = list(readings)
    sure = next((at for at, row in enumerate(rows) if readings[row][0] == readings[row][1]), 0)
    found: list[int | None] = [None] * len(walls)
    for order in (rows[sure:], rows[:sure][::-1]):
        near = found[rows[sure]] if rows else None
        for row in order:
            first, second, _ = readings[row]
            near = first if near is None or abs(first - near) <= abs(second - near) else second
            found[row] = near
    return found, [(doubt, row) for row, (_, _, doubt) in readings.items() if doubt]


def _readings(
    wall: int, offset: timedelta | None, zone: tzinfo
) -> tuple[int, int, Literal["hour_missing", "hour_twice"] | None]:
    """Return both readings of a wall time [us], equal on most days, and what is odd about its hour."""
    local = _EPOCH + timedelta(microseconds=wall)
    if offset is not None:
        utc = wall - offset // _MICROSECOND
        return utc, utc, None
    first = zone.utcoffset(local) or timedelta(0)
    second = zone.utcoffset(local.replace(fold=1)) or timedelta(0)
    both = wall - first // _MICROSECOND, wall - second // _MICROSECOND
    if first == second:
        return *both, None
    shown = (
        (_EPOCH.replace(tzinfo=UTC) + timedelta(microseconds=both[0])).astimezone(zone).replace(tzinfo=None)
    )
    return *both, "hour_twice" if shown == local.replace(fold=0) else "hour_missing"


def name_of(zone: tzinfo) -> str | None:
    """Return the IANA name of a zone; of a fixed offset, where it has one."""
    if isinstance(zone, ZoneInfo):
        return zone.key
    hours, rest = divmod(zone.utcoffset(_EPOCH) or timedelta(0), timedelta(hours=1))
    if rest or not -12 <= hours <= 14:
        return None
    return f"Etc/GMT{-hours:+}" if hours else "UTC"

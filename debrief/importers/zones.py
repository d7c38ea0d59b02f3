"""Local times become UTC, on the two days a year that have an hour too few or too many as well."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Literal

Doubt = tuple[Literal["hour_missing", "hour_twice"], int]
_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001 - a wall time, on purpose
_MICROSECOND = timedelta(microseconds=1)


def to_utc(
    walls: Sequence[int | None], offsets: Sequence[timedelta | None], zone: tzinfo
) -> tuple[list[int | None], list[Doubt]]:
    """Return wall times as UTC, and the rows whose hour does not exist or exists twice.

    Such a row has two readings, by the offset before the change and by the one after. The one nearer the
    row before it is taken, so that rows keep their distances; for the first rows, the one nearer the first
    row that is not in doubt, and where there is none the earlier offset.

    Parameters
    ----------
    walls
        Microseconds from 1970-01-01 by the wall clock; null stays null.
    offsets
        What a row itself says of its distance from UTC, which then stands.
    """
    readings = [
        None if wall is None else _readings(wall, offset, zone)
        for wall, offset in zip(walls, offsets, strict=True)
    ]
    before = next((first for first, second, _ in filter(None, readings) if first == second), None)
    found: list[int | None] = []
    doubts: list[Doubt] = []
    for row, reading in enumerate(readings):
        if reading is None:
            found.append(None)
            continue
        first, second, doubt = reading
        if doubt:
            doubts.append((doubt, row))
        before = first if before is None or abs(first - before) <= abs(second - before) else second
        found.append(before)
    return found, doubts


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

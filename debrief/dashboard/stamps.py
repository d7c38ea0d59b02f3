"""The marks of an event by two clocks: that of their own source, and that of the event."""

from collections.abc import Mapping
from datetime import timedelta
from statistics import median
from zoneinfo import ZoneInfo

import pyarrow as pa

from debrief.assess import Assessment
from debrief.clocks.align import EPOCH
from debrief.dashboard.written import Row
from debrief.model.columns import ints_of
from debrief.model.event import Source
from debrief.model.times import DAY_US, US, to_s
from debrief.picture.captions import kind_words, rhythm_words
from debrief.picture.clocks import Stamp
from debrief.words import KINDS


def stamps(assessment: Assessment, rows: list[Row]) -> list[Stamp]:
    """Return every mark that has a time and was not taken out; ``rows``: all marks as they were written."""
    aligned, marks = assessment.aligned, assessment.event.marks
    zero_us = int(assessment.course.placing.zero[0, 0])
    placed_us = dict(zip(_names(aligned.marks), ints_of(aligned.marks["time"]).tolist(), strict=True))
    own_us = dict(zip(_names(marks), marks["source_time"].to_pylist(), strict=True))
    shift_us = _onto_one_day(assessment, own_us)
    return [
        Stamp(
            name=name,
            source=row.source,
            kind=row.kind,
            at=to_s(own_us[name] + shift_us[row.source]),
            time=to_s(placed_us[name] - zero_us) if name in placed_us else None,
            written=row.written,
            what=_what(row),
        )
        for row in rows
        if not row.out
        for name in row.marks
        if own_us[name] is not None
    ]


def counting(assessment: Assessment) -> frozenset[str]:
    """Return the sources that count from a zero of their own."""
    return frozenset(one.source_id for one in assessment.event.sources if one.scale == "elapsed")


def _names(marks: pa.Table) -> list[str]:
    ids, places = marks["source_id"].to_pylist(), marks["place"].to_pylist()
    return [f"{source_id}:{place}" for source_id, place in zip(ids, places, strict=True)]


def _what(row: Row) -> str:
    name = kind_words(row.kind)
    if row.detail and row.kind == "drug":
        name = row.detail
    elif row.detail and KINDS[row.kind].detail == "rhythm":
        name = rhythm_words(row.detail)
    return f"{name} {row.amount}".strip()


def _onto_one_day(assessment: Assessment, own_us: Mapping[str, int | None]) -> dict[str, int]:
    """Return what to add to the times of each source, so that all are times of the reference's day. [us]

    Dates are left aside, so that hours can be compared; sources that count from their own zero stay.
    """
    reference = assessment.aligned.reference
    middles = {}
    for source in assessment.event.sources:
        times = [at for name, at in own_us.items() if at is not None and _of(name, source)]
        middles[source.source_id] = int(median(times)) if times else 0
    away = {
        source.source_id: _away(source, reference, middles[source.source_id])
        for source in assessment.event.sources
    }
    if reference is None or reference.scale == "elapsed":
        return away
    here = reference.source_id
    away[here] -= (middles[here] + away[here]) // DAY_US * DAY_US
    there = middles[here] + away[here]
    for source in assessment.event.sources:
        if source.scale != "elapsed" and source.source_id != here:
            mine = middles[source.source_id] + away[source.source_id]
            away[source.source_id] += DAY_US * round((there - mine) / DAY_US)
    return away


def _of(name: str, source: Source) -> bool:
    return name.startswith(f"{source.source_id}:")


def _away(source: Source, reference: Source | None, at_us: int) -> int:
    """Return how far the local time of a source is ahead of how it is kept. [us]"""
    zone = source.zone or (reference.zone if reference else None)
    if source.scale != "utc" or not zone:
        return 0
    offset = (EPOCH + timedelta(microseconds=at_us)).astimezone(ZoneInfo(zone)).utcoffset() or timedelta()
    return round(offset.total_seconds()) * US

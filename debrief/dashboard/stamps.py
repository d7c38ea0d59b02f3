"""The marks of an event by two clocks: that of their own source, and that of the event."""

from collections.abc import Mapping
from functools import lru_cache
from statistics import median

import pyarrow as pa

from debrief.clocks.wall import Wall, across
from debrief.dashboard.reports import KEPT, Measured
from debrief.dashboard.written import Row
from debrief.model.columns import ints_of
from debrief.model.times import DAY_US, clock, to_s
from debrief.picture.captions import kind_words, rhythm_words
from debrief.picture.clock_words import of_day
from debrief.picture.clocks import Stamp
from debrief.words import KINDS


@lru_cache(maxsize=KEPT)
def stamps(measured: Measured) -> list[Stamp]:
    """Return every mark that has a time and was not taken out."""
    assessment = measured.assessment
    aligned, marks = assessment.aligned, assessment.event.marks
    zero_us = measured.zero_us
    placed_us = dict(zip(_names(aligned.marks), ints_of(aligned.marks["time"]).tolist(), strict=True))
    own_us = dict(zip(_names(marks), marks["source_time"].to_pylist(), strict=True))
    shift_us = _onto_one_day(measured, own_us)
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
        for row in measured.rows
        if not row.out
        for name in row.marks
        if own_us[name] is not None
    ]


def reading(measured: Measured, source_id: str) -> str:
    """Return what the clock of a source showed at its first mark, as one would read it: ``14:03:20``."""
    at = min((one.at for one in stamps(measured) if one.source == source_id), default=0.0)
    source = next(one for one in measured.event.sources if one.source_id == source_id)
    return clock(at) if source.scale == "elapsed" else of_day(at)


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


def _onto_one_day(measured: Measured, own_us: Mapping[str, int | None]) -> dict[str, int]:
    """Return what to add to the times of each source, so that all are hours of the reference's day. [us]

    Dates are left aside, so that hours can be compared; sources that count from their own zero stay.
    """
    sources, reference = measured.event.sources, measured.assessment.aligned.reference
    times: dict[str, list[int]] = {source.source_id: [] for source in sources}
    for name, at in own_us.items():
        if at is not None:
            times[name.partition(":")[0]].append(at)
    middles = {source_id: int(median(those)) if those else 0 for source_id, those in times.items()}
    if reference is None:
        return dict.fromkeys(middles, 0)
    there = middles[reference.source_id]
    midnight = Wall.of(reference).midnight(there)
    shift_us = {}
    for source in sources:
        mine = middles[source.source_id]
        moved = across(source, mine, reference, there)
        if "elapsed" not in (source.scale, reference.scale):
            moved += DAY_US * round((there - mine - moved) / DAY_US)
        shift_us[source.source_id] = moved - midnight
    return shift_us

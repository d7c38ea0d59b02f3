"""Bring the sources of one event onto the reference clock.

Only a source whose clock is known to agree with the reference, or to stand off it by a stated offset, joins
it; any other is left out, and a problem says so. Raw times are never changed.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from debrief.model.axis import HALF_US, Bools, Ints
from debrief.model.columns import bool_array, int_array, ints_of
from debrief.model.event import Event, Source
from debrief.model.occurrences import RANKS, Sources
from debrief.model.problems import Problem, problem
from debrief.model.times import DAY_US, US

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Aligned:
    """The marks of the reference's group, ``time`` filled in, and the clocks they came by.

    ``group``: 1 for sources aligned with the reference, else a number of its own; ``source``: the row of
    ``sources`` of each mark, int64, shape (n,); ``members``: the sources of group 1, in the order of
    ``sources``.
    """

    marks: pa.Table
    source: Ints
    sources: Sources
    members: tuple[Source, ...]
    reference: Source | None
    group: dict[str, int]
    problems: tuple[Problem, ...]

    def wall(self, time_us: int) -> str | None:
        """Return a time of the reference clock as read there, null where it has no hours."""
        if self.reference is None or self.reference.scale == "elapsed":
            return None
        moment = EPOCH + timedelta(microseconds=time_us)
        if self.reference.scale == "utc":
            zone = ZoneInfo(self.reference.zone) if self.reference.zone else UTC
            return moment.astimezone(zone).isoformat()
        moment = moment.replace(tzinfo=None)
        return moment.time().isoformat() if self.reference.scale == "clock" else moment.isoformat()

    def read(self, text: str) -> int | None:
        """Return a time written as the reference has them, on its clock, null where it cannot be read. [us]

        A date and time, a clock time (taken to the day nearest the marks), or seconds.
        """
        middle = int(np.median(ints_of(self.marks["time"])))
        scale = "elapsed" if self.reference is None else self.reference.scale
        try:
            if scale == "elapsed":
                parts = [float(part) for part in text.split(":")]
                return round(sum(part * 60.0**i for i, part in enumerate(reversed(parts))) * US)
            if "T" in text or "-" in text:
                moment = datetime.fromisoformat(text)
                local = moment.replace(tzinfo=UTC) if moment.tzinfo is None or scale != "utc" else moment
                read = round((local - EPOCH).total_seconds() * US)
                zoneless = moment.tzinfo is None and scale == "utc"
                return read - (self._away(middle) if zoneless else 0)
            of_day = time.fromisoformat(text)
        except ValueError:
            return None
        since = datetime.combine(EPOCH.date(), of_day.replace(tzinfo=None), UTC) - EPOCH
        clock_us = round(since.total_seconds() * US) - (self._away(middle) if scale == "utc" else 0)
        return clock_us + DAY_US * round((middle - clock_us) / DAY_US)

    def _away(self, at_us: int) -> int:
        """Return how far the reference's zone is ahead of UTC. [us]"""
        zone = ZoneInfo(self.reference.zone) if self.reference and self.reference.zone else UTC
        offset = (EPOCH + timedelta(microseconds=at_us)).astimezone(zone).utcoffset() or timedelta()
        return round(offset.total_seconds()) * US


def align(event: Event) -> Aligned:
    """Return the marks of one event that stand on the reference clock. Those without a time are left out."""
    marks = event.marks.filter(pc.is_valid(event.marks["source_time"]))
    if event.removed:
        ids, places = marks["source_id"].to_pylist(), marks["place"].to_pylist()
        names = (f"{source_id}:{place}" for source_id, place in zip(ids, places, strict=True))
        kept = np.fromiter((name not in event.removed for name in names), np.bool_, len(marks))
        marks = marks.filter(bool_array(kept))
    held = _by_source(marks)
    sources = [source for source in event.sources if source.source_id in held]
    reference = _reference(event, sources, held)
    members: list[Source] = []
    shifts: list[int] = []
    tables: list[pa.Table] = []
    problems: list[Problem] = []
    group: dict[str, int] = {}
    for source in sources:
        shift = _shift(source, reference, held)
        if shift is None:
            group[source.source_id] = 2 + len(group) - len(members)
            code = "zero_unknown" if source.scale == "elapsed" else "clock_unknown"
            problems.append(problem(code, source.source_id, file=source.file, reference=_name(reference)))
            continue
        group[source.source_id] = 1
        table = held[source.source_id]
        on_reference = int_array(ints_of(table["source_time"]) + shift)
        members.append(source)
        shifts.append(shift)
        tables.append(
            table.set_column(table.schema.get_field_index("time"), table.schema.field("time"), on_reference)
        )
    joined = pa.concat_tables(tables) if tables else marks.slice(0, 0)
    source_row = np.repeat(np.arange(len(tables)), [len(table) for table in tables])
    far = _far(joined)
    if far.any():
        for row in np.flatnonzero(far):
            place = joined["place"][int(row)].as_py()
            text = joined["time_text"][int(row)].as_py()
            problems.append(problem("too_far", members[source_row[row]].source_id, place, read=text))
        joined, source_row = joined.filter(bool_array(~far)), source_row[~far]
    return Aligned(
        marks=joined,
        source=source_row,
        sources=Sources(
            event=np.zeros(len(members), np.int64),
            rank=np.array([RANKS[source.kind] for source in members], np.int64),
            shift=np.array(shifts, np.int64),
            off=np.array([_off(source) for source in members], np.int64),
            low=np.array([s.clock.low - s.clock.offset if s.clock else 0 for s in members], np.int64),
            high=np.array([s.clock.high - s.clock.offset if s.clock else 0 for s in members], np.int64),
        ),
        members=tuple(members),
        reference=reference,
        group=group,
        problems=tuple(problems),
    )


def _by_source(marks: pa.Table) -> dict[str, pa.Table]:
    """Return the marks of each source."""
    coded = marks["source_id"].combine_chunks().dictionary_encode()
    codes = ints_of(coded.indices)
    names = coded.dictionary.to_pylist()
    return {name: marks.filter(bool_array(codes == code)) for code, name in enumerate(names)}


def _name(source: Source | None) -> str:
    return "" if source is None else source.name or source.file


def _reference(event: Event, sources: list[Source], held: dict[str, pa.Table]) -> Source | None:
    """Choose the reference: the one named, else the first device, else the finest cell."""
    own = [source for source in sources if source.clock is None] or sources
    named = [
        s
        for s in sources
        if event.context.reference in (s.source_id, s.name, s.file) and event.context.reference
    ]
    devices = [source for source in own if source.kind == "device"]
    if named or devices:
        return (named or devices)[0]
    return min(own, key=lambda source: pc.min(held[source.source_id]["cell"]).as_py(), default=None)


def _shift(source: Source, reference: Source | None, held: dict[str, pa.Table]) -> int | None:
    """Return what to add to a source's times on the reference clock, null where nobody knows. [us]"""
    if reference is None or source.source_id == reference.source_id:
        return 0
    if source.clock is None:
        return None
    if source.scale == reference.scale and source.scale != "clock":
        return source.clock.offset
    if "elapsed" in (source.scale, reference.scale):
        return None
    mine, theirs = (int(np.median(ints_of(held[s.source_id]["source_time"]))) for s in (source, reference))
    across = _behind_utc(reference, source, theirs)
    days = (
        DAY_US * round((theirs - mine - across) / DAY_US) if "clock" in (source.scale, reference.scale) else 0
    )
    return source.clock.offset + across + days


def _off(source: Source) -> int:
    """Return how far a source's clock was wrong; one that counts from its own zero was not. [us]"""
    return source.clock.offset if source.clock and source.scale != "elapsed" else 0


def _behind_utc(reference: Source, source: Source, at_us: int) -> int:
    """Return what turns a source's local time into the reference's scale, where one is in UTC. [us]"""
    if (reference.scale == "utc") == (source.scale == "utc"):
        return 0
    zone = ZoneInfo(reference.zone or source.zone or "UTC")
    offset = (EPOCH + timedelta(microseconds=at_us)).astimezone(zone).utcoffset() or timedelta()
    away = round(offset.total_seconds()) * US
    return -away if reference.scale == "utc" else away


def _far(marks: pa.Table) -> Bools:
    """Return which marks lie further than half a slot from the middle one."""
    time = ints_of(marks["time"])
    if not len(time):
        return np.zeros(0, np.bool_)
    return np.asarray(np.abs(time - int(np.median(time))) >= HALF_US // 2)

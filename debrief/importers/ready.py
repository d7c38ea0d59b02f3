"""Tables of our own schema: marks that were read once and are taken as they stand."""

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pyarrow as pa

from debrief.errors import BadSetting
from debrief.importers.grid import Grid
from debrief.importers.mapping import Mapping
from debrief.importers.notices import Notice
from debrief.importers.settings import Settings
from debrief.importers.splitting import named, several_events
from debrief.importers.times import Times
from debrief.importers.written import parse
from debrief.model.axis import Ints
from debrief.model.columns import MISSING, bool_array, ints_of, same, text_array
from debrief.model.event import Offset, Scale, Source, SourceKind
from debrief.model.marks import SCHEMA
from debrief.model.times import DAY_US, US
from debrief.words import say

_DATED_US = 10 * DAY_US
"""A time further from its zero than this counts from 1970."""


@dataclass
class ReadyMarks:
    """The marks of one source of one event, with what ``Reader`` tells of a grid that it read."""

    source_id: str
    marks: pa.Table
    grid: Grid
    settings: Settings
    event: str | None
    events: tuple[str, ...] = ()
    mapping: Mapping = field(default_factory=Mapping)
    notices: list[Notice] = field(default_factory=list)
    times: Times = field(default_factory=lambda: Times("clock", np.zeros(0, np.int64), np.zeros(0, np.int64)))

    def read(self, near: int | None = None) -> None:
        """Look at the times: there is nothing to read, and no day to be set."""
        start, cell = ints_of(self.marks["source_time"]), ints_of(self.marks["cell"])
        self.times = Times(_scale(self.marks, start, cell), start, cell)

    def kind(self) -> SourceKind:
        """Return what kind of source this is, as said or as its marks tell."""
        if self.settings.kind:
            return self.settings.kind
        if "person" in self.marks["origin"].unique().to_pylist():
            return "person"
        return "sensor" if "compression" in self.marks["kind"].unique().to_pylist() else "device"

    def clock(self) -> Offset | None:
        """Return how far this clock stands from the reference, where every mark says the same of it."""
        time, start = ints_of(self.marks["time"]), ints_of(self.marks["source_time"])
        known = (time != MISSING) & (start != MISSING)
        apart = np.unique(time[known] - start[known])
        if len(apart) != 1:
            return None
        offset = int(apart[0])
        return Offset(offset, offset, offset)

    def table(self, event_id: str, source: Source) -> pa.Table:
        """Return the marks as they stand, under the names they have here."""
        named_so = {"event_id": event_id, "source_id": source.source_id}
        columns = [
            text_array(same(named_so[name], len(self.marks))) if name in named_so else self.marks[name]
            for name in SCHEMA.names
        ]
        columns[SCHEMA.names.index("time")] = pa.nulls(len(self.marks), pa.int64())
        return pa.Table.from_arrays(columns, schema=SCHEMA)


def ready(
    path: Path, marks: pa.Table, grid: Grid, settings: Settings
) -> tuple[list[ReadyMarks], tuple[str, ...]]:
    """Return the sources of one event of a marks table, and the names of all its events.

    Raises
    ------
    BadSetting
        Where the event that is asked for is not in it.
    """
    events = tuple(marks["event_id"].unique().to_pylist())
    if settings.only is not None and settings.only not in events:
        known = named(events)
        raise BadSetting(say("importing.no_such_event", file=path.name, read=settings.only, names=known))
    event = settings.only or events[0]
    marks = _of(marks, "event_id", event)
    sources = marks["source_id"].unique().to_pylist()
    found = [ReadyMarks(name, _of(marks, "source_id", name), grid, settings, event) for name in sources]
    if settings.only is None and len(events) > 1:
        found[0].notices.append(several_events(events, None, all_taken=False))
    return found, events


def _of(marks: pa.Table, column: str, name: str) -> pa.Table:
    coded = marks[column].combine_chunks().dictionary_encode()
    return marks.filter(bool_array(ints_of(coded.indices) == coded.dictionary.to_pylist().index(name)))


def _scale(marks: pa.Table, start: Ints, cell: Ints) -> Scale:
    """Return what times count from, by how large they are and by what is written beside them."""
    row = next((row for row in np.flatnonzero(start != MISSING).tolist()), None)
    if row is None:
        return "elapsed"
    written = parse(marks["time_text"][row].as_py())
    width = max(int(cell[row]) if cell[row] != MISSING else US, US)
    clock = written.clock if written else None
    as_written = clock is not None and (int(start[row]) - clock) % DAY_US <= width
    if abs(int(start[row])) > _DATED_US:
        return "local" if as_written else "utc"
    return "clock" if as_written else "elapsed"

"""A time that a reviewer gives, read as the source's own clock would have written it."""

from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np

from debrief.importers import times
from debrief.importers.corrections.lines import CORRECTIONS
from debrief.importers.days import day_of
from debrief.importers.places import at
from debrief.importers.zones import to_utc
from debrief.model.columns import MISSING, repeated
from debrief.model.event import Event, Source
from debrief.model.times import US


@dataclass(frozen=True)
class Clock:
    """The clock of a source, near one of its times, and how fine it writes. [us]"""

    source: Source
    near: int
    finest: int

    @classmethod
    def of(cls, event: Event, source: Source, near: int | None = None) -> "Clock":
        """Return the clock of a source of an event; null is near the middle of its marks."""
        marks = event.marks
        rows = [
            (time, cell)
            for name, time, cell in zip(
                *(marks[column].to_pylist() for column in ("source_id", "source_time", "cell")), strict=True
            )
            if name == source.source_id and time is not None
        ]
        held = sorted(time for time, _ in rows)
        if near is None:
            near = held[len(held) // 2] if held else 0
        return cls(source, near, min((cell for _, cell in rows), default=US))

    def read(self, text: str) -> tuple[int, int] | None:
        """Return the point time and the cell of a written time, null where this clock cannot write it. [us]

        A clock time falls on the day nearest ``near``. A plain number is seconds.
        """
        source, wall = self.source, self.near
        zone = ZoneInfo(source.zone or "UTC") if source.scale == "utc" else None
        if zone is not None:
            ahead, _, _ = to_utc(np.array([wall]), np.array([MISSING]), zone)
            wall += wall - int(ahead[0])
        rules = times.Rules(
            said="elapsed" if source.scale == "elapsed" else "clock",
            date=day_of(wall) if source.scale in ("utc", "local") else None,
            near=None if source.scale == "elapsed" else wall,
            zone=zone,
            rounding=source.rounding,
            in_order=False,
            one_event=False,
        )
        found = times.read(repeated([text]), at(1, CORRECTIONS), rules)
        time, cell = int(found.source_time[0]), int(found.cell[0])
        if time == MISSING or found.scale != source.scale:
            return None
        return time, min(cell, self.finest) if cell == US else cell


def reference_of(event: Event) -> Source:
    """Return the source on whose clock a reviewer writes: the one named, else a device, else the finest."""
    wanted = event.context.reference
    named = [one for one in event.sources if wanted and wanted in (one.source_id, one.name, one.file)]
    free = [one for one in event.sources if one.clock is None] or [*event.sources]
    devices = [one for one in free if one.kind == "device"]
    if named or devices:
        return (named or devices)[0]
    return min(free, key=lambda one: Clock.of(event, one).finest)

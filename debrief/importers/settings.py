"""What a caller may say about the files to be read, beside what stands in them."""

import datetime as dt
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal
from zoneinfo import ZoneInfo

from debrief.importers.mapping import Mapping
from debrief.model.event import ClockCheck, SourceKind


@dataclass(frozen=True)
class Settings:
    """What is known beforehand. An event.json, where there is one, stands before it for its own sources.

    ``remembered`` is the folder in which answers for a layout are kept. ``date`` is that of the first row.
    ``importer`` names one of ``IMPORTERS`` and ends the question which one reads a file. ``only`` names one
    of the events that a file holds, as ``find_events`` tells them. ``clock_checks`` are those of devices, by
    folded label: a source has those of the device that it came from, or is called as, unless it counts from a
    zero of its own.
    """

    times: Literal["clock", "elapsed"] | None = None
    mapping: Mapping | None = None
    remembered: Path | None = None
    kind: SourceKind | None = None
    date: dt.date | None = None
    zone: ZoneInfo | None = None
    rounding: Literal["down", "nearest", "unknown"] = "unknown"
    importer: str | None = None
    only: str | None = None
    clock_checks: dict[str, tuple[ClockCheck, ...]] = field(default_factory=dict)

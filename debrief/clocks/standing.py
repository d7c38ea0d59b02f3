"""How the clock of each device on a log stands today: its last check, whether that is stale, its drift."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from debrief.clocks.checks import STALE_DAYS, Fitted, fitted
from debrief.clocks.drift import drift
from debrief.clocks.line import Line
from debrief.clocks.log import Entry
from debrief.clocks.readings import EPOCH, Reading, read_checks
from debrief.model.times import DAY_US


@dataclass(frozen=True)
class Standing:
    """The checks of one device against one other clock, the earliest first, those withdrawn among them.

    ``readings``: what those say that count, and where a clock was then set; ``now``: where it stands at noon
    today, null where no check counts; ``drift``: its slope says how much more has to be added every day [us],
    null where checks do not show it.
    """

    device: str
    against: str
    entries: tuple[Entry, ...]
    readings: tuple[Reading, ...]
    now: Fitted | None
    drift: Line | None
    today: date
    stale_after_days: float

    @property
    def last(self) -> Entry | None:
        """The last check that counts."""
        return next((entry for entry in reversed(self.entries) if not entry.withdrawn), None)

    @property
    def stale(self) -> bool:
        """Whether it should be checked again: nothing counts, or the last check is too old."""
        return self.last is None or self.is_stale(self.last)

    def is_stale(self, entry: Entry) -> bool:
        """Return whether a check is older than the site allows."""
        return self.days_since(entry) > self.stale_after_days

    def days_since(self, entry: Entry) -> int:
        """Return how many days ago a check was."""
        return (self.today - date.fromisoformat(entry.reading.date or "")).days


def standings(
    devices: Sequence[Sequence[Entry]], today: date, stale_after_days: float | None = None
) -> list[Standing]:
    """Return how clocks stand by the checks of each, as ``Log.by_device`` gives them."""
    limit = STALE_DAYS if stale_after_days is None else stale_after_days
    found = []
    for entries in devices:
        readings, _ = read_checks([entry.check for entry in entries if not entry.withdrawn])
        readings.sort(key=lambda reading: reading.at)
        named = max(entries, key=lambda entry: entry.at)
        against = named.check.against or ""
        now = None
        if readings:
            noon = (today - EPOCH).days * DAY_US + DAY_US // 2 - readings[-1].offset
            now = fitted(readings, noon, reference=against, stale_after_days=limit)
        found.append(
            Standing(
                named.device,
                against,
                tuple(entries),
                tuple(readings),
                now,
                drift(readings),
                today,
                limit,
            )
        )
    return found

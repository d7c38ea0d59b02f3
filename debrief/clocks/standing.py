"""How the clock of each device on a log stands today: its last check, whether that is stale, its drift."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from debrief.clocks.checks import STALE_DAYS
from debrief.clocks.drift import drift
from debrief.clocks.line import Line
from debrief.clocks.log import Entry
from debrief.clocks.readings import read_checks


@dataclass(frozen=True)
class Standing:
    """The checks of one device against one other clock, the earliest first, those withdrawn among them.

    ``drift``: its slope says how much more has to be added every day [us], null where checks do not show it.
    """

    device: str
    against: str
    entries: tuple[Entry, ...]
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
        named = max(entries, key=lambda entry: entry.at)
        against = named.check.against or ""
        found.append(Standing(named.device, against, tuple(entries), drift(readings), today, limit))
    return found

"""The reference clock as people read it: wall time out, written times in."""

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from debrief.model.event import Scale, Source
from debrief.model.times import DAY_US, US

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Wall:
    """A clock of one scale, and its zone where it counts in UTC."""

    scale: Scale
    zone: str | None

    @classmethod
    def of(cls, source: Source) -> "Wall":
        """Return the clock of a source."""
        return cls(source.scale, source.zone)

    def text(self, time_us: int) -> str | None:
        """Return a time as it is read there, null where it has no hours."""
        if self.scale == "elapsed":
            return None
        moment = EPOCH + timedelta(microseconds=time_us)
        if self.scale == "utc":
            return moment.astimezone(ZoneInfo(self.zone) if self.zone else UTC).isoformat()
        moment = moment.replace(tzinfo=None)
        return moment.time().isoformat() if self.scale == "clock" else moment.isoformat()

    def read(self, text: str, near_us: int) -> int | None:
        """Return a time written as this clock has them, null where it cannot be read. [us]

        A date and time, a clock time (taken to the day nearest ``near_us``), or seconds.
        """
        try:
            if self.scale == "elapsed":
                parts = [float(part) for part in text.split(":")]
                return round(sum(part * 60.0**i for i, part in enumerate(reversed(parts))) * US)
            if "T" in text or "-" in text:
                moment = datetime.fromisoformat(text)
                local = moment.replace(tzinfo=UTC) if moment.tzinfo is None or self.scale != "utc" else moment
                read = round((local - EPOCH).total_seconds() * US)
                zoneless = moment.tzinfo is None and self.scale == "utc"
                return read - (self.ahead(near_us) if zoneless else 0)
            of_day = time.fromisoformat(text)
        except ValueError:
            return None
        since = datetime.combine(EPOCH.date(), of_day.replace(tzinfo=None), UTC) - EPOCH
        clock_us = round(since.total_seconds() * US) - (self.ahead(near_us) if self.scale == "utc" else 0)
        return clock_us + DAY_US * round((near_us - clock_us) / DAY_US)

    def midnight(self, at_us: int) -> int:
        """Return the midnight before a time of this clock, 0 where it counts from a zero of its own. [us]"""
        if self.scale == "elapsed":
            return 0
        ahead = self.ahead(at_us) if self.scale == "utc" else 0
        return (at_us + ahead) // DAY_US * DAY_US - ahead

    def ahead(self, at_us: int) -> int:
        """Return how far the zone is ahead of UTC. [us]"""
        zone = ZoneInfo(self.zone) if self.zone else UTC
        offset = (EPOCH + timedelta(microseconds=at_us)).astimezone(zone).utcoffset() or timedelta()
        return round(offset.total_seconds()) * US


def across(source: Source, source_us: int, reference: Source, reference_us: int) -> int:
    """Return what brings a source's times onto the reference's scale, were its clock right. [us]

    Parameters
    ----------
    source_us, reference_us
        A time in the middle of the marks of each, on its own clock.
    """
    if source.scale == "elapsed" or reference.scale == "elapsed":
        return Wall.of(reference).midnight(reference_us) - Wall.of(source).midnight(source_us)
    away = 0
    if (reference.scale == "utc") != (source.scale == "utc"):
        ahead = Wall("utc", reference.zone or source.zone).ahead(reference_us)
        away = -ahead if reference.scale == "utc" else ahead
    if "clock" not in (source.scale, reference.scale):
        return away
    return away + DAY_US * round((reference_us - source_us - away) / DAY_US)

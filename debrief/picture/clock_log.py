"""The log of clock checks for reading and for other programs: rows, tables, sentences."""

import csv
import io
from collections.abc import Iterator, Sequence
from typing import Any

from debrief.clocks.checks import Fitted
from debrief.clocks.drift import drift_words
from debrief.clocks.line import Line
from debrief.clocks.log import Entry
from debrief.clocks.standing import Standing
from debrief.model.times import US, to_s
from debrief.picture.clock_words import apart_words
from debrief.words import say

COLUMNS = (
    *("id", "device", "against", "date", "device_reads", "reference_reads", "error_s", "within_s"),
    *("then_set", "days_since", "stale", "withdrawn", "role", "at"),
)


def log_rows(standings: Sequence[Standing]) -> list[dict[str, Any]]:
    """Return one row a check, by device and date. ``error_s`` is above zero where the device was ahead."""
    return [dict(zip(COLUMNS, _row(one, entry), strict=True)) for one in standings for entry in one.entries]


def _row(one: Standing, entry: Entry) -> tuple[object, ...]:
    check, reading = entry.check, entry.reading
    return (
        *(entry.id, entry.device, check.against, reading.date, check.source_reads, check.reference_reads),
        *(-to_s(reading.offset) + 0.0, to_s(reading.half), check.then_set),
        *(one.days_since(entry), one.is_stale(entry), entry.withdrawn, entry.role, entry.at),
    )


def log_csv(standings: Sequence[Standing]) -> str:
    """Return the rows with their heading."""
    written = io.StringIO()
    writer = csv.DictWriter(written, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(log_rows(standings))
    return written.getvalue().rstrip("\n")


def log_text(standings: Sequence[Standing]) -> str:
    """Return each device with its checks, for a terminal."""
    return "\n\n".join("\n".join(_lines(one)) for one in standings)


def _lines(one: Standing) -> Iterator[str]:
    yield say("clock_log.of_device", device=one.device, against=one.against)
    yield f"  {last_words(one)} {drift_sentence(one.drift)}"
    cells = [
        (
            entry.reading.date or "",
            entry.check.source_reads,
            entry.check.reference_reads,
            error_words(entry.reading.offset),
            ", ".join(notes_of(entry)),
            entry.id,
        )
        for entry in one.entries
    ]
    heads = [
        say(f"clock_log.head_{name}") for name in ("date", "device", "reference", "error", "notes", "id")
    ]
    widths = [max(map(len, column)) for column in zip(heads, *cells, strict=True)]
    for row in (heads, *cells):
        yield "    " + "  ".join(map(str.ljust, row, widths)).rstrip()


def notes_of(entry: Entry) -> list[str]:
    """Return what else there is to say of a check: the clock was then set, it was withdrawn, by whom."""
    notes = [
        *([say("clock_log.then_set")] if entry.check.then_set else []),
        *([say("clock_log.withdrawn_note")] if entry.withdrawn else []),
    ]
    return [*notes, entry.role] if entry.role else notes


def error_words(offset: int) -> str:
    """Return how far a clock was wrong: ``1 min 42 s behind`` where that has to be added. [us]"""
    if abs(offset) < US // 2:
        return say("clock_log.right")
    return say(f"clock_page.short_{'behind' if offset > 0 else 'ahead'}", offset=apart_words(to_s(offset)))


def kept_words(entry: Entry) -> str:
    """Return what a check that was just written down says."""
    reading = entry.reading
    way = "right" if abs(reading.offset) < US // 2 else "behind" if reading.offset > 0 else "ahead"
    said = say(
        f"clock_log.kept_{way}",
        id=entry.id,
        date=reading.date,
        device=entry.device,
        against=entry.check.against,
        size=apart_words(to_s(reading.offset)),
        within=apart_words(to_s(reading.half)),
    )
    return f"{said} {say('clock_log.kept_then_set')}" if entry.check.then_set else said


def last_words(one: Standing) -> str:
    """Return when a clock was last checked, and whether that is too long ago."""
    if one.last is None:
        return say("clock_log.last_none")
    days = one.days_since(one.last)
    if one.stale:
        return say("clock_log.last_stale", days=days, limit=f"{one.stale_after_days:g}")
    return say("clock_log.last_today") if days <= 0 else say("clock_log.last", days=days)


def today_words(now: Fitted) -> str:
    """Return where a clock is taken to stand today, with its bounds."""
    at, low, high = (error_words(offset) for offset in (now.offset, now.low, now.high))
    return say("clock_log.today", error=at, low=low, high=high)


def drift_sentence(line: Line | None) -> str:
    """Return what a clock loses or gains in a day, with its bounds."""
    if line is None:
        return say("clock_log.no_drift")
    low, high = line.low / US, line.high / US
    if low < 0 < high:
        return say("clock_log.drift_either", gain=f"{-low:.2f}", lose=f"{high:.2f}")
    near, far = sorted((abs(low), abs(high)))
    return f"{drift_words(line.slope)} {say('clock_log.drift_bounds', low=f'{near:.2f}', high=f'{far:.2f}')}"

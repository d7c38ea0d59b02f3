"""Rows typed from a paper sheet: steps from row to row become times, and the rows a file of our own form.

What the other words mean is for the importers to say when they read that file: nothing is understood twice.
"""

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from debrief.importers.written import parse
from debrief.model.times import DAY_US, HOUR_US, MINUTE_US, US

TYPED = "typed.csv"
"""What the rows are kept as in the folder of their event."""

COLUMNS = ("time", "mark", "detail", "amount", "unit", "route", "note")
"""The cells of a row, in the order in which they are typed."""

Row = tuple[str, ...]

_STEP = re.compile(r"\+\s*(\d{1,3})(?::([0-5]\d))?")
_BREAKS = re.compile(r"[\s\x00-\x1f\x7f]+")


@dataclass(frozen=True)
class Typed:
    """A time as the file has it, and what there is to say of a step.

    ``from_nothing``: the row before has no time to count from. ``from_minute``: seconds were counted from the
    beginning of a minute, since the row before has no seconds.
    """

    text: str
    odd: Literal["from_nothing", "from_minute"] | None = None


def times_of(texts: Sequence[str], elapsed: bool) -> list[Typed]:
    """Return the times of rows as they go into the file: as typed, and steps (``+2``, ``+0:30``) added up.

    A step is from the row before, in minutes or in minutes and seconds. One that cannot be taken stands in
    brackets, so that nobody takes it for a time.

    Parameters
    ----------
    texts
        What was typed, one a row.
    elapsed
        Whether the sheet counts from its own zero, rather than by a clock.
    """
    found: list[Typed] = []
    for text in map(str.strip, texts):
        if step := _STEP.fullmatch(text):
            after = _after(found[-1].text if found else "", step, elapsed)
            found.append(after or Typed(f"({text})", "from_nothing"))
        else:
            found.append(Typed(f"({text})" if text.startswith("+") else text))
    return found


def _after(before: str, step: re.Match[str], elapsed: bool) -> Typed | None:
    """Return the time that lies a step after another, null where that is none."""
    base = parse(before)
    start = None if base is None else base.elapsed if elapsed else base.clock
    if base is None or start is None:
        return None
    at = start + int(step[1]) * MINUTE_US + int(step[2] or 0) * US
    if elapsed:
        return Typed(f"{at // MINUTE_US}:{_seconds(at)}" if at < 1000 * MINUTE_US else _hours(at))
    at, to_the_minute = at % DAY_US, base.clock_cell >= MINUTE_US
    if to_the_minute and step[2] is None:
        return Typed(_hours(at)[:5])
    return Typed(_hours(at), "from_minute" if to_the_minute else None)


def _hours(at_us: int) -> str:
    return f"{at_us // HOUR_US:02}:{at_us // MINUTE_US % 60:02}:{_seconds(at_us)}"


def _seconds(at_us: int) -> str:
    whole, rest = divmod(at_us % MINUTE_US, US)
    return f"{whole:02}.{rest:06}".rstrip("0") if rest else f"{whole:02}"


def filled(rows: Sequence[Row]) -> list[int]:
    """Return the numbers of the rows that hold anything, from 0."""
    return [number for number, row in enumerate(rows) if any(map(str.strip, row))]


def line_of(index: int) -> int:
    """Return the line of the file at which a row stands, by its number among the filled ones, from 0."""
    return index + 2


def to_csv(rows: Sequence[Row], elapsed: bool) -> tuple[str, list[Typed]]:
    """Return rows as the file that the importers read, and their times. Rows that hold nothing are left out.

    Parameters
    ----------
    rows
        Seven texts each, in the order of ``COLUMNS``.
    elapsed
        As ``times_of``.
    """
    kept = [[_BREAKS.sub(" ", cell).strip() for cell in rows[number]] for number in filled(rows)]
    times = times_of([row[0] for row in kept], elapsed)
    made = io.StringIO()
    writer = csv.writer(made, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows([time.text, *row[1:]] for time, row in zip(times, kept, strict=True))
    return made.getvalue(), times

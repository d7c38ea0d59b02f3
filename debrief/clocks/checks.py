"""Clock checks: what a clock read when another read something else, and where it stood during the event.

Every check says how far the clock was off, as well as the two readings were written. How far it was off at
the event, days away, is bounded by how much clocks drift.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise

import numpy as np

from debrief.clocks.drift import DRIFT_US, MOST, columns_of, line_of, stretches_of
from debrief.clocks.readings import Reading, read_checks
from debrief.clocks.wall import Wall
from debrief.model.event import ClockCheck, Source
from debrief.model.problems import Problem, problem
from debrief.model.times import DAY_US
from debrief.words import fold, say

STALE_DAYS = 30.0
"""After how long a check is stale, unless the site says otherwise. Clocks are to be set right at least once a
month (J. P. Ornato and others, Ann Emerg Med 1998;31:483-7). [days]"""

DATED = ("utc", "local")
NO_ZONE = Wall("local", None)


@dataclass(frozen=True)
class Fitted:
    """A clock at the event: ``reference = source + offset + (rate - 1) * (source - at)``. [us]

    ``at`` is in source time, ``low`` and ``high`` bound the offset there, ``text`` says in a sentence how it
    is known.
    """

    offset: int
    at: int
    rate: float
    low: int
    high: int
    text: str
    problems: tuple[Problem, ...] = ()


def fitted(
    readings: Sequence[Reading],
    at_us: int,
    *,
    reference: str,
    dated: bool = True,
    wall: Wall = NO_ZONE,
    stale_after_days: float = STALE_DAYS,
) -> Fitted:
    """Return where a clock stood at the event by at least one reading of it.

    Parameters
    ----------
    at_us
        The time of the event on this clock, from 1970-01-01; where not ``dated``, from midnight. [us]
    reference
        What the clock beside it is called.
    wall
        Where it hangs: whether its hours changed between check and event.
    stale_after_days
        How old a check may be before it is said to be stale.
    """
    if not dated and all(reading.placed for reading in readings):
        return _undated_event(readings, at_us, reference, stale_after_days)
    usable = [_near(reading, at_us) for reading in readings if dated or not reading.placed]
    found, stretch = _between_settings(sorted(usable, key=lambda reading: reading.at), at_us, reference)
    nearest = min(stretch, key=lambda reading: abs(reading.at - at_us))
    days = abs(nearest.at - at_us) / DAY_US
    told = []
    if days > stale_after_days:
        told.append(problem("check_stale", days=f"{days:.0f}", limit=f"{stale_after_days:g}"))
    if wall.ahead(nearest.at) != wall.ahead(at_us):
        told.append(problem("check_other_hour", zone=wall.zone, date=nearest.date))
    return replace(found, problems=(*found.problems, *told))


def from_checks(
    source: Source,
    reference: Source,
    at_us: int,
    *,
    base: int = 0,
    stale_after_days: float = STALE_DAYS,
) -> tuple[Fitted | None, tuple[Problem, ...]]:
    """Return where a source's clock stood against the reference at the event, by the checks of both.

    Checks against the reference itself come first; failing those, both clocks have to have been checked
    against the same third one.

    Parameters
    ----------
    at_us
        The time of the event as the source has it, in source time. [us]
    base
        What brings source time onto the scale of the reference: zones and days, not the offset. [us]

    Returns
    -------
    fitted
        Null where no check says how the two stand.
    problems
        What is wrong with the checks of either.
    """
    own = {fold(name) for name in (reference.source_id, reference.name, reference.file) if name}
    direct = [check for check in source.checks if check.against is None or fold(check.against) in own]
    others = dict.fromkeys(fold(check.against or "") for check in source.checks if check not in direct)
    borrowed = source.scale in ("clock", "elapsed") and reference.scale in DATED  # the day is the reference's
    here = at_us + base if borrowed else at_us
    dated = borrowed or source.scale in DATED
    fits = partial(_fit, dated=dated, stale_after_days=stale_after_days)
    problems: list[Problem] = []
    at = at_us if source.scale == "elapsed" else here
    found = fits(source, direct, at, reference.name or reference.file, problems, reference)
    lacking = []
    for third in others if found is None else ():
        mine, theirs = _against(source, third), _against(reference, third)
        name = mine[0].against or third
        first = fits(source, mine, at, name, problems)
        if first is None:
            continue
        counts = reference.scale == "elapsed"  # from another zero every time
        second = None if counts else fits(reference, theirs, here + first.offset, name, problems)
        if second is None:
            known = {"against": name, "reference": reference.name or reference.file}
            lacking.append(problem("check_against_other", source.source_id, **known))
            continue
        found = _across(first, second, name)
        break
    if found is None:
        return None, (*problems, *lacking)
    return replace(found, at=at_us), tuple(problems)


def _fit(
    source: Source,
    checks: Sequence[ClockCheck],
    at_us: int,
    name: str,
    problems: list[Problem],
    reference: Source | None = None,
    *,
    dated: bool,
    stale_after_days: float,
) -> Fitted | None:
    """Return a clock by some of its checks, null where none can be read, and add to the problems."""
    counts = source.scale == "elapsed", reference is not None and reference.scale == "elapsed"
    readings, told = read_checks(checks, counts)
    found = None
    if readings:
        found = fitted(
            readings,
            at_us,
            reference=name,
            dated=dated,
            wall=Wall.of(source),
            stale_after_days=stale_after_days,
        )
        told += found.problems
    problems += [replace(one, source_id=source.source_id) for one in told]
    return found


def _against(source: Source, name: str) -> list[ClockCheck]:
    return [check for check in source.checks if check.against and fold(check.against) == name]


def _across(source: Fitted, reference: Fitted, against: str) -> Fitted:
    """Return how two clocks stand to each other that were checked against the same third."""
    return Fitted(
        offset=source.offset - reference.offset,
        at=source.at,
        rate=source.rate / reference.rate,
        low=source.low - reference.high,
        high=source.high - reference.low,
        text=say("clocks.by_other_clock", against=against, source=source.text, reference=reference.text),
    )


def _near(reading: Reading, at_us: int) -> Reading:
    """Return a reading on its day, that of the event where it has none."""
    if reading.placed:
        return reading
    return replace(reading, at=reading.at + DAY_US * round((at_us - reading.at) / DAY_US))


def _undated_event(
    readings: Sequence[Reading], at_us: int, reference: str, stale_after_days: float
) -> Fitted:
    """Return where a clock stood by its last check, its bounds by all, where nobody knows when that was."""
    last = max(readings, key=lambda reading: reading.at)
    each = [_constant(reading, at_us, stale_after_days, reference) for reading in readings]
    told = problem("check_event_undated", date=last.date, days=f"{stale_after_days:g}")
    return replace(
        _constant(last, at_us, stale_after_days, reference),
        low=min(one.low for one in each),
        high=max(one.high for one in each),
        problems=(told,),
    )


def _between_settings(
    readings: Sequence[Reading], at_us: int, reference: str
) -> tuple[Fitted, Sequence[Reading]]:
    """Return the clock by those readings between which and the event nobody has set it, and these readings.

    A clock that was set in between is told by a step that no drift explains. Where that may have been on
    either side of the event, or on its day, the bounds hold both.
    """
    stretches = stretches_of(readings)
    taken = min(stretches, key=lambda stretch: _away(stretch, at_us))
    found = _of_stretch(taken, at_us, reference)
    problems: list[Problem] = []
    for earlier, later in pairwise(stretches):
        first, second = earlier[-1], later[0]
        if first.check is second.check:  # it says so itself that the clock was set
            continue
        named = {"first": first.named(), "second": second.named()}
        if first.at <= at_us <= second.at or max(abs(at_us - first.at), abs(at_us - second.at)) < DAY_US:
            others = [_of_stretch(stretch, at_us, reference) for stretch in (earlier, later)]
            found = replace(
                found,
                low=min(found.low, *(other.low for other in others)),
                high=max(found.high, *(other.high for other in others)),
            )
            nearest = min(taken, key=lambda reading: abs(reading.at - at_us))
            problems.append(problem("checks_contradict", taken=nearest.named(), **named))
        elif earlier is taken or later is taken:
            problems.append(problem("clock_was_set", **named))
    return replace(found, problems=tuple(problems)), taken


def _away(stretch: Sequence[Reading], at_us: int) -> int:
    return min(abs(reading.at - at_us) for reading in stretch)


def _of_stretch(stretch: Sequence[Reading], at_us: int, reference: str) -> Fitted:
    """Return the clock by readings that one drift explains."""
    before = [reading for reading in stretch if reading.at <= at_us]
    after = [reading for reading in stretch if reading.at > at_us]
    if before and after and after[0].at - before[-1].at >= DAY_US:
        return _on_line_between(before[-1], after[0], at_us)
    if not (before and after) and stretch[-1].at - stretch[0].at >= DAY_US:
        beyond = _on_line_beyond(stretch, at_us)
        if beyond is not None:
            return beyond
    nearest = min(stretch, key=lambda reading: abs(reading.at - at_us))
    return _constant(nearest, at_us, abs(nearest.at - at_us) / DAY_US, reference)


def _constant(reading: Reading, at_us: int, days: float, reference: str) -> Fitted:
    """Return a clock that stood as one check says, so many days from the event."""
    half = reading.half + round(days * DRIFT_US)
    check = reading.check
    key = "clocks.by_check" if reading.date else "clocks.by_undated_check"
    text = say(
        key,
        date=reading.date,
        source=check.source_reads,
        other=check.reference_reads,
        reference=reference,
    )
    return Fitted(reading.offset, at_us, 1.0, reading.offset - half, reading.offset + half, text)


def _on_line_between(before: Reading, after: Reading, at_us: int) -> Fitted:
    """Return a clock on the straight line between two checks.

    It may bend as far as a rate that changes evenly, by a day's drift either side of its mean, would take it:
    not at the checks, and furthest in the middle.
    """
    days = (after.at - before.at) / DAY_US
    gone = (at_us - before.at) / (after.at - before.at)
    slope = (after.offset - before.offset) / days
    offset = round(before.offset + slope * gone * days)
    half = round(before.half * (1 - gone) + after.half * gone + DRIFT_US * days * gone * (1 - gone))
    text = say("clocks.by_line_between", before=f"{gone * days:.1f}", after=f"{(1 - gone) * days:.1f}")
    return Fitted(offset, at_us, 1 + slope / DAY_US, offset - half, offset + half, text)


def _on_line_beyond(stretch: Sequence[Reading], at_us: int) -> Fitted | None:
    """Return a clock on the line through its checks, all before or all after the event.

    Null where they show its drift less well than is known of any clock.
    """
    used = sorted(stretch, key=lambda reading: abs(reading.at - at_us))[:MOST]
    line = line_of(used, at_us)
    if line is None or (
        line.high - line.low > 2 * DRIFT_US and line.low <= DRIFT_US and line.high >= -DRIFT_US
    ):
        return None
    days, offsets, halves = columns_of(used, at_us)
    offset = round(line.intercept)
    half = max(float(halves.max()), float(np.abs(offsets - line.at(days)).max()))
    beyond = -float(np.median(days))
    reached = sorted(((line.low - line.slope) * beyond, (line.high - line.slope) * beyond))
    text = say(
        "clocks.by_line_beyond",
        count=len(used),
        span=f"{abs(days[-1] - days[0]):.0f}",
        days=f"{abs(days[0]):.1f}",
    )
    return Fitted(
        offset,
        at_us,
        1 + line.slope / DAY_US,
        offset - round(half - reached[0]),
        offset + round(half + reached[1]),
        text,
    )

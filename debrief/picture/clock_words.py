"""Clocks in words: how far each stands from the reference, how sure that is, and what is assumed."""

from collections.abc import Sequence

from debrief.importers.corrections import ADDED_ID
from debrief.model.contract import ClockOther, ClockOut, Report, SourceOut
from debrief.model.times import DAY_US, clock, to_s
from debrief.model.values import THIN, number
from debrief.words import say

NBSP = "\u00a0"
_EQUAL_S = 0.5
"""Clocks that stand no further apart are said to agree. [s]"""
_DAY_S = to_s(DAY_US)


def apart_words(seconds: float) -> str:
    """Return a length of time as people say it, without its sign: ``1 min 42 s``, ``1 h 2 min``."""
    seconds = abs(seconds)
    if seconds < 9.95 and abs(seconds - round(seconds)) >= 0.05:
        return f"{seconds:.1f}{THIN}{say('clock_page.s')}"
    whole = round(seconds)
    counts = {"h": whole // 3600, "min": whole // 60 % 60, "s": whole % 60}
    said = [f"{count}{THIN}{say(f'clock_page.{unit}')}" for unit, count in counts.items() if count]
    return NBSP.join(said) or f"0{THIN}{say('clock_page.s')}"


def name_of(source: SourceOut) -> str:
    """Return what a source is called: its name, else its file."""
    return source["name"] or source["file"]


def clocks_of(report: Report) -> list[SourceOut]:
    """Return the sources that have a clock of their own: the reference, those that stand with it, others."""
    found = [source for source in report["sources"] if source["source_id"] != ADDED_ID]
    reference = reference_of(report)
    return sorted(found, key=lambda source: (source != reference, source["group"] != 1))


def reference_of(report: Report) -> SourceOut | None:
    """Return the source on whose clock all times are told, null where there is none."""
    own = [source for source in report["sources"] if source["group"] == 1 and source["source_id"] != ADDED_ID]
    named = (source for source in own if "reference" in kinds_of_evidence(source["clock"]))
    return next(named, own[0] if own else None)


def other_ways(source: SourceOut) -> list[ClockOther]:
    """Return where else its marks could mean that a clock stands, or where at all, the best first."""
    return source["clock"]["others"] if source["clock"] else source["offers"]


def kinds_of_evidence(clock: ClockOut | None) -> list[str]:
    """Return what speaks for where a clock is taken to stand, by name."""
    return [one["kind"] for one in clock["evidence"]] if clock else []


def of_day(seconds: float) -> str:
    """Return a time of day, from midnight: ``14:03:20``."""
    whole = round(seconds) % round(_DAY_S)
    return f"{whole // 3600:02}:{whole // 60 % 60:02}:{whole % 60:02}"


def counts_itself(source: SourceOut | None) -> bool:
    """Return whether a source counts from a zero of its own, not from midnight."""
    return source is not None and source["scale"] == "elapsed"


def standing_in_words(offset: float, source: SourceOut, reference: SourceOut | None) -> str:
    """Return how far a clock stands from the reference: ``1 min 42 s behind``; or where its zero lies. [s]"""
    if counts_itself(source) or counts_itself(reference):
        key = "clock_page.short_own_zero" if counts_itself(source) else "clock_page.short_zero"
        return say(key, at=_at(offset, source, reference))
    if abs(offset) < _EQUAL_S:
        return say("clock_page.short_agrees")
    return say(f"clock_page.short_{'behind' if offset > 0 else 'ahead'}", offset=apart_words(offset))


def way_words(way: ClockOther, source: SourceOut, reference: SourceOut | None) -> str:
    """Return where else a clock could stand, and how many marks say so."""
    told = standing_in_words(way["offset"], source, reference)
    key = "clock_page.other_one" if way["pairs"] == 1 else "clock_page.other"
    return say(key, standing=told, count=way["pairs"])


def _at(offset: float, source: SourceOut, reference: SourceOut | None) -> str:
    """Return where one of two zeros lies on the other clock: that of the source, if it has one."""
    if not counts_itself(source):
        return of_day(-offset)
    return clock(offset) if counts_itself(reference) else of_day(offset)


def standing_in_short(source: SourceOut, reference: SourceOut) -> str:
    """Return how a clock stands as it is written beside its row."""
    if source == reference:
        return say("clock_page.short_reference")
    if source["clock"] is None or source["group"] != 1:
        return say("clock_page.short_apart")
    return standing_in_words(source["clock"]["offset"], source, reference)


def residual_words(seconds: float) -> str:
    """Return what is left over between two marks: ``12 s``, with which of them is later."""
    if abs(seconds) < _EQUAL_S:
        return say("clock_page.left_none")
    side = "earlier" if seconds > 0 else "later"
    return say(f"clock_page.left_{side}", apart=apart_words(seconds))


def standing(report: Report, source: SourceOut) -> str:
    """Return in a sentence how far a clock stands from the reference, with its bounds."""
    reference, found = reference_of(report), source["clock"]
    name, other = name_of(source), name_of(reference) if reference else ""
    if source == reference:
        return say("clock_page.reference", name=name)
    if found is None or source["group"] != 1:
        key = "not_used" if not source["group"] else "apart_unclear" if source["offers"] else "apart"
        return say(f"clock_page.{key}", name=name, reference=other)
    offset, low, high = found["offset"], found["low"], found["high"]
    if counts_itself(source) or counts_itself(reference):
        key = "clock_page.own_zero" if counts_itself(source) else "clock_page.zero"
        key += "" if high - low < 2 * _EQUAL_S else "_bounds"
        edges = (low, high) if counts_itself(source) else (high, low)
        at, first, last = (_at(edge, source, reference) for edge in (offset, *edges))
        return say(key, name=name, reference=other, at=at, low=first, high=last)
    blanks = {"name": name, "reference": other, "offset": apart_words(offset)}
    side = "agrees" if abs(offset) < _EQUAL_S else "behind" if offset > 0 else "ahead"
    if high - low < 2 * _EQUAL_S:
        return say(f"clock_page.{side}", **blanks)
    how = "straddling" if side == "agrees" or low < 0 < high else "bounds"
    near, far = (high, low) if side == "ahead" else (low, high)
    return say(f"clock_page.{side}_{how}", **blanks, low=apart_words(near), high=apart_words(far))


def more_of(source: SourceOut) -> list[str]:
    """Return in sentences how many marks are shared, how the clock drifts, and which lateness is assumed."""
    found = source["clock"]
    if found is None:
        return []
    pairs = sum(len(one["pairs"]) for one in found["evidence"])
    lines = [say("clock_page.pairs_one" if pairs == 1 else "clock_page.pairs", count=pairs)] if pairs else []
    return [*lines, *drift_words(found), *lag_words(source)]


def drift_words(found: ClockOut) -> list[str]:
    """Return how much a clock gains or loses a day, where it does."""
    drift_s = (found["rate"] - 1) * _DAY_S
    if abs(drift_s) < 0.05:
        return []
    key = "clock_page.rate_loses" if drift_s > 0 else "clock_page.rate_gains"
    return [say(key, s=number(round(abs(drift_s), 1)), thin=THIN)]


def lag_words(source: SourceOut) -> list[str]:
    """Return how late the marks of a source that a person writes are taken to be written."""
    found = source["clock"]
    if found is None or source["kind"] != "person":
        return []
    low, high = found["lag"]
    return [say("clock_page.lag", **{"from": apart_words(low), "to": apart_words(high)})]


def clock_lines(report: Report) -> Sequence[str]:
    """Return a line a source on its clock; none where there is one source alone."""
    sources = clocks_of(report)
    if len(sources) < 2:
        return ()
    return [" ".join([standing(report, one), *more_of(one)]) for one in sources]

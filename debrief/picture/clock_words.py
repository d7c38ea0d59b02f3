"""Clocks in words: how far each stands from the reference, how sure that is, and what is assumed."""

from collections.abc import Sequence

from debrief.importers.corrections import ADDED_ID
from debrief.model.contract import ClockOut, Report, SourceOut
from debrief.model.times import DAY_US, to_s
from debrief.model.values import THIN, number
from debrief.words import say

_EQUAL_S = 0.5
"""Clocks that stand no further apart are said to agree. [s]"""
_DAY_S = to_s(DAY_US)


def apart_words(seconds: float) -> str:
    """Return a length of time as people say it, without its sign: ``1 min 42 s``, ``1 h 2 min``."""
    seconds = abs(seconds)
    if seconds < 9.95 and abs(seconds - round(seconds)) >= 0.05:
        return say("clock_page.s", s=f"{seconds:.1f}", thin=THIN)
    minutes, s = divmod(round(seconds), 60)
    h, minute = divmod(minutes, 60)
    key = "_".join(
        name for name, said in (("h_min", h), ("min", minute and not h), ("s", s or not minutes)) if said
    )
    return say(f"clock_page.{key}", h=h, min=minute, s=s, thin=THIN)


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


def kinds_of_evidence(clock: ClockOut | None) -> list[str]:
    """Return what speaks for where a clock is taken to stand, by name."""
    return [one["kind"] for one in clock["evidence"]] if clock else []


def of_day(seconds: float) -> str:
    """Return a time of day, from midnight: ``14:03:20``."""
    whole = round(seconds) % round(_DAY_S)
    return f"{whole // 3600:02}:{whole // 60 % 60:02}:{whole % 60:02}"


def standing_words(offset: float) -> str:
    """Return how far a clock stands from the reference, in short: ``1 min 42 s behind``."""
    if abs(offset) < _EQUAL_S:
        return say("clock_page.short_agrees")
    return say(f"clock_page.short_{'behind' if offset > 0 else 'ahead'}", offset=apart_words(offset))


def standing_in_short(source: SourceOut, counts_itself: bool, is_reference: bool) -> str:
    """Return how a clock stands as it is written beside its row."""
    clock = source["clock"]
    if is_reference:
        return say("clock_page.short_reference")
    if clock is None or source["group"] != 1:
        return say("clock_page.short_apart")
    if counts_itself:
        return say("clock_page.short_own_zero", at=of_day(clock["offset"]))
    return standing_words(clock["offset"])


def residual_words(seconds: float) -> str:
    """Return what is left over between two marks: ``12 s``, with which of them is later."""
    if abs(seconds) < _EQUAL_S:
        return say("clock_page.left_none")
    side = "earlier" if seconds > 0 else "later"
    return say(f"clock_page.left_{side}", apart=apart_words(seconds))


def standing(report: Report, source: SourceOut, counts_itself: bool = False) -> str:
    """Return in a sentence how far a clock stands from the reference, with its bounds.

    ``counts_itself``: the source counts from a zero of its own, not from midnight.
    """
    reference, clock = reference_of(report), source["clock"]
    name, other = name_of(source), name_of(reference) if reference else ""
    if source == reference:
        return say("clock_page.reference", name=name)
    if clock is None or source["group"] != 1:
        return say("clock_page.apart", name=name, reference=other)
    offset, low, high = clock["offset"], clock["low"], clock["high"]
    if counts_itself:
        at, least, most = (of_day(edge) for edge in (offset, low, high))
        return say("clock_page.own_zero", name=name, reference=other, at=at, low=least, high=most)
    blanks = {"name": name, "reference": other, "offset": apart_words(offset)}
    side = "agrees" if abs(offset) < _EQUAL_S else "behind" if offset > 0 else "ahead"
    if high - low < 2 * _EQUAL_S:
        return say(f"clock_page.{side}", **blanks)
    how = "straddling" if side == "agrees" or low < 0 < high else "bounds"
    near, far = (high, low) if side == "ahead" else (low, high)
    return say(f"clock_page.{side}_{how}", **blanks, low=apart_words(near), high=apart_words(far))


def more_of(source: SourceOut) -> list[str]:
    """Return in sentences how many marks are shared, how the clock drifts, and which lateness is assumed."""
    clock = source["clock"]
    if clock is None:
        return []
    lines = []
    pairs = sum(len(one["pairs"]) for one in clock["evidence"])
    if pairs:
        lines.append(say("clock_page.pairs_one" if pairs == 1 else "clock_page.pairs", count=pairs))
    drift_s = (clock["rate"] - 1) * _DAY_S
    if abs(drift_s) >= 0.05:
        key = "clock_page.rate_loses" if drift_s > 0 else "clock_page.rate_gains"
        lines.append(say(key, s=number(round(abs(drift_s), 1)), thin=THIN))
    lines += lag_words(source)
    return lines


def lag_words(source: SourceOut) -> list[str]:
    """Return how late the marks of a source are taken to be written."""
    clock = source["clock"]
    if clock is None or source["kind"] != "person":
        return []
    low, high = clock["lag"]
    if high <= 0:
        return [say("clock_page.lag_free")]
    return [say("clock_page.lag", **{"from": apart_words(low), "to": apart_words(high)})]


def clock_lines(report: Report) -> Sequence[str]:
    """Return a line a source on its clock; none where there is one source alone."""
    sources = clocks_of(report)
    if len(sources) < 2:
        return ()
    return [" ".join([standing(report, one), *more_of(one), *_apart_why(one)]) for one in sources]


def _apart_why(source: SourceOut) -> list[str]:
    """Return why a source that stands apart does, as far as the evidence says so."""
    clock = source["clock"]
    return [one["text"] for one in clock["evidence"]] if clock and source["group"] != 1 else []

"""Where one clock stands on another, by all the evidence there is, and the sentences that say so.

A reviewer's word comes first, then what event.json states, then checks of the clocks, then the marks that
two sources share. Shared marks also tell how late a source was written, the better the surer its offset is.
"""

from dataclasses import dataclass, field, replace

import numpy as np

from debrief.clocks import matching
from debrief.clocks.anchors import Anchors
from debrief.clocks.checks import STALE_DAYS, Fitted, from_checks
from debrief.clocks.lateness import KEPT, LAG_S, Spread, chained, even
from debrief.clocks.matching import CLEAR, Match, Sides
from debrief.model.axis import Ints
from debrief.model.event import Offset, Source
from debrief.model.problems import Problem, problem
from debrief.model.times import HOUR_US, MINUTE_US, US, to_s, to_us
from debrief.words import say

LAG_US = to_us(LAG_S)
"""How late a person may write a mark down, where nothing tells. Common practice. [us]"""

NEAR_WHOLE_US = 5 * MINUTE_US
"""A clock so near to whole hours off was never moved. [us]"""

CLOSE_BY_S = 300.0
"""Two ways to match so near each other leave a source on the timeline, with bounds that hold both. [s]"""

OFFERED, MOST_OFFERED = 12.0, 4
"""Other ways to match are offered where they explain less by no more than so much, in logs; and how many."""

ENOUGH = 3
"""So many shared marks can gainsay a stated offset, or show that a clock was set right halfway."""


@dataclass(frozen=True)
class Shared:
    """A mark of a source and one of another, taken to be one: rows of their marks, and what is left. [us]

    ``other``: the source of the other mark.
    """

    row: int
    other: str
    other_row: int
    residual: int


@dataclass(frozen=True)
class Evidence:
    """Why a clock is taken to stand where it does: a kind, a sentence, and the shared marks behind it."""

    kind: str
    text: str
    pairs: tuple[Shared, ...] = ()


@dataclass(frozen=True)
class Clock:
    """A source's clock map: ``reference = source + base + offset + (rate - 1) * (source - at)``. [us]

    ``base`` brings its scale onto the reference's; ``offset`` sets it right, within ``low`` and ``high``;
    ``spread`` holds shifts about ``offset`` that are as likely; ``lag`` bounds how late its marks are
    written; ``others`` are further ways to match its marks.
    """

    base: int
    offset: int
    low: int
    high: int
    spread: Spread
    lag: int
    evidence: tuple[Evidence, ...]
    at: int = 0
    rate: float = 1.0
    others: tuple[Match, ...] = ()
    problems: tuple[Problem, ...] = field(default=())

    def aligned(self, source_us: Ints) -> Ints:
        """Return times of the source on the reference clock: int64, shape (n,). [us]"""
        drifted: Ints = np.rint((self.rate - 1.0) * (source_us - self.at)).astype(np.int64)
        return source_us + (self.base + self.offset) + drifted


@dataclass(frozen=True)
class Side:
    """One source as it is matched: anchors on its own clock, and a time in the middle of its marks. [us]"""

    source: Source
    anchors: Anchors
    middle: int

    @property
    def writes(self) -> bool:
        """Whether a person writes it."""
        return self.source.kind == "person"

    @property
    def lag(self) -> int:
        """How late it is written where nothing tells. [us]"""
        return LAG_US if self.writes else 0

    def beside(self, other: "Side") -> Sides:
        """Return what is known of this source and another before their marks are matched."""
        return Sides(self.writes, other.writes, "elapsed" in (self.source.scale, other.source.scale))


def own(side: Side) -> Clock:
    """Return the clock of the reference."""
    reference = Evidence("reference", say("clocks.reference"))
    return Clock(0, 0, 0, 0, even(0, 0, side.lag), side.lag, (reference,))


def known(
    side: Side, reference: Side, base: int, stale_after_days: float = STALE_DAYS
) -> tuple[Clock | None, tuple[Problem, ...]]:
    """Return a clock by what was said of it or read off it, null where nothing was; and what is wrong.

    The marks that it shares with the reference then tell how late it is written, or gainsay what was said.
    """
    source = side.source
    problems: tuple[Problem, ...] = ()
    if source.clock is not None:
        clock = _said(side, source.clock, base, _name(reference.source))
    else:
        found, problems = from_checks(
            source, reference.source, side.middle, base=base, stale_after_days=stale_after_days
        )
        if found is None:
            return None, problems
        clock = _checked(side, found, base)
    if len(side.anchors) and source.source_id != "added":
        clock = with_marks(clock, side, reference)
    return clock, problems


def _said(side: Side, said: Offset, base: int, reference: str) -> Clock:
    """Return the clock that a reviewer or event.json states."""
    spread = even(said.low - said.offset, said.high - said.offset, side.lag)
    kind = "stated" if said.by == "stated" else "reviewer"
    text = say(f"clocks.{said.by}", offset=apart_words(said.offset), reference=reference)
    if side.source.scale == "elapsed":
        text = say("clocks.zero_placed", reference=reference)
    return Clock(base, said.offset, said.low, said.high, spread, side.lag, (Evidence(kind, text),))


def _checked(side: Side, found: Fitted, base: int) -> Clock:
    spread = even(found.low - found.offset, found.high - found.offset, side.lag)
    evidence = (Evidence("clock_check", found.text),)
    return Clock(base, found.offset, found.low, found.high, spread, side.lag, evidence, found.at, found.rate)


def with_marks(clock: Clock, side: Side, reference: Side) -> Clock:
    """Return a known clock with what shared marks add: how late the source is written, or an objection."""
    moved = _on(side.anchors, clock.aligned(side.anchors.time))
    sides = Sides(side.writes, reference.writes, False)
    window = (clock.low - clock.offset, clock.high - clock.offset)
    freely = matching.matches(moved, reference.anchors, sides)
    if clear(freely) and len(freely[0].pairs) >= ENOUGH:
        _, low_s, high_s = freely[0].found.bounds_s(0.999)
        if to_us(low_s) > window[1] + US or to_us(high_s) < window[0] - US:
            middle_us = clock.offset + to_us(freely[0].bounds_s[0])
            told = problem(
                "clock_gainsaid",
                side.source.source_id,
                count=len(freely[0].pairs),
                other=_name(reference.source),
                marks=apart_words(middle_us),
                said=apart_words(clock.offset),
            )
            return replace(
                clock, others=(shifted(freely[0], clock.offset),), problems=(*clock.problems, told)
            )
    held = matching.matches(moved, reference.anchors, sides, window)
    if not held:
        return clock
    pairs = shared(held[0], side, reference, 0, moved)
    spread = held[0].found.spread()
    lag = spread.lag_bounds()[1]
    text = say(
        "clocks.marks_agree", count=len(pairs), other=_name(reference.source), late=late_words(side, lag)
    )
    return replace(
        clock, spread=spread, lag=lag, evidence=(*clock.evidence, Evidence("shared_marks", text, pairs))
    )


def clear(found: list[Match]) -> bool:
    """Return whether one way to match explains the marks, and others nearly as well only close beside it."""
    if not found or found[0].score <= 0:
        return False
    middle_s = found[0].bounds_s[0]
    return all(abs(rival.bounds_s[0] - middle_s) <= CLOSE_BY_S for rival in rivals(found))


def rivals(found: list[Match]) -> list[Match]:
    """Return ways to match that explain the marks nearly as well as the best, and mean another offset."""
    return [match for match in apart_from(found) if found[0].score - match.score < CLEAR]


def mixed(found: list[Match]) -> Spread:
    """Return the spread of the best way to match, mixed with those of its rivals by how well they explain."""
    ways = [found[0], *rivals(found)]
    if len(ways) == 1:
        return ways[0].found.spread()
    odds = np.exp([way.score - ways[0].score for way in ways])
    count = np.floor(odds / odds.sum() * KEPT).astype(np.int64)
    count[0] += KEPT - count.sum()
    parts = [way.found.spread().some(many) for way, many in zip(ways, count.tolist(), strict=True)]
    shift, lag = (np.concatenate([getattr(part, name) for part in parts]) for name in ("shift", "lag"))
    order = np.argsort(shift, kind="stable")
    return Spread(shift[order], lag[order])


def apart_from(found: list[Match]) -> list[Match]:
    """Return the ways to match that mean another offset than the best, the best of each first."""
    kept: list[Match] = []
    for match in found:
        _, low_s, high_s = match.bounds_s
        if all(high_s < one.bounds_s[1] or low_s > one.bounds_s[2] for one in (found[0], *kept)):
            kept.append(match)
    return kept


def by_marks(side: Side, other: Side, clock: Clock, base: int, found: list[Match]) -> Clock:
    """Return a clock by the best of several ways to match.

    Parameters
    ----------
    other, clock
        The source it is matched with, whose clock is known.
    found
        From `matching.matches`, clear.
    """
    best = found[0]
    spread = mixed(found)
    _, low, high = spread.bounds()
    middle = to_us(best.bounds_s[0])
    pairs = shared(best, side, other, middle, _on(side.anchors, side.anchors.time + base))
    lag = spread.lag_bounds()[1]
    about = Spread(spread.shift - middle, spread.lag)
    if clock.spread.shift[0] != clock.spread.shift[-1]:
        about = chained(about, clock.spread)
        _, below, above = about.bounds()
        low, high = middle + below, middle + above
    key = "zero_by_marks" if side.source.scale == "elapsed" else "by_marks"
    text = say(
        f"clocks.{key}_one" if len(pairs) == 1 else f"clocks.{key}",
        count=len(pairs),
        other=_name(other.source),
        offset=apart_words(middle),
        residual=f"{to_s(int(np.median([abs(pair.residual) for pair in pairs]))):.0f}",
        late=late_words(side, lag),
    )
    return Clock(
        base,
        middle,
        min(low, middle),  # of several near ways the best one may be the outermost
        max(high, middle),
        about,
        lag,
        (Evidence("shared_marks", text.strip(), pairs),),
        others=tuple(match for match in apart_from(found) if best.score - match.score < OFFERED)[
            :MOST_OFFERED
        ],
        problems=tuple(_odd(side, other, middle, found)),
    )


def shifted(match: Match, by_us: int) -> Match:
    """Return a match found on times that were shifted, as one on the times before."""
    return replace(match, found=replace(match.found, offset=match.found.offset + to_s(by_us)))


def shared(match: Match, side: Side, other: Side, offset: int, moved: Anchors) -> tuple[Shared, ...]:
    """Return the pairs of a match as rows of marks, with what is left between them."""
    left = other.anchors.time[match.pairs[:, 1]] - moved.time[match.pairs[:, 0]] - offset
    return tuple(
        Shared(int(side.anchors.row[mine]), other.source.source_id, int(other.anchors.row[theirs]), int(rest))
        for (mine, theirs), rest in zip(match.pairs.tolist(), left.tolist(), strict=True)
    )


def _odd(side: Side, other: Side, offset: int, matches: list[Match]) -> list[Problem]:
    """Return what is odd about a clock that shared marks placed."""
    named = {"file": side.source.file, "offset": apart_words(offset), "other": _name(other.source)}
    codes = []
    rest = (offset + HOUR_US // 2) % HOUR_US - HOUR_US // 2
    if abs(rest) <= NEAR_WHOLE_US and abs(offset) > HOUR_US // 2 and not side.beside(other).any_offset:
        codes.append("clock_never_moved")
    if beside := rivals(matches):
        named |= {"second": apart_words(to_us(beside[0].bounds_s[0]))}
        codes.append("clock_two_ways")
    if len(matches[0].pairs) == 1:
        codes.append("clock_by_one_mark")
    count = len(matches[0].pairs)
    return [problem(code, side.source.source_id, count=count, **named) for code in codes]


def _on(anchors: Anchors, time: Ints) -> Anchors:
    return replace(anchors, time=time)


def _name(source: Source) -> str:
    return source.name or source.file


def apart_words(offset: int) -> str:
    """Return how far a clock is wrong, in words: behind where something has to be added. [us]"""
    seconds = round(abs(to_s(offset)))
    if not seconds:
        return say("clocks.agrees")
    hours, rest = divmod(seconds, 3600)
    parts = [(hours, "h"), (rest // 60, "min"), (rest % 60, "s")]
    size = " ".join(f"{count} {unit}" for count, unit in parts if count)
    return say("clocks.behind" if offset > 0 else "clocks.ahead", size=size)


def late_words(side: Side, lag: int) -> str:
    """Return what is taken of how late a source is written, nothing where no person writes it."""
    return say("clocks.late", lag=f"{to_s(lag):.0f}") if side.writes else ""

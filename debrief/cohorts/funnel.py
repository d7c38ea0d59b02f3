"""Funnel charts: units side by side around one share, with exact binomial limits by their size.

Limits are interpolated between whole events as in Spiegelhalter DJ, Stat Med 2005;24:1185-202 (formula from
memory), the upper one from the misses: a unit lies outside exactly where chance alone would put so few, or so
many, at a unit of that size in less than one case of a thousand on that side.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, lgamma, log, log1p

from debrief.cohorts.points import Point, outside

TAIL = 0.001
INNER_TAIL = 0.025


@dataclass(frozen=True)
class Unit(Point):
    """A point of a funnel; ``inner_lower`` and ``inner_upper`` hold 95 of 100 and never signal."""

    inner_lower: float | None = None
    inner_upper: float | None = None


def funnel(count: Sequence[int], n: Sequence[int], share: float | None = None) -> tuple[Unit, ...]:
    """Return the share of each unit with limits around the share of all.

    Parameters
    ----------
    count, n
        So many of so many, for each unit. A unit with ``n`` 0 has no value and no limits.
    share
        What to compare with, 0 to 1; null for the share of all units together.
    """
    total = sum(n)
    if share is None and total:
        share = sum(count) / total
    return tuple(_unit(*unit, share) for unit in zip(count, n, strict=True))


def _unit(count: int, n: int, share: float | None) -> Unit:
    if n == 0 or share is None:
        return Unit(None, n, share)
    lower, upper = limits(n, share, TAIL)
    unit = Unit(count / n, n, share, lower, upper, None, *limits(n, share, INNER_TAIL))
    return replace(unit, signal=outside(unit))


def limits(n: int, share: float, tail: float) -> tuple[float, float]:
    """Return the limits of the share of ``n`` events, ``tail`` beyond each, clamped to [0, 1]."""
    return _lower(n, share, tail), 1 - _lower(n, 1 - share, tail)


def _lower(n: int, share: float, tail: float) -> float:
    """Return the lower limit: below it lies what is seen less often than ``tail``."""
    if share in (0.0, 1.0):
        return share
    below = 0.0
    for count in range(n + 1):
        here = _chance(count, n, share)
        below += here
        if below >= tail:
            return max(0.0, (count - (below - tail) / here) / n)
    return 1.0


def _chance(count: int, n: int, share: float) -> float:
    """Return the binomial probability of exactly ``count`` of ``n``."""
    ways = lgamma(n + 1) - lgamma(count + 1) - lgamma(n - count + 1)
    return exp(ways + count * log(share) + (n - count) * log1p(-share))

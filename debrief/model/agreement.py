"""How far two people who entered one event independently agree: which marks, at what times, what of each."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from statistics import median

FARTHEST_S = 300.0
"""Marks of one kind that lie farther apart than this are two marks. [s]"""


@dataclass(frozen=True)
class Entered:
    """A mark as one person entered it. ``time_s`` from the midnight of the first day. [s]"""

    kind: str
    time_s: float
    detail: str | None = None
    amount: float | None = None
    unit: str | None = None
    written: str = ""


@dataclass(frozen=True)
class Agreement:
    """Marks that both have, in pairs, and those that one of them alone has, each in order of time."""

    pairs: Sequence[tuple[Entered, Entered]]
    only_first: Sequence[Entered]
    only_second: Sequence[Entered]

    @property
    def share(self) -> float | None:
        """The share of all that was entered that both entered; null where nothing was.

        The proportion of specific agreement, 2a / (2a + b + c): Dice, Ecology 1945;26:297-302. It asks for no
        count of what neither entered, which no one can know.
        """
        both = 2 * len(self.pairs)
        whole = both + len(self.only_first) + len(self.only_second)
        return both / whole if whole else None

    def within(self, most_s: float) -> int:
        """Return how many pairs lie at most that far apart. [s]"""
        return sum(abs(one.time_s - other.time_s) <= most_s for one, other in self.pairs)

    @property
    def median_apart_s(self) -> float | None:
        """Half of the pairs lie at most that far apart; null without a pair. [s]"""
        apart = [abs(one.time_s - other.time_s) for one, other in self.pairs]
        return median(apart) if apart else None

    def differing(self) -> list[tuple[Entered, Entered]]:
        """Return the pairs that differ in time, detail, amount or unit."""
        return [
            (one, other)
            for one, other in self.pairs
            if (one.time_s, one.detail, one.amount, one.unit)
            != (other.time_s, other.detail, other.amount, other.unit)
        ]

    def details(self, kind: str) -> list[tuple[str, str]]:
        """Return what both say a mark of some kind was, for pairs where both say it."""
        return [
            (one.detail, other.detail)
            for one, other in self.pairs
            if one.kind == kind and one.detail and other.detail
        ]


def compare(first: Sequence[Entered], second: Sequence[Entered]) -> Agreement:
    """Pair the marks of two people, each kind by itself: in order, as many as can be, then the nearest."""
    pairs: list[tuple[Entered, Entered]] = []
    lone: tuple[list[Entered], list[Entered]] = ([], [])
    by_kind = [
        {kind: list(marks) for kind, marks in groupby(sorted(side, key=_order), key=lambda one: one.kind)}
        for side in (first, second)
    ]
    for kind in by_kind[0].keys() | by_kind[1].keys():
        one, other = (side.get(kind, []) for side in by_kind)
        found = _paired([mark.time_s for mark in one], [mark.time_s for mark in other])
        pairs += [(one[here], other[there]) for here, there in found]
        for side, marks, taken in (
            (0, one, {here for here, _ in found}),
            (1, other, {there for _, there in found}),
        ):
            lone[side].extend(mark for number, mark in enumerate(marks) if number not in taken)
    pairs.sort(key=lambda pair: pair[0].time_s)
    return Agreement(pairs, *(sorted(side, key=lambda one: one.time_s) for side in lone))


def _order(one: Entered) -> tuple[str, float]:
    return one.kind, one.time_s


def _paired(first: Sequence[float], second: Sequence[float]) -> list[tuple[int, int]]:
    """Return pairs of two rising rows of times, in order: as many as can be, then the nearest. [s]"""
    best: list[list[tuple[int, float]]] = [[(0, 0.0)] * (len(second) + 1) for _ in range(len(first) + 1)]
    for here in range(1, len(first) + 1):
        for there in range(1, len(second) + 1):
            apart = abs(first[here - 1] - second[there - 1])
            choices = [best[here - 1][there], best[here][there - 1]]
            if apart <= FARTHEST_S:
                count, total = best[here - 1][there - 1]
                choices.append((count + 1, total - apart))
            best[here][there] = max(choices)
    pairs, here, there = [], len(first), len(second)
    while here and there:
        if best[here][there] == best[here - 1][there]:
            here -= 1
        elif best[here][there] == best[here][there - 1]:
            there -= 1
        else:
            here, there = here - 1, there - 1
            pairs.append((here, there))
    return pairs[::-1]


def kappa(pairs: Sequence[tuple[str, str]]) -> float | None:
    """Return Cohen's kappa of two raters: agreement beyond what chance alone would give.

    (p_o - p_e) / (1 - p_e): Cohen, Educ Psychol Meas 1960;20:37-46. Null without a pair, and where both say
    one and the same throughout, so that chance explains all of it.
    """
    count = len(pairs)
    if not count:
        return None
    observed = sum(one == other for one, other in pairs) / count
    first, second = (Counter(side) for side in zip(*pairs, strict=True))
    expected = sum(first[name] * second[name] for name in first) / count**2
    return None if expected >= 1 else (observed - expected) / (1 - expected)

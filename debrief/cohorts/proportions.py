"""Shares with intervals, and verdicts counted apart.

The interval is Wilson's score interval without continuity correction (Wilson 1927; method 3 of Newcombe RG,
Stat Med 1998;17:857-72): it is never empty and never leaves [0, 1], however few the events.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

Z_95 = NormalDist().inv_cdf(0.975)


@dataclass(frozen=True)
class Share:
    """A share of ``n`` and its 95 % interval, 0 to 1; all null where ``n`` is 0."""

    count: int
    n: int
    value: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Tally:
    """How many events have which verdict. ``met`` and ``not_met`` alone decide the share."""

    met: int = 0
    not_met: int = 0
    uncertain: int = 0
    no_data: int = 0
    not_applicable: int = 0

    @property
    def share(self) -> Share:
        """The share met of those that were met or not."""
        return share_of(self.met, self.met + self.not_met)

    @property
    def worst(self) -> Share:
        """The share met if no uncertain event met its target."""
        return share_of(self.met, self.met + self.not_met + self.uncertain)

    @property
    def best(self) -> Share:
        """The share met if every uncertain event met its target."""
        return share_of(self.met + self.uncertain, self.met + self.not_met + self.uncertain)


def share_of(count: int, n: int, z: float = Z_95) -> Share:
    """Return a share with its interval.

    Parameters
    ----------
    count, n
        So many of so many.
    z
        Half the width of the interval in standard errors; 1.96 for 95 %.
    """
    if n == 0:
        return Share(count, n, None, None, None)
    value, square = count / n, z * z
    middle = (count + square / 2) / (n + square)
    half = z / (n + square) * sqrt(count * (n - count) / n + square / 4)
    low = 0.0 if count == 0 else middle - half
    high = 1.0 if count == n else middle + half
    return Share(count, n, value, low, high)


def tally(verdicts: Iterable[str]) -> Tally:
    """Count verdicts; those that `Tally` does not name are in none of its counts."""
    counted = Counter(verdicts)
    return Tally(**{name: counted[name] for name in Tally.__dataclass_fields__})

"""Pair two sequences one to one and in order."""

from dataclasses import dataclass

import numpy as np

from debrief.model.axis import Bools, Ints

Pairs = list[tuple[int, int]]


def in_order(cost: Ints) -> Pairs:
    """Return pairs of rows and columns, one to one and in order: as many as can be, then at the least cost.

    Parameters
    ----------
    cost : int64, shape (n, m)
        Below 0 where a row and a column are no pair.
    """
    return both_ways(cost)[0]


def both_ways(cost: Ints) -> tuple[Pairs, Pairs]:
    """As `in_order`, and the same again; in a tie the first takes later columns, the second earlier ones."""
    rows, columns = cost.shape
    can_be = cost >= 0
    if not can_be.any():
        return [], []
    low, high = _band(can_be)
    # one more pair is worth more than any nearness
    gain = np.where(can_be, int(cost.max()) * min(rows, columns) + 1 - cost, 0)
    gains = [gain[i, first:after].tolist() for i, (first, after) in enumerate(zip(low, high, strict=True))]
    low.append(low[-1])
    best = [[0] * (high[-1] - low[-1] + 1)]
    for i in range(rows - 1, -1, -1):
        below, first, under = best[-1], low[i], low[i + 1]
        here = [below[max(high[i] - under, 0)]] * (len(gains[i]) + 1)
        for j in range(high[i] - 1, first - 1, -1):
            alone = max(here[j + 1 - first], below[max(j - under, 0)])
            gained = gains[i][j - first]
            here[j - first] = max(alone, below[max(j + 1 - under, 0)] + gained) if gained else alone
        best.append(here)
    best.reverse()
    table = _Table(best, gains, low, high)
    return table.walk(columns_first=True), table.walk(columns_first=False)


@dataclass(frozen=True)
class _Table:
    """The best sums: ``best[i][j - low[i]]`` is that from row i and column j on."""

    best: list[list[int]]
    gains: list[list[int]]
    low: list[int]
    high: list[int]

    def walk(self, *, columns_first: bool) -> Pairs:
        """Return the pairs of the outermost of all best ways on one side."""
        found, i, j = [], 0, 0
        while i < len(self.high):
            here = self._at(i, j)
            if j < self.low[i] or (columns_first and j < self.high[i] and here == self._at(i, j + 1)):
                j += 1
            elif j >= self.high[i] or (not columns_first and here == self._at(i + 1, j)):
                i += 1
            elif (gained := self.gains[i][j - self.low[i]]) and here == gained + self._at(i + 1, j + 1):
                found.append((i, j))
                i, j = i + 1, j + 1
            elif columns_first:
                i += 1
            else:
                j += 1
        return found

    def _at(self, i: int, j: int) -> int:
        return self.best[i][max(j - self.low[i], 0)]


def _band(can_be: Bools) -> tuple[list[int], list[int]]:
    """Return the first column of each row and the one after its last, neither ever falling."""
    columns = can_be.shape[1]
    first = np.where(can_be.any(axis=1), can_be.argmax(axis=1), columns)
    after = np.where(can_be.any(axis=1), columns - can_be[:, ::-1].argmax(axis=1), 0)
    high = np.maximum.accumulate(after)
    low = np.minimum(np.minimum.accumulate(first[::-1])[::-1], high)
    return low.tolist(), high.tolist()

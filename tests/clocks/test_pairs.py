"""Pairs are as many as can be, then as cheap as can be; a choice between equals is seen."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from debrief.clocks.pairs import both_ways


def every_matching(cost):
    """Return every set of pairs, one to one and in order, that a table of costs allows."""
    rows, columns = cost.shape

    def go_on(row, column):
        if row == rows:
            return [()]
        found = go_on(row + 1, column)
        for at in range(column, columns):
            if cost[row, at] >= 0:
                found = found + [((row, at), *rest) for rest in go_on(row + 1, at + 1)]
        return found

    return go_on(0, 0)


@st.composite
def costs(draw):
    """Return a small table of costs, with few different ones so that ties are common; -1 is no pair."""
    rows, columns = draw(st.integers(1, 5)), draw(st.integers(1, 5))
    cell = st.sampled_from([-1, -1, 0, 1, 2])
    return np.array(
        draw(st.lists(st.lists(cell, min_size=columns, max_size=columns), min_size=rows, max_size=rows))
    )


@given(costs())
def test_pairs_are_the_best_of_all_and_differ_exactly_where_there_is_a_choice(cost):
    found = every_matching(cost)

    def good(pairs):
        return len(pairs), -sum(int(cost[pair]) for pair in pairs)

    best = [set(pairs) for pairs in found if good(pairs) == max(map(good, found))]
    first, other = both_ways(cost)
    assert set(first) in best
    assert set(other) in best
    assert (first == other) == (len(best) == 1)


def test_of_two_as_near_the_earlier_row_takes_the_later_column():
    between_rows, between_columns = np.array([[5], [5]]), np.array([[5, 5]])

    assert both_ways(between_rows) == ([(0, 0)], [(1, 0)])
    assert both_ways(between_columns) == ([(0, 1)], [(0, 0)])

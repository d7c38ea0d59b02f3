"""Clocks of invented events are put right as well as is said, within what chance allows (one in a thousand).

`tests/benchmarks/clocks.py` is the long version, whose table the guide shows.
"""

from functools import cache

import numpy as np
import pytest
from scipy.stats import binom

from tests.clock_judge import judge
from tests.clock_world import two

CLOCKS = 60
FIGURES = 15
"""Events of each kind: for the clocks alone, and for the figures. Other seeds than the table's."""

FIRST = 100_000
WIDTH_S = {"minute": 90.0, "second": 15.0}
ERROR_S = {"minute": 20.0, "second": 3.0}
CHANCE = 0.001
KINDS = pytest.mark.parametrize("kind", ["minute", "second"])


@cache
def clocks(kind):
    """Return the sheets that were aligned, held against the truth."""
    judged = [judge(seed, two(seed, kind), figures=False) for seed in range(FIRST, FIRST + CLOCKS)]
    return [entry for entry in judged if entry.aligned]


@KINDS
def test_most_sheets_are_aligned(kind):
    assert len(clocks(kind)) >= binom.ppf(CHANCE, CLOCKS, 0.9)


@KINDS
def test_the_true_offset_lies_within_its_bounds_as_often_as_they_say(kind):
    inside, among = sum(entry.inside for entry in clocks(kind)), len(clocks(kind))
    low, high = binom.interval(1 - 2 * CHANCE, among, 0.95)

    assert low <= inside <= high, [entry for entry in clocks(kind) if not entry.inside]


@KINDS
def test_nine_of_ten_bounds_are_narrow_enough_to_use(kind):
    narrow = sum(entry.width_s <= WIDTH_S[kind] for entry in clocks(kind))

    assert narrow >= binom.ppf(CHANCE, len(clocks(kind)), 0.9)


@KINDS
def test_the_middle_error_is_small(kind):
    """More than half are within it, but for chance."""
    near = sum(abs(entry.error_s) <= ERROR_S[kind] for entry in clocks(kind))

    assert near >= binom.ppf(CHANCE, len(clocks(kind)), 0.5)


@KINDS
def test_marks_that_are_paired_tell_of_one_happening(kind):
    pairs, wrong = (sum(getattr(entry, name) for entry in clocks(kind)) for name in ("pairs", "wrong"))

    assert pairs > 5 * CLOCKS
    assert wrong <= 0.05 * pairs


@KINDS
def test_figures_hold_their_true_values_as_often_as_they_say(kind):
    """Figures of one event go together, so it is the events' shares that are held against chance."""
    judged = [judge(seed, two(seed, kind), draws=200) for seed in range(FIRST, FIRST + FIGURES)]
    shares = [np.mean([f.inside for f in entry.figures if f.same]) for entry in judged if entry.figures]
    chance = 3.1 * np.std(shares, ddof=1) / np.sqrt(len(shares))

    assert np.mean(shares) + chance >= 0.93, sorted(
        (f.name, entry.seed) for entry in judged for f in entry.figures if f.same and not f.inside
    )

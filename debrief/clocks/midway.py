"""A clock that was set while the event went on: two matches, one before the moment and one after."""

from dataclasses import replace

import numpy as np

from debrief.clocks.evidence import ENOUGH, Side, clear
from debrief.clocks.matching import Match, matches
from debrief.model.axis import Ints

IN_TURN = 0.85
"""Share of shared marks that must lie before or after the moment at which a clock was set."""


def set_midway(side: Side, other: Side, base: int, best: Match) -> Match | None:
    """Return a second match that shows that the clock was set while the event went on, null where none does.

    It pairs marks that the first leaves over, all of them before or all after those.
    """
    taken, theirs = best.pairs[:, 0], best.pairs[:, 1]
    moved = replace(side.anchors, time=side.anchors.time + base)
    left = np.setdiff1d(np.arange(len(moved)), taken)
    rest = np.setdiff1d(np.arange(len(other.anchors)), theirs)
    if len(left) < ENOUGH or len(rest) < ENOUGH:
        return None
    found = matches(moved.take(left), other.anchors.take(rest), side.beside(other))
    if not clear(found) or len(found[0].pairs) < ENOUGH:
        return None
    apart = found[0].bounds_s[2] < best.bounds_s[1] or found[0].bounds_s[1] > best.bounds_s[2]
    when = other.anchors.time  # on its own clock, one that was set back may show the same times twice
    turned = in_turn(when[theirs], when[rest[found[0].pairs[:, 1]]])
    return found[0] if apart and turned >= IN_TURN else None


def in_turn(first: Ints, second: Ints) -> float:
    """Return the share of times that lie right where one moment parts the first from the second, 0.5 to 1."""
    time = np.concatenate([first, second])
    late = np.repeat([0, 1], [len(first), len(second)])[np.argsort(time, kind="stable")]
    # how many of the second lie before each place, and of the first at or after it
    wrong = np.append(0, np.cumsum(late)) + np.append(np.cumsum((1 - late)[::-1])[::-1], 0)
    return float(max(len(time) - wrong.min(), wrong.max()) / len(time))

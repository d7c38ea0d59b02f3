"""Kaplan-Meier: how many still wait, by time, where some were not watched to the end.

Product-limit estimate (Kaplan EL, Meier P, J Am Stat Assoc 1958;53:457-81) with Greenwood's variance; the
interval is symmetric on the log(-log) scale, and so stays within 0 and 1.
"""

from dataclasses import dataclass
from math import exp, log, sqrt

import numpy as np
from numpy.typing import ArrayLike

from debrief.cohorts.proportions import Z_95


@dataclass(frozen=True)
class Step:
    """A time at which something happened, and what share still waits right after it.

    ``error``: Greenwood's standard error; it and the interval are null once nobody waits.
    """

    time: float
    at_risk: int
    seen: int
    waiting: float
    error: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Curve:
    """The steps in order of time; ``median``: when half no longer wait, null where that was not reached."""

    n: int
    seen: int
    steps: tuple[Step, ...]
    median: float | None


def kaplan_meier(time: ArrayLike, seen: ArrayLike) -> Curve:
    """Return the curve. Who is lost at the time of an event counts as still at risk of it.

    Parameters
    ----------
    time : array_like, shape (n,)
        When it happened, or until when it was known not to have happened.
    seen : array_like of bool, shape (n,)
        Whether it happened.
    """
    times, happened = np.asarray(time, np.float64), np.asarray(seen, np.bool_)
    waiting, variance, steps = 1.0, 0.0, []
    moments, counts = np.unique(times[happened], return_counts=True)
    watched = len(times) - np.searchsorted(np.sort(times), moments)
    for moment, count, at_risk in zip(moments, counts.tolist(), watched.tolist(), strict=True):
        waiting *= 1 - count / at_risk
        if at_risk > count:
            variance += count / (at_risk * (at_risk - count))
        steps.append(_step(float(moment), at_risk, count, waiting, sqrt(variance)))
    median = next((step.time for step in steps if step.waiting <= 0.5 + 1e-12), None)
    return Curve(len(times), int(happened.sum()), tuple(steps), median)


def _step(time: float, at_risk: int, count: int, waiting: float, relative: float) -> Step:
    """Return a step; ``relative``: the standard error as a share of ``waiting``."""
    if at_risk == count:
        return Step(time, at_risk, count, 0.0, None, None, None)
    stretch = exp(Z_95 * relative / -log(waiting))
    return Step(time, at_risk, count, waiting, waiting * relative, waiting**stretch, waiting ** (1 / stretch))

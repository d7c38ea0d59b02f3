"""The long axis: every event owns a slot of three days on one line of whole microseconds.

Time zero of slot ``i`` stands in the middle of it. Work on many events, or on many draws of one event, is
then work on one sorted line, and nothing bleeds from one event into the next.
"""

import numpy as np
from numpy.typing import NDArray

from debrief.model.times import DAY_US

SLOT_US = 3 * DAY_US
HALF_US = SLOT_US // 2

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def last(slot: Ints) -> Ints:
    """Return the last microsecond of each slot."""
    return slot * SLOT_US + SLOT_US - 1


def within_slot(time_us: Ints) -> Bools:
    """Return which times from time zero lie within their slot. What does not is refused."""
    return (time_us >= -HALF_US) & (time_us < HALF_US)


def slot_of(position: Ints) -> Ints:
    """Return the slot that owns each position."""
    return position // SLOT_US


def time_of(position: Ints) -> Ints:
    """Return each position as time from its slot's time zero. [us]"""
    return position % SLOT_US - HALF_US


def middle(slot: Ints) -> Ints:
    """Return where time zero of each slot stands. [us]"""
    return slot * SLOT_US + HALF_US

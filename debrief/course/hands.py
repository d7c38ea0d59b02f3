"""Who is asked for hands-on time, and what they say of it, placed on the axis."""

import numpy as np

from debrief.model import spans
from debrief.model.axis import Bools, Ints
from debrief.model.hands import Runs, Seen
from debrief.model.occurrences import Occurrences
from debrief.model.spans import Spans
from debrief.model.structure import Placing

INSTANT_US = 1
"""How long a compression lasts that stands alone; it parts two pauses, the second so much shorter. [us]"""


def order_of(occ: Occurrences, measures: Bools) -> Ints:
    """Return in which order an event's sources are asked for hands-on time, -1 for those that never are."""
    event, rank = occ.sources.event, occ.sources.rank
    order = np.full(len(event), -1)
    asked = np.flatnonzero(measures)
    asked = asked[np.lexsort((rank[asked], event[asked]))]
    first = np.searchsorted(event[asked], event[asked])
    order[asked] = np.arange(len(asked)) - first
    return order


def placed(runs: Runs, occ: Occurrences, placing: Placing) -> tuple[Ints, Ints]:
    """Return where stretches of sources start and end on the axis. [us]"""
    event = occ.sources.event[runs.source]
    return placing.stretches(runs.start, event), placing.stretches(runs.end, event)


def hands_on_of(
    told: Seen, order: Ints, occ: Occurrences, placing: Placing, min_pause_us: int
) -> tuple[Spans, tuple[Spans, ...], Spans]:
    """Return hands-on, the same by order of sources, and what is covered.

    At any instant it comes from one source, the best that covers it; two are never united or intersected.
    """

    def of(runs: Runs, nth: int) -> tuple[Ints, Ints]:
        return placed(runs.only(order[runs.source] == nth), occ, placing)

    by_order, covered = [], spans.NONE
    for nth in range(int(order.max(initial=-1)) + 1):
        start, end = of(told.covered, nth)
        mine = spans.subtract(spans.merge(start, np.where(end > start, end + INSTANT_US, start)), covered)
        start, end = of(told.on, nth)
        hands = spans.merge(start, np.maximum(end, start + INSTANT_US))
        hands = spans.subtract(hands, spans.merge(*of(told.off, nth)))
        by_order.append(spans.intersect(hands, mine))
        covered = spans.union(covered, mine)
    hands_on = spans.union(*by_order) if by_order else spans.NONE
    closed = spans.merge(hands_on.start, hands_on.end, min_pause_us - INSTANT_US - 1)
    return spans.intersect(closed, covered), tuple(by_order), covered

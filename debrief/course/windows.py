"""Windows: where in each episode hands-on is asked for."""

import numpy as np

from debrief.course.hands import INSTANT_US
from debrief.model import axis
from debrief.model.axis import Ints
from debrief.model.spans import Spans
from debrief.model.structure import ECLS_FLOW, Placing, Structure


def in_order(start: Ints, end: Ints) -> tuple[Ints, Ints]:
    """Return episodes with none reaching back before the end of the one before it, as draws may have it."""
    both = np.maximum.accumulate(np.stack([start, end], axis=1).ravel())
    return both[::2], both[1::2]


def windows_of(
    structure: Structure,
    placing: Placing,
    hands_on: Spans,
    start: Ints,
    end: Ints,
    shock: Ints,
    window_us: int | None,
) -> tuple[Ints, Ints, Ints]:
    """Return where each episode's window opens, closes, and until when of it hands-on is asked for.

    From the first compression of the event, or the start of a re-arrest, to the last compression or shock of
    the episode; with extracorporeal flow, to the flow. One entry an episode over all draws. [us]
    """
    occ, episodes, draws = structure.occurrences, structure.episodes, placing.times.draws
    per_draw = len(episodes)
    compressed = structure.first_compression >= 0
    began = np.full((draws, occ.events), axis.SLOT_US * (draws * occ.events + 1))
    began[:, compressed] = placing.marks(structure.first_compression[compressed]).reshape(draws, -1)
    first = began[:, episodes.event].ravel()
    opens = np.where(np.tile(episodes.number == 0, draws), np.maximum(first, start), start)

    before = np.searchsorted(hands_on.start, end, "right") - 1
    last = np.where(before >= 0, np.minimum(np.append(hands_on.end, 0)[before], end), start)
    for rows, episode in (
        (structure.shocks, structure.shock_episode),
        (structure.begins, structure.begin_episode),
    ):
        inside = episode >= 0
        where = (
            shock.reshape(draws, -1)[:, inside] if rows is structure.shocks else placing.marks(rows[inside])
        )
        target = episode[inside] + np.arange(draws)[:, None] * per_draw
        np.maximum.at(last, target.ravel(), where.ravel())
    closes = np.where(np.tile(episodes.closed_by == ECLS_FLOW, draws), end, np.minimum(last, end))
    closes = np.where(closes > opens + INSTANT_US, closes, opens)
    return opens, closes, closes if window_us is None else np.minimum(closes, first + window_us)


def asked_singles(structure: Structure, window_us: int | None) -> Ints:
    """Return the single compressions by hand in the part of the event that is asked for."""
    occ, rows = structure.occurrences, structure.singles
    if window_us is None:
        return rows
    first = occ.time[structure.first_compression[occ.event[rows]]]
    return rows[occ.time[rows] <= first + window_us]

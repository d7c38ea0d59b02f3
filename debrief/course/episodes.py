"""Episodes: which marks open and close each stretch of arrest."""

import numpy as np

from debrief.model import axis, spans
from debrief.model.axis import Bools, Ints
from debrief.model.hands import CLOSING, NEVER, Edges, Seen, absolute, at, choose, edges
from debrief.model.occurrences import Occurrences
from debrief.model.sequences import alternate, ordinal
from debrief.model.spans import Spans
from debrief.model.structure import (
    AT_COMPRESSIONS,
    AT_REARREST,
    AT_SHOCK,
    AT_ZERO,
    BY_REVIEWER,
    ECLS_FLOW,
    EFFORTS_ENDED,
    LAST_COMPRESSION,
    LAST_MARK,
    ROSC,
    Episodes,
    Placing,
)
from debrief.model.times import US
from debrief.words import KINDS

RESUMES_WITHIN_US = 30 * US
ENDS_WITHIN_US = 60 * US


def episodes_of(
    occ: Occurrences,
    position: Ints,
    told: Seen,
    hands_on: Spans,
    begins: Ints,
    placing: Placing,
    zero_edge: Edges,
    end_at: Ints,
) -> tuple[Episodes, Ints]:
    """Return the stretches of arrest, and the ROSC across which compressions ran or resumed in passing.

    An episode runs from time zero or a re-arrest (a new loss of pulse is one) to ROSC, extracorporeal
    flow, the end of efforts or the reviewer's end; failing all, to the last mark. Compressions later than a
    ROSC, or a shock, imply a re-arrest; an episode so implied that nothing closes ends with its last
    compression or shock. Compressions after a marked re-arrest are not in passing.
    """
    events = np.arange(occ.events)
    zero, end = axis.middle(events), placing.moments(absolute(end_at), events)
    within = (position >= zero[occ.event]) & (position <= end[occ.event])
    closers = np.flatnonzero(occ.of(*CLOSING) & within)
    rosc = occ.of("rosc")[closers]
    rearrests = np.flatnonzero(occ.of("rearrest", "pulseless") & within)
    marked = np.append(position[rearrests], axis.last(np.full(1, occ.events)))
    marked = marked[np.searchsorted(position[rearrests], position[closers])]
    until = np.minimum(_compressed_until(hands_on, position[closers]), marked)
    until = np.where(rosc, until, position[closers])
    moved = until > position[closers]
    reviewed = np.flatnonzero(end_at < NEVER)
    rows = np.concatenate([begins, np.flatnonzero(occ.of("shock"))])
    work = edges(at(rows), _tied(told.on.start, told.off.end, told, occ, placing, hands_on.start))
    work_at = np.concatenate([position[rows], hands_on.start])
    works = _after_rosc(position[closers], occ.event[closers], rosc, until, work_at)
    works = works[work_at[works] <= end[axis.slot_of(work_at[works])]]
    shocked = np.append(occ.of("shock")[rows], np.zeros(len(hands_on), np.bool_))[works]

    edge = edges(
        zero_edge,
        _closing_edges(occ, told, placing, until, closers, moved),
        absolute(end_at[reviewed]),
        at(rearrests),
        work.only(works),
    )
    worked = axis.slot_of(work_at[works])
    event = np.concatenate([events, occ.event[closers], reviewed, occ.event[rearrests], worked])
    when = np.concatenate([zero, until, end[reviewed], position[rearrests], work_at[works]])
    kinds = np.zeros(len(KINDS), np.int64)
    kinds[[KINDS[name].code for name in CLOSING]] = ROSC, ECLS_FLOW, EFFORTS_ENDED
    by = np.concatenate(
        [
            events * 0 + AT_ZERO,
            kinds[occ.kind[closers]],
            reviewed * 0 + BY_REVIEWER,
            rearrests * 0 + AT_REARREST,
            np.where(shocked, AT_SHOCK, AT_COMPRESSIONS),
        ]
    )
    opens = np.ones(len(by), np.bool_)
    opens[occ.events : occ.events + len(closers) + len(reviewed)] = False
    turn = np.argsort(when, kind="stable")
    starts, ends = alternate(event[turn], opens[turn])
    opened, closed = turn[starts], turn[ends]
    implied = by[opened] >= AT_COMPRESSIONS
    last_mark = at(occ.last(np.ones(len(occ), np.bool_)))
    last = np.where(implied, LAST_COMPRESSION, LAST_MARK)
    found = Episodes(
        event=event[opened],
        number=ordinal(event[opened]),
        opened=edge.only(opened),
        closed=choose(
            [ends >= 0, implied],
            [edge.only(closed), _last_work(occ, told, placing, rows, hands_on).only(event[opened])],
            last_mark.only(event[opened]),
        ),
        opened_by=by[opened],
        closed_by=np.where(ends >= 0, by[closed], last),
        implied=implied,
    )
    return found, closers[moved]


def _compressed_until(hands_on: Spans, rosc: Ints) -> Ints:
    """Return the end of compressions that run across each ROSC or resume in passing; else the ROSC."""
    across = spans.holding(hands_on, rosc)
    until = np.where(
        (across >= 0) & (np.append(hands_on.start, 0)[across] < rosc),
        np.append(hands_on.end, 0)[across],
        rosc,
    )
    resumed = np.searchsorted(hands_on.start, rosc + RESUMES_WITHIN_US, "right")
    passing = np.minimum(resumed, np.searchsorted(hands_on.end, rosc + ENDS_WITHIN_US, "right")) - 1
    later = (passing >= 0) & (np.append(hands_on.start, 0)[passing] >= rosc)
    return np.maximum(until, np.where(later, np.append(hands_on.end, 0)[passing], rosc))


def _after_rosc(closed: Ints, event: Ints, rosc: Bools, until: Ints, worked: Ints) -> Ints:
    """Return which compressions and shocks are later than a ROSC that was the last close before them."""
    if not len(closed):
        return np.zeros(0, np.int64)
    before = np.searchsorted(closed, worked, "right") - 1
    later = (before >= 0) & (event[before] == axis.slot_of(worked)) & rosc[before]
    settled: Ints = np.maximum.accumulate(until)
    return np.flatnonzero(later & (worked > settled[before]))


def _tied(
    first: Edges, second: Edges, told: Seen, occ: Occurrences, placing: Placing, position: Ints
) -> Edges:
    """Return positions as edges of runs (``first``) or pauses (``second``) where one made them."""
    known = edges(first, second)
    source = np.concatenate([told.on.source, told.off.source])
    where = placing.stretches(known, occ.sources.event[source])
    turn = np.argsort(where, kind="stable")
    where, known = np.append(where[turn], -1), edges(known.only(turn), at(np.full(1, -1)))
    index = np.searchsorted(where[:-1], position)
    own = absolute(axis.time_of(position) + placing.zero[0, axis.slot_of(position)])
    return choose([where[index] == position], [known.only(index)], own)


def _closing_edges(
    occ: Occurrences, told: Seen, placing: Placing, until: Ints, closers: Ints, moved: Bools
) -> Edges:
    """Return where episodes close: at the mark that says so, or at the end of the compressions across it."""
    return choose([~moved], [at(closers)], _tied(told.on.end, told.off.start, told, occ, placing, until))


def _last_work(occ: Occurrences, told: Seen, placing: Placing, rows: Ints, hands_on: Spans) -> Edges:
    """Return the last compression or shock of each event. One entry an event."""
    known = edges(at(rows), _tied(told.on.end, told.off.start, told, occ, placing, hands_on.end))
    where = np.concatenate([placing.marks(rows), hands_on.end])
    turn = np.argsort(where, kind="stable")
    last = np.full(occ.events, -1)
    last[axis.slot_of(where[turn])] = turn
    return choose([last >= 0], [known.only(last)], at(last)) if len(turn) else at(last)

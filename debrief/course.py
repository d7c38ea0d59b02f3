"""The course: the structure of an event, decided once, and placed in time as often as needed.

`decide` reads occurrences at their point times and says which mark is time zero, which marks open and close
each episode, which source tells hands-on time, which doses count. `place` puts that structure on the long
axis for given times: the point times of many events, or many draws of one. Nothing else decides structure.
"""

import numpy as np

from debrief.model import axis, spans
from debrief.model.axis import Bools, Ints
from debrief.model.hands import (
    BEGINS,
    CLOSING,
    NEVER,
    Edges,
    Runs,
    Seen,
    absolute,
    at,
    choose,
    edges,
    mechanical,
    seen,
)
from debrief.model.occurrences import Occurrences
from debrief.model.sequences import alternate, ordinal
from debrief.model.spans import Spans
from debrief.model.structure import (
    ABSENT,
    AT_COMPRESSIONS,
    AT_REARREST,
    AT_SHOCK,
    AT_ZERO,
    BEFORE_ARREST,
    BY_REVIEWER,
    COUNTED,
    ECLS_FLOW,
    EFFORTS_ENDED,
    INFUSION,
    LAST_COMPRESSION,
    LAST_MARK,
    OTHER_ROUTE,
    OUTSIDE_ARREST,
    ROSC,
    Course,
    Episodes,
    People,
    Placing,
    PointTimes,
    Structure,
    Times,
    moments,
)
from debrief.model.times import US
from debrief.words import ARREST_RHYTHMS, KINDS, UNITS

RESUMES_WITHIN_US = 30 * US
ENDS_WITHIN_US = 60 * US
RHYTHM_BEFORE_US = 60 * US

INSTANT_US = 1
"""How long a compression lasts that stands alone: it parts two pauses. [us]"""


def decide(
    occ: Occurrences,
    people: People,
    *,
    min_pause_us: int = US,
    zero_at: Ints | None = None,
    end_at: Ints | None = None,
) -> Structure:
    """Decide the structure of every event.

    Parameters
    ----------
    min_pause_us : int
        Shortest gap that is a pause. [us]
    zero_at, end_at : int64, shape (events,), optional
        The reviewer's time zero and end on the reference clock, `ABSENT` where there is none. [us]
    """
    unsaid = np.full(occ.events, ABSENT)
    zero_at, end_at = unsaid if zero_at is None else zero_at, unsaid if end_at is None else end_at
    label = occ.of("rhythm", "rhythm_check", "pulse_check") & occ.detail.among(*ARREST_RHYTHMS)
    label |= occ.of("analysis") & occ.detail.among("advised", "not_advised")
    zero, basis = _time_zero(occ, zero_at, label)
    placing = Placing(occ, PointTimes(occ), moments(PointTimes(occ).of_marks, zero, 1))
    position = placing.marks(np.arange(len(occ)))
    if not axis.within_slot(occ.time - placing.zero[0, occ.event]).all():
        raise ValueError("a mark lies more than 36 hours from time zero")
    told = seen(occ, position, min_pause_us)
    order = _order(occ, told.measures)
    hands_on, _, covered = _hands_on(told, order, occ, placing, min_pause_us)
    begins = np.flatnonzero(occ.of(*BEGINS))
    begins = begins[spans.holding(covered, position[begins]) < 0]
    end_at = np.where(end_at == ABSENT, NEVER, end_at)
    episodes, absorbed = _episodes(occ, position, told, hands_on, begins, placing, zero, end_at)
    start, stop = (
        placing.moments(episodes.opened, episodes.event),
        placing.moments(episodes.closed, episodes.event),
    )

    def episode_of(rows: Ints) -> Ints:
        row = np.searchsorted(start, position[rows], "right") - 1
        inside = (row >= 0) & (position[rows] <= stop[row]) & (episodes.event[row] == occ.event[rows])
        return np.where(inside, row, -1)

    shocks, doses = np.flatnonzero(occ.of("shock")), np.flatnonzero(occ.of("drug"))
    dose_episode = episode_of(doses)
    machine = mechanical(occ)
    singles = np.flatnonzero(occ.of("compression") & told.measures[occ.source])
    by_machine = spans.merge(*_placed(machine, occ, placing))
    singles = singles[(episode_of(singles) >= 0) & (spans.holding(by_machine, position[singles]) < 0)]
    return Structure(
        occurrences=occ,
        people=people,
        min_pause_us=min_pause_us,
        zero=zero,
        basis=basis,
        seen=told,
        order=order,
        measured=np.bincount(occ.sources.event[told.measures], minlength=occ.events) > 0,
        mechanical=machine,
        singles=singles,
        begins=begins,
        begin_episode=episode_of(begins),
        first_compression=occ.first(occ.of(*BEGINS)),
        first_rhythm=_first_rhythm(occ, position, label),
        arrest_label=label,
        episodes=episodes,
        shocks=shocks,
        shock_episode=episode_of(shocks),
        doses=doses,
        dose_episode=dose_episode,
        why_not=_why_not(occ, doses, dose_episode, position),
        absorbed=absorbed,
    )


def place(structure: Structure, times: Times, *, window_us: int | None = None) -> Course:
    """Put a structure on the axis, one slot an event and draw.

    Parameters
    ----------
    window_us : int, optional
        Ask for hands-on only this long from the first compression. [us]
    """
    occ, episodes = structure.occurrences, structure.episodes
    placing = Placing(occ, times, moments(times.of_marks, structure.zero, times.draws))
    hands_on, hands_by, covered = _hands_on(
        structure.seen, structure.order, occ, placing, structure.min_pause_us
    )
    start, end = _in_order(
        placing.moments(episodes.opened, episodes.event), placing.moments(episodes.closed, episodes.event)
    )
    shock = placing.marks(structure.shocks)
    opens, closes, until = _windows(structure, placing, hands_on, start, end, shock, window_us)
    window_episode = np.flatnonzero(until > opens)
    windows = Spans(opens[window_episode], until[window_episode])
    asked = spans.intersect(covered, windows)
    off = spans.subtract(asked, hands_on)
    return Course(
        structure=structure,
        placing=placing,
        slots=times.draws * occ.events,
        hands_on=hands_on,
        hands_by=hands_by,
        mechanical=spans.merge(*_placed(structure.mechanical, occ, placing)),
        covered=covered,
        episode_start=start,
        episode_end=end,
        opens=opens,
        closes=closes,
        windows=windows,
        window_episode=window_episode,
        asked=asked,
        pauses=off.only(off.length >= structure.min_pause_us),
        singles=_asked_singles(structure, window_us),
        shock=shock,
        dose=placing.marks(structure.doses),
    )


def _time_zero(occ: Occurrences, zero_at: Ints, label: Bools) -> tuple[Edges, Ints]:
    """Choose time zero: the reviewer's, else what was marked, else the earliest sign of an arrest.

    A loss of pulse after a ROSC says nothing of the beginning.
    """
    compression = occ.first(occ.of(*BEGINS))
    rosc = occ.when(occ.first(occ.of("rosc")), NEVER)
    pulseless = occ.first(occ.of("pulseless") & (occ.time <= rosc[occ.event]))
    recognition = occ.first(occ.of("recognition"))
    signs = [
        occ.first(occ.of("call")),
        compression,
        occ.first(occ.of("shock")),
        occ.first(label),
    ]
    when = np.stack([occ.when(row, NEVER) for row in signs])
    earliest = np.stack(signs)[np.argmin(when, axis=0), np.arange(occ.events)]
    assumed = np.where(earliest >= 0, earliest, occ.first(np.ones(len(occ), np.bool_)))
    before = (compression >= 0) & (occ.when(compression, NEVER) < occ.when(pulseless, -NEVER))
    choices = [zero_at != ABSENT, before, pulseless >= 0, recognition >= 0]
    mark = np.select(choices, [np.full(occ.events, -1), compression, pulseless, recognition], assumed)
    return Edges(mark, np.where(choices[0], zero_at, 0)), np.select(choices, range(4), 4)


def _order(occ: Occurrences, measures: Bools) -> Ints:
    """Return in which order an event's sources are asked for hands-on time, -1 for those that never are."""
    event, rank = occ.sources.event, occ.sources.rank
    order = np.full(len(event), -1)
    asked = np.flatnonzero(measures)
    asked = asked[np.lexsort((rank[asked], event[asked]))]
    first = np.searchsorted(event[asked], event[asked])
    order[asked] = np.arange(len(asked)) - first
    return order


def _placed(runs: Runs, occ: Occurrences, placing: Placing) -> tuple[Ints, Ints]:
    """Return where stretches of sources start and end on the axis. [us]"""
    event = occ.sources.event[runs.source]
    return placing.stretches(runs.start, event), placing.stretches(runs.end, event)


def _hands_on(
    told: Seen, order: Ints, occ: Occurrences, placing: Placing, min_pause_us: int
) -> tuple[Spans, tuple[Spans, ...], Spans]:
    """Return hands-on, the same by order of sources, and what is covered.

    At any instant it comes from one source, the best that covers it; two are never united or intersected.
    """

    def of(runs: Runs, nth: int) -> tuple[Ints, Ints]:
        return _placed(runs.only(order[runs.source] == nth), occ, placing)

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
    closed = spans.merge(hands_on.start, hands_on.end, min_pause_us - 1)
    return spans.intersect(closed, covered), tuple(by_order), covered


def _episodes(
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


def _first_rhythm(occ: Occurrences, position: Ints, label: Bools) -> Ints:
    """Return the last arrest rhythm in the minute before zero, else the first after: one entry an event."""
    from_zero = position - axis.middle(occ.event)
    before = occ.last(label & (from_zero <= 0) & (from_zero >= -RHYTHM_BEFORE_US))
    return np.where(before >= 0, before, occ.first(label & (from_zero > 0)))


def _why_not(occ: Occurrences, doses: Ints, episode: Ints, position: Ints) -> Ints:
    """Return why each dose is not counted: code of `WHY_NOT`, 0 for an IV or IO bolus inside an episode."""
    rates = [name for name, unit in UNITS.items() if unit.dimension.startswith("rate_")]
    infusion = occ.unit.among(*rates) | occ.route.among("infusion")
    other = ~occ.route.among("iv", "io") & (occ.route.code >= 0)
    before = position < axis.middle(occ.event)
    choices = [infusion[doses], other[doses], before[doses], episode < 0]
    return np.select(choices, [INFUSION, OTHER_ROUTE, BEFORE_ARREST, OUTSIDE_ARREST], COUNTED)


def _in_order(start: Ints, end: Ints) -> tuple[Ints, Ints]:
    """Return episodes with none reaching back before the end of the one before it, as draws may have it."""
    both = np.maximum.accumulate(np.stack([start, end], axis=1).ravel())
    return both[::2], both[1::2]


def _windows(
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


def _asked_singles(structure: Structure, window_us: int | None) -> Ints:
    """Return the single compressions by hand in the part of the event that is asked for."""
    occ, rows = structure.occurrences, structure.singles
    if window_us is None:
        return rows
    first = occ.time[structure.first_compression[occ.event[rows]]]
    return rows[occ.time[rows] <= first + window_us]

"""The course: the structure of an event, decided once, and placed in time as often as needed.

`decide` reads occurrences at their point times and says which mark is time zero, which marks open and close
each episode, which source tells hands-on time, which doses count. `place` puts that structure on the long
axis for given times: the point times of many events, or many draws of one. Nothing else decides structure.
"""

import numpy as np

from debrief.course.episodes import episodes_of
from debrief.course.hands import INSTANT_US, hands_on_of, order_of, placed
from debrief.course.windows import asked_singles, in_order, windows_of
from debrief.model import axis, spans
from debrief.model.axis import Bools, Ints
from debrief.model.hands import BEGINS, NEVER, Edges, mechanical, seen
from debrief.model.occurrences import Occurrences
from debrief.model.spans import Spans
from debrief.model.structure import (
    ABSENT,
    BEFORE_ARREST,
    COUNTED,
    INFUSION,
    OTHER_ROUTE,
    OUTSIDE_ARREST,
    Course,
    People,
    Placing,
    PointTimes,
    Structure,
    Times,
    moments,
)
from debrief.model.times import US
from debrief.words import ARREST_RHYTHMS, UNITS

__all__ = ["decide", "place"]

RHYTHM_BEFORE_US = 60 * US


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
    order = order_of(occ, told.measures)
    hands_on, _, covered = hands_on_of(told, order, occ, placing, min_pause_us)
    begins = np.flatnonzero(occ.of(*BEGINS))
    begins = begins[spans.holding(covered, position[begins]) < 0]
    end_at = np.where(end_at == ABSENT, NEVER, end_at)
    episodes, absorbed = episodes_of(occ, position, told, hands_on, begins, placing, zero, end_at)
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
    by_machine = spans.merge(*placed(machine, occ, placing))
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
    hands_on, hands_by, covered = hands_on_of(
        structure.seen, structure.order, occ, placing, structure.min_pause_us
    )
    start, end = in_order(
        placing.moments(episodes.opened, episodes.event), placing.moments(episodes.closed, episodes.event)
    )
    shock = placing.marks(structure.shocks)
    opens, closes, until = windows_of(structure, placing, hands_on, start, end, shock, window_us)
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
        mechanical=spans.merge(*placed(structure.mechanical, occ, placing)),
        covered=covered,
        episode_start=start,
        episode_end=end,
        opens=opens,
        closes=closes,
        windows=windows,
        window_episode=window_episode,
        asked=asked,
        pauses=off.only(off.length >= structure.min_pause_us - INSTANT_US),
        singles=asked_singles(structure, window_us),
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

"""Stretches of compressions as each source tells them, their edges tied to the marks that made them.

An edge is a mark and an offset from it, so that a stretch can be placed again when its marks are drawn
anew. Nothing is united across sources here: that choice is the course's.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from debrief.model.axis import Bools, Ints
from debrief.model.occurrences import Occurrences
from debrief.model.sequences import alternate
from debrief.model.times import US

MAX_SILENCE_US = 120 * US
"""A longer gap between single compressions is not covered unless a stop or a pause explains it."""

EXPLAINS_WITHIN_US = 3 * US

CLOSING = ("rosc", "ecls_flow", "efforts_ended")
STARTS = ("compressions_start", "mechanical_start")
STOPS = ("compressions_stop", "mechanical_stop")
BEGINS = (*STARTS, "compression")


@dataclass(frozen=True)
class Edges:
    """Moments tied to marks: the time of row ``mark``, plus ``plus``. [us]

    A mark of -1 stands for no mark: ``plus`` is then the time itself.
    """

    mark: Ints
    plus: Ints

    def only(self, chosen: Bools | Ints) -> "Edges":
        """Return the chosen moments."""
        return Edges(self.mark[chosen], self.plus[chosen])

    def __len__(self) -> int:
        return len(self.mark)


def at(rows: Ints) -> Edges:
    """Return the moments of rows themselves."""
    return Edges(rows, np.zeros(len(rows), np.int64))


def absolute(time: Ints) -> Edges:
    """Return moments that no mark made. [us]"""
    return Edges(np.full(len(time), -1), time)


def edges(*several: Edges) -> Edges:
    """Return the moments of several sets in one."""
    return Edges(np.concatenate([e.mark for e in several]), np.concatenate([e.plus for e in several]))


def choose(conditions: Sequence[Bools], choices: Sequence[Edges], default: Edges) -> Edges:
    """Return, row by row, the moment of the first condition that holds, else the default's."""
    mark = np.select(list(conditions), [e.mark for e in choices], default.mark)
    return Edges(mark, np.select(list(conditions), [e.plus for e in choices], default.plus))


NEVER = 1 << 60
"""The ``plus`` of an edge without a mark that lies beyond every time."""


@dataclass(frozen=True)
class Runs:
    """Stretches of one source each, one row a stretch."""

    source: Ints
    start: Edges
    end: Edges

    def __len__(self) -> int:
        return len(self.source)

    def only(self, chosen: Bools | Ints) -> "Runs":
        """Return the chosen stretches."""
        return Runs(self.source[chosen], self.start.only(chosen), self.end.only(chosen))


NO_RUNS = Runs(np.zeros(0, np.int64), at(np.zeros(0, np.int64)), at(np.zeros(0, np.int64)))


def join(*several: Runs) -> Runs:
    """Return all the stretches of several sets in one."""
    return Runs(
        np.concatenate([runs.source for runs in several]),
        edges(*(runs.start for runs in several)),
        edges(*(runs.end for runs in several)),
    )


@dataclass(frozen=True)
class Seen:
    """What sources saw of the compressions.

    ``on``: hands on the chest, or a device at work; ``off``: pauses of known length to be taken out of it;
    ``covered``: where compressions would be seen;
    ``measures``: which sources tell hands-on time at all, bool, shape (sources,).
    """

    on: Runs
    off: Runs
    covered: Runs
    measures: Bools


def seen(occ: Occurrences, position: Ints, min_pause_us: int) -> Seen:
    """Return what each source saw of the compressions.

    Parameters
    ----------
    position : int64, shape (n,)
        Where each occurrence stands on the axis. [us]
    min_pause_us : int
        Shortest gap that is a pause. [us]
    """
    single_on, single_covered, single_measures = _singles(occ, position, min_pause_us)
    on, off, covered, measures = _switches(occ, position, ~single_measures)
    return Seen(
        join(single_on, on),
        off,
        join(single_covered, covered),
        single_measures | measures,
    )


def _by_source(occ: Occurrences, chosen: Bools) -> Ints:
    rows = np.flatnonzero(chosen)
    return rows[np.argsort(occ.source[rows], kind="stable")]


def _singles(occ: Occurrences, position: Ints, min_pause_us: int) -> tuple[Runs, Runs, Bools]:
    """Form runs of single compressions and the stretches they cover.

    A source whose step is coarser than a quarter of the shortest pause tells nothing here, but for
    whole-second stamps: each counts as presence throughout its second.
    """
    rows = _by_source(occ, occ.of("compression"))
    if not len(rows):
        return NO_RUNS, NO_RUNS, np.zeros(len(occ.sources.rank), np.bool_)
    step = np.zeros(len(occ.sources.rank), np.int64)
    np.maximum.at(step, occ.source[rows], 2 * occ.half[rows])
    fine = (step * 4 <= min_pause_us) | (step == US)
    rows = rows[fine[occ.source[rows]]]
    source, when = occ.source[rows], position[rows]
    measures = np.zeros(len(step), np.bool_)
    measures[source] = True
    lasts = np.where(step[source] == US, US, 0)
    new = source[1:] != source[:-1]
    gap = when[1:] - when[:-1] - lasts[:-1]
    stops = position[occ.of(*STOPS, "pause")]
    explained = np.searchsorted(stops, when[:-1] - EXPLAINS_WITHIN_US) < np.searchsorted(
        stops, when[1:] + EXPLAINS_WITHIN_US, "right"
    )
    silent = (gap > MAX_SILENCE_US) & ~explained
    return (
        _cut(source, rows, lasts, new | (gap >= min_pause_us)),
        _cut(source, rows, lasts, new | silent),
        measures,
    )


def _cut(source: Ints, rows: Ints, lasts: Ints, cut_after: Bools) -> Runs:
    if not len(rows):
        return NO_RUNS
    ends, begins = np.append(cut_after, True), np.append(True, cut_after)
    return Runs(
        source[begins],
        at(rows[begins]),
        Edges(rows[ends], lasts[ends]),
    )


def _switches(occ: Occurrences, position: Ints, asked: Bools) -> tuple[Runs, Runs, Runs, Bools]:
    """Form runs of those asked of the sources that mark starts and stops.

    A run that nothing stops ends at the next ROSC, extracorporeal flow or end of efforts; failing all, at
    its source's last mark. A pause of known length resumes by itself, or at a start inside it.
    """
    pause = occ.of("pause")
    timed = pause & (occ.length > 0)
    start, stop = occ.of(*STARTS), occ.of(*STOPS) | (pause & ~timed)
    interrupts = (stop | pause) & (position < _end_of_record(occ, position)[occ.event])
    measures, starting = np.zeros((2, len(occ.sources.rank)), np.bool_)
    measures[occ.source[interrupts]] = True
    starting[occ.source[start]] = True
    measures &= starting & asked
    told = measures[occ.source]

    rows = _by_source(occ, (start | stop) & told)
    if not len(rows):
        return NO_RUNS, NO_RUNS, NO_RUNS, measures
    source, when, on = occ.source[rows], position[rows], start[rows]
    last = np.append(source[1:] != source[:-1], True)
    follow = np.append(np.arange(1, len(rows)), len(rows) - 1)
    closing = np.flatnonzero(occ.of(*CLOSING))
    close = np.append(closing, -1)[np.searchsorted(position[closing], when, "right")]
    cut = (close >= 0) & (occ.event[close] == occ.event[rows])
    cut &= last | (on[follow] & (position[close] <= when[follow]))
    source_last = np.full(len(measures), -1)
    source_last[occ.source] = np.arange(len(occ))
    until = np.where(cut, close, np.where(last, source_last[source], rows[follow]))
    runs = Runs(source[on], at(rows[on]), at(until[on]))

    first = np.append(True, runs.source[1:] != runs.source[:-1])
    covered = Runs(runs.source[first], runs.start.only(first), absolute(np.full(int(first.sum()), NEVER)))
    paused = _by_source(occ, timed & told)
    off = Runs(occ.source[paused], at(paused), _resumptions(occ, position, paused, rows[on]))
    return runs, off, covered, measures


def _resumptions(occ: Occurrences, position: Ints, paused: Ints, starts: Ints) -> Edges:
    """Return where each pause of known length ends: after its length, or at a start inside it."""
    by_source = len(occ)
    index = np.searchsorted(
        occ.source[starts] * by_source + starts, occ.source[paused] * by_source + paused, "right"
    )
    following = np.append(starts, -1)[index]
    inside = (following >= 0) & (occ.source[following] == occ.source[paused])
    inside &= position[following] < position[paused] + occ.length[paused]
    return Edges(np.where(inside, following, paused), np.where(inside, 0, occ.length[paused]))


def _end_of_record(occ: Occurrences, position: Ints) -> Ints:
    """Return where each record of compressions ends: the last close, or where work went on the last mark."""
    if not len(occ):
        return np.zeros(occ.events, np.int64)
    closed = occ.last(occ.of(*CLOSING))
    last = occ.last(np.ones(len(occ), np.bool_))
    active = occ.last(occ.of(*BEGINS, "rearrest"))
    final = (closed >= 0) & (closed > active)
    return np.where(last < 0, 0, position[np.where(final, closed, last)])


def mechanical(occ: Occurrences) -> Runs:
    """Return where a device compresses, by any source: to its stop, a start by hand or an end.

    It may go on for a while into extracorporeal flow.
    """
    ends_it = ("mechanical_stop", "compressions_start", "rosc", "efforts_ended")
    rows = np.flatnonzero(occ.of("mechanical_start", *ends_it))
    starts, ends = alternate(occ.event[rows], occ.of("mechanical_start")[rows])
    started, ended = rows[starts], rows[ends]
    never = absolute(np.full(len(starts), NEVER))
    return (
        Runs(occ.source[started], at(started), choose([ends >= 0], [at(ended)], never))
        if len(rows)
        else NO_RUNS
    )

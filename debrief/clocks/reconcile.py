"""Tell which marks are the same occurrence.

Two marks of one kind (and drug) in two sources are one occurrence where their times can be the same; pairs
are one-to-one and in order, the better time leads. In one source, the same again at once is counted once.
A reviewer's word, which marks are one and which are two, stands before all of this.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from heapq import merge

import numpy as np

from debrief.clocks.by_hand import link, rows_of
from debrief.clocks.differences import can_be_one, differ, differences, of_mark, same_way, what
from debrief.clocks.pairs import Pairs, both_ways
from debrief.clocks.together import NAMES, PAIRED, Together
from debrief.model.axis import Ints
from debrief.model.occurrences import Coded, Occurrences
from debrief.model.problems import Problem
from debrief.model.times import US

AGAIN_US = {"shock": 3 * US, "drug": 10 * US}
"""The same mark of one source within this time is one. [us]"""

BY_DETAIL = ("drug", "rhythm", "shock")
"""Kinds that are one only where their detail is the same, none counting as one of its own."""

ANY_DETAIL = ("efforts_ended",)
"""Kinds that are one whatever their detail says; of the others one may lack it."""

MOST_ALIKE = 2_000
"""Marks of one kind in one source beyond this are no marks of an arrest, such as a label every second."""


@dataclass(frozen=True)
class Reconciled:
    """Occurrences, and for each the rows of the marks that saw it, the leading one first."""

    occurrences: Occurrences
    marks: tuple[tuple[int, ...], ...]
    problems: tuple[Problem, ...]


def reconcile(
    occ: Occurrences,
    names: list[str],
    linked: Iterable[tuple[str, str]] = (),
    parted: Iterable[tuple[str, str]] = (),
) -> Reconciled:
    """Return marks of one event as occurrences.

    Parameters
    ----------
    occ : Occurrences
        Every mark an occurrence of its own.
    names : list of str
        Name of each mark, ``source:place``, by row of the marks table.
    linked, parted : pairs of names
        What a reviewer says is one occurrence, and what is two.
    """
    problems: list[Problem] = []
    written = occ.row.tolist()
    own = [names[row] for row in written]
    together = Together(occ, own, rows_of(parted, own, problems))
    _again(together, problems)
    link(together, rows_of(linked, own, problems), problems)
    _across(together, problems)
    problems += differences(together)
    leads = together.leads()
    marks = tuple(tuple(written[row] for row in together.rows(lead)) for lead in leads)
    return Reconciled(_keep(together.filled(), np.array(leads, np.int64)), marks, tuple(problems))


def _again(together: Together, problems: list[Problem]) -> None:
    """Take as one what stands again just after itself in its source."""
    occ, names = together.occ, together.names
    for kind, within_us in AGAIN_US.items():
        kept: dict[tuple[int, int], list[int]] = {}
        for row in np.flatnonzero(occ.of(kind)).tolist():
            before = kept.setdefault((int(occ.source[row]), int(occ.detail.code[row])), [])
            near = (first for first in reversed(before) if occ.time[row] - occ.time[first] <= within_us)
            same = next((first for first in near if _is_same(together, first, row)), None)
            if same is None:
                before.append(row)
                continue
            together.repeat(same, row)
            problems.append(of_mark("pressed_again", names[row], first=names[same], what=what(occ, row)))


def _is_same(together: Together, first: int, row: int) -> bool:
    """Return whether a mark tells no more than the one before it, or that it was another."""
    occ = together.occ
    known = (float(together.amount[first]), int(together.unit[first]))
    route = bool(same_way(occ.route, together.route[[first]], occ.route.code[[row]])[0])
    unlike = differ(known, (float(occ.amount[row]), int(occ.unit.code[row])))
    return route and not unlike and not together.are_parted(first, row)


def _across(together: Together, problems: list[Problem]) -> None:
    """Pair what is left across sources, from the best source on."""
    occ = together.occ
    chosen = np.flatnonzero(occ.of(*PAIRED) & together.first_presses()).tolist()
    by_key: dict[tuple[int, int], dict[int, list[int]]] = {}
    for row in chosen:
        detail = int(occ.detail.code[row]) if NAMES[occ.kind[row]] in BY_DETAIL else -1
        by_key.setdefault((int(occ.kind[row]), detail), {}).setdefault(int(occ.source[row]), []).append(row)
    for held in by_key.values():
        many = max(held.values(), key=len)
        if len(held) > 1 and len(many) > MOST_ALIKE:
            told = {"count": len(many), "what": what(occ, many[0]), "most": MOST_ALIKE}
            problems.append(of_mark("too_many_alike", together.names[many[0]], **told))
            continue
        known: list[int] = []
        for source in (source for source in together.sources if source in held):
            known = _joined(together, known, held[source], problems) if known else held[source]


def _joined(together: Together, known: list[int], mine: list[int], problems: list[Problem]) -> list[int]:
    """Pair what is known with the marks of one more source, and return all in one order."""
    place = {int(together.root[row]): at for at, row in enumerate(known)}
    roots = together.root[mine].tolist()
    linked = [(place[root], at) for at, root in enumerate(roots) if root in place]
    taken, instead = both_ways(_cost(together, known, mine, linked))
    problems += _ties(together, known, mine, taken, instead)
    for i, j in taken:
        together.join(known[i], mine[j])
    return _in_one_order(together, known, mine, taken, linked)


def _cost(together: Together, known: list[int], mine: list[int], linked: Pairs) -> Ints:
    """Return how far apart each known mark and each of one more source lie, below 0 where they are two.

    Of pairs as near as each other those that agree cost less: int64, shape (known, mine).
    """
    occ = together.occ
    can_be = can_be_one(occ, known, mine)
    can_be &= ~(together.seen_by(known)[:, None, :] & together.seen_by(mine)[None, :, :]).any(axis=2)
    a, b = together.root[known], together.root[mine]
    kind = NAMES[occ.kind[mine[0]]]
    if kind not in ANY_DETAIL:
        detail, other = together.detail[a][:, None], together.detail[b][None, :]
        can_be &= (detail == other) | ((detail < 0) | (other < 0) if kind not in BY_DETAIL else False)
    if kind == "drug":
        can_be &= same_way(occ.route, together.route[a][:, None], together.route[b][None, :])
    if together.parted:
        for i, j in np.argwhere(can_be).tolist():
            can_be[i, j] = not together.are_parted(known[i], mine[j])
    for i, j in linked:  # nothing crosses what a reviewer linked
        can_be[: i + 1, j:] = can_be[i:, : j + 1] = False
    unlike = together.amount[a][:, None] != together.amount[b][None, :]
    unlike &= ~np.isnan(together.amount[a])[:, None] & ~np.isnan(together.amount[b])[None, :]
    apart = np.abs(occ.time[known][:, None] - occ.time[mine][None, :])
    return np.where(can_be, apart * (min(can_be.shape) + 1) + unlike, -1)


def _ties(
    together: Together, known: list[int], mine: list[int], taken: Pairs, instead: Pairs
) -> Iterable[Problem]:
    """Yield the pairs that others would fit as well, where it matters which."""
    occ, names = together.occ, together.names

    def seen(pair: tuple[int, int]) -> list[tuple[object, ...]]:
        rows = (known[pair[0]], mine[pair[1]])
        columns = (occ.time, occ.half, occ.source, occ.amount, occ.unit.code, occ.route.code, occ.detail.code)
        return [tuple(str(column[row]) for column in columns) for row in rows]

    only, other = sorted({*taken} - {*instead}), sorted({*instead} - {*taken})
    for pair, as_well in zip(only, other, strict=True):
        if seen(pair) != seen(as_well):
            (a, b), (c, d) = ((names[known[i]], names[mine[j]]) for i, j in (pair, as_well))
            told = {"what": what(occ, mine[pair[1]]), "other": a, "instead": d, "instead_of": c}
            yield of_mark("pairing_tie", b, mark=b, **told)


def _in_one_order(
    together: Together, known: list[int], mine: list[int], taken: Pairs, linked: Pairs
) -> list[int]:
    """Return what is known and what one more source has in an order that keeps the order of both."""
    seams: Pairs = []
    for i, j in sorted([*taken, *linked]):
        if not seams or j > seams[-1][1]:
            seams.append((i, j))
    held = {j for _, j in linked}
    order: list[int] = []
    i = j = 0
    for end, after in [*seams, (len(known), len(mine))]:
        free = [mine[at] for at in range(j, after) if at not in held]
        order += merge(known[i:end], free, key=together.occ.time.__getitem__)
        order += together.best((known[end], mine[after]))[:1] if end < len(known) else []
        i, j = end + 1, after + 1
    return order


def _keep(occ: Occurrences, rows: Ints) -> Occurrences:
    def coded(column: Coded) -> Coded:
        return Coded(column.code[rows], column.names)

    return Occurrences(
        events=occ.events,
        event=occ.event[rows],
        kind=occ.kind[rows],
        detail=coded(occ.detail),
        amount=occ.amount[rows],
        unit=coded(occ.unit),
        route=coded(occ.route),
        time=occ.time[rows],
        half=occ.half[rows],
        length=occ.length[rows],
        source=occ.source[rows],
        sources=occ.sources,
        row=occ.row[rows],
    )

"""Tell which marks are the same occurrence.

Two marks of one kind (and drug) in two sources are one occurrence where their times can be the same; pairs
are one-to-one and in order, the better time leads. In one source, the same again at once is counted once.
"""

from dataclasses import dataclass, replace

import numpy as np

from debrief.model.axis import Bools, Ints
from debrief.model.occurrences import Coded, Occurrences
from debrief.model.problems import Problem, problem
from debrief.model.times import US
from debrief.words import KINDS

AGAIN_US = {"shock": 3 * US, "drug": 10 * US}
"""The same mark of one source within this time is one. [us]"""

APART_MAX_US = 120 * US
LAG_US = 60 * US
"""How late a person may write a mark down. Common practice. [us]"""

PAIRED = tuple(
    KINDS[name].code
    for name in (
        *(
            "recognition",
            "pulseless",
            "call",
            "team_arrival",
            "rosc",
            "rearrest",
            "ecls_flow",
            "efforts_ended",
        ),
        *("shock", "cardioversion", "drug", "access", "airway", "airway_confirmed", "rhythm"),
    )
)


@dataclass(frozen=True)
class Reconciled:
    """Occurrences, and for each the rows of the marks that saw it, the leading one first."""

    occurrences: Occurrences
    marks: tuple[tuple[int, ...], ...]
    problems: tuple[Problem, ...]


def reconcile(occ: Occurrences, names: list[str]) -> Reconciled:
    """Return marks of one event as occurrences.

    Parameters
    ----------
    occ : Occurrences
        Every mark an occurrence of its own.
    names : list of str
        Name of each mark, ``source:place``, by row of the marks table.
    """
    problems: list[Problem] = []
    lead = _again(occ, names, problems)
    _across(occ, names, lead, problems)
    leads = np.flatnonzero(lead == np.arange(len(occ)))
    seen_by: dict[int, list[int]] = {int(row): [] for row in leads}
    for row, leader in enumerate(lead.tolist()):
        seen_by[leader].append(row)
    marks = tuple(
        tuple(int(occ.row[row]) for row in (first, *(row for row in rows if row != first)))
        for first, rows in seen_by.items()
    )
    return Reconciled(_keep(_filled(occ, lead), leads), marks, tuple(problems))


def _again(occ: Occurrences, names: list[str], problems: list[Problem]) -> Ints:
    """Return each row's leader: a row just before it in its source of which it is the same again."""
    lead = np.arange(len(occ))
    for kind, within_us in AGAIN_US.items():
        kept: dict[tuple[int, int], list[int]] = {}
        for row in np.flatnonzero(occ.of(kind)).tolist():
            before = kept.setdefault((int(occ.source[row]), int(occ.detail.code[row])), [])
            near = (first for first in reversed(before) if occ.time[row] - occ.time[first] <= within_us)
            same = next(
                (first for first in near if _agree(occ, first, row) and _same_way(occ, first, row)), None
            )
            if same is None:
                before.append(row)
                continue
            lead[row] = same
            source_id, _, place = names[occ.row[row]].partition(":")
            first = names[occ.row[same]]
            problems.append(problem("pressed_again", source_id, place, first=first, what=_what(occ, row)))
    return lead


def _across(occ: Occurrences, names: list[str], lead: Ints, problems: list[Problem]) -> None:
    """Pair what is left across sources, the better source of each pair leading."""
    alone = np.isin(occ.kind, PAIRED) & (lead == np.arange(len(occ)))
    if len(np.unique(occ.source[alone])) < 2:
        return
    order = np.argsort(occ.sources.rank, kind="stable").tolist()
    by_key: dict[tuple[int, int], dict[int, list[int]]] = {}
    for row in np.flatnonzero(alone).tolist():
        detail = int(occ.detail.code[row]) if KINDS_WITH_DETAIL[occ.kind[row]] else -1
        by_key.setdefault((int(occ.kind[row]), detail), {}).setdefault(int(occ.source[row]), []).append(row)
    for held in by_key.values():
        known: list[int] = []
        for source in (source for source in order if source in held):
            for first, second in _pairs(occ, known, held[source]):
                better, other = sorted(
                    (first, second), key=lambda r: (occ.sources.rank[occ.source[r]], occ.half[r], r)
                )
                lead[lead == other] = better
                lead[other] = better
                known[known.index(first)] = better
                if not _agree(occ, better, other):
                    source_id, _, place = names[occ.row[other]].partition(":")
                    problems.append(
                        problem(
                            "sources_disagree",
                            source_id,
                            place,
                            what=_what(occ, other),
                            other=_what(occ, better),
                            mark=names[occ.row[better]],
                        )
                    )
            known = sorted({*known, *(row for row in held[source] if lead[row] == row)})


KINDS_WITH_DETAIL = np.array([kind.name in ("drug", "rhythm") for kind in KINDS.values()])


def _pairs(occ: Occurrences, first: list[int], second: list[int]) -> list[tuple[int, int]]:
    """Return pairs of two lists in time order: as many as can be, then as near as can be, none crossing."""
    best: list[list[tuple[int, int]]] = [[(0, 0)] * (len(second) + 1) for _ in range(len(first) + 1)]
    for i in range(len(first) - 1, -1, -1):
        for j in range(len(second) - 1, -1, -1):
            choices = [best[i + 1][j], best[i][j + 1]]
            apart = _apart(occ, first[i], second[j])
            if apart is not None:
                pairs, cost = best[i + 1][j + 1]
                choices.append((pairs + 1, cost - apart))
            best[i][j] = max(choices)
    found, i, j = [], 0, 0
    while i < len(first) and j < len(second):
        if best[i][j] == best[i + 1][j]:
            i += 1
        elif best[i][j] == best[i][j + 1]:
            j += 1
        else:
            found.append((first[i], second[j]))
            i, j = i + 1, j + 1
    return found


def _apart(occ: Occurrences, a: int, b: int) -> int | None:
    """Return how far two marks lie apart, null where clocks and cells do not allow it. [us]"""
    if occ.source[a] == occ.source[b]:
        return None
    sources = occ.sources
    room = int(occ.half[a] + occ.half[b])
    for row in (a, b):
        source = occ.source[row]
        room += int(max(-sources.low[source], sources.high[source]))
        room += LAG_US if sources.rank[source] == 2 else 0
    apart = abs(int(occ.time[a] - occ.time[b]))
    return apart if apart <= min(room, APART_MAX_US) else None


def _same_way(occ: Occurrences, a: int, b: int) -> bool:
    """Return whether two doses went the same way; one that is not written went into a vein or bone."""
    direct = occ.route.among("iv", "io") | (occ.route.code < 0)
    return bool((direct[a] and direct[b]) or occ.route.code[a] == occ.route.code[b])


def _agree(occ: Occurrences, a: int, b: int) -> bool:
    first, second = occ.amount[a], occ.amount[b]
    return bool(
        np.isnan(first) or np.isnan(second) or (first == second and occ.unit.code[a] == occ.unit.code[b])
    )


def _what(occ: Occurrences, row: int) -> str:
    kind = list(KINDS)[occ.kind[row]].replace("_", " ")
    detail = (occ.detail.text(row) or "").replace("_", " ")
    amount = "" if np.isnan(occ.amount[row]) else f"{occ.amount[row]:g} {occ.unit.text(row) or ''}"
    return " ".join(part for part in (detail if kind == "drug" and detail else kind, amount.strip()) if part)


def _filled(occ: Occurrences, lead: Ints) -> Occurrences:
    """Return occurrences in which a leader takes amount, unit and route from its second where it has none."""
    amount, unit, route = occ.amount.copy(), occ.unit.code.copy(), occ.route.code.copy()
    for row in np.flatnonzero(lead != np.arange(len(lead))):
        leader = lead[row]
        if np.isnan(amount[leader]):
            amount[leader], unit[leader] = occ.amount[row], occ.unit.code[row]
        if route[leader] < 0:
            route[leader] = occ.route.code[row]
    return replace(occ, amount=amount, unit=Coded(unit, occ.unit.names), route=Coded(route, occ.route.names))


def _keep(occ: Occurrences, rows: Ints | Bools) -> Occurrences:
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

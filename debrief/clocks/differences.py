"""What two sources tell differently, as problems.

Each names both marks and both values, says which the figures use, and what a reviewer can do.
"""

from collections.abc import Iterator
from itertools import combinations, product

import numpy as np

from debrief.clocks.together import APART_MAX_US, NAMES, Together
from debrief.model.axis import Bools, Ints
from debrief.model.occurrences import RANKS, Coded, Occurrences
from debrief.model.problems import Problem, problem
from debrief.model.times import US, clock
from debrief.words import RHYTHMS, SHOCKABLE_RHYTHMS

NEAR_US = 180 * US
"""Doses or shocks this near may be one although their clocks say no. Common practice. [us]"""

LOOSE_US = 5 * US
"""How far apart two sources may tell one thing beside clocks and cells. Common practice. [us]"""

LABELS = ("rhythm", "rhythm_check", "pulse_check")
ONCE = ("recognition", "call", "team_arrival", "rosc", "ecls_flow", "efforts_ended")
"""What is mostly once in an event, so that two far apart may be one."""
CHANGES = ("shock", "rosc", "rearrest")
"""What a rhythm may be another after."""


def of_mark(code: str, name: str, **values: object) -> Problem:
    """Return a problem of the mark of that name, ``source:place``."""
    source_id, _, place = name.partition(":")
    return problem(code, source_id, place, **values)


def what(occ: Occurrences, row: int) -> str:
    """Return what a row tells: the drug or the kind with its detail, the amount and the route."""
    kind, detail = NAMES[occ.kind[row]], occ.detail.text(row)
    name = [detail] if kind == "drug" and detail else [kind, detail or ""]
    amount = "" if np.isnan(occ.amount[row]) else f"{occ.amount[row]:g} {occ.unit.text(row) or ''}".strip()
    words = [part.replace("_", " ") for part in name]
    return " ".join(part for part in (*words, amount, occ.route.text(row) or "") if part)


def differ(a: tuple[float, int], b: tuple[float, int]) -> bool:
    """Return whether two amounts with their units' codes are both written and not the same."""
    unlike = a[0] != b[0] or (a[1] != b[1] and min(a[1], b[1]) >= 0)
    return unlike and not np.isnan(a[0]) and not np.isnan(b[0])


def same_way(route: Coded, a: Ints, b: Ints) -> Bools:
    """Return which doses went the same way, codes against codes; one not written went into vein or bone."""
    direct = np.array([name in ("iv", "io") for name in route.names] + [True])
    return np.asarray((direct[a] & direct[b]) | (a == b))


def differences(together: Together) -> list[Problem]:
    """Return where sources tell different things of one occurrence, or may tell two where there was one."""
    apart = list(_apart(together))
    told = {(each.source_id, each.place) for each in apart if each.code == "seen_apart"}
    unseen = [each for each in _unseen(together) if (each.source_id, each.place) not in told]
    return [*_within(together), *apart, *_rhythms(together), *unseen]


def _within(together: Together) -> Iterator[Problem]:
    """Yield what marks of one occurrence contradict."""
    occ = together.occ
    told = {name: (getattr(occ, name).code >= 0).tolist() for name in ("detail", "route")}
    told["amount"] = (~np.isnan(occ.amount)).tolist()
    for rows, column in product(together.joined(), ("amount", "detail", "route")):
        known = [row for row in rows if told[column][row]]
        for row in known[1:]:
            if _contradict(occ, column, known[0], row):
                yield _pair("sources_disagree", together, known[0], row)


def _contradict(occ: Occurrences, column: str, a: int, b: int) -> bool:
    if column == "amount":
        return differ((occ.amount[a], int(occ.unit.code[a])), (occ.amount[b], int(occ.unit.code[b])))
    codes: Ints = getattr(occ, column).code
    if column == "route":
        return not same_way(occ.route, codes[a], codes[b])
    return bool(codes[a] != codes[b])


def _pair(code: str, together: Together, better: int, row: int, **more: object) -> Problem:
    occ, names = together.occ, together.names
    told = {"what": what(occ, row), "other": what(occ, better), "mark": names[better]}
    return of_mark(code, names[row], **told, **more)


def _apart(together: Together) -> Iterator[Problem]:
    """Yield marks that only one source has, each with the one in another source that it may well be."""
    occ = together.occ
    leads = together.leads(*ONCE, "drug", "shock", "cardioversion")
    alone = [row for row in leads if len(together.sources_of(row)) == 1]
    kinds: dict[tuple[int, int], dict[int, list[int]]] = {}
    for row in alone:
        key = (int(occ.kind[row]), int(occ.detail.code[row]) if NAMES[occ.kind[row]] == "drug" else -1)
        kinds.setdefault(key, {}).setdefault(int(occ.source[row]), []).append(row)
    for (kind, _), held in kinds.items():
        for a, b in combinations(sorted(held, key=together.sources.index), 2):
            reach_us = None if NAMES[kind] in ONCE and len(held[a]) == len(held[b]) == 1 else NEAR_US
            for better, row in _nearest(occ, held[a], held[b], reach_us):
                if not together.are_parted(better, row):
                    apart = clock(abs(int(occ.time[row] - occ.time[better])) / US)
                    yield _pair("seen_apart", together, better, row, apart=apart)
    yield from _other_drug(together, [row for row in alone if NAMES[occ.kind[row]] == "drug"])


def _other_drug(together: Together, alone: list[int]) -> Iterator[Problem]:
    """Yield doses that one source alone has, each with the other drug that another alone has just then."""
    occ = together.occ
    by_source: dict[int, list[int]] = {}
    for row in alone:
        by_source.setdefault(int(occ.source[row]), []).append(row)
    for a, b in combinations(sorted(by_source, key=together.sources.index), 2):
        for better, row in _nearest(occ, by_source[a], by_source[b], APART_MAX_US):
            unlike = occ.detail.code[better] != occ.detail.code[row]
            if unlike and can_be_one(occ, [better], [row])[0, 0] and not together.are_parted(better, row):
                yield _pair("drugs_differ", together, better, row)


def _nearest(
    occ: Occurrences, first: list[int], second: list[int], reach_us: int | None
) -> list[tuple[int, int]]:
    """Return the rows of two sources that are each the other's nearest, within reach."""
    apart = np.abs(occ.time[first][:, None] - occ.time[second][None, :])
    there, back = apart.argmin(axis=1), apart.argmin(axis=0)
    return [
        (row, second[there[at]])
        for at, row in enumerate(first)
        if back[there[at]] == at and (reach_us is None or apart[at, there[at]] <= reach_us)
    ]


def can_be_one(occ: Occurrences, rows: list[int], others: list[int]) -> Bools:
    """Return whether clocks, cells and lateness allow rows to be one moment with others.

    Returns
    -------
    allowed : bool, shape (rows, others)
    """
    (first, last), (other_first, other_last) = _bounds_us(occ, rows), _bounds_us(occ, others)
    apart = np.abs(occ.time[rows][:, None] - occ.time[others][None, :])
    overlap = (first[:, None] <= other_last[None, :] + LOOSE_US) & (
        other_first[None, :] <= last[:, None] + LOOSE_US
    )
    return np.asarray(overlap & (apart <= APART_MAX_US))


def _bounds_us(occ: Occurrences, rows: list[int]) -> tuple[Ints, Ints]:
    """Return between which times each row may have happened. [us]"""
    time, half, source, sources = occ.time[rows], occ.half[rows], occ.source[rows], occ.sources
    return time - half + (sources.low - sources.lag)[source], time + half + sources.high[source]


def _rhythms(together: Together) -> Iterator[Problem]:
    """Yield labels that contradict a better source's at what can be the same moment, nothing done between."""
    occ = together.occ
    labels = np.flatnonzero(occ.of(*LABELS) & (occ.detail.code >= 0))
    changes = np.sort(occ.time[occ.of(*CHANGES)])
    held = {source: labels[occ.source[labels] == source].tolist() for source in together.sources}
    agree = _can_agree(occ.detail) if sum(map(bool, held.values())) > 1 else None
    for better, source in combinations(together.sources, 2):
        if agree is None or not held[better] or not held[source]:
            continue
        mine, theirs = held[source], held[better]
        near = can_be_one(occ, mine, theirs)
        fine = near & agree[occ.detail.code[mine][:, None], occ.detail.code[theirs][None, :]]
        odd = near.any(axis=1) & ~fine.any(axis=1) & ~together.seen_by(mine)[:, better]
        for at in np.flatnonzero(odd):
            row, others = mine[at], [theirs[place] for place in np.flatnonzero(near[at])]
            other = min(others, key=lambda other: abs(int(occ.time[other] - occ.time[row])))
            start, end = np.sort(occ.time[[other, row]])
            changed = np.searchsorted(changes, start) != np.searchsorted(changes, end, "right")
            if not changed and not any(together.are_parted(each, row) for each in others):
                yield _pair("rhythms_differ", together, other, row)


def _can_agree(labels: Coded) -> Bools:
    """Return which labels can both be right as far as they go: bool, shape (names, names)."""
    meant = [_meant(name) for name in labels.names]
    return np.array([[bool(one & other) for other in meant] for one in meant])


def _meant(label: str) -> frozenset[str]:
    """Return the rhythms that a label can stand for."""
    if label == "shockable":
        return frozenset(SHOCKABLE_RHYTHMS)
    if label == "not_shockable":
        return frozenset(RHYTHMS) - frozenset(SHOCKABLE_RHYTHMS)
    return frozenset({label}) if label in RHYTHMS and label != "unknown" else frozenset(RHYTHMS)


def _unseen(together: Together) -> Iterator[Problem]:
    """Yield shocks that persons alone tell of while a device that records shocks was running."""
    occ = together.occ
    shocks = [row for row in together.leads("shock") if occ.detail.text(row) != "implanted"]
    devices = [source for source in together.sources if occ.sources.rank[source] == RANKS["device"]]
    recording = [source for source in devices if (occ.source[shocks] == source).any()]
    for source in recording[:1]:
        running = np.flatnonzero(occ.source == source)
        start, end = occ.time[running[[0, -1]]]
        device = together.names[int(running[0])].partition(":")[0]
        parted = {row for pair in together.parted if {*pair} & {*running.tolist()} for row in pair}
        for row in shocks:
            ranks = {int(occ.sources.rank[each]) for each in together.sources_of(row)}
            if row not in parted and ranks == {RANKS["person"]} and start <= occ.time[row] <= end:
                yield of_mark("shock_unseen", together.names[row], what=what(occ, row), device=device)

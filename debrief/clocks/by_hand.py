"""What a reviewer said of pairs of marks: that two are one occurrence, or that they are not."""

from collections.abc import Iterable

from debrief.clocks.differences import of_mark, what
from debrief.clocks.together import APART_MAX_US, NAMES, PAIRED, Pair, Together
from debrief.model.problems import Problem
from debrief.model.times import US, clock

Named = Iterable[tuple[str, str]]


def rows_of(named: Named, names: list[str], problems: list[Problem]) -> list[Pair]:
    """Return pairs of marks as rows; a pair of which a mark is gone is a problem."""
    found = []
    rows = {name: row for row, name in enumerate(names)} if named else {}
    for pair in sorted(named):
        gone = [name for name in pair if name not in rows]
        if gone:
            held = next((name for name in pair if name in rows), pair[0])
            problems.append(of_mark("link_lost", held, first=pair[0], second=pair[1], gone=gone[0]))
        else:
            first, second = sorted(rows[name] for name in pair)
            found.append((first, second))
    return found


def link(together: Together, pairs: list[Pair], problems: list[Problem]) -> None:
    """Take pairs as one, the nearest first; one that cannot be is a problem that says why."""
    occ, names = together.occ, together.names

    def apart(pair: Pair) -> int:
        return abs(int(occ.time[pair[0]] - occ.time[pair[1]]))

    for pair in sorted(pairs, key=lambda pair: (apart(pair), names[pair[0]], names[pair[1]])):
        other, mark = together.best(pair)
        told = {"what": what(occ, mark), "other": what(occ, other), "mark": names[other]}
        refusal = _refusal(together, *pair)
        if refusal:
            problems.append(of_mark(refusal, names[mark], **told))
            continue
        together.join(*pair)
        if apart(pair) > APART_MAX_US:
            problems.append(of_mark("link_far", names[mark], apart=clock(apart(pair) / US), **told))


def _refusal(together: Together, a: int, b: int) -> str | None:
    """Return the code of the problem of taking two rows as one, null where there is none."""
    occ = together.occ
    if occ.source[a] == occ.source[b]:
        return "link_one_source"
    if occ.kind[a] != occ.kind[b] or not _same_drug(together, a, b):
        return "link_unlike"
    if NAMES[occ.kind[a]] not in PAIRED:
        return "link_of_kind"
    if together.root[a] == together.root[b]:
        return None
    if together.are_parted(a, b):
        return "link_of_parted"
    seen = together.seen_by([a, b])
    return "link_chain" if (seen[0] & seen[1]).any() else None


def _same_drug(together: Together, a: int, b: int) -> bool:
    """Return whether two doses are not known to be of different drugs."""
    drugs = together.detail[together.root[[a, b]]]
    return NAMES[together.occ.kind[a]] != "drug" or bool(drugs[0] == drugs[1] or drugs.min() < 0)

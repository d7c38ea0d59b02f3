"""Anchors: the marks of a source that another source may have seen as well, each with a key to match by."""

from dataclasses import dataclass

import numpy as np
import pyarrow as pa

from debrief.model.axis import Bools, Floats, Ints
from debrief.model.columns import Codebook, floats_of, ints_of
from debrief.model.times import US

SILENCE_US = 3 * US
"""Single compressions further apart than this are two stretches of compressions. [us]"""

BY_DETAIL = {"rhythm": "rhythm", "rhythm_check": "rhythm", "pulse_check": "rhythm", "drug": "drug"}
"""Kinds that match only where what was seen or given is the same."""

BY_KIND = {
    "compressions_start": "start",
    "mechanical_start": "start",
    "compressions_stop": "stop",
    "mechanical_stop": "stop",
    "pause": "stop",
} | {
    name: name
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
        *("shock", "cardioversion", "access", "airway", "airway_confirmed"),
    )
}


@dataclass(frozen=True)
class Anchors:
    """Anchors of one source in time order, int64 or float64, shape (n,).

    ``key``: anchors of two sources can be one occurrence only where it is the same; ``time`` on the source's
    own clock, ``half`` half its cell [us]; ``amount``: NaN where none is written; ``row``: in the source's
    marks.
    """

    key: Ints
    time: Ints
    half: Ints
    amount: Floats
    row: Ints

    def __len__(self) -> int:
        return len(self.key)

    def take(self, rows: Ints | Bools) -> "Anchors":
        """Return some of them."""
        return Anchors(*(getattr(self, name)[rows] for name in ("key", "time", "half", "amount", "row")))


def anchors(marks: pa.Table, keys: Codebook[str], *, rounded: bool = False) -> Anchors:
    """Return the anchors of one source, each in the middle of its cell.

    Parameters
    ----------
    marks : pyarrow.Table
        Of ``model.marks.SCHEMA``; ``source_time`` nowhere null.
    keys : Codebook
        Numbers the keys alike for all sources of an event.
    rounded
        Whether the source rounds to the nearest second; else it shows the one that has begun, as clocks do.
    """
    kinds, details = (marks[name].combine_chunks().dictionary_encode() for name in ("kind", "detail"))
    kind, detail = ints_of(kinds.indices), ints_of(details.indices, -1)
    kind_names, detail_names = kinds.dictionary.to_pylist(), [*details.dictionary.to_pylist(), None]
    half = ints_of(marks["cell"], 0) // 2
    time = ints_of(marks["source_time"])
    if not rounded:
        time = time + np.where(2 * half <= US, half, 0)
    amount = floats_of(marks["amount"])
    key = np.full(len(marks), -1)
    both = (kind << 32) + detail + 1
    values, first = np.unique(both, return_index=True)
    for value, row in zip(values.tolist(), first.tolist(), strict=True):
        name = _key(kind_names[kind[row]], detail_names[detail[row]])
        if name is not None:
            key[both == value] = keys[name]
    known = np.flatnonzero(key >= 0)
    parts = [(key[known], time[known], known), *_stretches(kind_names, kind, time, keys)]
    keyed, timed, rows = (np.concatenate(column) for column in zip(*parts, strict=True))
    order = np.lexsort((rows, timed))
    found = Anchors(keyed, timed, half[rows], amount[rows], rows)
    return found.take(order)


def _key(kind: str, detail: str | None) -> str | None:
    if kind in BY_DETAIL:
        return None if detail is None else f"{BY_DETAIL[kind]} {detail}"
    return BY_KIND.get(kind)


def _stretches(
    kind_names: list[str], kind: Ints, time: Ints, keys: Codebook[str]
) -> list[tuple[Ints, Ints, Ints]]:
    """Return where stretches of single compressions begin, as keys, times and rows.

    Where they end is known to a beat only.
    """
    if "compression" not in kind_names:
        return []
    rows = np.flatnonzero(kind == kind_names.index("compression"))
    rows = rows[np.argsort(time[rows], kind="stable")]
    apart = np.flatnonzero(np.diff(time[rows]) > SILENCE_US)
    first = rows[np.append(0, apart + 1)]
    return [(np.full(len(first), keys["start"]), time[first], first)]

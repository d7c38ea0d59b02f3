"""Which rows are taken as one occurrence, and what they say of it between them."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from debrief.model.axis import Bools
from debrief.model.occurrences import Coded, Occurrences
from debrief.model.times import US
from debrief.words import KINDS

Pair = tuple[int, int]

APART_MAX_US = 120 * US
"""Marks further apart are one only by a reviewer's word. [us]"""

PAIRED = (
    *("recognition", "pulseless", "call", "team_arrival", "transfer"),
    *("rosc", "rearrest", "ecls_flow", "efforts_ended"),
    *("compressor_change", "rhythm", "rhythm_check", "pulse_check"),
    *("shock", "cardioversion", "drug", "access"),
    *("airway_attempt", "airway", "airway_confirmed"),
)
"""Kinds that two sources can have seen as one. Hands-on is never joined: one source alone is asked for it."""

NAMES = tuple(KINDS)
"""Names of kinds by code."""


class Together:
    """Rows of one event's marks that are taken as one; at first each stands alone.

    Parameters
    ----------
    names : list of str
        Name of each row, ``source:place``.
    parted : set of pairs of int
        Rows, the smaller first, that are two whatever their times say.

    Attributes
    ----------
    root : int64, shape (n,)
        The row that leads what each row is one of.
    amount, unit, route, detail : shape (n,)
        What is known between them, at the leading row; units, routes and details as codes.
    sources : list of int
        The sources, the best first: by kind, then by their finest cell, then by name.
    """

    def __init__(self, occ: Occurrences, names: list[str], parted: Iterable[Pair] = ()) -> None:
        self.occ, self.names, self.parted = occ, names, frozenset(parted)
        self.root = np.arange(len(occ))
        self.amount, self.unit = occ.amount.copy(), occ.unit.code.copy()
        self.route, self.detail = occ.route.code.copy(), occ.detail.code.copy()
        self.sources = _best_first(occ, names)
        self._place = {source: place for place, source in enumerate(self.sources)}
        self._rows: dict[int, list[int]] = {}
        self._repeats: set[int] = set()

    def rows(self, row: int) -> list[int]:
        """Return the rows that are one with a row, the leading one first."""
        return self._rows.get(row, [row])

    def leads(self, *kinds: str) -> list[int]:
        """Return the leading row of each occurrence, of all or of some kinds."""
        lead = self.root == np.arange(len(self.root))
        rows: list[int] = np.flatnonzero(lead & self.occ.of(*kinds) if kinds else lead).tolist()
        return rows

    def joined(self) -> list[list[int]]:
        """Return the rows of each occurrence that is seen in more than one, the leading one first."""
        return [rows for lead, rows in sorted(self._rows.items()) if rows[0] == lead]

    def sources_of(self, row: int) -> set[int]:
        """Return the sources that saw what a row is one of."""
        return {int(self.occ.source[each]) for each in self.rows(row)}

    def first_presses(self) -> Bools:
        """Return which rows are no repeat of another: bool, shape (n,)."""
        first = np.ones(len(self.root), np.bool_)
        first[list(self._repeats)] = False
        return first

    def repeat(self, first: int, row: int) -> None:
        """Take a row as the same again."""
        self._repeats.add(row)
        self.join(first, row)

    def join(self, a: int, b: int) -> None:
        """Take two rows, and all that are one with them, as one."""
        rows = self.best(self.rows(a) + self.rows(b))
        lead, occ = rows[0], self.occ
        self.root[rows] = lead
        self._rows.update(dict.fromkeys(rows, rows))
        self.amount[lead] = next((occ.amount[row] for row in rows if not np.isnan(occ.amount[row])), np.nan)
        same = [row for row in rows if occ.amount[row] == self.amount[lead]]
        self.unit[lead] = _first(occ.unit, same)
        self.route[lead], self.detail[lead] = _first(occ.route, rows), _first(occ.detail, rows)

    def best(self, rows: Iterable[int]) -> list[int]:
        """Return rows by how well they tell the time: kind of source, then finer cell; a repeat is last."""
        occ = self.occ

        def quality(row: int) -> tuple[bool, int, int, int, int]:
            source = int(occ.source[row])
            rank, half = int(occ.sources.rank[source]), int(occ.half[row])
            return row in self._repeats, rank, half, self._place[source], row

        return sorted(set(rows), key=quality)

    def are_parted(self, a: int, b: int) -> bool:
        """Return whether anything that is one with a row is parted from anything that is one with another."""
        if not self.parted:
            return False
        pairs = ((first, second) for first in self.rows(a) for second in self.rows(b))
        return any((min(pair), max(pair)) in self.parted for pair in pairs)

    def seen_by(self, rows: list[int]) -> Bools:
        """Return which sources saw what each row is one of: bool, shape (n, sources)."""
        seen = np.zeros((len(rows), len(self.occ.sources.rank)), np.bool_)
        seen[np.arange(len(rows)), self.occ.source[rows]] = True
        for at, row in enumerate(rows):
            if row in self._rows:
                seen[at, self.occ.source[self._rows[row]]] = True
        return seen

    def filled(self) -> Occurrences:
        """Return the rows, each leading one with what is known between all that are one with it."""
        occ = self.occ
        return replace(
            occ,
            amount=self.amount,
            unit=Coded(self.unit, occ.unit.names),
            route=Coded(self.route, occ.route.names),
            detail=Coded(self.detail, occ.detail.names),
        )


def _first(column: Coded, rows: Iterable[int]) -> int:
    """Return the first code among rows that stands for a text, -1 where none does."""
    return next((int(column.code[row]) for row in rows if column.code[row] >= 0), -1)


def _best_first(occ: Occurrences, names: list[str]) -> list[int]:
    held, first = np.unique(occ.source, return_index=True)

    def quality(at: int) -> tuple[int, int, str]:
        half = int(occ.half[occ.source == held[at]].min())
        return int(occ.sources.rank[held[at]]), half, names[first[at]].partition(":")[0]

    return [int(held[at]) for at in sorted(range(len(held)), key=quality)]

"""Where rows stand in their file: ``14`` in text, ``Log!14`` in a workbook, ``/marks/12`` in JSON.

Where one row holds several marks, the number of the column follows: ``14.3``. A run of rows is ``14-20``.
"""

import re
from dataclasses import dataclass

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from debrief.model.axis import Bools, Ints
from debrief.model.columns import int_array, same, text_array

_MOST_RUNS = 12
_PLACE = re.compile(r"(?:(?P<sheet>.*)!)?(?P<row>\d+)(?:\.(?P<column>\d+))?(?:-(?P<last>\d+))?", re.DOTALL)


@dataclass(frozen=True)
class Places:
    """The places of some rows: ``prefix``, the number of the row, and of the column where that matters."""

    prefix: str
    number: Ints
    column: Ints | None = None

    def __len__(self) -> int:
        return len(self.number)

    def __getitem__(self, row: int) -> str:
        place = f"{self.prefix}{self.number[row]}"
        return place if self.column is None else f"{place}.{self.column[row]}"

    def take(self, rows: Ints | Bools) -> "Places":
        """Return some of the places, by number or by a mask."""
        column = None if self.column is None else self.column[rows]
        return Places(self.prefix, self.number[rows], column)

    def arrow(self) -> pa.Array:
        """Return the places as the marks table has them."""
        count = len(self)
        parts = [text_array(same(self.prefix, count)), int_array(self.number).cast(pa.string())]
        if self.column is not None:
            parts += [text_array(same(".", count)), int_array(self.column).cast(pa.string())]
        return pc.binary_join_element_wise(*parts, text_array(same("", count)))

    def text(self) -> str:
        """Return all of the places in one text, runs of rows as one, at most a dozen of them."""
        if self.column is not None:
            found = list(dict.fromkeys(self[row] for row in range(min(len(self), 10 * _MOST_RUNS))))
        else:
            numbers = np.unique(self.number)
            starts = np.flatnonzero(np.diff(numbers, prepend=numbers[0] - 2) > 1)
            ends = np.append(starts[1:], len(numbers)) - 1
            found = [
                f"{self.prefix}{first}-{last}" if last > first else f"{self.prefix}{first}"
                for first, last in zip(
                    numbers[starts[: _MOST_RUNS + 1]].tolist(),
                    numbers[ends[: _MOST_RUNS + 1]].tolist(),
                    strict=True,
                )
            ]
        return ", ".join(found[:_MOST_RUNS]) + (", ..." if len(found) > _MOST_RUNS else "")


def at(number: int, prefix: str = "") -> Places:
    """Return the place of one row."""
    return Places(prefix, np.array([number], np.int64))


def where(place: str) -> str:
    """Return a place in words: ``line 14``, ``lines 3, 7 to 9``, ``sheet Log row 14``; others as they are."""
    parts = place.removesuffix(", ...").split(", ")
    matches = [_PLACE.fullmatch(part) for part in parts]
    sheets = {match["sheet"] for match in matches if match}
    if None in matches or len(sheets) > 1:
        return place
    sheet = sheets.pop()
    several = len(parts) > 1 or any(match and match["last"] for match in matches)
    words = [_words(match) for match in matches if match]
    named = ("row" if sheet else "line") + ("s" if several else "")
    text = f"{named} {', '.join(words)}" + (" ..." if place.endswith("...") else "")
    return f"sheet {sheet} {text}" if sheet else text


def _words(match: re.Match[str]) -> str:
    text = match["row"]
    if match["last"]:
        text += f" to {match['last']}"
    return f"{text} column {match['column']}" if match["column"] else text

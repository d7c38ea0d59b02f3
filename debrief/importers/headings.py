"""Which row of a grid is its heading, and what each column holds."""

import difflib
import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal, cast

from debrief import words
from debrief.importers import amounts, labels, spread
from debrief.importers.grid import Cell, Grid, text_of
from debrief.importers.limits import MAX_COLUMNS
from debrief.importers.mapping import SEVERAL, Mapping, Meaning, layout_digest
from debrief.importers.written import parse
from debrief.words import fold

Sure = Literal["answered", "exact", "close", "content", "unknown"]

_LOOKED_AT = 40
_SAMPLE = 60
_CLOSE = 0.82
_UNITS_S = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), 1.0),
    **dict.fromkeys(("min", "mins", "minute", "minutes"), 60.0),
    **dict.fromkeys(("ms", "msec", "millisecond", "milliseconds"), 0.001),
}
_FORMS: dict[str, Literal["clock", "elapsed"]] = {
    **dict.fromkeys(("hh mm", "hh mm ss", "h mm", "24h", "24 h", "hhmm"), "clock"),
    **dict.fromkeys(("mm ss", "m ss", "min sec", "h m s"), "elapsed"),
}


@dataclass(frozen=True)
class Column:
    """One column. ``unit`` is what its heading states, ``unit_s`` the seconds in one unit of times.

    ``form`` is ``elapsed`` or ``clock`` where the heading says so.
    """

    index: int
    name: str
    meaning: Meaning = "ignored"
    sure: Sure = "unknown"
    unit: str | None = None
    unit_s: float = 1.0
    form: Literal["clock", "elapsed"] | None = None


@dataclass(frozen=True)
class Layout:
    """The columns of a grid. ``heading`` counts rows of the grid; null where it has no heading."""

    digest: str
    heading: int | None
    columns: tuple[Column, ...]

    def all(self, meaning: Meaning) -> list[Column]:
        """Return the columns that hold something."""
        return [column for column in self.columns if column.meaning == meaning]

    def one(self, meaning: Meaning) -> Column | None:
        """Return the first column that holds something, or null."""
        return next(iter(self.all(meaning)), None)


@dataclass(frozen=True)
class _Guess:
    """What a heading may mean. A lower ``rank`` is the better word for it."""

    meaning: Meaning
    sure: Sure
    rank: int


@cache
def _vocabulary() -> dict[str, list[_Guess]]:
    """Return the words of headings, each with all that it may mean."""
    found: dict[str, list[_Guess]] = {}
    for name, row in words.table("headings").items():
        for rank, text in enumerate(row["also"]):
            meaning: Meaning = "time" if name == "elapsed" else cast(Meaning, name)
            found.setdefault(fold(text), []).append(
                _Guess(meaning, "exact", rank + 100 * (name == "elapsed"))
            )
    return found


@cache
def _elapsed_words() -> frozenset[str]:
    return frozenset(map(fold, words.table("headings")["elapsed"]["also"]))


def lay_out(grid: Grid) -> Layout:
    """Return what each column of a grid holds, as its heading and then its content tell."""
    rows = grid.head(_LOOKED_AT + _SAMPLE)
    at = None if grid.names is not None else _heading_row(rows)
    body = (rows if at is None else rows[at + 1 :])[:_SAMPLE]
    if grid.names is not None:
        headings = list(grid.names)
    elif at is None:
        headings = [""] * (Counter(map(len, body)).most_common(1)[0][0] if body else 0)
    else:
        headings = [text_of(cell) for cell in rows[at][:MAX_COLUMNS]]
        while headings and not headings[-1] and not any(len(row) >= len(headings) for row in body):
            headings.pop()
    columns = _by_heading(headings)
    texts = [[text_of(cell) for cell in row] for row in body]
    columns = _by_kind(columns, _by_content(columns, texts), texts)
    return Layout(layout_digest([column.name for column in columns]), at, tuple(columns))


def answered(layout: Layout, mapping: Mapping) -> Layout:
    """Return a layout with answers put over it; a meaning that is given to one column leaves the others."""
    answers = {fold(name): meaning for name, meaning in mapping.columns.items()}
    given = {column.name: answers.get(fold(column.name)) for column in layout.columns}
    taken = {meaning for meaning in given.values() if meaning and meaning not in SEVERAL}
    columns = []
    for column in layout.columns:
        if meaning := given[column.name]:
            column = replace(column, meaning=meaning, sure="answered")
        elif column.meaning in taken:
            column = replace(column, meaning="ignored", sure="unknown")
        columns.append(column)
    return replace(layout, columns=tuple(columns))


def _heading_row(rows: Sequence[Sequence[Cell]]) -> int | None:
    """Return which row is the heading: one of known words, else the row above the first that holds a time."""
    first_time = None
    for number, row in enumerate(rows[:_LOOKED_AT]):
        texts = [text_of(cell) for cell in row]
        if any(parse(text) for text in texts if text and not _guesses(text)):
            first_time = number
            break
        exact = {guess.meaning for text in texts for guess in _guesses(text)[:1] if guess.sure == "exact"}
        if len(exact) > 1 and exact & {"time", "mark", "date"}:
            return number
    if first_time is None:
        return 0 if rows else None
    above = first_time - 1
    return above if above >= 0 and sum(cell != "" for cell in rows[above]) > 1 else None


def is_known(heading: str) -> bool:
    """Tell whether a text is a heading that the vocabulary has, word for word."""
    return fold(heading) in _vocabulary()


def _guesses(heading: str) -> list[_Guess]:
    """Return what a heading may mean, best first."""
    base, _ = _parted(heading)
    for text in (fold(heading), base):
        if found := _vocabulary().get(text):
            return found
    parts = [fold(part) for part in re.split(r"[/&+,;]| or | and ", heading)]
    for text in (*parts, *base.split()[:1]):
        if found := _vocabulary().get(text):
            return [replace(guess, sure="close", rank=guess.rank + 50) for guess in found]
    close = difflib.get_close_matches(base, _vocabulary(), n=1, cutoff=_CLOSE) if len(base) > 3 else []
    return [
        replace(guess, sure="close", rank=guess.rank + 50) for text in close for guess in _vocabulary()[text]
    ]


def _parted(heading: str) -> tuple[str, str | None]:
    """Return a heading, folded, without its unit, and the unit: ``Energy (J)``, ``dose_mg``, ``time [s]``."""
    if match := re.search(r"[(\[]\s*([^)\]]+?)\s*[)\]]", heading):
        return fold(heading[: match.start()] + heading[match.end() :]), match[1]
    base, _, last = fold(heading).rpartition(" ")
    if base and (last in _UNITS_S or (last != "in" and amounts.unit(last))):
        return base, last
    return fold(heading), None


def _by_heading(headings: list[str]) -> list[Column]:
    """Return the columns as their headings name them; where two would be the same, the better word has it."""
    columns: list[Column] = []
    for index, heading in enumerate(headings):
        name = heading or f"column {index + 1}"
        same = sum(column.name.split(" (")[0] == name for column in columns)
        columns.append(Column(index, f"{name} ({same + 1})" if same else name))
    bids = [
        (guess.sure != "exact", guess.rank, index, guess)
        for index, heading in enumerate(headings)
        for guess in (_guesses(heading) if heading else [])
    ]
    taken: set[Meaning] = set()
    done: set[int] = set()
    for meaning in (
        "time",
        "date",
        "event_id",
        "mark",
        "unit",
        "route",
        "length",
        "role",
        "amount",
        "detail",
        "note",
        "ignored",
    ):
        for _, _, index, guess in sorted(bids, key=lambda bid: bid[:3]):
            if guess.meaning != meaning or index in done or (meaning in taken and meaning not in SEVERAL):
                continue
            if meaning == "event_id" and guess.sure != "exact":
                continue
            taken.add(guess.meaning)
            done.add(index)
            columns[index] = _named(columns[index], headings[index], guess)
    return columns


def _named(column: Column, heading: str, guess: _Guess) -> Column:
    base, written = _parted(heading)
    column = replace(column, meaning=guess.meaning, sure=guess.sure)
    if guess.meaning == "time":
        unit = fold(written or "") or base
        elapsed = unit in _UNITS_S or base in _elapsed_words() or fold(heading) in _elapsed_words()
        form = _FORMS.get(unit) or _FORMS.get(fold(heading)) or ("elapsed" if elapsed else None)
        return replace(column, unit_s=_UNITS_S.get(unit, 1.0), form=form)
    if guess.meaning == "length":
        return replace(column, unit_s=_UNITS_S.get(fold(written or ""), 1.0))
    known = amounts.unit(written) if written else None
    if guess.meaning == "amount":
        return replace(column, unit=known.name if known else written or ("J" if base == "joules" else None))
    return column


def _by_content(columns: list[Column], body: list[list[str]]) -> list[Column]:
    """Return columns, those that no heading named given to times and marks, where their cells tell."""
    columns = list(columns)
    tests: dict[Meaning, tuple[Callable[[list[str]], float], float]] = {
        "time": (_share_of_times, 0.5),
        "mark": (_share_of_marks, 0.01),  # most labels may be new, and are asked about
    }
    for meaning, (share, least) in tests.items():
        if any(column.meaning == meaning for column in columns):
            continue
        shares = [
            (share([cells[column.index] for cells in body if column.index < len(cells)]), -column.index)
            for column in columns
            if column.sure == "unknown" or column.meaning in ("date", "detail", "note", "ignored")
        ]
        if shares and max(shares)[0] >= least:
            index = -max(shares)[1]
            columns[index] = replace(columns[index], meaning=meaning, sure="content")
    return columns


def _by_kind(headed: list[Column], columns: list[Column], body: list[list[str]]) -> list[Column]:
    """Tell columns whose headings name marks, and columns that name the event of each row.

    Where there are such columns, no other holds marks unless its heading says so.
    """
    named = [column.sure in ("exact", "close") for column in columns]
    bases = [_parted(column.name.split(" (")[0])[0] for column in columns]
    found = spread.meanings_of(bases, [column.meaning for column in columns], named, body)
    spread_out = "marks" in found or "mark_time" in found
    for index, meaning in enumerate(found):
        if meaning == "mark" and spread_out:
            columns[index] = headed[index]
        elif meaning != columns[index].meaning:
            sure: Sure = "unknown" if meaning == "ignored" else "content"
            columns[index] = replace(columns[index], meaning=meaning, sure=sure)
        elif meaning == "event_id" and "mark_time" not in found:
            ids = [row[index] for row in body if index < len(row) and row[index]]
            if len(ids) > 1 and len(set(ids)) == len(ids):  # it counts the rows
                columns[index] = replace(columns[index], meaning="ignored", sure="unknown")
    return columns


def unit_of(heading: str) -> str | None:
    """Return the unit that a heading states, or null."""
    written = _parted(heading)[1]
    known = amounts.unit(written) if written else None
    return known.name if known else None


def _share_of_times(cells: list[str]) -> float:
    """Return which share of the cells are times; bare numbers count for little, for they may be anything."""
    found = [parse(cell) for cell in cells if cell]
    return sum((0.5 if one.plain else 1.0) for one in found if one) / len(found) if found else 0.0


def _share_of_marks(cells: list[str]) -> float:
    filled = [cell for cell in cells if cell]
    return sum(labels.understand(cell).known for cell in filled) / len(filled) if filled else 0.0

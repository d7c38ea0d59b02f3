"""A grid whose marks are spread over columns becomes one with a mark in each row."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from debrief.importers import labels
from debrief.importers.cells import beyond_columns, cells_of, texts_of
from debrief.importers.grid import Cell, Grid
from debrief.importers.headings import Column, Layout, unit_of
from debrief.importers.mapping import Answer, Meaning
from debrief.importers.notices import Notice, notice
from debrief.importers.places import Places
from debrief.importers.spread import kind_of, timed_kind
from debrief.model.axis import Bools, Ints
from debrief.model.columns import Repeated, joined, same
from debrief.words import KINDS, fold

_BESIDE: tuple[Meaning, ...] = ("amount", "unit", "route", "length", "detail")
"""What stands in the columns behind a column of marks, and goes with its marks."""
_NOWHERE = 1 << 30
_YES = {"x", "y", "yes", "true", "done", "given", "1", "✓", "✔", "ja", "oui", "si"}
_NO = {"no", "n", "false", "none", "nil", "0", "-", "\u2013", "\u2014", "nein", "non"}


Made = list[tuple[Meaning, Repeated[Cell | None]]]


def melted(rows: Grid, layout: Layout, comma: bool) -> tuple[Grid, Layout, list[Notice]]:
    """Return rows with every mark in a row of its own, in the order of their columns.

    What stands between a column of marks and the next goes with its marks; the note of a row goes with its
    first. A row in which nothing is marked stays, so that what it holds is not lost.
    """
    further, notices = beyond_columns(rows, len(layout.columns))
    parts: list[_Part] = []
    first = np.full(len(rows), _NOWHERE)
    for column, beside in _with_neighbours(layout):
        texts = texts_of(rows, column.index)
        refused = texts.where(_says_no(column))
        if refused.any():
            notices.append(notice("not_marked", rows.places.take(refused), column=column.name))
        marked = np.flatnonzero(texts.where(bool) & ~refused)
        first[marked] = np.minimum(first[marked], column.index)
        parts.append(_Part(marked, column, texts.take(marked).map(_labels(column, comma)), beside))
    bare = np.flatnonzero(first == _NOWHERE)
    when = layout.one("time")
    first[bare] = when.index if when else layout.columns[0].index
    parts.insert(0, _Part(bare, when or layout.columns[0], same("", len(bare))))
    taken = np.concatenate([part.rows for part in parts])
    at = np.repeat([part.column.index for part in parts], [len(part.rows) for part in parts])
    made: Made = [("mark", joined([part.labels for part in parts]))]
    for meaning in _BESIDE:
        made += [(meaning, joined(columns)) for columns in _beside(rows, parts, meaning)]
    made += [
        (each.meaning, cells_of(rows, each.index).take(taken))
        for each in layout.columns
        if each.meaning in ("time", "date", "role", "note")
    ]
    made += [("note", column.take(taken)) for column in further]
    is_first = at == first[taken]
    made = [(meaning, _only(column, is_first) if meaning == "note" else column) for meaning, column in made]
    order = np.lexsort((at, taken))
    made = [(meaning, column.take(order)) for meaning, column in made]
    return _grid(rows, taken[order], at[order], made), _layout(layout, made), notices


def wide(row: Grid, layout: Layout) -> tuple[Grid, Layout, dict[str, Answer]]:
    """Return the one row of an event with a row for each time in it, and what the headings mean as labels."""
    columns = [column for column in layout.all("mark_time") if texts_of(row, column.index)[0]]
    taken = np.zeros(len(columns), np.int64)
    at = np.array([column.index for column in columns], np.int64)
    made: Made = [
        ("time", joined([cells_of(row, column.index) for column in columns])),
        ("mark", joined([same(column.name, 1) for column in columns])),
    ]
    first = np.arange(len(columns)) == 0
    for each in layout.columns:
        if each.meaning in ("date", "role", "note"):
            column = cells_of(row, each.index).take(taken)
            made.append((each.meaning, _only(column, first) if each.meaning == "note" else column))
    answers = {}
    for timed in columns:
        if meant := timed_kind(timed.name):
            answers[labels.key_of(timed.name)] = Answer(meant.kind, meant.detail)
    return replace(_grid(row, taken, at, made), in_order=False), _layout(layout, made), answers


@dataclass(frozen=True)
class _Part:
    """The marks of one column: the rows they stand in, their labels, and the columns that go with them."""

    rows: Ints
    column: Column
    labels: Repeated[str]
    beside: tuple[Column, ...] = ()


def _with_neighbours(layout: Layout) -> Iterator[tuple[Column, tuple[Column, ...]]]:
    """Yield each column of marks with those that go with it; what stands before the first goes with it."""
    kinds = [column for column in layout.columns if column.meaning in ("marks", "mark")]
    start = 0
    for column, after in zip(kinds, [*kinds[1:], None], strict=True):
        end = after.index if after else len(layout.columns)
        yield column, tuple(each for each in layout.columns[start:end] if each.meaning in _BESIDE)
        start = end


def _beside(rows: Grid, parts: list[_Part], meaning: Meaning) -> Iterator[list[Repeated[Cell | None]]]:
    """Yield as many columns of a meaning as go with a column of marks. A heading may state the unit, too."""
    held = [[each for each in part.beside if each.meaning == meaning] for part in parts]
    for number in range(max(max(map(len, held)), meaning == "unit")):
        columns: list[Repeated[Cell | None]] = []
        for part, beside in zip(parts, held, strict=True):
            if number < len(beside):
                columns.append(cells_of(rows, beside[number].index).take(part.rows))
                continue
            stated = [each.unit for each in part.beside if each.meaning == "amount" and each.unit]
            columns.append(same(stated[0] if stated and meaning == "unit" else "", len(part.rows)))
        yield columns


def _says_no(column: Column) -> Callable[[str], bool]:
    """Return what tells whether a cell of a column of marks says no. Where readings stand, a zero is one."""
    kind = kind_of(column.name.split(" (")[0])
    measured = kind is not None and KINDS[kind.kind].family == "seen"
    no = _NO - {"0"} if measured else _NO
    return lambda text: _key(text) in no


def _key(text: str) -> str:
    return fold(text) or text.strip()


def _labels(column: Column, comma: bool) -> Callable[[str], str]:
    """Return what turns a cell of a column of marks into the label of a mark."""
    if column.meaning == "mark":
        return str
    base = column.name.split(" (")[0]
    kind, unit = kind_of(base), unit_of(column.name)
    behind = f" {unit}" if unit else ""

    def label(text: str) -> str:
        if not text or _key(text) in _YES:
            return base if text else ""
        alone = labels.understand(text, comma)
        if kind and alone.known and alone.kind == kind.kind:
            return text
        number = not set(text) - set("0123456789.,+- ")
        for whole in (f"{base} {text}{behind if number else ''}", text):
            if labels.understand(whole, comma).known:
                return whole
        return f"{base}: {text}"

    return label


def _only(column: Repeated[Cell | None], kept: Bools) -> Repeated[Cell | None]:
    """Return a column with some of its rows kept and the others emptied."""
    codes = np.where(kept, column.codes, len(column.values)).astype(np.int32)
    return Repeated([*column.values, ""], codes)


def _grid(rows: Grid, taken: Ints, at: Ints, made: Made) -> Grid:
    """Return columns as a grid, each place with the number of its column, from 1."""
    places = Places(rows.places.prefix, rows.places.number[taken], at + 1)
    columns = tuple(column for _, column in made)
    return replace(
        rows, columns=columns, places=places, names=tuple(meaning for meaning, _ in made), beyond={}
    )


def _layout(layout: Layout, made: Made) -> Layout:
    """Return the layout of such a grid; times and lengths are written as their columns had them."""
    columns = []
    for index, (meaning, _) in enumerate(made):
        like = layout.one(meaning) if meaning in ("time", "date", "length") else None
        columns.append(replace(like or Column(index, meaning, meaning), index=index))
    return Layout(layout.digest, None, tuple(columns))

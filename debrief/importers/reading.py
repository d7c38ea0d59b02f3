"""A grid becomes the marks of one source: every row of it, and what there is to tell about them."""

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Literal

import numpy as np
import pyarrow as pa

from debrief.errors import BadSetting
from debrief.importers import labels, splitting, times
from debrief.importers.cells import cells_of, texts_of
from debrief.importers.grid import Cell, Grid, text_of, text_of_times
from debrief.importers.headings import Layout
from debrief.importers.limits import refused
from debrief.importers.mapping import Mapping
from debrief.importers.melting import melted, wide
from debrief.importers.notices import Notice, column_place, notice
from debrief.importers.rows import Marks, RowReader
from debrief.importers.settings import Settings
from debrief.importers.splitting import named, several_events
from debrief.importers.spread import kind_of
from debrief.importers.times import Times
from debrief.model import marks
from debrief.model.columns import MISSING, Repeated, grouped, repeated, same
from debrief.model.event import Source, SourceKind
from debrief.model.times import US
from debrief.words import say

_DEVICE_KINDS = {"charge", "disarm", "analysis"}
_MAY_REPEAT = {"compression", "ventilation"}
"""Several may fall into one written second."""


@dataclass
class Reader:
    """One grid being read. After ``read``, ``rows`` holds what was read of it; times and marks go with it."""

    path: Path
    grid: Grid
    layout: Layout
    mapping: Mapping
    settings: Settings
    notices: list[Notice] = field(default_factory=list)
    rows: Grid | None = None
    times: Times = field(default_factory=lambda: Times("clock", np.zeros(0, np.int64), np.zeros(0, np.int64)))
    time_texts: Repeated[str] = field(default_factory=lambda: repeated([]))
    marks: Marks | None = None
    events: tuple[str, ...] = ()
    """The events of the grid by which one is asked for; one or none where there is nothing to part."""
    event: str | None = None
    """The name of the event that was read, where the file names it."""

    def read(self, near: int | None = None) -> None:
        """Read all rows. ``near`` is a wall time close to the first row, where another source gives one. [us]

        Raises
        ------
        UnreadableFile
            Where the layout has no column of times or none of marks, or no row.
        """
        self.notices, self.events, self.event = [], (), self.grid.event
        by_row = bool(self.layout.all("mark_time"))
        for missing in self.missing_columns():
            columns = ", ".join(repr(column.name) for column in self.layout.columns)
            raise refused(self.path, f"no_{missing}_column", columns=columns)
        rows = self.data_rows()
        if not len(rows):
            raise refused(self.path, "heading_only")
        split = splitting.by_row(rows, self.layout) if by_row else splitting.by_column(rows, self.layout)
        if split:
            self.events, self.event = split.names, self._chosen(split.names) or split.names[0]
            rows = rows.take(split.rows(self.event))
            if len(split.names) > 1 and self.settings.only is None:
                by = self.layout.one("event_id")
                place = column_place(by.name) if by else None
                self.notices.append(several_events(split.names, place, all_taken=False))
        spread = self._spread(rows, by_row)
        if split:
            self._read_rows(spread, near)
        else:
            self._read_by_gaps(spread, near)
        self._repeated(rows)
        self._unread_columns(rows)

    def missing_columns(self) -> list[Literal["time", "mark"]]:
        """Return which of the columns that reading needs nothing tells."""
        layout, found = self.layout, list[Literal["time", "mark"]]()
        if layout.all("mark_time"):
            return found
        if layout.one("time") is None:
            found.append("time")
        if not any(layout.all(meaning) for meaning in ("mark", "detail", "marks")):
            found.append("mark")
        return found

    def _spread(self, rows: Grid, by_row: bool) -> "_Rows":
        """Return rows with one mark in each, and how they are laid out."""
        layout, mapping = self.layout, self.mapping
        if by_row:
            rows, layout, meant = wide(rows, layout)
            mapping = replace(mapping, labels=meant | dict(mapping.labels))
        elif layout.all("marks"):
            rows, layout, told = melted(rows, layout, self.grid.decimal_comma)
            self.notices += told
        return _Rows(rows, layout, mapping)

    def _read_rows(self, given: "_Rows", near: int | None, one_event: bool = True) -> None:
        self.times = self._times(given, near, one_event)
        reader = RowReader(given.layout, given.mapping, self.grid.decimal_comma)
        self.rows, self.marks = given.rows, reader.read(given.rows)
        self.notices += [*self.times.notices, *reader.notices]

    def _read_by_gaps(self, given: "_Rows", near: int | None) -> None:
        """Read rows, parted where an hour passes between two arrests: all of them, or the one asked for."""
        told = len(self.notices)
        self._read_rows(given, near, one_event=False)
        split, late = splitting.by_gaps(self.times, self.marks.kind if self.marks else same("", 0))
        self.events = split.names
        chosen = self._chosen(split.names)
        several = len(split.names) > 1
        if chosen and several:
            self.event = f"{self.path.stem}-{chosen}"
            kept = given.rows.take(split.rows(chosen))
            del self.notices[told:]
            self._read_rows(replace(given, rows=kept), near)
            return
        if times.far_apart(self.times.source_time).any():
            del self.notices[told:]
            self._read_rows(given, near)
        opening = late[np.diff(split.group[late], prepend=0) > 0]
        if several:
            self.notices.append(several_events(self.events, given.rows.places.take(opening), all_taken=True))
        late = late[~np.isin(late, opening) & (self.times.source_time[late] != MISSING)]
        if len(late):
            self.notices.append(notice("long_gap", given.rows.places.take(late)))

    def _chosen(self, names: Sequence[str]) -> str | None:
        """Return the event that is asked for; null where none is.

        Raises
        ------
        BadSetting
            Where the file does not hold it.
        """
        only = self.settings.only
        if only is not None and only not in names:
            known = named(names)
            raise BadSetting(say("importing.no_such_event", file=self.path.name, read=only, names=known))
        return only

    def table(self, event_id: str, source: Source) -> pa.Table:
        """Return what was read as a marks table."""
        if self.marks is None or self.rows is None:
            return marks.empty()
        read = {each.name: getattr(self.marks, each.name) for each in fields(self.marks)}
        named = {
            "event_id": event_id,
            "source_id": source.source_id,
            "origin": "person" if source.kind == "person" else "device",
            "place": self.rows.places.arrow(),
            "time_text": self.time_texts,
            "source_time": self.times.source_time,
            "cell": self.times.cell,
        }
        return marks.gate_columns(read | named, len(self.rows))

    def data_rows(self) -> Grid:
        """Return the rows of data, and tell of what is none: lines above, comments, repeats."""
        grid, at = self.grid, self.layout.heading
        if at is None:
            return grid
        below = np.arange(len(grid)) > at
        filled = np.zeros(len(grid), np.int64)
        for column in grid.columns:
            filled += column.where(lambda cell: cell not in ("", None))
        repeats = np.ones(len(grid), np.bool_)
        for column in grid.columns:
            repeats &= column.codes == column.codes[at]
        comment = filled == 1
        comment[list(grid.beyond)] = repeats[list(grid.beyond)] = False
        comment[comment] = [_is_comment(grid.row(row)) for row in np.flatnonzero(comment).tolist()]
        for code, rows in (
            ("above_heading", np.arange(len(grid)) < at),
            ("comment_skipped", below & comment),
            ("heading_repeated", below & repeats),
        ):
            if rows.any():
                self.notices.append(notice(code, grid.places.take(rows)))
        return grid.take(below & ~comment & ~repeats)

    def kind(self) -> SourceKind:
        """Return what kind of source this is, as said or as its marks tell."""
        if said := self.settings.kind or self.mapping.kind:
            return said
        kinds = set(self.marks.kind.held()) if self.marks else set()
        decimals = bool(((self.times.cell != MISSING) & (self.times.cell < US)).any())
        found: SourceKind = "person"
        if "compression" in kinds:
            found = "sensor"
        elif decimals or kinds & _DEVICE_KINDS:
            found = "device"
        self.notices.append(notice("source_kind_assumed", kind=found))
        return found

    def clock(self) -> None:
        """Return null: the rows of a grid do not say how their clock stands to another."""

    def _times(self, given: "_Rows", near: int | None, one_event: bool) -> Times:
        """Return the times of the rows, and keep how they are written."""
        rows, column = given.rows, given.layout.columns[0]
        column = given.layout.one("time") or column
        cells = cells_of(rows, column.index)
        texts = _time_texts(cells)
        date_column = given.layout.one("date")
        days = cells_of(rows, date_column.index).map(_day_text) if date_column else None
        durations = np.count_nonzero(cells.where(lambda cell: isinstance(cell, timedelta)))
        rules = times.Rules(
            said=self.settings.times or self.mapping.times,
            heading=column.form or ("elapsed" if durations > len(rows) / 2 else None),
            unit_s=column.unit_s,
            dates=self.mapping.dates,
            date=self.settings.date,
            near=near,
            zone=self.settings.zone,
            rounding=self.settings.rounding,
            column=column.name,
            in_order=rows.in_order,
            one_event=one_event,
        )
        self.time_texts = _together(days, texts) if days else texts
        return times.read(texts, rows.places, rules, days)

    def _repeated(self, rows: Grid) -> None:
        """Tell of rows that are cell by cell like one before them."""
        marked = [column for meaning in ("mark", "detail") for column in self.layout.all(meaning)][:1]
        _, first = grouped([(column.codes, len(column.values)) for column in rows.columns], len(rows))
        again = np.ones(len(rows), np.bool_)
        again[first] = again[list(rows.beyond)] = False
        for column in marked:
            texts = texts_of(rows, column.index)
            again &= ~texts.where(lambda text: labels.understand(text).kind in _MAY_REPEAT)
        if again.any():
            self.notices.append(notice("duplicate_row", rows.places.take(again)))

    def _unread_columns(self, rows: Grid) -> None:
        """Tell of columns that hold something and were not read, unless somebody said so."""
        for column in self.layout.all("ignored"):
            if column.sure == "answered":
                continue
            if cells_of(rows, column.index).where(lambda cell: cell not in ("", None)).any():
                known = kind_of(column.name.split(" (")[0])
                code = "column_of_marks" if known else "column_ignored"
                self.notices.append(notice(code, column_place(column.name), column=column.name))


@dataclass(frozen=True)
class _Rows:
    """Rows with one mark in each, how they are laid out, and what is answered about them."""

    rows: Grid
    layout: Layout
    mapping: Mapping


def _is_comment(cells: Sequence[Cell]) -> bool:
    return any(isinstance(cell, str) and cell.startswith("#") for cell in cells)


def _time_texts(cells: Repeated[Cell | None]) -> Repeated[str]:
    """Return a column of times as text, which only all of them together decide."""
    used, codes = np.unique(cells.codes, return_inverse=True)
    return Repeated(text_of_times([cells.values[code] for code in used]), codes.astype(np.int32))


def _together(days: Repeated[str], texts: Repeated[str]) -> Repeated[str]:
    """Return the texts of two columns as one."""
    group, first = grouped([(each.codes, len(each.values)) for each in (days, texts)], len(texts))
    return Repeated([f"{days[row]} {texts[row]}".strip() for row in first.tolist()], group.astype(np.int32))


def _day_text(cell: Cell | None) -> str:
    return cell.date().isoformat() if isinstance(cell, datetime) else text_of(cell)

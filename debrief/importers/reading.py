"""A grid becomes the marks of one source: every row of it, and what there is to tell about them."""

from collections.abc import Sequence
from dataclasses import dataclass, field, fields
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pyarrow as pa

from debrief.importers import headings, labels, times
from debrief.importers.grid import Cell, Grid, text_of, text_of_times
from debrief.importers.headings import Layout
from debrief.importers.limits import refused
from debrief.importers.mapping import Mapping
from debrief.importers.notices import Notice, column_place, notice
from debrief.importers.rows import Marks, RowReader
from debrief.importers.settings import Settings
from debrief.importers.times import Times
from debrief.model import marks
from debrief.model.columns import MISSING, Repeated, grouped, repeated
from debrief.model.event import Source, SourceKind
from debrief.model.times import HOUR_US, US

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

    def read(self, near: int | None = None) -> None:
        """Read all rows. ``near`` is a wall time close to the first row, where another source gives one. [us]

        Raises
        ------
        UnreadableFile
            Where the layout has no column of times or none of marks, or no row.
        """
        self.notices = []
        columns = ", ".join(repr(column.name) for column in self.layout.columns)
        time_column = self.layout.one("time")
        if time_column is None:
            raise refused(self.path, "no_time_column", columns=columns)
        if not self.layout.all("mark") and not self.layout.all("detail"):
            raise refused(self.path, "no_mark_column", columns=columns)
        rows = self.data_rows()
        if not len(rows):
            raise refused(self.path, "heading_only")
        self.times = self._times(rows, time_column, near)
        self.notices += self.times.notices
        reader = RowReader(self.layout, self.mapping, self.grid.decimal_comma)
        self.marks = reader.read(rows)
        self.notices += reader.notices
        self.rows = rows
        self._repeated()
        self._long_gaps()
        self._unread_columns()

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

    def _times(self, rows: Grid, column: headings.Column, near: int | None) -> Times:
        """Return the times of the rows, and keep how they are written."""
        cells = _cells(rows, column.index)
        texts = _time_texts(cells)
        date_column = self.layout.one("date")
        days = _cells(rows, date_column.index).map(_day_text) if date_column else None
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
        )
        self.time_texts = _together(days, texts) if days else texts
        return times.read(texts, rows.places, rules, days)

    def _repeated(self) -> None:
        """Tell of rows that are cell by cell like one before them."""
        rows, read = self.rows, self.marks
        if rows is None or read is None:
            return
        _, first = grouped([(column.codes, len(column.values)) for column in rows.columns], len(rows))
        again = np.ones(len(rows), np.bool_)
        again[first] = again[list(rows.beyond)] = False
        again &= read.kind.where(lambda kind: kind not in _MAY_REPEAT)
        if again.any():
            self.notices.append(notice("duplicate_row", rows.places.take(again)))

    def _long_gaps(self) -> None:
        """Tell of marks more than an hour after the one before: another event may begin there."""
        known = np.flatnonzero(self.times.source_time != MISSING)
        order = known[np.argsort(self.times.source_time[known], kind="stable")]
        late = order[1:][np.diff(self.times.source_time[order]) > HOUR_US]
        if len(late) and self.rows:
            self.notices.append(notice("long_gap", self.rows.places.take(late)))

    def _unread_columns(self) -> None:
        """Tell of columns that hold something and were not read, unless somebody said so."""
        for column in self.layout.all("ignored"):
            if column.sure == "answered" or self.rows is None:
                continue
            if _cells(self.rows, column.index).where(lambda cell: cell not in ("", None)).any():
                known = labels.understand(column.name.split(" (")[0]).known
                code = "column_of_marks" if known else "column_ignored"
                self.notices.append(notice(code, column_place(column.name), column=column.name))


def _cells(rows: Grid, index: int) -> Repeated[Cell | None]:
    return rows.columns[index] if index < len(rows.columns) else Repeated([""], np.zeros(len(rows), np.int32))


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

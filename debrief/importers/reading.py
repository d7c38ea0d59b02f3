"""A grid becomes the marks of one source: every row of it, and what there is to tell about them."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

from debrief.importers import headings, labels, times
from debrief.importers.grid import Cell, Grid, Row, text_of, text_of_times
from debrief.importers.headings import Layout
from debrief.importers.limits import refused
from debrief.importers.mapping import Mapping
from debrief.importers.notices import Notice, notice
from debrief.importers.rows import RowReader
from debrief.importers.settings import Settings
from debrief.importers.times import Times
from debrief.model.event import SourceKind
from debrief.model.times import HOUR_US, US

_DEVICE_KINDS = {"charge", "disarm", "analysis"}
_MAY_REPEAT = {"compression", "ventilation"}
"""Several may fall into one written second."""


@dataclass
class Reader:
    """One grid being read. ``marks`` holds rows of the marks table, without event, source and origin."""

    path: Path
    grid: Grid
    layout: Layout
    mapping: Mapping
    settings: Settings
    notices: list[Notice] = field(default_factory=list)
    marks: list[dict[str, Any]] = field(default_factory=list)
    times: Times = field(default_factory=lambda: Times("clock", [], []))

    def read(self, near: int | None = None) -> None:
        """Read all rows. ``near`` is a wall time close to the first row, where another source gives one. [us]

        Raises
        ------
        UnreadableFile
            Where the layout has no column of times or none of marks, or no row.
        """
        self.notices, self.marks = [], []
        columns = ", ".join(repr(column.name) for column in self.layout.columns)
        time_column = self.layout.one("time")
        if time_column is None:
            raise refused(self.path, "no_time_column", columns=columns)
        if not self.layout.all("mark") and not self.layout.all("detail"):
            raise refused(self.path, "no_mark_column", columns=columns)
        rows = self.data_rows()
        if not rows:
            raise refused(self.path, "heading_only")
        self.times, time_texts = self._times(rows, time_column, near)
        self.notices += self.times.notices
        reader = RowReader(self.layout, self.mapping, self.grid.decimal_comma)
        for row, text, start, cell in zip(
            rows, time_texts, self.times.source_time, self.times.cell, strict=True
        ):
            mark = reader.mark(row)
            self.marks.append(
                {"place": row.place, "time_text": text, "source_time": start, "cell": cell} | mark
            )
        self.notices += reader.notices
        self._repeated(rows)
        self._long_gaps(rows)
        self._unread_columns(rows)

    def data_rows(self) -> list[Row]:
        """Return the rows of data, and tell of what is none: lines above, comments, repeats."""
        at = self.layout.heading
        self.notices += [notice("above_heading", row.place) for row in self.grid.rows[: at or 0]]
        if at is None:
            return self.grid.rows
        heading, rows = self.grid.rows[at].cells, []
        for row in self.grid.rows[at + 1 :]:
            filled = [cell for cell in row.cells if cell != ""]
            if row.cells == heading:
                self.notices.append(notice("heading_repeated", row.place))
            elif len(filled) == 1 and isinstance(filled[0], str) and filled[0].startswith("#"):
                self.notices.append(notice("comment_skipped", row.place))
            else:
                rows.append(row)
        return rows

    def kind(self) -> SourceKind:
        """Return what kind of source this is, as said or as its marks tell."""
        if said := self.settings.kind or self.mapping.kind:
            return said
        kinds = {mark["kind"] for mark in self.marks}
        decimals = any(cell is not None and cell < US for cell in self.times.cell)
        found: SourceKind = "person"
        if "compression" in kinds:
            found = "sensor"
        elif decimals or kinds & _DEVICE_KINDS:
            found = "device"
        self.notices.append(notice("source_kind_assumed", kind=found))
        return found

    def _times(self, rows: list[Row], column: headings.Column, near: int | None) -> tuple[Times, list[str]]:
        """Return the times of the rows, and how they are written."""
        cells = [_cell(row, column.index) for row in rows]
        texts = text_of_times(cells)
        date_column = self.layout.one("date")
        days = [_day_text(_cell(row, date_column.index)) for row in rows] if date_column else None
        durations = sum(isinstance(cell, timedelta) for cell in cells) > len(cells) / 2
        rules = times.Rules(
            said=self.settings.times or self.mapping.times,
            heading=column.form or ("elapsed" if durations else None),
            unit_s=column.unit_s,
            dates=self.mapping.dates,
            date=self.settings.date,
            near=near,
            zone=self.settings.zone,
            rounding=self.settings.rounding,
            column=column.name,
        )
        found = times.read(texts, [row.place for row in rows], rules, days)
        if days:
            texts = [f"{day} {text}".strip() for day, text in zip(days, texts, strict=True)]
        return found, texts

    def _repeated(self, rows: list[Row]) -> None:
        seen: set[tuple[Cell, ...]] = set()
        for row, mark in zip(rows, self.marks, strict=True):
            if row.cells in seen and mark["kind"] not in _MAY_REPEAT:
                self.notices.append(notice("duplicate_row", row.place))
            seen.add(row.cells)

    def _long_gaps(self, rows: list[Row]) -> None:
        """Tell of marks more than an hour after the one before: another event may begin there."""
        known = [
            (start, row.place)
            for start, row in zip(self.times.source_time, rows, strict=True)
            if start is not None
        ]
        for (before, _), (after, place) in pairwise(sorted(known, key=lambda each: each[0])):
            if after - before > HOUR_US:
                self.notices.append(notice("long_gap", place))

    def _unread_columns(self, rows: list[Row]) -> None:
        """Tell of columns that hold something and were not read, unless somebody said so."""
        for column in self.layout.all("ignored"):
            if column.sure != "answered" and any(_cell(row, column.index) != "" for row in rows):
                code = (
                    "column_of_marks"
                    if labels.understand(column.name.split(" (")[0]).known
                    else "column_ignored"
                )
                self.notices.append(notice(code, column=column.name))


def _cell(row: Row, index: int) -> Cell:
    return row.cells[index] if index < len(row.cells) else ""


def _day_text(cell: Cell) -> str:
    return cell.date().isoformat() if isinstance(cell, datetime) else text_of(cell)

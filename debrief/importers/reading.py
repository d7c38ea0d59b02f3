"""A grid becomes the marks of one source: every row of it, and what there is to tell about them."""

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

from debrief.importers import amounts, headings, labels, times
from debrief.importers.amounts import Reading
from debrief.importers.grid import Cell, Grid, Row, text_of, text_of_times
from debrief.importers.headings import Layout
from debrief.importers.labels import Meant
from debrief.importers.limits import refused
from debrief.importers.mapping import Mapping
from debrief.importers.notices import Notice, notice
from debrief.importers.settings import Settings
from debrief.importers.times import Times
from debrief.model.event import SourceKind
from debrief.model.times import HOUR_US, US, to_us
from debrief.words import KINDS, fold, say

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
        self.times = self._times(rows, time_column, near)
        self.notices += self.times.notices
        reader = _Rows(self.layout, self.mapping, self.grid.decimal_comma)
        for row, text, start, cell in zip(
            rows, self._time_texts, self.times.source_time, self.times.cell, strict=True
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

    def _times(self, rows: list[Row], column: headings.Column, near: int | None) -> Times:
        cells = [_cell(row, column.index) for row in rows]
        texts = text_of_times(cells)
        date_column = self.layout.one("date")
        days = [_day_text(_cell(row, date_column.index)) for row in rows] if date_column else None
        self._time_texts = (
            [f"{day} {text}".strip() for day, text in zip(days, texts, strict=True)] if days else texts
        )
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
        return times.read(texts, [row.place for row in rows], rules, days)

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
                self.notices.append(notice("column_ignored", column=column.name))


def _cell(row: Row, index: int) -> Cell:
    return row.cells[index] if index < len(row.cells) else ""


def _day_text(cell: Cell) -> str:
    return cell.date().isoformat() if isinstance(cell, datetime) else text_of(cell)


def _hint(likely: list[str]) -> str:
    """Return the sentence that says what an unknown word may mean, behind a space; empty for nothing."""
    return f" {say('importing.may_mean', likely=', '.join(likely))}" if likely else ""


class _Rows:
    """Reads one row after the other by one layout."""

    def __init__(self, layout: Layout, mapping: Mapping, decimal_comma: bool) -> None:
        self.width = len(layout.columns)
        self.comma = decimal_comma
        self.answers = mapping.labels
        self.notices: list[Notice] = []
        self.at = {
            meaning: layout.all(meaning) for meaning in ("mark", "detail", "amount", "unit", "route", "note")
        }
        self.length, self.role = layout.one("length"), layout.one("role")

    def mark(self, row: Row) -> dict[str, Any]:
        """Return what a row says, but for its time."""
        texts = [text_of(cell) for cell in row.cells]
        texts += [""] * (self.width - len(texts))
        notes = [texts[column.index] for column in self.at["note"]]
        self._ragged(row, texts, notes)
        details = [text for column in self.at["detail"] if (text := texts[column.index])]
        label = next((text for column in self.at["mark"] if (text := texts[column.index])), "")
        if not label and details:
            label = details.pop(0)
        meant = self._meant(label, row.place)
        kind, detail, beside = self._described(label, meant, details, notes, row.place)
        amount, unit, infusion = self._amount(texts, kind, detail, meant.reading, beside, notes, row.place)
        return {
            "kind": kind,
            "detail": detail,
            "amount": amount,
            "unit": unit,
            "route": "infusion" if infusion else self._route(texts, meant, row.place),
            "length": self._length(texts, meant.reading, notes, row.place),
            "role": texts[self.role.index] or None if self.role else None,
            "note": "; ".join(note for note in notes if note) or None,
            "label": label,
        }

    def _ragged(self, row: Row, texts: list[str], notes: list[str]) -> None:
        if len(row.cells) > self.width and any(texts[self.width :]):
            self.notices.append(notice("row_long", row.place, width=self.width))
            notes += texts[self.width :]
        elif len(row.cells) < self.width:
            self.notices.append(notice("row_short", row.place, width=self.width))

    def _meant(self, label: str, place: str) -> Meant:
        if not label:
            self.notices.append(notice("mark_missing", place))
            return Meant("unmapped", known=False)
        meant = labels.understand(label, self.comma)
        if self.answers and (answer := self.answers.get(labels.key_of(label))):
            reading = meant.reading
            if reading.value is None and answer.amount is not None:
                reading = replace(reading, value=answer.amount, unit=answer.unit)
            elif reading.unit is None and reading.value is not None:
                reading = replace(reading, unit=answer.unit)
            return Meant(answer.kind, answer.detail, reading, answer.route or meant.route)
        if not meant.known:
            likely = [
                " ".join(filter(None, (each.kind, each.detail))) for each in labels.suggestions(label, 3)
            ]
            self.notices.append(notice("label_unmapped", place, label=label, hint=_hint(likely)))
        return meant

    def _described(
        self, label: str, meant: Meant, details: list[str], notes: list[str], place: str
    ) -> tuple[str, str | None, Reading]:
        """Return kind and detail, and the amounts beside the detail; what is no detail goes to the notes."""
        kind, detail, beside = meant.kind, meant.detail, Reading()
        family = KINDS[kind].detail
        for text in details:
            both = labels.phrases().get(fold(f"{label} {text}"))
            if both and KINDS[both.kind].family == KINDS[kind].family and not family:
                kind, detail = both.kind, both.detail
            elif family == "free":
                detail = f"{detail}; {text}" if detail else text
            elif not family:
                notes.append(text)
            else:
                name, reading = labels.read_detail(kind, text, self.comma)
                beside = reading if reading.value is not None else beside
                if name is None and detail is None:
                    hint = _hint(labels.close_details(kind, text))
                    self.notices.append(notice("detail_unknown", place, kind=kind, read=text, hint=hint))
                    name = fold(text) if family == "drug" else None
                if name is None or (detail is not None and name != detail):
                    notes.append(text)
                detail = detail or name
        return kind, detail, beside

    def _amount(
        self,
        texts: list[str],
        kind: str,
        detail: str | None,
        inside: Reading,
        beside: Reading,
        notes: list[str],
        place: str,
    ) -> tuple[float | None, str | None, bool]:
        """Return amount, unit and whether it is a rate: from its column, else the detail, else the label."""
        unit_text = next((text for column in self.at["unit"] if (text := texts[column.index])), "")
        readings = []
        for column in self.at["amount"]:
            if text := texts[column.index]:
                reading = amounts.read(text, unit_text or column.unit or "", self.comma)
                if reading is None:
                    self.notices.append(notice("amount_unreadable", place, read=text, column=column.name))
                    notes.append(f"{column.name}: {text}")
                else:
                    readings.append(reading)
        measured = bool(KINDS[kind].unit) or kind in ("vital", "unmapped", "note")
        readings += [each for each in (beside, inside) if each.value is not None and measured]
        if not readings:
            return None, None, False
        found = readings[0]
        strength = next((each.mg_per_ml for each in (*readings, beside, inside) if each.mg_per_ml), None)
        unit = found.unit or next(
            (each.unit for each in readings if each.value == found.value and each.unit), None
        )
        if unit is None and unit_text and (known := amounts.unit(unit_text)):
            unit = known.name
        if any((each.value, each.unit or unit) != (found.value, unit) for each in readings):
            self.notices.append(notice("amount_twice", place, taken=f"{found.value:g} {unit or ''}".strip()))
        settled = amounts.settle(replace(found, unit=unit, mg_per_ml=strength), kind, detail)
        self.notices += [replace(each, place=place) for each in settled.notices]
        return settled.value, settled.unit, settled.infusion

    def _route(self, texts: list[str], meant: Meant, place: str) -> str | None:
        text = next((text for column in self.at["route"] if (text := texts[column.index])), "")
        if not text:
            return meant.route
        route = labels.read_route(text)
        if route is None:
            self.notices.append(notice("route_unknown", place, read=text))
        return route or fold(text)

    def _length(self, texts: list[str], inside: Reading, notes: list[str], place: str) -> int | None:
        text = texts[self.length.index] if self.length else ""
        if not text:
            return to_us(inside.length_s) if inside.length_s is not None else None
        found = amounts.length_us(text, self.comma)
        if found is None:
            self.notices.append(notice("length_unreadable", place, read=text))
            notes.append(text)
            return None
        plain = self.length and not set(text) - set("0123456789., ")
        return round(found * self.length.unit_s) if plain and self.length else found

"""Rows become marks: their labels, details, amounts, and what is odd about them."""

from dataclasses import dataclass, field, fields, replace
from typing import Any

import numpy as np

from debrief.importers import amounts, labels
from debrief.importers.amounts import Reading
from debrief.importers.cells import beyond_columns, joined_texts, texts_of
from debrief.importers.grid import Grid
from debrief.importers.headings import Layout
from debrief.importers.labels import Meant
from debrief.importers.mapping import Mapping, Meaning
from debrief.importers.notices import Notice, Told, notice
from debrief.importers.places import Places
from debrief.model.axis import Bools, Floats, Ints
from debrief.model.columns import MISSING, Repeated, grouped, same
from debrief.model.times import to_us
from debrief.words import KINDS, fold, say

MANY = 100
"""Different cells in a column of amounts beyond which they are read as numbers, not one by one."""
_DECIDING: tuple[Meaning, ...] = ("mark", "detail", "amount", "unit", "route")
"""The columns that decide together what a row says; lengths, roles and notes stand by themselves."""


def _hint(likely: list[str]) -> str:
    """Return the sentence that says what an unknown word may mean, behind a space; empty for nothing."""
    return f" {say('importing.may_mean', likely=', '.join(likely))}" if likely else ""


@dataclass(frozen=True)
class Marks:
    """The rows of a grid as columns of the marks table, but for their times. Shape (n,) each.

    ``amount`` is NaN where there is none, ``length`` ``MISSING``. [us]
    """

    label: Repeated[str]
    kind: Repeated[str]
    detail: Repeated[str | None]
    amount: Floats
    unit: Repeated[str | None]
    route: Repeated[str | None]
    length: Ints
    role: Repeated[str | None]
    note: Repeated[str | None]

    def __len__(self) -> int:
        return len(self.kind)

    def take(self, rows: Ints | Bools) -> "Marks":
        """Return some of the marks, by number or by a mask."""
        changed: dict[str, Any] = {}
        for each in fields(self):
            column = getattr(self, each.name)
            changed[each.name] = column.take(rows) if isinstance(column, Repeated) else column[rows]
        return Marks(**changed)


@dataclass
class _Row:
    """What rows say that are alike in all that decides it; ``notes`` is what fits nowhere else."""

    label: str
    kind: str = "unmapped"
    detail: str | None = None
    amount: float | None = None
    unit: str | None = None
    route: str | None = None
    length_s: float | None = None
    factor: float | None = None
    """What the number in the column of amounts was multiplied by; null where the amount is not that alone."""
    most: float = np.inf
    notes: list[str] = field(default_factory=list)
    notices: list[Notice] = field(default_factory=list)

    def tell(self, code: str, **values: object) -> None:
        """Tell of all of these rows."""
        self.notices.append(notice(code, None, **values))


class RowReader:
    """Reads the rows of a grid by one layout. Rows that are alike are read once."""

    def __init__(self, layout: Layout, mapping: Mapping, decimal_comma: bool) -> None:
        self.width = len(layout.columns)
        self.comma = decimal_comma
        self.answers = mapping.labels
        self.notices: list[Notice] = []
        self.at = {meaning: layout.all(meaning) for meaning in (*_DECIDING, "note")}
        self.length, self.role = layout.one("length"), layout.one("role")

    def read(self, grid: Grid) -> Marks:
        """Return what the rows of a grid say, but for their times."""
        count = len(grid)
        texts = {
            column.index: texts_of(grid, column.index) for columns in self.at.values() for column in columns
        }
        alike, group, amount = self._grouped(texts, grid.places)
        codes = group.astype(np.int32)
        length, odd_lengths = self._length(grid, np.array([_us(each.length_s) for each in alike])[group])
        notes = [texts[column.index] for column in self.at["note"]]
        further, told = beyond_columns(grid, self.width)
        self.notices += told
        notes += further
        notes.append(Repeated(["; ".join(filter(None, each.notes)) for each in alike], codes))
        notes += odd_lengths
        return Marks(
            label=Repeated([each.label for each in alike], codes),
            kind=Repeated([each.kind for each in alike], codes),
            detail=Repeated([each.detail for each in alike], codes),
            amount=amount,
            unit=Repeated([each.unit for each in alike], codes),
            route=Repeated([each.route for each in alike], codes),
            length=length,
            role=_role(texts_of(grid, self.role.index)) if self.role else same(None, count),
            note=joined_texts(notes, count),
        )

    def _grouped(self, texts: dict[int, Repeated[str]], places: Places) -> tuple[list[_Row], Ints, Floats]:
        """Return the different rows, which of them each row is, and its amount.

        Where a column holds many different plain numbers, rows that differ in them alone are one: what is
        read of one number is what is read of any, up to where a reader would be asked about it.
        """
        count = len(places)
        counted = {
            column.index: np.array([amounts.plain(text, self.comma) for text in texts[column.index].values])
            for column in self.at["amount"]
            if len(texts[column.index].values) > MANY
        }
        by_itself = np.zeros(count, np.bool_)
        while True:
            keys = []
            for meaning in _DECIDING:
                for column in self.at[meaning]:
                    given, card = texts[column.index].codes, len(texts[column.index].values)
                    if column.index in counted:
                        plain = ~np.isnan(counted[column.index])[given] & ~by_itself
                        given = np.where(plain, np.int32(card), given)
                    keys.append((given, card + 1))
            group, first = grouped(keys, count)
            alike = [self._alike({at: column[row] for at, column in texts.items()}) for row in first.tolist()]
            amount = np.array([np.nan if each.amount is None else each.amount for each in alike])[group]
            odd = np.zeros(count, np.bool_)
            for at, numbers in counted.items():
                written = np.where(by_itself, np.nan, numbers[texts[at].codes])
                odd |= self._scale(alike, group, written, amount)
            if not odd.any():
                break
            by_itself |= odd
        self._tell(alike, group, places, several=bool(counted))
        return alike, group, amount

    @staticmethod
    def _scale(alike: list[_Row], group: Ints, written: Floats, amount: Floats) -> Bools:
        """Give each row the amount that stands in it, and return which have to be read one by one."""
        rows = np.flatnonzero(~np.isnan(written))
        factor = np.array([each.factor or np.nan for each in alike])[group[rows]]
        most = np.array([each.most for each in alike])[group[rows]]
        scaled = written[rows] * factor
        amount[rows] = [amounts.rounded(value) for value in scaled.tolist()]
        odd = np.zeros(len(written), np.bool_)
        odd[rows] = np.isnan(factor) | (amount[rows] > most)
        return odd

    def _tell(self, alike: list[_Row], group: Ints, places: Places, several: bool) -> None:
        """Tell of groups of rows at the places of all their rows."""
        if not any(each.notices for each in alike):
            return
        order = np.argsort(group, kind="stable")
        edges = np.searchsorted(group[order], np.arange(len(alike) + 1))
        for number, each in enumerate(alike):
            rows = order[edges[number] : edges[number + 1]]
            for told in each.notices:
                shown = _first_of(told) if several and len(rows) > 1 else told
                self.notices.append(replace(shown, place=places.take(rows)))

    def _alike(self, texts: dict[int, str]) -> _Row:
        """Return what one row says, by the texts of the columns that decide it."""
        details = [text for column in self.at["detail"] if (text := texts[column.index])]
        label = next((text for column in self.at["mark"] if (text := texts[column.index])), "")
        if not label and details:
            label = details.pop(0)
        row = _Row(label)
        meant = self._meant(row)
        row.length_s = meant.reading.length_s
        beside = self._described(row, meant, details)
        infusion = self._amount(row, texts, meant.reading, beside)
        row.route = "infusion" if infusion else self._route(row, texts, meant)
        return row

    def _meant(self, row: _Row) -> Meant:
        label = row.label
        if not label:
            row.tell("mark_missing")
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
            row.tell("label_unmapped", label=label, hint=_hint(likely))
        return meant

    def _described(self, row: _Row, meant: Meant, details: list[str]) -> Reading:
        """Give a row its kind and detail; what is none goes to the notes. Return the amounts beside it."""
        row.kind, row.detail, beside = meant.kind, meant.detail, Reading()
        family = KINDS[row.kind].detail
        for text in details:
            both = labels.phrases().get(fold(f"{row.label} {text}"))
            if both and KINDS[both.kind].family == KINDS[row.kind].family and not family:
                row.kind, row.detail = both.kind, both.detail
            elif family == "free":
                row.detail = f"{row.detail}; {text}" if row.detail else text
            elif not family:
                row.notes.append(text)
            else:
                name, reading = labels.read_detail(row.kind, text, self.comma)
                beside = reading if reading.value is not None else beside
                if name is None and row.detail is None:
                    hint = _hint(labels.close_details(row.kind, text))
                    row.tell("detail_unknown", kind=row.kind, read=text, hint=hint)
                    name = fold(text) if family == "drug" else None
                if name is None or (row.detail is not None and name != row.detail):
                    row.notes.append(text)
                row.detail = row.detail or name
        return beside

    def _amount(self, row: _Row, texts: dict[int, str], inside: Reading, beside: Reading) -> bool:
        """Give a row its amount: from its column, else detail, else label. Return whether it is a rate."""
        unit_text = next((text for column in self.at["unit"] if (text := texts[column.index])), "")
        readings = []
        for column in self.at["amount"]:
            if text := texts[column.index]:
                reading = amounts.read(text, unit_text or column.unit or "", self.comma)
                if reading is None:
                    row.tell("amount_unreadable", read=text, column=column.name)
                    row.notes.append(f"{column.name}: {text}")
                else:
                    readings.append(reading)
        measured = bool(KINDS[row.kind].unit) or row.kind in ("vital", "unmapped", "note")
        readings += [each for each in (beside, inside) if each.value is not None and measured]
        if not readings:
            return False
        found = readings[0]
        strength = next((each.mg_per_ml for each in (*readings, beside, inside) if each.mg_per_ml), None)
        unit = found.unit or next(
            (each.unit for each in readings if each.value == found.value and each.unit), None
        )
        if unit is None and unit_text and (known := amounts.unit(unit_text)):
            unit = known.name
        if any((each.value, each.unit or unit) != (found.value, unit) for each in readings):
            row.tell("amount_twice", taken=f"{found.value:g} {unit or ''}".strip())
        settled = amounts.settle(replace(found, unit=unit, mg_per_ml=strength), row.kind, row.detail)
        row.notices += settled.notices
        row.amount, row.unit = settled.value, settled.unit
        row.factor, row.most = settled.factor if len(readings) == 1 else None, settled.most
        return settled.infusion

    def _route(self, row: _Row, texts: dict[int, str], meant: Meant) -> str | None:
        text = next((text for column in self.at["route"] if (text := texts[column.index])), "")
        if not text:
            return meant.route
        route = labels.read_route(text)
        if route is None:
            row.tell("route_unknown", read=text)
        return route or fold(text)

    def _length(self, grid: Grid, inside: Ints) -> tuple[Ints, list[Repeated[str]]]:
        """Return how long each row lasted, by its column or label, and texts that are no length. [us]"""
        if self.length is None:
            return inside, []
        unit_s = self.length.unit_s
        texts = texts_of(grid, self.length.index)
        read = np.array([self._length_us(text, unit_s) for text in texts.values] or [MISSING], np.int64)
        filled = texts.where(bool)
        found = np.where(filled, read[texts.codes], inside)
        odd = filled & (found == MISSING)
        told = Told(grid.places)
        told.tell_each("length_unreadable", odd, texts)
        self.notices += told.notices
        kept = texts.map(lambda text: text if self._length_us(text, 1.0) == MISSING else "")
        return found, [kept] if odd.any() else []

    def _length_us(self, text: str, unit_s: float) -> int:
        found = amounts.length_us(text, self.comma) if text else None
        if found is None:
            return MISSING
        return round(found * unit_s) if not set(text) - set("0123456789., ") else found


def _first_of(told: Notice) -> Notice:
    """Return a notice of one amount as one of several that begin with it."""
    values = tuple(
        (name, f"{value} ..." if name in ("value", "amount") else value) for name, value in told.values
    )
    return replace(told, values=values)


def _us(seconds: float | None) -> int:
    return MISSING if seconds is None else to_us(seconds)


def _role(texts: Repeated[str]) -> Repeated[str | None]:
    return Repeated([text or None for text in texts.values], texts.codes)

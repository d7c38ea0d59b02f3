"""One row becomes one mark: its label, its detail, its amount, and what is odd about them."""

from dataclasses import replace
from typing import Any

from debrief.importers import amounts, labels
from debrief.importers.amounts import Reading
from debrief.importers.grid import Row, text_of
from debrief.importers.headings import Layout
from debrief.importers.labels import Meant
from debrief.importers.mapping import Mapping
from debrief.importers.notices import Notice, notice
from debrief.model.times import to_us
from debrief.words import KINDS, fold, say


def _hint(likely: list[str]) -> str:
    """Return the sentence that says what an unknown word may mean, behind a space; empty for nothing."""
    return f" {say('importing.may_mean', likely=', '.join(likely))}" if likely else ""


class RowReader:
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

"""An event as its files tell it becomes the event as a reviewer corrected it. Nothing written is changed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa

from debrief.importers import amounts
from debrief.importers.corrections import folding
from debrief.importers.corrections.lines import ADDED_ID, CORRECTIONS, Correction, read
from debrief.importers.corrections.timing import Clock, reference_of
from debrief.importers.corrections.tying import followed, lost_problem
from debrief.importers.corrections.values import Value, Values
from debrief.importers.notices import Notice, gather
from debrief.model.columns import MISSING, float_array, floats_of, int_array, ints_of, repeated, text_array
from debrief.model.event import Corrected, Event, Input, Offset, Source
from debrief.model.marks import gate_columns
from debrief.model.problems import Problem, problem
from debrief.model.times import to_us
from debrief.words import say, sentences


def corrected(event: Event, folder: Path) -> Event:
    """Return an event with all that stands in the corrections of its folder.

    Raises
    ------
    BadSetting
        Where a line is no change.
    """
    lines = read(folder)
    stand = folding.standing(lines)
    if not stand:
        return event
    event = _with_added(event, [one for one in stand if one.action == "add"], folder)
    changes, lost = followed(event, [one for one in stand if one.action != "add"], lines)
    values = folding.values(changes)
    event, problems = _with_values(event, values)
    clocks, moments = folding.clocks(changes), folding.moments(changes)
    removed = folding.removed(changes)
    return replace(
        event,
        context=replace(event.context, **moments),  # type: ignore[arg-type]
        moments=frozenset(name for name, time in moments.items() if time is not None),
        sources=tuple(replace(one, clock=clocks.get(one.source_id, one.clock)) for one in event.sources),
        removed=removed,
        linked=folding.pairs(changes, "link"),
        parted=folding.pairs(changes, "part"),
        problems=(
            *event.problems,
            *problems,
            *map(lost_problem, lost),
            *_told(event, removed),
            *map(_dispute, folding.disputes(changes)),
        ),
    )


def _with_added(event: Event, adds: Sequence[Correction], folder: Path) -> Event:
    """Return an event with the marks that a reviewer added, on the reference clock, as one more source."""
    if not adds:
        return event
    reference = reference_of(event)
    taken = [one.source_id for one in event.sources]
    name = (
        ADDED_ID
        if ADDED_ID not in taken
        else next(
            f"{ADDED_ID}-{number}"
            for number in range(2, len(taken) + 3)
            if f"{ADDED_ID}-{number}" not in taken
        )
    )
    source = Source(
        name, CORRECTIONS, "person", "corrections", reference.scale, reference.rounding, reference.zone,
        name=ADDED_ID, clock=Offset(0, 0, 0),
    )  # fmt: skip
    clock = replace(Clock.of(event, reference), source=source)
    digest = sha256((folder / CORRECTIONS).read_bytes()).hexdigest()
    table = _blank(event.context.event_id, name, adds)
    event = replace(
        event,
        sources=(*event.sources, source),
        marks=pa.concat_tables([event.marks, table]),
        inputs=(*event.inputs, Input(CORRECTIONS, digest)),
    )
    made, problems = _with_values(event, {f"{name}:{one.key}": one.to for one in adds}, clock)
    return replace(made, corrected=event.corrected, problems=(*made.problems, *problems))


def _blank(event_id: str, source_id: str, adds: Sequence[Correction]) -> pa.Table:
    """Return rows for added marks, of which so far only is told what was written."""
    columns: dict[str, Any] = {
        "event_id": event_id,
        "source_id": source_id,
        "origin": "person",
        "place": repeated([one.key for one in adds]),
        "time_text": repeated([str(one.to["time"]) for one in adds]),
        "kind": repeated([str(one.to["kind"]) for one in adds]),
        "label": repeated([str(one.to["kind"]) for one in adds]),
    }
    return gate_columns(columns, len(adds))


@dataclass
class _Columns:
    """Columns of the marks table, to be changed in some rows."""

    marks: pa.Table
    changed: dict[str, Any]

    def of(self, name: str) -> Any:  # noqa: ANN401 - a list of texts, or an array of numbers
        """Return a column that can be written to."""
        if name not in self.changed:
            column = self.marks[name]
            kind = str(column.type)
            self.changed[name] = (
                ints_of(column).copy() if kind == "int64"
                else floats_of(column).copy() if kind == "double"
                else column.to_pylist()
            )  # fmt: skip
        return self.changed[name]

    def get(self, name: str, row: int) -> Any:  # noqa: ANN401 - what the column holds, null for nothing
        """Return one value as it stands."""
        value = self.changed[name][row] if name in self.changed else self.marks[name][row].as_py()
        return None if value is None or value == MISSING or value != value else value

    def set(self, name: str, row: int, value: object) -> None:
        """Set one value; null takes it out."""
        column = self.of(name)
        if isinstance(column, np.ndarray):
            missing = MISSING if column.dtype == np.int64 else np.nan
            column[row] = missing if value is None else value
        else:
            column[row] = value

    def table(self) -> pa.Table:
        """Return the table as it stands."""
        table = self.marks
        for name, column in self.changed.items():
            at = table.schema.get_field_index(name)
            if isinstance(column, np.ndarray):
                array = int_array(column) if column.dtype == np.int64 else float_array(column)
            else:
                array = text_array(repeated(column))
            table = table.set_column(at, table.schema.field(name), array)
        return table


def _with_values(
    event: Event, values: Mapping[str, Values], clock: Clock | None = None
) -> tuple[Event, list[Problem]]:
    """Return an event with values in place of those read, and what is odd about them.

    ``clock``: on which the times are written; null is that of each mark's own source.
    """
    if not values:
        return event, []
    ids, places = event.marks["source_id"].to_pylist(), event.marks["place"].to_pylist()
    row_of = {f"{source}:{place}": row for row, (source, place) in enumerate(zip(ids, places, strict=True))}
    columns = _Columns(event.marks, {})
    sources = {one.source_id: one for one in event.sources}
    problems: list[Problem] = []
    before: dict[str, Corrected] = {}
    for name, set_to in values.items():
        row = row_of[name]
        source = sources[ids[row]]
        was = {column: columns.get(column, row) for column in _touched(set_to)}
        time = None
        if "time" in set_to:
            time = str(set_to["time"])
            own = clock or Clock.of(event, source, columns.get("source_time", row))
            found = own.read(time)
            if found is None:
                problems.append(problem("moved_unread", source.source_id, places[row], read=time))
                time = None
            else:
                columns.set("source_time", row, found[0])
                columns.set("cell", row, found[1])
        notices = _set(columns, row, set_to)
        problems += [replace(one, place=places[row]) for one in gather(notices, source.source_id)]
        read_as_was = {key: old for key, old in was.items() if columns.get(key, row) != old}
        if read_as_was or time is not None:
            before[name] = Corrected(read_as_was, time)
    made = replace(event, marks=columns.table(), corrected={**event.corrected, **before})
    return made, problems


def _touched(values: Values) -> tuple[str, ...]:
    """Return the columns of the marks table that values change."""
    plain = [name for name in values if name != "time"]
    more = ("amount", "unit", "route") if {"kind", "amount"} & values.keys() else ()
    return tuple(dict.fromkeys([*plain, *more]))


def _set(columns: _Columns, row: int, values: Values) -> Sequence[Notice]:
    """Set all but the time of one mark; an amount is brought into its canonical unit."""
    for name in ("kind", "detail", "route", "note", "role"):
        if name in values:
            columns.set(name, row, values[name])
    if "length" in values:
        seconds = values["length"]
        columns.set("length", row, None if seconds is None else to_us(float(seconds)))
    if not {"kind", "amount"} & values.keys():
        return ()
    amount, unit = (
        values.get(name) if "amount" in values else columns.get(name, row) for name in ("amount", "unit")
    )
    settled = amounts.settle(_reading(amount, unit), columns.get("kind", row), columns.get("detail", row))
    columns.set("amount", row, settled.value)
    columns.set("unit", row, settled.unit)
    if settled.infusion:
        columns.set("route", row, "infusion")
    return settled.notices


def _reading(amount: Value, unit: Value) -> amounts.Reading:
    if amount is None:
        return amounts.NOTHING
    known = amounts.unit(str(unit)) if unit else None
    return amounts.Reading(float(amount), known.name if known else str(unit) if unit else None)


def _told(event: Event, removed: frozenset[str]) -> list[Problem]:
    """Return what is said of marks that are not as their source has them."""
    added = {one.source_id for one in event.sources if one.file == CORRECTIONS}
    counts = {
        "marks_corrected": len([name for name in event.corrected if name not in removed]),
        "marks_taken_out": len(removed),
        "marks_added": sum(name in added for name in event.marks["source_id"].to_pylist()),
    }
    return [problem(code, None, CORRECTIONS, count=count) for code, count in counts.items() if count]


def _dispute(one: folding.Dispute) -> Problem:
    """Return what is said where two roles said different things."""
    roles = {
        name: sentences().get(f"talk.role.{change.role}", say("corrections.some_role"))
        for name, change in (("first", one.first), ("last", one.last))
    }
    marks = " + ".join(one.last.names) or say("corrections.the_event")
    about = say(f"corrections.about_{one.about}")
    return problem("corrected_by_two", None, CORRECTIONS, about=about, marks=marks, **roles)

"""All that a registry holds of events as tables, and what each of them means."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import pyarrow as pa

from debrief.assess import assess_event
from debrief.clocks.align import Aligned
from debrief.errors import DebriefError, NothingMeasurable
from debrief.importers import read_event
from debrief.importers.corrections import CORRECTIONS
from debrief.measures import MEASURES
from debrief.model import marks as model
from debrief.model.event import FLAGS, Context
from debrief.model.times import to_s
from debrief.registry import listing
from debrief.registry.measuring import How, LayDown, laid_down, spread_out
from debrief.registry.store import Registry
from debrief.words import say

AT_ONCE = 256
_TYPES = {
    "text": pa.string(),
    "number": pa.float64(),
    "whole number": pa.int64(),
    "true or false": pa.bool_(),
}
_CONTEXT = {
    **dict.fromkeys(Context.__dataclass_fields__, "text"),
    "age_years": "number",
    "weight_kg": "number",
    "cerebral_performance": "whole number",
    **dict.fromkeys(FLAGS, "true or false"),
}
_OWN = ("status", "review_why", "figures")
_FIGURES = {
    **dict.fromkeys(("event_id", "name"), "text"),
    "value": "number",
    "unit": "text",
    "low": "number",
    "high": "number",
    **dict.fromkeys(("certainty", "verdict", "because"), "text"),
}
_PROBLEMS = dict.fromkeys(("event_id", "source_id", "place", "severity", "code", "message"), "text")
_CORRECTIONS = dict.fromkeys(("event_id", "at", "role", "action", "mark", "other", "why", "line"), "text")
_DICTIONARY = dict.fromkeys(("table", "column", "type", "unit", "meaning"), "text")
_MARKS_MORE = {"from_zero_s": "number", "taken_out": "true or false"}


def tables_of(
    registry: Registry, names: Sequence[str], how: How, more: Mapping[str, pa.Table] | None = None
) -> dict[str, pa.Table]:
    """Return the tables, by name; the same events give the same, whatever database holds them.

    Parameters
    ----------
    registry, names
        Which events, in which order.
    how
        How they are read; their figures are as they stand.
    more
        Other tables about these events, all of text, for which there are words as for those here.

    Raises
    ------
    BadSetting
        Where there is no such event.
    """
    contents = [registry.contents(name) for name in names]
    rows = {row["event_id"]: row for row in listing.events(registry)}
    context = [
        {"event_id": name}
        | {key: _held(_CONTEXT[key], one.settings.get(key)) for key in _CONTEXT if key != "event_id"}
        | {key: rows[name][key] for key in ("date", "unit", "population", "setting", "status", "figures")}
        | {"review_why": rows[name]["why"]}
        for name, one in zip(names, contents, strict=True)
    ]
    changes = [
        _change(name, line)
        for name, one in zip(names, contents, strict=True)
        for line in one.lines[CORRECTIONS]
    ]
    parts = [_marks_schema().empty_table()]
    with spread_out(partial(_marks_or_none, how=how), len(names)) as read:
        for start in range(0, len(contents), AT_ONCE):
            parts += [part for part in read(contents[start : start + AT_ONCE]) if part is not None]
    made = {
        "events": _table(_CONTEXT | dict.fromkeys(_OWN, "text"), context),
        "marks": pa.concat_tables(parts),
        "figures": _table(_FIGURES, listing.figures(registry, names)),
        "problems": _table(_PROBLEMS, listing.problems(registry, names)),
        "corrections": _table(_CORRECTIONS, changes),
        **(more or {}),
    }
    return made | {"dictionary": _dictionary(made | {"dictionary": _table(_DICTIONARY, [])})}


def _marks_or_none(lay_down: LayDown, how: How) -> pa.Table | None:
    """Return the marks of an event, null where its files cannot be read: its problems say so."""
    try:
        with laid_down(lay_down) as folder:
            event = read_event([folder], how.settings)
    except DebriefError:
        return None
    placed: dict[str, int] = {}
    zero = 0
    try:
        found = assess_event(event, replace(how.asked, draws=0))
        zero, placed = int(found.course.placing.zero[0, 0]), _placed(found.aligned)
    except NothingMeasurable:
        pass
    columns = (event.marks["source_id"].to_pylist(), event.marks["place"].to_pylist())
    named = [f"{source}:{place}" for source, place in zip(*columns, strict=True)]
    times = [placed.get(name) for name in named]
    at = event.marks.schema.get_field_index("time")
    marks = event.marks.set_column(at, model.SCHEMA.field("time"), pa.array(times, pa.int64()))
    marks = marks.append_column(
        "from_zero_s", pa.array([None if time is None else to_s(time - zero) for time in times], pa.float64())
    )
    return marks.append_column("taken_out", pa.array([name in event.removed for name in named], pa.bool_()))


def _placed(aligned: Aligned) -> dict[str, int]:
    """Return the time on the reference clock of every mark that counts, by its name. [us]"""
    columns = (aligned.marks[name].to_pylist() for name in ("source_id", "place", "time"))
    return {f"{source}:{place}": time for source, place, time in zip(*columns, strict=True)}


def _marks_schema() -> pa.Schema:
    schema = model.SCHEMA
    for name, kind in _MARKS_MORE.items():
        schema = schema.append(pa.field(name, _TYPES[kind]))
    return schema


def _table(columns: Mapping[str, str], rows: Iterable[Mapping[str, Any]]) -> pa.Table:
    rows = list(rows)
    arrays = [pa.array([row.get(name) for row in rows], _TYPES[kind]) for name, kind in columns.items()]
    return pa.table(arrays, names=list(columns))


def _held(kind: str, value: Any) -> Any:  # noqa: ANN401 - what event.json holds
    """Return a value of event.json as its column has it, null where it is of another kind."""
    if kind == "number":
        return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None
    if kind == "whole number":
        return value if isinstance(value, int) and not isinstance(value, bool) else None
    if kind == "true or false":
        return value if isinstance(value, bool) else None
    return None if value is None else str(value)


def _change(name: str, line: bytes) -> dict[str, Any]:
    """Return a correction as a row: what is in every one in columns, and the whole line."""
    text = line.decode("utf-8", "replace").strip()
    try:
        read = json.loads(text)
    except ValueError:
        read = {}
    read = read if isinstance(read, dict) else {}
    known = {key: str(read[key]) for key in _CORRECTIONS if read.get(key) is not None}
    return known | {"event_id": name, "line": text}


def _dictionary(made: Mapping[str, pa.Table]) -> pa.Table:
    """Return what every table, column and figure means."""
    rows = []
    kinds = {kind: name for name, kind in _TYPES.items()}
    for table, content in made.items():
        rows.append({"table": table, "column": "", "meaning": say(f"export.{table}")})
        for column in content.schema:
            about = {key.decode(): value.decode() for key, value in (column.metadata or {}).items()}
            rows.append(
                {
                    "table": table,
                    "column": column.name,
                    "type": kinds[column.type],
                    "unit": about.get("unit") or ("s" if column.name.endswith("_s") else ""),
                    "meaning": about.get("about") or say(f"export.{table}.{column.name}"),
                }
            )
    for measure in MEASURES:
        meaning = say(f"figures.{measure.name}.definition")
        rows.append(
            {"table": "figures", "column": f"name = {measure.name}", "unit": measure.unit, "meaning": meaning}
        )
    return _table(_DICTIONARY, rows)

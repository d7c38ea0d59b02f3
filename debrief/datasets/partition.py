"""Measure one partition: many events at once where each is plain, one by one where it is not.

An event is plain where nothing has to be weighed between sources or drawn: one source, no draws, nothing
pressed again at once. Both ways give the same figures; the first is some hundred times as fast.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pyarrow as pa

from debrief.assess import Asked, assess_event
from debrief.assess.findings import facts_of, people
from debrief.assess.many import course_of
from debrief.assess.many_judged import judged
from debrief.assess.notices import about_context, odd_structure
from debrief.clocks.reconcile import AGAIN_US
from debrief.datasets.order import COLUMNS, empty, in_order, only
from debrief.errors import NothingMeasurable
from debrief.measures import measure
from debrief.model.axis import HALF_US, Bools, Ints
from debrief.model.columns import MISSING, int_array, ints_of, repeated, text_array
from debrief.model.event import Context, Event, Offset, Source, SourceKind
from debrief.model.marks import ORIGINS, REQUIRED, SCHEMA
from debrief.model.problems import Problem, problem
from debrief.model.times import to_us
from debrief.targets import load
from debrief.words import ENGLISH, KINDS, speaking

_TEXT, _NUMBER = pa.string(), pa.float64()
FIGURES = pa.schema(
    [
        *((name, _TEXT) for name in ("event_id", "name")),
        ("value", _NUMBER),
        ("unit", _TEXT),
        *((name, _NUMBER) for name in ("low", "high")),
        *((name, _TEXT) for name in ("certainty", "verdict", "because")),
    ]
)
PROBLEMS = pa.schema(
    [(name, _TEXT) for name in ("event_id", "source_id", "place", "severity", "code", "message")]
)
BEYOND = ("time_zero", "end")
"""What a reviewer set on a clock that a dataset does not have."""
AT_ONCE = 500_000
"""Marks measured in one go; more would only need more memory."""


@dataclass(frozen=True)
class Made:
    """What became of a partition: tables of `FIGURES` and `PROBLEMS`."""

    figures: pa.Table
    problems: pa.Table


def measured(marks: pa.Table, contexts: Mapping[str, Context], asked: Asked) -> Made:
    """Return the figures and problems of events, whole, in the order of the ring.

    Parameters
    ----------
    marks
        Of `order.ROWS`, in any order.
    contexts
        What is known of events, by their name.
    asked
        How to measure.

    Raises
    ------
    BadSetting
        Where ``asked`` cannot be.
    """
    with speaking(ENGLISH):
        marks, event, events, twice = in_order(marks)
        known = [contexts.get(name) or Context(event_id=name) for name in events]
        told: list[tuple[int, Problem]] = [
            (number, problem("marks_twice", count=int(twice[number])))
            for number in np.flatnonzero(twice).tolist()
        ]
        marks, event = _readable(marks, event, told)
        marks, event = _timed(marks, event, len(events), told)
        figures = [empty(FIGURES)]
        plain = _plain(marks, event, len(events)) if not asked.draws else np.zeros(len(events), np.bool_)
        numbers: list[Ints] = []
        for some in _some(event, plain):
            table, of, odd = _together(marks, event, some, known, asked)
            figures.append(table)
            numbers.append(of)
            told += odd
        for number in range(len(events)):
            if not plain[number]:
                table, odd_of_one = _alone(marks, event, number, known[number], asked)
                told += [(number, one) for one in odd_of_one]
                figures.append(table)
                numbers.append(np.full(len(table), number))
        turn = np.argsort(np.concatenate([np.empty(0, np.int64), *numbers]), kind="stable")
        told.sort(key=lambda pair: pair[0])
        return Made(pa.concat_tables(figures).take(int_array(turn)), _problems(events, told))


def _readable(marks: pa.Table, event: Ints, told: list[tuple[int, Problem]]) -> tuple[pa.Table, Ints]:
    """Return the marks of events none of whose marks is malformed."""
    bad = np.zeros(len(event), np.bool_)
    for name in (*REQUIRED[1:], "event_id"):
        if name in COLUMNS:
            bad |= marks[name].is_null().to_numpy() if marks[name].null_count else False
    for name, allowed in (("kind", KINDS), ("origin", ORIGINS)):
        bad |= ~_held(marks[name], *allowed)
    rows = np.flatnonzero(bad)
    for row in rows[np.unique(event[rows], return_index=True)[1]].tolist():
        source, place, kind, origin = (
            marks[name][row].as_py() for name in ("source_id", "place", "kind", "origin")
        )
        told.append((int(event[row]), problem("mark_malformed", source, place, kind=kind, origin=origin)))
    keep = ~np.isin(event, event[rows])
    return only(marks, keep), event[keep]


def _timed(
    marks: pa.Table, event: Ints, events: int, told: list[tuple[int, Problem]]
) -> tuple[pa.Table, Ints]:
    """Return the marks that have a time on their event's clock.

    Where no mark of an event has one and all are of one source, that source's clock is the event's.
    """
    time = ints_of(marks["time"])
    sources = _sources(marks, event, events)
    alone = (np.bincount(event[time != MISSING], minlength=events) == 0) & (sources == 1)
    time = np.where(alone[event], ints_of(marks["source_time"]), time)
    there = time != MISSING
    held = np.bincount(event, minlength=events) > 0
    for number, count in enumerate(np.bincount(event[~there], minlength=events).tolist()):
        if count:
            told.append((number, problem("marks_without_time", count=count)))
    timed = np.bincount(event[there], minlength=events) > 0
    told += [(number, problem("nothing_timed")) for number in np.flatnonzero(held & ~timed).tolist()]
    at = marks.schema.get_field_index("time")
    marks = marks.set_column(at, marks.schema.field("time"), int_array(time))
    return only(marks, there), event[there]


def _sources(marks: pa.Table, event: Ints, events: int) -> Ints:
    """Return of how many sources the marks of each event are."""
    code = ints_of(marks["source_id"].combine_chunks().dictionary_encode().indices)
    new = np.append(True, (event[1:] != event[:-1]) | (code[1:] != code[:-1]))[: len(event)]
    return np.bincount(event[new], minlength=events).astype(np.int64)


def _plain(marks: pa.Table, event: Ints, events: int) -> Bools:
    """Return which events can be measured together with others: bool, shape (events,)."""
    plain: Bools = _sources(marks, event, events) == 1
    time, same = ints_of(marks["time"]), event[1:] == event[:-1]
    first = np.append(True, ~same)[: len(event)]
    last = np.append(~same, True)[: len(event)]
    span = np.zeros(events, np.int64)
    span[event[last]] = time[last] - time[first]
    plain &= span < HALF_US // 2
    for kind, within_us in AGAIN_US.items():
        rows = np.flatnonzero(_held(marks["kind"], kind))
        near = (event[rows[1:]] == event[rows[:-1]]) & (time[rows[1:]] - time[rows[:-1]] <= within_us)
        plain[event[rows[1:][near]]] = False
    return plain


def _held(column: pa.ChunkedArray, *names: str | None) -> Bools:
    """Return which rows hold one of the names: bool, shape (n,)."""
    coded = column.combine_chunks().dictionary_encode()
    wanted = [name in names for name in coded.dictionary.to_pylist()]
    found: Bools = np.array([*wanted, None in names], np.bool_)[ints_of(coded.indices, -1)]
    return found


def _some(event: Ints, plain: Bools) -> Iterator[Ints]:
    """Yield the numbers of plain events, so many at once as have some `AT_ONCE` marks."""
    chosen = np.flatnonzero(plain)
    size = np.bincount(event, minlength=len(plain))[chosen]
    batch = (np.cumsum(size) - size) // AT_ONCE
    for number in np.unique(batch):
        yield chosen[batch == number]


def _together(
    marks: pa.Table, event: Ints, some: Ints, known: list[Context], asked: Asked
) -> tuple[pa.Table, Ints, list[tuple[int, Problem]]]:
    mine = np.zeros(len(known), np.bool_)
    mine[some] = True
    marks, event = only(marks, mine[event]), event[mine[event]]
    contexts = [known[number] for number in some.tolist()]
    course = course_of(marks, people(*contexts), to_us(asked.min_pause_s), asked.window_us())
    answers = measure(course)
    table = judged(course, answers, facts_of(course, contexts), load(asked.edition, asked.site))
    number = some[ints_of(table["event"])]
    called = text_array(repeated([context.event_id for context in contexts]))
    names = pa.DictionaryArray.from_arrays(table["event"].combine_chunks(), called)
    table = table.set_column(0, "event_id", names.cast(pa.string()))
    sources = marks["source_id"]

    def named(row: int) -> str:
        at = int(course.structure.occurrences.row[row])
        return f"{sources[at].as_py()}:{marks['place'][at].as_py()}"

    first = np.searchsorted(event, some)
    ids = sources.take(int_array(first)).to_pylist()
    told = [(int(some[i]), one) for i, context in enumerate(contexts) for one in _context(context)]
    told += [(int(some[i]), one) for i, one in odd_structure(course, ids, named)]
    return table.cast(FIGURES), number, told


def _context(context: Context) -> Iterator[Problem]:
    for key in BEYOND:
        if getattr(context, key) is not None:
            yield problem("moment_not_used", key=key)
    yield from about_context(context)


def _alone(
    marks: pa.Table, event: Ints, number: int, context: Context, asked: Asked
) -> tuple[pa.Table, list[Problem]]:
    first, last = np.searchsorted(event, [number, number + 1])
    rows = marks.slice(int(first), int(last - first))
    odd = [one for one in _context(context) if one.code == "moment_not_used"]
    if not len(rows):
        return empty(FIGURES), odd
    try:
        found = assess_event(event_of(rows, replace(context, time_zero=None, end=None)), asked)
    except NothingMeasurable:
        return empty(FIGURES), [*odd, problem("nothing_timed")]
    figures = [
        {name: figure.get(name) for name in FIGURES.names[1:]}
        | {"event_id": context.event_id, "value": _number(figure["value"])}
        for figure in found.judged()
    ]
    return pa.Table.from_pylist(figures, FIGURES), [*odd, *found.problems]


def _number(value: float | bool | None) -> float | None:
    return None if value is None else float(value)


def event_of(marks: pa.Table, context: Context) -> Event:
    """Return the marks of one event, on one clock, as an event that was read."""
    time = marks["time"].combine_chunks()
    given: dict[str, Any] = {name: marks[name] for name in COLUMNS} | {"source_time": time}
    given["time"] = pa.nulls(len(marks), pa.int64())
    given["label"] = pa.repeat("", len(marks))
    arrays = [given.get(name, pa.nulls(len(marks), SCHEMA.field(name).type)) for name in SCHEMA.names]
    table = pa.table(arrays, names=SCHEMA.names).cast(SCHEMA)
    kinds: dict[str, SourceKind] = {}
    for source, kind, origin in zip(
        *(marks[name].to_pylist() for name in ("source_id", "kind", "origin")), strict=True
    ):
        if kind == "compression":
            kinds[source] = "sensor"
        elif origin == "person" and kinds.get(source) != "sensor":
            kinds[source] = "person"
        else:
            kinds.setdefault(source, "device")
    placed = Offset(0, 0, 0) if len(kinds) > 1 else None
    sources = tuple(Source(name, name, kind, "marks", "utc", clock=placed) for name, kind in kinds.items())
    return Event(context, sources, table, ())


def _problems(events: list[str], told: list[tuple[int, Problem]]) -> pa.Table:
    columns = [[events[number] for number, _ in told]]
    columns += [[getattr(one, name) for _, one in told] for name in PROBLEMS.names[1:]]
    return pa.Table.from_arrays([text_array(repeated(column)) for column in columns], schema=PROBLEMS)

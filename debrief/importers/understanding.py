"""What was understood of a file, as plain data, for a page on which somebody checks it and answers."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from itertools import islice
from math import isnan
from pathlib import Path
from typing import Any

import numpy as np

from debrief.errors import UnreadableFile
from debrief.importers import labels
from debrief.importers.cells import texts_of
from debrief.importers.grid import text_of
from debrief.importers.headings import Sure
from debrief.importers.mapping import Answer, Mapping, Meaning
from debrief.importers.notices import Choice, Question, gather
from debrief.importers.opening import Opened, open_file
from debrief.importers.reading import Reader
from debrief.importers.ready import ReadyMarks
from debrief.importers.settings import Settings
from debrief.model.columns import MISSING
from debrief.model.event import Scale, SourceKind
from debrief.model.problems import Problem
from debrief.model.times import DAY_US, US
from debrief.words import say

_ROWS = 20
_SAMPLES = 3


@dataclass(frozen=True)
class ColumnSeen:
    """One column, what it was taken for, how sure that is, and its first cells that hold anything."""

    name: str
    meaning: Meaning
    sure: Sure
    unit: str | None
    samples: tuple[str, ...]


@dataclass(frozen=True)
class LabelSeen:
    """One label of the file: how often it stands there, and what it was taken for.

    ``key`` is what a ``Mapping`` calls it by. ``sure`` is ``known``, ``answered`` or ``unmapped``; then
    ``suggestions`` are what it may mean, best first.
    """

    key: str
    label: str
    count: int
    kind: str
    detail: str | None
    amount: float | None
    unit: str | None
    sure: str
    suggestions: tuple[Answer, ...]


@dataclass(frozen=True)
class MarkSeen:
    """One row as it would be read. ``clock`` is its time on the source's own clock, for reading."""

    place: str
    time_text: str
    clock: str
    kind: str
    detail: str | None
    amount: float | None
    unit: str | None
    route: str | None
    label: str
    note: str | None


@dataclass(frozen=True)
class Understanding:
    """A file as it was understood.

    ``mapping`` holds what stands answered so far, with every column named: change it and ask again, then
    ``mapping.remember`` it. ``rows`` are the first rows of the sheet as text, the heading among them.
    """

    file: str
    importer: str
    encoding: str | None
    delimiter: str | None
    sheet: str | None
    sheets: tuple[str, ...]
    heading: str | None
    row_count: int
    columns: tuple[ColumnSeen, ...]
    labels: tuple[LabelSeen, ...]
    rows: tuple[tuple[str, ...], ...]
    questions: tuple[Question, ...]
    problems: tuple[Problem, ...]
    preview: tuple[MarkSeen, ...]
    scale: Scale | None
    kind: SourceKind | None
    mapping: Mapping
    remembered: bool

    def to_dict(self) -> dict[str, Any]:
        """Return all of it as plain data for JSON."""
        return asdict(self)


def understand(path: Path, settings: Settings | None = None) -> Understanding:
    """Return how a file is understood, with the questions that are open.

    A file whose columns are not known is no error here: the question says which ones are missing.

    Raises
    ------
    UnreadableFile
        Where the file cannot be opened at all, or holds a heading alone.
    """
    opened = open_file(path, settings or Settings())[0]
    reader = opened.reader
    if isinstance(reader, ReadyMarks):
        return _of_ready(opened, reader)
    questions = [opened.sheet_question] if opened.sheet_question else []
    questions += _missing_columns(reader)
    scale: Scale | None = None
    kind: SourceKind | None = None
    if not any(question.key.endswith("_column") for question in questions):
        reader.read()
        kind, scale = reader.kind(), reader.times.scale
        questions += reader.times.questions
    elif not len(reader.data_rows()):
        raise UnreadableFile(say("importing.heading_only", file=path.name))
    at = reader.layout.heading
    return Understanding(
        file=path.name,
        importer=opened.importer,
        encoding=opened.contents.encoding,
        delimiter=opened.contents.delimiter,
        sheet=reader.grid.sheet,
        sheets=tuple(grid.sheet for grid in opened.contents.grids if grid.sheet),
        heading=None if at is None else reader.grid.places[at],
        row_count=len(reader.marks) if reader.marks else 0,
        columns=_columns(reader),
        labels=_labels(reader),
        rows=tuple(tuple(map(text_of, row)) for row in reader.grid.head(_ROWS)),
        questions=tuple(questions),
        problems=gather((*opened.contents.notices, *reader.notices), path.stem),
        preview=tuple(_preview(reader, scale)),
        scale=scale,
        kind=kind,
        mapping=_standing(reader),
        remembered=opened.mapping_used,
    )


def _of_ready(opened: Opened, reader: ReadyMarks) -> Understanding:
    """Return a table of our own schema, of which nothing is asked: it is taken as it stands."""
    reader.read()
    rows = reader.marks.slice(0, _ROWS).to_pylist()
    return Understanding(
        file=opened.path.name,
        importer=opened.importer,
        encoding=None,
        delimiter=None,
        sheet=None,
        sheets=(),
        heading=None,
        row_count=len(reader.marks),
        columns=(),
        labels=(),
        rows=(),
        questions=(),
        problems=gather(reader.notices, opened.path.stem),
        preview=tuple(_seen(row, reader.times.scale) for row in rows),
        scale=reader.times.scale,
        kind=reader.kind(),
        mapping=Mapping(),
        remembered=False,
    )


def _seen(row: dict[str, Any], scale: Scale | None) -> MarkSeen:
    kept = {name: row[name] for name in ("kind", "detail", "amount", "unit", "route", "label", "note")}
    start = MISSING if row["source_time"] is None else row["source_time"]
    return MarkSeen(row["place"], row["time_text"], _clock(start, scale), **kept)


def _missing_columns(reader: Reader) -> list[Question]:
    """Return the questions which column holds the times and which the marks, where nothing tells."""
    choices = tuple(Choice(column.name, column.name) for column in reader.layout.columns)
    return [
        Question(f"{missing}_column", say(f"importing.ask_{missing}_column"), choices, None)
        for missing in reader.missing_columns()
    ]


def _columns(reader: Reader) -> tuple[ColumnSeen, ...]:
    at = reader.layout.heading
    found = []
    for column in reader.layout.columns:
        texts = texts_of(reader.grid, column.index)
        below = texts if at is None else texts.take(np.arange(len(texts)) > at)
        filled = tuple(islice(filter(None, below), _SAMPLES))
        found.append(ColumnSeen(column.name, column.meaning, column.sure, column.unit, filled))
    return tuple(found)


def _labels(reader: Reader) -> tuple[LabelSeen, ...]:
    """Return the labels of the file, those that are not understood first, then the most frequent."""
    if reader.marks is None:
        return ()
    marked = reader.marks.label
    codes, first, counts = np.unique(marked.codes, return_index=True, return_counts=True)
    seen: dict[str, tuple[str, int]] = {}
    for at in np.argsort(first):
        label = marked.values[codes[at]]
        key = labels.key_of(label)
        seen[key] = (seen.get(key, (label, 0))[0], seen.get(key, (label, 0))[1] + int(counts[at]))
    found = []
    for key, (label, count) in seen.items():
        answer = reader.mapping.labels.get(key)
        meant = labels.understand(label, reader.grid.decimal_comma)
        sure = "answered" if answer else "known" if meant.known else "unmapped"
        likely = labels.suggestions(label) if sure == "unmapped" else []
        found.append(
            LabelSeen(
                key=key,
                label=label,
                count=count,
                kind=answer.kind if answer else meant.kind,
                detail=answer.detail if answer else meant.detail,
                amount=answer.amount if answer else meant.reading.value,
                unit=answer.unit if answer else meant.reading.unit,
                sure=sure,
                suggestions=tuple(Answer(sense.kind, sense.detail) for sense in likely),
            )
        )
    return tuple(sorted(found, key=lambda seen: (seen.sure != "unmapped", -seen.count)))


def _preview(reader: Reader, scale: Scale | None) -> Iterator[MarkSeen]:
    """Yield the first rows as they would be read."""
    marks, rows = reader.marks, reader.rows
    if marks is None or rows is None:
        return
    for row in range(min(_ROWS, len(rows))):
        amount = float(marks.amount[row])
        yield MarkSeen(
            place=rows.places[row],
            time_text=reader.time_texts[row],
            clock=_clock(int(reader.times.source_time[row]), scale),
            kind=marks.kind[row],
            detail=marks.detail[row],
            amount=None if isnan(amount) else amount,
            unit=marks.unit[row],
            route=marks.route[row],
            label=marks.label[row],
            note=marks.note[row],
        )


def _clock(source_time: int, scale: Scale | None) -> str:
    """Return a time on the source's clock for reading, empty where there is none."""
    if source_time == MISSING:
        return ""
    sign = "-" if source_time < 0 and scale == "elapsed" else ""
    within = abs(source_time) if scale == "elapsed" else source_time % DAY_US
    seconds, fraction = divmod(within, US)
    text = f"{sign}{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}"
    return f"{text}.{fraction:06}".rstrip("0") if fraction else text


def _standing(reader: Reader) -> Mapping:
    """Return the answers as they stand, every column with what it is taken for."""
    return replace(
        reader.mapping,
        layout=reader.layout.digest,
        columns={column.name: column.meaning for column in reader.layout.columns},
    )

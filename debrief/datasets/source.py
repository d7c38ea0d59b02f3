"""What a dataset of marks is made of: stretches of Parquet files, and what is known of its events."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import lru_cache
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from debrief.datasets.order import COLUMNS, ROWS
from debrief.errors import UnreadableFile
from debrief.model.event import FLAGS, Context
from debrief.words import say

STRETCH_ROWS = 500_000
"""Rows of a file that are read at once, or one row group where that has more."""
NEEDED = ("event_id", "source_id", "place", "source_time", "cell", "time", "kind", "origin")
TAKEN_OUT = "taken_out"
"""A column of an export: a reviewer took this mark out."""
EVENTS = "events.parquet"


@dataclass(frozen=True)
class Stretch:
    """Some row groups of a file, from ``first`` up to ``last``."""

    path: Path
    sha256: str
    first: int
    last: int
    rows: int


@dataclass(frozen=True)
class Dataset:
    """Stretches of marks; ``events``: the file that tells of the events; ``unread``: sentences on files."""

    stretches: tuple[Stretch, ...]
    events: Path | None
    inputs: Mapping[str, str]
    unread: tuple[str, ...] = field(default=())

    @property
    def rows(self) -> int:
        """How many marks it has."""
        return sum(one.rows for one in self.stretches)


def dataset(path: Path) -> Dataset:
    """Return the marks of a file or folder.

    A folder is an export (``marks.parquet``, or a folder ``marks``, beside ``events.parquet``), or every
    Parquet file in it holds marks.

    Raises
    ------
    UnreadableFile
        Where there is nothing of the kind, or ``events.parquet`` cannot be read.
    """
    events = path / EVENTS if (path / EVENTS).is_file() else None
    files = _files(path, events)
    if not files:
        raise UnreadableFile(say("datasets.no_files", path=path))
    stretches: list[Stretch] = []
    unread: list[str] = []
    inputs: dict[str, str] = {}
    for file in files:
        try:
            digest = _digest(file)
            stretches += _stretches(file, digest)
            inputs[file.relative_to(path).as_posix() if path.is_dir() else file.name] = digest
        except (pa.ArrowException, OSError, ValueError) as error:
            unread.append(say("datasets.unread_file", file=file, reason=_short(error)))
    if events:
        inputs[EVENTS] = _digest(events)
        _context_table(events)
    return Dataset(tuple(stretches), events, inputs, tuple(unread))


def _files(path: Path, events: Path | None) -> list[Path]:
    if path.is_file():
        return [path]
    marks = path / "marks.parquet"
    if marks.is_file():
        return [marks]
    home = path / "marks" if (path / "marks").is_dir() else path
    return sorted(one for one in home.rglob("*.parquet") if one != events)


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _stretches(path: Path, digest: str) -> list[Stretch]:
    with pq.ParquetFile(path) as file:
        missing = [name for name in NEEDED if name not in file.schema_arrow.names]
        if missing:
            raise ValueError(say("datasets.no_column", columns=", ".join(missing)))
        rows = [file.metadata.row_group(at).num_rows for at in range(file.metadata.num_row_groups)]
    found: list[Stretch] = []
    first = held = 0
    for at, count in enumerate([*rows, STRETCH_ROWS]):
        if held and held + count > STRETCH_ROWS:
            found.append(Stretch(path, digest, first, at, held))
            first, held = at, 0
        held += count
    return found


def read(stretch: Stretch) -> pa.Table:
    """Return the marks of a stretch, of `ROWS`; those that a reviewer took out are left.

    Raises
    ------
    UnreadableFile
        Where it cannot be read, or a column is of another type.
    """
    try:
        with pq.ParquetFile(stretch.path) as file:
            names = [*COLUMNS, TAKEN_OUT]
            there = [name for name in names if name in file.schema_arrow.names]
            table = file.read_row_groups(range(stretch.first, stretch.last), columns=there, use_threads=False)
        return in_columns(table)
    except (pa.ArrowException, OSError, OverflowError) as error:
        groups = f"{stretch.first + 1}-{stretch.last}"
        told = say("datasets.unread_stretch", file=stretch.path, groups=groups, reason=_short(error))
        raise UnreadableFile(told) from error


def in_columns(table: pa.Table) -> pa.Table:
    """Return marks read from elsewhere in the columns of `ROWS`, without those taken out."""
    if TAKEN_OUT in table.schema.names:
        table = table.filter(pc.invert(pc.fill_null(table[TAKEN_OUT], False)))
    nothing = {name: pa.nulls(len(table), ROWS.field(name).type) for name in COLUMNS}
    columns = [table[name] if name in table.schema.names else nothing[name] for name in COLUMNS]
    return pa.table(columns, names=list(COLUMNS)).cast(ROWS)


def contexts(events: Path | pa.Table | None, names: pa.ChunkedArray) -> dict[str, Context]:
    """Return what is known of events beside their marks, by their names, which may stand more than once."""
    if events is None:
        return {}
    table = events if isinstance(events, pa.Table) else _context_table(events)
    rows = table.filter(pc.is_in(table["event_id"], value_set=names.unique())).to_pylist()
    return {row["event_id"]: Context(**row) for row in rows}


@lru_cache(maxsize=2)
def _context_table(path: Path) -> pa.Table:
    known = [one.name for one in fields(Context)]
    try:
        with pq.ParquetFile(path) as file:
            there = [name for name in known if name in file.schema_arrow.names]
            if "event_id" not in there:
                raise UnreadableFile(say("datasets.no_events", file=path))
            table = file.read(columns=there)
        return table.cast(pa.schema([(name, _type(name)) for name in table.schema.names]))
    except (pa.ArrowException, OSError) as error:
        raise UnreadableFile(say("datasets.bad_events", file=path, reason=_short(error))) from error


def context_table(path: Path | None) -> pa.Table | None:
    """Return what a file tells of events as a table, null where there is no file."""
    return None if path is None else _context_table(path)


def _type(name: str) -> Any:  # noqa: ANN401 - the package has no types
    if name in ("age_years", "weight_kg"):
        return pa.float64()
    if name == "cerebral_performance":
        return pa.int64()
    return pa.bool_() if name in FLAGS else pa.string()


def _short(error: Exception) -> str:
    return str(getattr(error, "strerror", None) or error).strip().splitlines()[0][:200]

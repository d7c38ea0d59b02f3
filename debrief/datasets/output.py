"""The result: figures and problems as one Parquet file each, and what they were made from.

Rows stand in the order of the ring (`order.ring`, then the event's name), figures of an event in their own
order. Row groups are cut by number of rows alone. So the same marks give the same bytes, whatever the
partitions, the workers, the engine or the files they came in.
"""

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq

from debrief.datasets.partition import FIGURES, PROBLEMS
from debrief.datasets.pieces import unpacked
from debrief.words import ENGLISH, say, speaking

GROUP_ROWS = 500_000
FORMAT = "debrief-dataset-1"


def write(pieces: Sequence[Path], output: Path, about: dict[str, Any]) -> dict[str, int]:
    """Write ``figures.parquet``, ``problems.parquet`` and ``about.json``, each whole or not at all.

    Parameters
    ----------
    pieces
        Measured partitions, in the order of the ring.
    about
        What the figures were made from and by.

    Returns
    -------
    dict
        How many rows each table has.

    Raises
    ------
    OSError
        Where the folder cannot be written.
    """
    output.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(dir=output, prefix=".writing-") as name:
        draft = Path(name)
        tables = {"figures": FIGURES, "problems": PROBLEMS}
        writers = {one: _Writer(draft / f"{one}.parquet", schema) for one, schema in tables.items()}
        for path in pieces:
            made = unpacked(path)
            writers["figures"].add(made.figures)
            writers["problems"].add(made.problems)
        rows = {one: writer.close() for one, writer in writers.items()}
        with speaking(ENGLISH):
            full = {"format": FORMAT, **about, "rows": rows, "caution": say("pages.caution")}
        text = json.dumps(full, ensure_ascii=False, indent=1, sort_keys=True)
        (draft / "about.json").write_text(f"{text}\n", encoding="utf-8")
        for made_file in sorted(draft.iterdir()):
            made_file.replace(output / made_file.name)
    return rows


class _Writer:
    """Writes tables of one schema into a file, row groups cut anew."""

    def __init__(self, path: Path, schema: pa.Schema) -> None:
        self.file = pq.ParquetWriter(path, schema, compression="zstd")
        self.schema = schema
        self.rows = 0
        self.waiting: list[pa.Table] = []

    def add(self, table: pa.Table) -> None:
        """Take in a table, and write what fills groups."""
        self.waiting.append(table)
        held = pa.concat_tables(self.waiting)
        while len(held) >= GROUP_ROWS:
            self._write(held.slice(0, GROUP_ROWS))
            held = held.slice(GROUP_ROWS)
        self.waiting = [held]

    def close(self) -> int:
        """Write the rest and return how many rows the file has."""
        for rest in self.waiting:
            if len(rest):
                self._write(rest)
        self.file.close()
        return self.rows

    def _write(self, table: pa.Table) -> None:
        self.rows += len(table)
        whole = pa.Table.from_batches(self._one_batch(table), self.schema)
        self.file.write_table(whole, row_group_size=GROUP_ROWS)

    def _one_batch(self, table: pa.Table) -> Iterator[pa.RecordBatch]:
        """Return the rows as one batch in memory of their own: where pages end hangs on batches."""
        yield from table.combine_chunks().to_batches(max_chunksize=GROUP_ROWS)

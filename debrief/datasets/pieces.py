"""The two steps of the work, and what they leave: rows set apart by partition, and partitions measured."""

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
import pyarrow as pa

from debrief.assess import Asked
from debrief.datasets.kept import Kept
from debrief.datasets.order import ROWS, partition_of
from debrief.datasets.partition import Made, measured
from debrief.datasets.source import Stretch, contexts, read
from debrief.model.columns import int_array

_PACKED = pa.ipc.IpcWriteOptions(compression="lz4")


def set_apart(stretch: Stretch, partitions: int, key: str, folder: Path) -> Path:
    """Keep the rows of a stretch by partition: one batch a partition, in their order.

    Raises
    ------
    UnreadableFile
        Where the stretch cannot be read.
    OSError
        Where nothing can be written.
    """
    table = read(stretch)
    of = partition_of(table["event_id"].combine_chunks(), partitions)
    turn = np.argsort(of, kind="stable")
    table = table.take(int_array(turn)).combine_chunks()
    edges = np.searchsorted(of[turn], np.arange(partitions + 1)).tolist()
    sink = pa.BufferOutputStream()
    with pa.ipc.new_file(sink, ROWS, options=_PACKED) as writer:
        for first, last in pairwise(edges):
            some = table.slice(first, last - first).combine_chunks()
            arrays = [column.chunk(0) if len(some) else pa.nulls(0, column.type) for column in some.columns]
            writer.write_batch(pa.RecordBatch.from_arrays(arrays, schema=ROWS))
    return Kept(folder).put(key, sink.getvalue())


def measure_one(
    parts: Sequence[Path], number: int, events: Path | None, asked: Asked, key: str, folder: Path
) -> Path:
    """Keep the figures and problems of a partition whose rows stand in pieces of `set_apart`.

    Raises
    ------
    OSError
        Where nothing can be written.
    """
    batches = []
    for path in parts:
        with pa.memory_map(str(path)) as file:
            batches.append(pa.ipc.open_file(file).get_batch(number))
    marks = pa.Table.from_batches(batches, ROWS)
    known = contexts(events, marks["event_id"])
    return Kept(folder).put(key, packed(measured(marks, known, asked)))


def packed(made: Made) -> pa.Buffer:
    """Return what was made of a partition as bytes: two streams of Arrow, one after the other."""
    sink = pa.BufferOutputStream()
    for table in (made.figures, made.problems):
        with pa.ipc.new_stream(sink, table.schema, options=_PACKED) as writer:
            writer.write_table(table)
    return sink.getvalue()


def unpacked(path: Path) -> Made:
    """Return what was made of a partition, from the file of its piece."""
    with pa.OSFile(str(path)) as file:
        return Made(*(pa.ipc.open_stream(file).read_all() for _ in range(2)))

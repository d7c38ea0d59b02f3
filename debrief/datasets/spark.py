"""Measure a dataset on many machines: the same function, by Spark, on stretches of the ring."""

import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pyarrow as pa

from debrief.assess import Asked
from debrief.datasets.kept import Kept
from debrief.datasets.order import COLUMNS, RING, ROWS
from debrief.datasets.order import empty as no_rows
from debrief.datasets.partition import measured
from debrief.datasets.pieces import packed
from debrief.datasets.running import Outcome, Progress, key_of, partitions_for
from debrief.datasets.source import TAKEN_OUT, Dataset, context_table, contexts, in_columns
from debrief.errors import BadSetting, CutShort
from debrief.registry.measuring import How
from debrief.words import say

LOCAL = "local[*]"


def measure_by_spark(
    found: Dataset,
    asked: Asked,
    folder: Path,
    progress: Progress,
    *,
    master: str = LOCAL,
    partitions: int = 0,
) -> Outcome:
    """Measure a dataset by Spark; what is measured comes back to this machine, partition by partition.

    Parameters
    ----------
    master
        The address of the cluster.
    found, asked, folder, progress, partitions
        As `running.measure_here` has them.

    Raises
    ------
    BadSetting
        Where Spark is not installed.
    CutShort
        Where Spark gives up; what came back before is kept.
    """
    partitions = partitions or partitions_for(found.rows)
    parameters = How(asked).parameters
    stretches = sorted((one.sha256, one.first, one.last) for one in found.stretches)
    about = found.events and found.inputs[found.events.name]
    keys = [key_of("spark", parameters, about, stretches, number, partitions) for number in range(partitions)]
    kept = Kept(folder)
    pieces = {number: path for number, key in enumerate(keys) if (path := kept.path(key))}
    missing = [number for number in range(partitions) if number not in pieces]
    progress("measured", len(pieces), partitions)
    if missing and found.stretches:
        for number, content in _by_spark(found, asked, master, partitions, missing):
            pieces[number] = kept.put(keys[number], content)
            progress("measured", len(pieces), partitions)
    return Outcome(tuple(pieces[number] for number in sorted(pieces)), found.unread)


def _by_spark(
    found: Dataset, asked: Asked, master: str, partitions: int, missing: list[int]
) -> Iterator[tuple[int, bytes]]:
    """Yield partitions as they come back: their number, and what was made of them."""
    try:
        from pyspark import StorageLevel  # noqa: PLC0415 - an extra
        from pyspark.errors import PySparkException  # noqa: PLC0415
        from pyspark.sql import SparkSession  # noqa: PLC0415
        from pyspark.sql import functions as sql  # noqa: PLC0415
    except ImportError as error:
        raise BadSetting(say("datasets.no_spark")) from error
    os.environ.setdefault("PYSPARK_PYTHON", sys.executable)
    try:
        session = (
            SparkSession.builder.master(master)
            .appName("debrief")
            .config("spark.ui.enabled", "false")
            .config("spark.sql.execution.arrow.maxRecordsPerBatch", "100000")
            .config("spark.sql.adaptive.enabled", "false")
            .config("spark.sql.shuffle.partitions", str(len(missing)))
            .getOrCreate()
        )
    except (PySparkException, OSError, RuntimeError) as error:
        raise BadSetting(say("datasets.no_session", master=master, reason=_short(error))) from error
    try:
        paths = sorted({str(one.path.resolve()) for one in found.stretches})
        marks = session.read.option("mergeSchema", "true").parquet(*paths)
        there = [name for name in (*COLUMNS, TAKEN_OUT) if name in marks.columns]
        place = sql.crc32(sql.coalesce(sql.col("event_id"), sql.lit("")).cast("binary"))
        number = sql.floor(place * sql.lit(partitions) / sql.lit(RING)).cast("int")
        marks = marks.select(*there).withColumn("partition", number)
        if len(missing) < partitions:
            marks = marks.where(sql.col("partition").isin(missing))
        work = _work(context_table(found.events), asked)
        result = marks.groupBy("partition").applyInArrow(work, "partition int, content binary")
        result = result.persist(StorageLevel.DISK_ONLY)
        result.count()  # all at once: fetched one by one they would be measured one by one
        back = set()
        for row in result.toLocalIterator():
            back.add(row["partition"])
            yield row["partition"], bytes(row["content"])
        for empty in sorted(set(missing) - back):
            yield empty, packed(measured(no_rows(ROWS), {}, asked)).to_pybytes()
    except PySparkException as error:
        raise CutShort(say("datasets.spark_failed", reason=_short(error))) from error
    finally:
        session.stop()


def _work(events: pa.Table | None, asked: Asked) -> Callable[[Any, pa.Table], pa.Table]:
    def work(key: tuple[Any, ...], rows: pa.Table) -> pa.Table:
        marks = in_columns(rows)
        made = measured(marks, contexts(events, marks["event_id"]), asked)
        content = packed(made).to_pybytes()
        return pa.table({"partition": pa.array([key[0].as_py()], pa.int32()), "content": [content]})

    return work


def _short(error: Exception) -> str:
    return str(error).strip().splitlines()[0][:300]

"""Measure a dataset or a registry on one machine: in processes, going on where it was stopped."""

import json
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from debrief import __version__
from debrief.assess import Asked
from debrief.datasets.kept import Kept
from debrief.datasets.pieces import measure_one, set_apart
from debrief.datasets.source import Dataset
from debrief.errors import CutShort, DebriefError
from debrief.model.contract import DEFINITIONS
from debrief.registry.measuring import How, end_with_parent
from debrief.words import say

PARTITION_ROWS = 250_000
"""Marks of a partition, about; a process holds one at a time."""
UNFINISHED = "unfinished"

Progress = Callable[[str, int, int], None]
"""Is told which step goes on, how many of its pieces are done, and of how many."""


@dataclass(frozen=True)
class Job:
    """Work that leaves a piece: ``work(*parts, key, folder)`` keeps it under its key."""

    key: str
    work: Callable[..., Path]
    parts: tuple[Any, ...]


@dataclass(frozen=True)
class Outcome:
    """Measured partitions in the order of the ring, and sentences on what could not be read."""

    pieces: tuple[Path, ...]
    unread: tuple[str, ...]


def key_of(*parts: object) -> str:
    """Return what a piece is made from and by, as text."""
    return json.dumps([__version__, DEFINITIONS, *map(str, parts)])


def partitions_for(rows: int) -> int:
    """Return into how many partitions so many marks are best put."""
    return max(1, -(-rows // PARTITION_ROWS))


def measure_here(
    found: Dataset, asked: Asked, folder: Path, progress: Progress, *, partitions: int = 0, workers: int = 0
) -> Outcome:
    """Measure a dataset in processes on this machine.

    Parameters
    ----------
    found, asked
        What, and how.
    folder
        Where pieces are kept until all is done.
    progress
        Is told how far it is.
    partitions, workers
        How many; 0 for what fits the dataset and the machine.

    Raises
    ------
    CutShort
        Where a process was ended from outside; what is done is kept.
    OSError
        Where pieces cannot be written.
    """
    partitions = partitions or partitions_for(found.rows)
    apart = [
        Job(
            key_of("apart", one.sha256, one.first, one.last, partitions),
            set_apart,
            (one, partitions),
        )
        for one in found.stretches
    ]
    with processes(workers) as pool:
        rows, unread = done(apart, folder, pool, "apart", progress)
        parameters, about = How(asked).parameters, found.events and found.inputs[found.events.name]
        names = sorted(path.name for path in rows)
        jobs = [
            Job(
                key_of("measured", parameters, about, number, names),
                measure_one,
                (tuple(rows), number, found.events, asked),
            )
            for number in range(partitions)
        ]
        pieces, failed = done(jobs if rows else [], folder, pool, "measured", progress)
    return Outcome(tuple(pieces), (*found.unread, *unread, *failed))


@contextmanager
def processes(workers: int) -> Iterator[ProcessPoolExecutor | None]:
    """Give processes that end with this one, one a processor; none where one is enough."""
    workers = workers or os.cpu_count() or 1
    if workers == 1:
        yield None
        return
    pool = ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=end_with_parent)
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


def done(
    jobs: Sequence[Job], folder: Path, pool: ProcessPoolExecutor | None, step: str, progress: Progress
) -> tuple[list[Path], list[str]]:
    """Do what is not done yet; return the pieces in the order of the jobs, and why others could not be made.

    Raises
    ------
    CutShort
        Where a process was ended from outside.
    """
    kept = Kept(folder)
    found = {at: path for at, job in enumerate(jobs) if (path := kept.path(job.key))}
    failed: dict[int, str] = {}
    progress(step, len(found), len(jobs))
    for at, result in _results(jobs, [at for at in range(len(jobs)) if at not in found], folder, pool):
        try:
            found[at] = result()
        except DebriefError as error:
            failed[at] = str(error)
        except BrokenProcessPool as error:
            raise CutShort(say("datasets.cut_short", folder=folder.parent)) from error
        progress(step, len(found) + len(failed), len(jobs))
    return [found[at] for at in sorted(found)], [failed[at] for at in sorted(failed)]


def _results(
    jobs: Sequence[Job], numbers: Sequence[int], folder: Path, pool: ProcessPoolExecutor | None
) -> Iterator[tuple[int, Callable[[], Path]]]:
    if pool is None:
        for at in numbers:
            yield at, lambda at=at: jobs[at].work(*jobs[at].parts, jobs[at].key, folder)  # type: ignore[misc]
        return
    begun: dict[Future[Path], int] = {}
    for at in numbers:
        begun[pool.submit(jobs[at].work, *jobs[at].parts, jobs[at].key, folder)] = at
    for future in as_completed(begun):
        yield begun[future], future.result

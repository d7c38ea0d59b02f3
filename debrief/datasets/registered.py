"""The events of a registry in partitions: each laid down, read and measured as the registry does it."""

from collections.abc import Sequence
from pathlib import Path

import pyarrow as pa

from debrief.assess import Asked
from debrief.datasets.kept import Kept
from debrief.datasets.order import RING, ring
from debrief.datasets.partition import FIGURES, PROBLEMS, Made
from debrief.datasets.pieces import packed
from debrief.datasets.running import Job, Outcome, Progress, done, key_of, processes
from debrief.importers import Settings
from debrief.registry.adding import how_for
from debrief.registry.listing import stale
from debrief.registry.measuring import measured_or_why
from debrief.registry.store import Registry

PARTITION_EVENTS = 200


def measure_registry(
    where: str | None,
    asked: Asked,
    settings: Settings,
    folder: Path,
    progress: Progress,
    *,
    partitions: int = 0,
    workers: int = 0,
) -> tuple[Outcome, dict[str, str]]:
    """Measure every event of a registry in processes on this machine.

    Parameters
    ----------
    where
        The registry; null for the user's.
    settings
        How its files are read, beside the answers for layouts that it remembers.
    asked, folder, progress, partitions, workers
        As `running.measure_here` has them.

    Returns
    -------
    outcome
        What was measured.
    inputs
        The digest of each event, by its name.

    Raises
    ------
    CutShort, NotKept, BadSetting
        As `running.measure_here`, and where there is no registry.
    """
    with Registry(where) as registry:
        events = sorted(stale(registry, ""), key=lambda event: (ring(event[0]), event[0]))
        parameters = how_for(registry, asked, settings).parameters
    partitions = partitions or max(1, -(-len(events) // PARTITION_EVENTS))
    parts: list[list[tuple[str, str]]] = [[] for _ in range(partitions)]
    for event in events:
        parts[ring(event[0]) * partitions // RING].append(event)
    jobs = [
        Job(key_of("registry", parameters, part), measure_some, (where, tuple(part), asked, settings))
        for part in parts
        if part
    ]
    with processes(workers) as pool:
        pieces, failed = done(jobs, folder, pool, "measured", progress)
    return Outcome(tuple(pieces), tuple(failed)), dict(events)


def measure_some(
    where: str | None,
    events: Sequence[tuple[str, str]],
    asked: Asked,
    settings: Settings,
    key: str,
    folder: Path,
) -> Path:
    """Keep the figures and problems of some events of a registry, in their order."""
    figures, problems = [], []
    with Registry(where) as registry:
        how = how_for(registry, asked, settings)
        for name, _ in events:
            found = measured_or_why(registry.contents(name), how)
            if isinstance(found, str):
                told = {"severity": "blocking", "code": "not_read", "message": found}
                problems.append({"event_id": name, **told})
                continue
            figures += [{**row, "event_id": name} for row in found.figures]
            problems += [{**row, "event_id": name} for row in found.problems]
    made = Made(pa.Table.from_pylist(figures, FIGURES), pa.Table.from_pylist(problems, PROBLEMS))
    return Kept(folder).put(key, packed(made))

"""Measure with bounds, while somebody else works, what has none yet or was changed since it was measured."""

import json
import logging
from collections.abc import Callable
from threading import Event, Thread
from typing import Any

import sqlalchemy as sa

from debrief.errors import DebriefError
from debrief.model.contract import DEFINITIONS
from debrief.registry import tables
from debrief.registry.adding import rebuild
from debrief.registry.measuring import ANSWERABLE, How
from debrief.registry.store import Registry

EVERY_S = 3.0
"""How often it is looked whether there is something to measure. [s]"""


class Background:
    """Measures in a thread of its own, the event that was added last first.

    Parameters
    ----------
    registry
        Gives the registry; null while there is none.
    how
        Gives how to measure, with bounds, as the answers about layouts stand.
    """

    def __init__(self, registry: Callable[[], Registry | None], how: Callable[[], How]) -> None:
        self._registry, self._how = registry, how
        self._ended = Event()
        self._thread = Thread(target=self._run, name="bounds", daemon=True)
        self._done: object = None
        self._refused: set[tuple[str, str, str]] = set()

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """End after the event that is being measured."""
        self._ended.set()
        self._thread.join()

    def _run(self) -> None:
        told = ""
        while not self._ended.wait(EVERY_S):
            try:
                self.look()
                told = ""
            except DebriefError as error:  # locked, out of reach: the pages say so to whoever is there
                if told != str(error):
                    logging.getLogger("debrief").warning("bounds wait: %s", error)
                told = str(error)

    def look(self) -> int:
        """Measure all that waits, and return how many were.

        Raises
        ------
        DebriefError
            Where the registry cannot be read or written; what was measured before is kept.
        """
        registry = self._registry()
        if registry is None:
            return 0
        how = self._how()
        state = _state(registry), how.parameters
        if state == self._done:
            return 0
        waiting = [
            (name, digest)
            for name, digest in unfinished(registry, how)
            if (name, digest, how.parameters) not in self._refused
        ]
        digests, count = dict(waiting), 0
        for name, outcome in rebuild(registry, how, waiting):
            if isinstance(outcome, str):
                self._refused.add((name, digests[name], how.parameters))
            count += 1
            if self._ended.is_set():
                return count
        self._done = state
        return count


def unfinished(registry: Registry, how: How) -> list[tuple[str, str]]:
    """Return the events without bounds, or changed since they were measured, each with its digest.

    Those that somebody measured otherwise, as by another edition, stay as they are.
    """
    event, measured = tables.event, tables.measurement
    query = (
        sa.select(
            event.c.name,
            event.c.digest,
            measured.c.digest.label("measured_from"),
            measured.c.definitions,
            measured.c.parameters,
            measured.c.status,
        )
        .join(measured, measured.c.event == event.c.id, isouter=True)
        .where(event.c.removed_at.is_(None))
        .order_by(event.c.id.desc())
    )
    layouts = json.loads(how.parameters)["layouts"]
    with registry.database.reading() as connection:
        rows = connection.execute(query).all()
    return [(row.name, row.digest) for row in rows if _waits(row, layouts)]


def _waits(row: Any, layouts: str) -> bool:  # noqa: ANN401 - a row, its columns as attributes
    if row.measured_from != row.digest or row.definitions != DEFINITIONS:
        return True
    told = json.loads(row.parameters)
    return not told["draws"] or (row.status in ANSWERABLE and told["layouts"] != layouts)


def _state(registry: Registry) -> tuple[object, ...]:
    """Return what is another one after every change of the registry."""
    counts = [sa.select(sa.func.max(table.c.id)) for table in (tables.event, tables.audit)]
    with registry.database.reading() as connection:
        return tuple(connection.scalar(query) for query in counts)

"""Bring events in, and measure what is stale: many at once, each kept before it is told."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from debrief.assess import Asked
from debrief.errors import DebriefError
from debrief.importers import Found, Settings, understand
from debrief.registry.arriving import Added
from debrief.registry.folders import Contents
from debrief.registry.incoming import Incoming, incoming
from debrief.registry.listing import stale
from debrief.registry.measuring import ANSWERABLE, How, Measured, measuring
from debrief.registry.store import Registry

MOST_AT_ONCE = 64
MOST_BYTES_AT_ONCE = 50_000_000
"""How many events, of how many bytes, are read before they are kept."""


@dataclass(frozen=True)
class Refused:
    """An event that could not be added or measured, and why."""

    event: str
    why: str


def add_events(
    registry: Registry, events: Sequence[Found], how: How, *, times: str | None = None, role: str = ""
) -> Iterator[Added | Refused]:
    """Add events and yield what became of each, in their order, once it is kept.

    Parameters
    ----------
    registry
        Where to.
    events
        As `incoming.found_in` finds them.
    how
        How to read and measure them.
    times
        What times in two parts mean, where an event does not say.
    role
        Who adds them, by role.

    Raises
    ------
    NotKept
        Where the registry cannot be written; what was yielded is kept.
    """
    with measuring(how, len(events)) as measure:
        before: _Batch | None = None
        for batch in _batches(events, times):
            arrivals = [one for one in batch if isinstance(one, Incoming)]
            known = registry.known(one.identity for one in arrivals)
            fresh = [one for one in arrivals if one.identity not in known]
            begun = _Batch(batch, fresh, measure([_contents(one) for one in fresh]))
            if before:  # kept while others are measured
                yield from before.keep(registry, role)
            before = begun
        if before:
            yield from before.keep(registry, role)


@dataclass(frozen=True)
class _Batch:
    """Events on their way: all of them, those that are new, and what is measured of these, in their order."""

    events: Sequence[Incoming | Refused]
    fresh: Sequence[Incoming]
    measured: Iterator[Measured | str]

    def keep(self, registry: Registry, role: str) -> Iterator[Added | Refused]:
        """Keep them and yield what became of each."""
        found = dict(zip(map(id, self.fresh), self.measured, strict=True))
        kept: list[tuple[Incoming, Measured | None]] = []
        refused: dict[int, Refused] = {}
        for one in self.events:
            measured = found.get(id(one))
            if isinstance(measured, str):
                refused[id(one)] = Refused(one.name if isinstance(one, Incoming) else one.event, measured)
            elif isinstance(one, Incoming):
                kept.append((one, measured))
        became = iter(registry.add(kept, role) if kept else [])
        for each in self.events:
            yield each if isinstance(each, Refused) else refused.get(id(each)) or next(became)


def _batches(events: Sequence[Found], times: str | None) -> Iterator[list[Incoming | Refused]]:
    batch: list[Incoming | Refused] = []
    size = 0
    for found in events:
        try:
            one = incoming(found, times)
            batch.append(one)
            size += sum(len(kept.content) for kept in one.files)
        except (DebriefError, OSError) as error:
            batch.append(Refused(found.label or str(found.paths[0]), str(error)))
        if len(batch) >= MOST_AT_ONCE or size > MOST_BYTES_AT_ONCE:
            yield batch
            batch, size = [], 0
    if batch:
        yield batch


def _contents(one: Incoming) -> Contents:
    return Contents(one.settings, one.files, one.lines)


def answer_layouts(registry: Registry, events: Sequence[Found], settings: Settings, role: str = "") -> None:
    """Remember the answers in `settings` for the layouts of these files, so that they are read so again.

    Files that cannot be opened are left for `add_events` to tell of.
    """
    for path in dict.fromkeys(path for found in events for path in found.paths):
        for file in sorted(path.iterdir()) if path.is_dir() else [path]:
            try:
                mapping = understand(file, replace(settings, only=None)).mapping
            except DebriefError:
                continue
            if mapping.layout:
                registry.remember(mapping, role)


def answered(registry: Registry, how: How, names: Sequence[str]) -> list[tuple[str, str]]:
    """Return which of these events answers about their layout may help by now, each with its digest."""
    return stale(registry, how.parameters, names, found=ANSWERABLE)


def waiting_for(registry: Registry, how: How, names: Sequence[str] | None = None) -> list[tuple[str, str]]:
    """Return the events whose figures are stale or not measured like this, each with its digest.

    Parameters
    ----------
    registry, how
        Which, and how to measure; ``how.asked.draws`` says whether bounds are wanted.
    names
        Events to look at; null for all.

    Raises
    ------
    BadSetting
        Where no event has one of these names.
    """
    for name in names or ():
        registry.check_held(name)
    return stale(registry, how.parameters, names)


def rebuild(
    registry: Registry, how: How, waiting: Sequence[tuple[str, str]]
) -> Iterator[tuple[str, Measured | str]]:
    """Measure events (as `waiting_for` gives them) and yield each once its figures are kept.

    Yields
    ------
    name, outcome
        The event, and what was measured, or the sentence that says why nothing was.
    """
    with measuring(how, len(waiting)) as measure:
        for start in range(0, len(waiting), MOST_AT_ONCE):
            batch = waiting[start : start + MOST_AT_ONCE]
            found = measure([registry.contents(name) for name, _ in batch])
            for (name, digest), outcome in zip(batch, found, strict=True):
                if isinstance(outcome, Measured):
                    registry.keep(name, digest, outcome)
                yield name, outcome


def how_for(registry: Registry, asked: Asked, settings: Settings) -> How:
    """Return how to measure what is in a registry: with the answers for layouts that it remembers."""
    return How(asked, replace(settings, remembered=registry.layouts(), mapping=None, times=None))

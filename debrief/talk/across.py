"""What came of the talks about many events: how many were held, how long, how many actions are closed."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from statistics import median

import sqlalchemy as sa

from debrief.importers.folder import TALK
from debrief.registry import tables
from debrief.registry.store import Registry
from debrief.talk.changes import MEETINGS
from debrief.talk.kept import talk_of


@dataclass(frozen=True)
class Held:
    """How many events were talked of, and how long half of the timed talks took at most; null for none timed.

    ``actions``: all that were set; ``closed``: of them, done or dropped.
    """

    talks: int
    half_took_s: float | None
    actions: int
    closed: int


def talks_held(registry: Registry, events: Collection[str]) -> Held:
    """Return what came of the talks about some events of a registry, by their names."""
    entry, event = tables.entry, tables.event
    query = sa.select(event.c.name, entry.c.content).join(event, entry.c.event == event.c.id)
    query = query.where(entry.c.stream == TALK).order_by(entry.c.id)
    lines: dict[str, list[bytes]] = defaultdict(list)
    with registry.database.reading() as connection:
        for row in connection.execute(query):
            lines[row.name].append(row.content)
    wanted = frozenset(events)
    talks = [talk_of(content) for name, content in lines.items() if name in wanted]
    met = [[one for name in MEETINGS if not (one := talk.meeting(name)).empty] for talk in talks]
    lengths = [length for meetings in met for one in meetings if (length := one.lasted_s()) > 0]
    actions = [action for talk in talks for action in talk.actions.values() if action.what.strip()]
    return Held(
        talks=sum(map(bool, met)),
        half_took_s=median(lengths) if lengths else None,
        actions=len(actions),
        closed=sum(action.status != "open" for action in actions),
    )

"""``debrief merge`` and ``debrief split``: two events that are one, and one that is two."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import click

from debrief.commands.keeping import role_option, why_option
from debrief.commands.shared import registry_option
from debrief.errors import BadSetting
from debrief.words import say

if TYPE_CHECKING:
    from debrief.registry.store import Registry

Command = Callable[..., None]


def _who(command: Command) -> Command:
    for option in (why_option, role_option, registry_option):
        command = option(command)
    return command


@click.command(help=say("registry.help_merge"))
@click.argument("events", nargs=-1, required=True, metavar="EVENT EVENT...")
@_who
def merge(events: tuple[str, ...], registry: str | None, role: str, why: str) -> None:
    """Make one event of several."""
    from debrief.registry.parting import merge as merged
    from debrief.registry.store import Registry

    with Registry(registry) as kept:
        _measured(kept, [merged(kept, events, role, why)])


@click.command(help=say("registry.help_split"))
@click.argument("event")
@click.option("--at", "moment", metavar="TIME", help=say("registry.help_split_at"))
@click.option("--source", "files", multiple=True, metavar="FILE", help=say("registry.help_split_source"))
@_who
def split(
    event: str, moment: str | None, files: tuple[str, ...], registry: str | None, role: str, why: str
) -> None:
    """Make two events of one."""
    from debrief.registry import parting
    from debrief.registry.store import Registry

    if (moment is None) == (not files):
        raise BadSetting(say("registry.split_how"))
    with Registry(registry) as kept:
        if moment is not None:
            made = parting.split_at(kept, event, moment, role, why)
        else:
            made = parting.split(kept, event, files, role, why)
        _measured(kept, made)


def _measured(kept: "Registry", names: Sequence[str]) -> None:
    """Measure what was made, without bounds, and say what it is called."""
    from debrief.assess import Asked
    from debrief.importers import Settings
    from debrief.registry.adding import how_for, rebuild, waiting_for

    how = how_for(kept, Asked(draws=0), Settings())
    for _ in rebuild(kept, how, waiting_for(kept, how, names)):
        pass
    click.echo(say("registry.now_called", events=", ".join(names)))

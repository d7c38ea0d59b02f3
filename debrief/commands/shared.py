"""What several commands share: options, events found and worked on in turn, where the result goes."""

import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from shutil import get_terminal_size
from typing import TYPE_CHECKING, Literal, TypeVar, cast

import click

from debrief import targets
from debrief.errors import BadSetting, DebriefError
from debrief.resources import REGISTRY_FILE, home
from debrief.words import say

if TYPE_CHECKING:
    from debrief.importers import Settings

T = TypeVar("T")
Command = Callable[..., None]
PATH = click.Path(path_type=Path)
MOST_DRAWS = 100_000


class Refusal(click.ClickException):
    """What a user can mend, in one message and without a traceback."""

    exit_code = 2


paths_of = click.argument("paths", nargs=-1, required=True, type=PATH)
edition_option = click.option(
    "--edition", help=say("commands.edition", choices=", ".join(targets.editions()))
)
site_option = click.option("--site", type=PATH, help=say("commands.site"))
times_option = click.option("--times", type=click.Choice(["clock", "elapsed"]), help=say("commands.times"))
map_option = click.option("--map", "mapping", type=PATH, help=say("commands.map"))
event_option = click.option("--event", "joined", is_flag=True, help=say("commands.event"))
registry_option = click.option(
    "--registry", envvar="DEBRIEF_REGISTRY", metavar="DIR|URL", help=say("registry.help_registry")
)
output_option = click.option("-o", "--output", type=PATH, help=say("commands.output"))


def format_option(*choices: str) -> Callable[[Command], Command]:
    """Return the option for the form of the output; the first choice is the usual one."""
    return click.option(
        "--format", "form", type=click.Choice(choices), default=choices[0], help=say("commands.format")
    )


def settings_of(times: str | None, mapping: Path | None) -> "Settings":
    """Return what is known of the files: what was said, and the user's log of clock checks."""
    from debrief.clocks.log import checks_of, log_path, read_log
    from debrief.importers import Settings
    from debrief.importers.mapping import load

    log = read_log(log_path())
    for error in log.errors:
        click.echo(error, err=True)
    return Settings(
        times=cast(Literal["clock", "elapsed"] | None, times),
        mapping=load(mapping) if mapping else None,
        clock_checks=checks_of(log.entries),
    )


def each_event(
    paths: Sequence[Path],
    joined: bool,
    settings: "Settings",
    work: Callable[[Sequence[Path], "Settings"], T],
) -> tuple[list[T], bool]:
    """Do the work on each event. One that cannot be read is named, and does not stop the others.

    Returns
    -------
    done
        What the work gave of each event.
    failed
        Whether any could not be read.
    """
    from debrief.importers import Found, find_events

    said: list[str] = []

    def complain(error: DebriefError) -> None:
        if str(error) not in said:
            said.append(str(error))
            Refusal(str(error)).show()

    events = [Found(tuple(paths))] if joined else []
    for path in () if joined else paths:
        try:
            events += find_events(path, settings)
        except DebriefError as error:
            complain(error)
    done = []
    for found in events:
        try:
            done.append(work(found.paths, replace(settings, only=found.only)))
        except DebriefError as error:
            complain(error)
    return done, bool(said)


@contextmanager
def registered(
    paths: Sequence[Path], registry: str | None, settings: "Settings"
) -> Iterator[tuple[tuple[Path, ...], "Settings"]]:
    """Give paths, with a folder for each that is the name of an event of the registry, and how to read them.

    A path that exists stands before an event of that name. Without ``registry``, the user's is asked where
    there is one.
    """
    strange = [str(path) for path in paths if not path.exists()]
    if not strange or (registry is None and not (home() / REGISTRY_FILE).is_file()):
        yield tuple(paths), settings
        return
    from debrief.registry.store import Registry

    with Registry(registry) as kept:
        known = {name for name in strange if kept.has(name)}
        own = replace(settings, remembered=kept.layouts()) if known else settings
        yield tuple(kept.folder(str(path)) if str(path) in known else path for path in paths), own


def width() -> int:
    """Return how many letters go on a line: as the terminal has, else 100."""
    return min(get_terminal_size((100, 24)).columns, 120)


def as_json(value: object) -> str:
    """Return a value as JSON to be read by people too, never NaN."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, indent=2)


def write(made: str | bytes, output: Path | None) -> None:
    """Write to the screen, or to a file: text in UTF-8, anything else as it is."""
    if output is None:
        click.echo(made)
        return
    try:
        output.write_bytes(f"{made}\n".encode() if isinstance(made, str) else made)
    except OSError as error:
        raise BadSetting(say("commands.no_write", file=output, error=error.strerror)) from None
    click.echo(say("commands.written", file=output), err=True)

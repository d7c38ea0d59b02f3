"""``debrief add``, ``list``, ``export`` and ``rebuild``: events brought in, measured and given out."""

import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from debrief.commands.shared import (
    PATH,
    Command,
    Refusal,
    as_json,
    edition_option,
    event_option,
    format_option,
    map_option,
    paths_of,
    registry_option,
    settings_of,
    site_option,
    times_option,
)
from debrief.errors import DebriefError
from debrief.words import say

if TYPE_CHECKING:
    from debrief.registry.adding import Refused
    from debrief.registry.arriving import Added
    from debrief.registry.measuring import Measured

STATUSES = (
    "new",
    "needs_mapping",
    "needs_clocks",
    "to_check",
    "nothing_measured",
    "reviewed",
    "locked",
    "not_an_arrest",
    "excluded",
    "removed",
)
SHOWN = ("event_id", "date", "unit", "population", "status", "to_check", "figures")

_role = click.option("--role", default="", help=say("registry.help_role"))


def _filters(command: Command) -> Command:
    """Add the options that choose events."""
    day = click.DateTime(["%Y-%m-%d"])
    for option in (
        click.option("--status", type=click.Choice(STATUSES), help=say("registry.help_status")),
        click.option("--to", "until", type=day, metavar="YYYY-MM-DD", help=say("registry.help_to")),
        click.option("--from", "since", type=day, metavar="YYYY-MM-DD", help=say("registry.help_from")),
        click.option("--unit", help=say("registry.help_unit")),
    ):
        command = option(command)
    return command


@click.command(help=say("registry.help_add"))
@paths_of
@event_option
@times_option
@map_option
@edition_option
@site_option
@_role
@registry_option
def add(
    paths: tuple[Path, ...],
    joined: bool,
    times: str | None,
    mapping: Path | None,
    edition: str | None,
    site: Path | None,
    role: str,
    registry: str | None,
) -> None:
    """Add events; each line is written once what it tells is kept."""
    from debrief import targets
    from debrief.assess import Asked
    from debrief.importers import Found
    from debrief.registry.adding import add_events, answer_layouts, answered, how_for
    from debrief.registry.adding import rebuild as rebuild_events
    from debrief.registry.incoming import found_in, left_out
    from debrief.registry.store import Registry

    targets.load(edition, site)
    settings = settings_of(times, mapping)
    failed = False
    found = [Found(paths)] if joined else []
    for path in () if joined else paths:
        try:
            found += found_in(path, settings)
            for sentence in left_out(path):
                click.echo(sentence, err=True)
        except DebriefError as error:
            failed = True
            Refusal(str(error)).show()
    counts: dict[str, int] = {}
    again: list[str] = []
    with Registry(registry, create=True) as kept:
        if mapping:
            answer_layouts(kept, found, settings, role)
        how = how_for(kept, Asked(edition, site, draws=0), settings)
        for one in _progress(add_events(kept, found, how, times=times, role=role), len(found)):
            did = _told(one)
            counts[did] = counts.get(did, 0) + 1
            if did in ("known", "more"):
                again.append(one.event)
        if mapping:
            for name, outcome in rebuild_events(kept, how, answered(kept, how, again)):
                failed |= not _measured_again(name, outcome)
    if counts:
        click.echo(", ".join(say(f"registry.count_{did}", count=count) for did, count in counts.items()))
    if counts.get("added") or counts.get("more"):
        click.echo(say("registry.bounds_follow"))
    if failed or "refused" in counts:
        sys.exit(Refusal.exit_code)


def _told(one: "Added | Refused") -> str:
    """Write what became of an event, and return it as a word to count."""
    if hasattr(one, "why"):
        Refusal(say("registry.refused", event=one.event, why=one.why)).show()
        return "refused"
    _tell(say(f"registry.did_{one.did}", event=one.event), one.event, one.measured)
    for note in one.notes:
        click.echo(f"  {note}")
    return one.did


def _measured_again(event: str, outcome: "Measured | str") -> bool:
    """Write what an event comes to with answers that were given after it was added; false where nothing."""
    if isinstance(outcome, str):
        Refusal(say("registry.refused", event=event, why=outcome)).show()
        return False
    _tell(say("registry.answered", event=event), event, outcome)
    return True


def _tell(sentence: str, event: str, measured: "Measured | None") -> None:
    """Write a sentence, with what needs attention of what was measured."""
    attention = ""
    if measured and measured.status != "new":
        attention = say(f"registry.attention_{measured.status}", count=measured.to_check, event=event)
    click.echo(" ".join(filter(None, (sentence, attention))))


def _progress(done: Iterator[Any], total: int) -> Iterator[Any]:
    """Yield what is done, and say on a terminal how far it is."""
    shown = sys.stderr.isatty() and total > 1
    for number, one in enumerate(done, start=1):
        yield one
        if shown:
            click.echo(
                f"\r{say('registry.progress', number=number, total=total)}", nl=number == total, err=True
            )


@click.command("list", help=say("registry.help_list"))
@_filters
@format_option("table", "json", "csv")
@registry_option
def list_events(
    unit: str | None,
    since: datetime | None,
    until: datetime | None,
    status: str | None,
    form: str,
    registry: str | None,
) -> None:
    """List the events."""
    from debrief.registry.listing import events
    from debrief.registry.store import Registry
    from debrief.registry.writing import as_csv

    with Registry(registry) as kept:
        rows = events(kept, unit=unit, since=_day(since), until=_day(until), status=status)
    if form == "json":
        click.echo(as_json(rows))
    elif form == "csv":
        click.echo(as_csv(rows, list(rows[0]) if rows else list(SHOWN)), nl=False)
    else:
        click.echo(_table(rows) if rows else say("registry.nothing_listed"))


def _day(given: datetime | None) -> str | None:
    return given.date().isoformat() if given else None


def _table(rows: list[dict[str, Any]]) -> str:
    """Return rows as a table for a terminal."""
    heads = [say(f"registry.head_{name}") for name in SHOWN]
    cells = [heads, *([_cell(name, row[name]) for name in SHOWN] for row in rows)]
    wide = [max(len(line[at]) for line in cells) for at in range(len(heads))]
    return "\n".join("  ".join(map(str.ljust, line, wide)).rstrip() for line in cells)


def _cell(name: str, value: object) -> str:
    if value is None:
        return "-"
    if name in ("status", "figures"):
        return say(f"registry.{name}_{value}")
    return "".join(sign if sign.isprintable() else " " for sign in str(value))


@click.command(help=say("registry.help_export"))
@click.argument("events", nargs=-1, metavar="[EVENT]...")
@click.option(
    "-o", "--output", type=PATH, required=True, metavar="DIR|FILE", help=say("registry.help_output")
)
@format_option("csv", "xlsx", "parquet", "json")
@_filters
@registry_option
def export(
    events: tuple[str, ...],
    output: Path,
    form: str,
    unit: str | None,
    since: datetime | None,
    until: datetime | None,
    status: str | None,
    registry: str | None,
) -> None:
    """Write everything about events for other programs."""
    from debrief.assess import Asked
    from debrief.registry import listing
    from debrief.registry.adding import how_for
    from debrief.registry.exported import tables_of
    from debrief.registry.store import Registry
    from debrief.registry.writing import write_tables
    from debrief.talk.tables import tables_of as talk_tables

    with Registry(registry) as kept:
        rows = listing.events(kept, unit=unit, since=_day(since), until=_day(until), status=status)
        names = [row["event_id"] for row in rows if not events or row["event_id"] in events]
        names += [name for name in events if name not in names]  # those that are not here are told of
        how = how_for(kept, Asked(draws=0), settings_of(None, None))
        more = talk_tables(kept.talks(), names)
        write_tables(tables_of(kept, names, how, more), output, form)
        unfinished = sum(row["figures"] != "with_bounds" for row in rows if row["event_id"] in names)
    click.echo(say("registry.exported", count=len(names), output=output), err=True)
    if unfinished:
        click.echo(say("registry.unfinished", count=unfinished), err=True)


@click.command(help=say("registry.help_rebuild"))
@click.argument("events", nargs=-1, metavar="[EVENT]...")
@click.option(
    "--draws", type=click.IntRange(0, 100_000), default=500, show_default=True, help=say("commands.draws")
)
@edition_option
@site_option
@registry_option
def rebuild(
    events: tuple[str, ...], draws: int, edition: str | None, site: Path | None, registry: str | None
) -> None:
    """Measure what is stale; stopped and run again, it goes on."""
    from debrief import targets
    from debrief.assess import Asked
    from debrief.registry.adding import how_for, waiting_for
    from debrief.registry.adding import rebuild as rebuild_events
    from debrief.registry.store import Registry

    targets.load(edition, site)
    with Registry(registry) as kept:
        how = how_for(kept, Asked(edition, site, draws=draws), settings_of(None, None))
        waiting = waiting_for(kept, how, events or None)
        done = failed = 0
        for name, outcome in _progress(rebuild_events(kept, how, waiting), len(waiting)):
            if isinstance(outcome, str):
                failed += 1
                Refusal(say("registry.refused", event=name, why=outcome)).show()
            else:
                done += 1
    click.echo(say("registry.rebuilt", count=done))
    if failed:
        sys.exit(Refusal.exit_code)

"""``debrief enter``, ``review``, ``remove``, ``restore``, ``audit``, ``actions``: what is said of events."""

import json
import sys
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import click

from debrief.commands.shared import Refusal, as_json, format_option, registry_option
from debrief.errors import BadSetting, DebriefError
from debrief.words import say

OPEN = "open"
STATES = (OPEN, "done", "dropped")
REVIEW = click.Choice(("reviewed", "locked", "not_an_arrest", "excluded", OPEN))
NUMBERS = ("age_years", "weight_kg", "cerebral_performance")
DONE = ("at", "role", "action", "detail", "why")
TO_DO = ("due", "owner", "what", "status", "event_id")

role_option = click.option("--role", default="", help=say("registry.help_role"))
why_option = click.option("--why", default="", help=say("registry.help_why"))
_event = click.argument("event", metavar="EVENT")
_events = click.argument("events", nargs=-1, required=True, metavar="EVENT...")


@click.command(help=say("keeping.help_enter"))
@_event
@click.argument("pairs", nargs=-1, required=True, metavar="KEY=VALUE...")
@role_option
@why_option
@registry_option
def enter(event: str, pairs: tuple[str, ...], role: str, why: str, registry: str | None) -> None:
    """Enter what is known by now; each line is written once it is kept."""
    from debrief.registry.store import Registry

    told = [_read(pair) for pair in pairs]
    with Registry(registry) as kept:
        for key, value in told:
            kept.enter(event, key, value, role, why)
            shown = say("keeping.taken_out") if value is None else json.dumps(value, ensure_ascii=False)
            click.echo(say("keeping.entered", event=event, named=key, value=shown))


def _read(pair: str) -> tuple[str, Any]:
    """Return a key of event.json and its value; nothing behind the sign takes it out."""
    from debrief.model.event import FLAGS

    key, sign, text = (part.strip() for part in pair.partition("="))
    if not sign or not key:
        raise BadSetting(say("keeping.no_pair", read=pair))
    if not text:
        return key, None
    if key in FLAGS:
        return key, {"yes": True, "true": True, "no": False, "false": False}.get(text.lower(), text)
    if key in NUMBERS:
        try:
            number = float(text.replace(",", "."))
        except ValueError:
            return key, text
        return key, int(number) if number.is_integer() else number
    return key, text


@click.command(help=say("keeping.help_review"))
@_event
@click.argument("said", type=REVIEW)
@role_option
@why_option
@registry_option
def review(event: str, said: str, role: str, why: str, registry: str | None) -> None:
    """Say how an event stands."""
    from debrief.registry.store import REVIEWS, Registry

    with Registry(registry) as kept:
        kept.review(event, next((one for one in REVIEWS if one == said), None), role, why)
    click.echo(say("keeping.reviewed", event=event, status=say(f"keeping.is_{said}")))


@click.command(help=say("registry.help_remove"))
@_events
@role_option
@why_option
@registry_option
def remove(events: tuple[str, ...], role: str, why: str, registry: str | None) -> None:
    """Take events out, restorably."""
    from debrief.registry.store import Registry

    with Registry(registry) as kept:
        _each(events, lambda name: kept.remove(name, role, why), "registry.removed")


@click.command(help=say("registry.help_restore"))
@_events
@role_option
@why_option
@registry_option
def restore(events: tuple[str, ...], role: str, why: str, registry: str | None) -> None:
    """Bring removed events back."""
    from debrief.registry.store import Registry

    with Registry(registry) as kept:
        _each(events, lambda name: kept.restore(name, role, why), "registry.restored")


def _each(events: tuple[str, ...], work: Callable[[str], None], said: str) -> None:
    """Do something to each event and say so; one that cannot be does not stop the others."""
    failed = False
    for name in events:
        try:
            work(name)
            click.echo(say(said, event=name))
        except DebriefError as error:
            failed = True
            Refusal(str(error)).show()
    if failed:
        sys.exit(Refusal.exit_code)


@click.command(help=say("keeping.help_audit"))
@_event
@format_option("table", "json")
@registry_option
def audit(event: str, form: str, registry: str | None) -> None:
    """List what was done to an event, removed or not."""
    from debrief.registry.store import Registry

    with Registry(registry) as kept:
        done = kept.history(event)
    if not done:
        raise BadSetting(say("registry.no_event", read=event[:80]))
    if form == "json":
        click.echo(as_json(done))
    else:
        click.echo(_table(DONE, [row | {"detail": _short(row["detail"])} for row in done]))


def _short(detail: Mapping[str, Any]) -> str:
    text = json.dumps(detail, ensure_ascii=False) if detail else ""
    return text if len(text) <= 100 else text[:99] + "…"


@click.command(help=say("keeping.help_actions"))
@click.option("--status", type=click.Choice((*STATES, "all")), default=OPEN, help=say("keeping.help_status"))
@format_option("table", "json", "csv")
@registry_option
def actions(status: str, form: str, registry: str | None) -> None:
    """List what teams set out to do, across events."""
    from debrief.registry.store import Registry
    from debrief.registry.writing import as_csv
    from debrief.talk.tables import ACTION
    from debrief.talk.tables import actions as actions_of

    with Registry(registry) as kept:
        rows = [row for row in actions_of(kept.talks()) if status in ("all", row["status"])]
    if form == "json":
        click.echo(as_json(rows))
    elif form == "csv":
        click.echo(as_csv(rows, list(ACTION)), nl=False)
    else:
        click.echo(_table(TO_DO, rows) if rows else say("keeping.no_actions"))


def _table(names: Sequence[str], rows: Sequence[Mapping[str, Any]]) -> str:
    """Return rows as a table for a terminal; the last column is as wide as it is."""
    cells = [[say(f"keeping.head_{name}") for name in names]]
    cells += [[_line(row[name]) for name in names] for row in rows]
    wide = [max(map(len, column)) for column in zip(*cells, strict=True)]
    return "\n".join("  ".join(map(str.ljust, line, wide)).rstrip() for line in cells)


def _line(value: object) -> str:
    text = "".join(sign if sign.isprintable() else " " for sign in str(value or ""))
    return text or "-"

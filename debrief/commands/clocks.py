"""``debrief clocks``: keep the log of clock checks."""

from pathlib import Path

import click

from debrief.words import say

_role = click.option("--role", default="", help=say("commands.clocks_role"))


@click.group(help=say("commands.clocks"))
def clocks() -> None:
    """Keep the log of clock checks."""


@clocks.command(help=say("commands.clocks_check"))
@click.argument("label")
@click.option("--device-reads", required=True, help=say("commands.clocks_device_reads"))
@click.option("--reference-reads", required=True, help=say("commands.clocks_reference_reads"))
@click.option("--against", help=say("commands.clocks_against"))
@click.option("--date", help=say("commands.clocks_date"))
@click.option("--then-set", is_flag=True, help=say("commands.clocks_then_set"))
@_role
def check(
    label: str,
    device_reads: str,
    reference_reads: str,
    against: str | None,
    date: str | None,
    then_set: bool,
    role: str,
) -> None:
    """Add a check to the log."""
    from debrief.clocks.log import add, log_path, new_check
    from debrief.model.event import ClockCheck
    from debrief.picture.clock_log import kept_words

    entry = new_check(label, ClockCheck(device_reads, reference_reads, date, against, then_set), role)
    click.echo(kept_words(add(log_path(), entry)))


@clocks.command("list", help=say("commands.clocks_list"))
@click.argument("label", required=False)
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json", "csv"]),
    default="table",
    help=say("commands.format"),
)
@click.option("--site", type=click.Path(path_type=Path), help=say("commands.clocks_site"))
def list_checks(label: str | None, form: str, site: Path | None) -> None:
    """List the checks of each device."""
    import json

    from debrief import targets
    from debrief.clocks.log import devices, log_path, read_log, today
    from debrief.clocks.standing import standings
    from debrief.errors import BadSetting
    from debrief.picture.clock_log import log_csv, log_rows, log_text
    from debrief.words import fold

    log = read_log(log_path())
    groups = [entries for entries in log.by_device() if label is None or entries[0].of[0] == fold(label)]
    if label is not None and not groups:
        known = ", ".join(devices(log.entries)) or say("clock_log.nobody")
        raise BadSetting(say("clock_log.unknown_device", read=label, known=known))
    found = standings(groups, today(), targets.load(None, site).clock_check_days)
    if form == "json":
        click.echo(json.dumps(log_rows(found), ensure_ascii=False, indent=2))
    elif form == "csv":
        click.echo(log_csv(found))
    else:
        click.echo(log_text(found) or say("clock_log.empty"))
    for error in log.errors:
        click.echo(error, err=True)


@clocks.command(help=say("commands.clocks_withdraw"))
@click.argument("check_id", metavar="ID")
@click.option("--restore", is_flag=True, help=say("commands.clocks_restore"))
@_role
def withdraw(check_id: str, restore: bool, role: str) -> None:
    """Let a check count no more, or again."""
    from debrief.clocks.log import log_path
    from debrief.clocks.log import withdraw as withdraw_check

    withdraw_check(log_path(), check_id, role=role, restore=restore)
    click.echo(say("clock_log.restored" if restore else "clock_log.withdrawn", id=check_id))

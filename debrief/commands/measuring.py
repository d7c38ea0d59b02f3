"""``debrief measure``, ``check`` and ``sheet``: what is to be known of events, and how well."""

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from debrief import targets
from debrief.commands.many import ENGINES, Many, measure_all
from debrief.commands.shared import (
    MOST_DRAWS,
    PATH,
    Refusal,
    as_json,
    each_event,
    edition_option,
    event_option,
    format_option,
    map_option,
    output_option,
    paths_of,
    registered,
    registry_option,
    settings_of,
    site_option,
    times_option,
    width,
    write,
)
from debrief.errors import BadSetting, NothingMeasurable
from debrief.model.contract import Report
from debrief.words import say


@click.command(help=say("commands.measure"))
@click.argument("paths", nargs=-1, type=PATH)
@edition_option
@click.option("--beside", help=say("commands.beside"))
@site_option
@format_option("table", "json", "csv")
@click.option("--min-pause", type=float, default=1.0, show_default=True, help=say("commands.min_pause"))
@click.option("--window", default="whole", show_default=True, help=say("commands.window"))
@click.option(
    "--draws",
    type=click.IntRange(0, MOST_DRAWS),
    show_default="500, with --all 0",
    help=say("commands.draws"),
)
@times_option
@map_option
@event_option
@registry_option
@output_option
@click.option("--all", "every", is_flag=True, help=say("datasets.help_all"))
@click.option("--engine", type=click.Choice(ENGINES), help=say("datasets.help_engine"))
@click.option("--master", metavar="URL", help=say("datasets.help_master", master="local[*]"))
@click.option("--workers", type=click.IntRange(1, 1024), default=None, help=say("datasets.help_workers"))
@click.option("--partitions", type=click.IntRange(1, 100_000), help=say("datasets.help_partitions"))
@click.pass_context
def measure(
    ctx: click.Context,
    paths: tuple[Path, ...],
    edition: str | None,
    beside: str | None,
    site: Path | None,
    form: str,
    min_pause: float,
    window: str,
    draws: int | None,
    times: str | None,
    mapping: Path | None,
    joined: bool,
    registry: str | None,
    output: Path | None,
    every: bool,
    engine: str | None,
    master: str | None,
    workers: int | None,
    partitions: int | None,
) -> None:
    """Measure each event; one that cannot be read is named, and does not stop the others."""
    many = Many(engine, master, workers or 0, partitions or 0)
    if every:
        said = {"--beside": beside, "--times": times, "--map": mapping, "--event": joined}
        if form != "table":
            said["--format"] = form
        for option, value in said.items():
            if value:
                raise BadSetting(say("datasets.not_all", option=option))
        measure_all(
            paths,
            output,
            registry if not paths else None,
            many,
            edition=edition,
            site=site,
            min_pause=min_pause,
            window=window,
            draws=draws or 0,
        )
        return
    many.refuse_any()
    if not paths:
        raise click.MissingParameter(ctx=ctx, param=ctx.command.params[0])
    draws = 500 if draws is None else draws
    from debrief.assess import Asked, assess_event
    from debrief.importers import read_event
    from debrief.picture.figures_csv import figures_csv

    targets.load(edition, site)
    targets.load(beside or edition, site)
    settings = settings_of(times, mapping)
    asked = Asked(edition, site, min_pause, window, draws, beside)
    asked.window_us()
    with registered(paths, registry, settings) as (found, known):
        reports, failed = each_event(
            found, joined, known, lambda files, own: assess_event(read_event(files, own), asked).to_dict()
        )
    if reports:
        write({"table": _table, "json": _json_of_reports, "csv": figures_csv}[form](reports), output)
    if failed:
        sys.exit(Refusal.exit_code)


@click.command(help=say("commands.check"))
@paths_of
@times_option
@map_option
@event_option
@registry_option
def check(
    paths: tuple[Path, ...], times: str | None, mapping: Path | None, joined: bool, registry: str | None
) -> None:
    """Say what is wrong or odd in each event."""
    from debrief.assess import Asked, assess_event
    from debrief.importers import Settings, read_event
    from debrief.picture.text import problems_text

    settings = settings_of(times, mapping)

    def show(files: Sequence[Path], own: Settings) -> None:
        event = read_event(files, own)
        problems, refusal = event.problems, None
        try:
            problems = assess_event(event, Asked(draws=0)).problems
        except NothingMeasurable as error:
            refusal = error
        click.echo(event.context.event_id)
        click.echo(problems_text(problems, width()) if problems else say("commands.no_problems"))
        if refusal:
            raise refusal

    with registered(paths, registry, settings) as (found, known):
        _, failed = each_event(found, joined, known, show)
    if failed:
        sys.exit(Refusal.exit_code)


@click.command("sheet", help=say("commands.sheet"))
@paths_of
@click.option(
    "-o", "--output", type=PATH, required=True, metavar="FILE.pdf", help=say("commands.sheet_output")
)
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", help=say("commands.paper"))
@edition_option
@site_option
@times_option
@map_option
@event_option
@registry_option
def make_sheet(
    paths: tuple[Path, ...],
    output: Path,
    paper: str,
    edition: str | None,
    site: Path | None,
    times: str | None,
    mapping: Path | None,
    joined: bool,
    registry: str | None,
) -> None:
    """Write an event onto one page."""
    from debrief.assess import Asked
    from debrief.reports.making import sheet_of

    asked, settings = Asked(edition, site), settings_of(times, mapping)
    with registered(paths, registry, settings) as (found, known):
        made = sheet_of(found, joined=joined, settings=known, asked=asked, paper=paper)
    write(made, output)


def _table(reports: list[Report]) -> str:
    from debrief.picture.text import folded, report_text

    wide = width()
    return "\n\n".join(
        [*(report_text(report, wide) for report in reports), folded(say("pages.caution"), wide)]
    )


def _json_of_reports(reports: list[Report]) -> str:
    return as_json(reports[0] if len(reports) == 1 else reports)

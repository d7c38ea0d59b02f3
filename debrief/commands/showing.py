"""``debrief demo`` and ``serve``: the invented events in short, and the pages."""

from collections.abc import Sequence
from pathlib import Path

import click

from debrief.commands.shared import PATH, each_event, registry_option, site_option, width
from debrief.errors import BadSetting
from debrief.words import say

DEMO_FIGURES = (
    "chest_compression_fraction",
    "longest_pause",
    "time_to_first_compression",
    "time_to_first_shock",
    "time_to_first_epinephrine",
    "pre_shock_pause_max",
    "epinephrine_interval_median",
    "resuscitation_duration",
)


@click.command(help=say("commands.demo"))
def demo() -> None:
    """Measure the invented events, in short."""
    from debrief.assess import assess
    from debrief.importers import Settings
    from debrief.picture.text import folded, report_text
    from debrief.resources import shipped

    folder = shipped("sample_events")
    click.echo(say("commands.demo_intro"))

    def show(files: Sequence[Path], own: Settings) -> None:
        report = assess(files, settings=own).to_dict()
        click.echo("\n" + report_text(report, width(), DEMO_FIGURES))

    each_event([folder], False, Settings(), show)
    click.echo("\n" + folded(say("pages.caution"), width()))
    click.echo(say("commands.demo_end", folder=folder))


@click.command(help=say("commands.serve"))
@click.argument("paths", nargs=-1, type=PATH)
@click.option(
    "--port", type=click.IntRange(1, 65535), default=8050, show_default=True, help=say("commands.port")
)
@click.option("--host", default="127.0.0.1", show_default=True, help=say("commands.host"))
@click.option("--browser/--no-browser", default=True, help=say("commands.browser"))
@site_option
@registry_option
def serve(
    paths: tuple[Path, ...], port: int, host: str, browser: bool, site: Path | None, registry: str | None
) -> None:
    """Serve the page until stopped."""
    from debrief import dashboard

    def announce(address: str) -> None:
        click.echo(say("commands.serving", address=address))

    try:
        dashboard.serve(
            paths,
            host=host,
            port=port,
            open_browser=browser,
            announce=announce,
            site=site,
            registry=registry,
            complain=lambda sentence: click.echo(sentence, err=True),
        )
    except OSError as error:
        raise BadSetting(say("commands.no_port", host=host, port=port, error=error)) from None

"""The command line: one function a command. What takes long to import is imported inside them."""

import io
import json
import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from shutil import get_terminal_size
from textwrap import fill
from typing import TYPE_CHECKING, Any, Literal, TypeVar, cast

import click

from debrief import __version__, targets
from debrief.commands.clocks import clocks
from debrief.errors import BadSetting, DebriefError, NothingMeasurable
from debrief.model.contract import Report
from debrief.words import LANGUAGES, language_named, say

if TYPE_CHECKING:
    from debrief.importers import Settings

T = TypeVar("T")
Command = Callable[..., None]
PATH = click.Path(path_type=Path)
MOST_DRAWS = 100_000
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


class Refusal(click.ClickException):
    """What a user can mend, in one message and without a traceback."""

    exit_code = 2


class Commands(click.Group):
    """Commands that end in a refusal where a setting or file cannot be used."""

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401 - as click has it
        """Run a command."""
        try:
            return super().invoke(ctx)
        except DebriefError as error:
            raise Refusal(str(error)) from None


_paths = click.argument("paths", nargs=-1, required=True, type=PATH)
_edition = click.option("--edition", help=say("commands.edition", choices=", ".join(targets.editions())))
_site = click.option("--site", type=PATH, help=say("commands.site"))
_times = click.option("--times", type=click.Choice(["clock", "elapsed"]), help=say("commands.times"))
_mapping = click.option("--map", "mapping", type=PATH, help=say("commands.map"))
_joined = click.option("--event", "joined", is_flag=True, help=say("commands.event"))
_output = click.option("-o", "--output", type=PATH, help=say("commands.output"))


def _format(*choices: str) -> Callable[[Command], Command]:
    return click.option(
        "--format", "form", type=click.Choice(choices), default=choices[0], help=say("commands.format")
    )


@click.group(
    cls=Commands, help=say("commands.group"), context_settings={"help_option_names": ["-h", "--help"]}
)
@click.version_option(__version__, prog_name="debrief", help=say("commands.version"))
def main() -> None:
    """Run a command. Text goes out in UTF-8 on every system."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8")
    wanted = os.environ.get("DEBRIEF_LANGUAGE", "")
    if wanted and language_named(wanted) is None:
        raise BadSetting(say("commands.no_language", read=wanted, choices=", ".join(LANGUAGES)))


@main.command(help=say("commands.measure"))
@_paths
@_edition
@click.option("--beside", help=say("commands.beside"))
@_site
@_format("table", "json", "csv")
@click.option("--min-pause", type=float, default=1.0, show_default=True, help=say("commands.min_pause"))
@click.option("--window", default="whole", show_default=True, help=say("commands.window"))
@click.option(
    "--draws", type=click.IntRange(0, MOST_DRAWS), default=500, show_default=True, help=say("commands.draws")
)
@_times
@_mapping
@_joined
@_output
def measure(
    paths: tuple[Path, ...],
    edition: str | None,
    beside: str | None,
    site: Path | None,
    form: str,
    min_pause: float,
    window: str,
    draws: int,
    times: str | None,
    mapping: Path | None,
    joined: bool,
    output: Path | None,
) -> None:
    """Measure each event; one that cannot be read is named, and does not stop the others."""
    from debrief.assess import Asked, assess_event
    from debrief.importers import read_event
    from debrief.picture.figures_csv import figures_csv

    targets.load(edition, site)
    targets.load(beside or edition, site)
    settings = _settings(times, mapping)
    asked = Asked(edition, site, min_pause, window, draws, beside)
    asked.window_us()
    reports, failed = _each(
        paths, joined, settings, lambda files, own: assess_event(read_event(files, own), asked).to_dict()
    )
    if reports:
        _write({"table": _table, "json": _json_of_reports, "csv": figures_csv}[form](reports), output)
    if failed:
        sys.exit(Refusal.exit_code)


@main.command(help=say("commands.check"))
@_paths
@_times
@_mapping
@_joined
def check(paths: tuple[Path, ...], times: str | None, mapping: Path | None, joined: bool) -> None:
    """Say what is wrong or odd in each event."""
    from debrief.assess import Asked, assess_event
    from debrief.importers import Settings, read_event
    from debrief.picture.text import problems_text

    settings = _settings(times, mapping)

    def show(files: Sequence[Path], own: Settings) -> None:
        event = read_event(files, own)
        problems, refusal = event.problems, None
        try:
            problems = assess_event(event, Asked(draws=0)).problems
        except NothingMeasurable as error:
            refusal = error
        click.echo(event.context.event_id)
        click.echo(problems_text(problems, _width()) if problems else say("commands.no_problems"))
        if refusal:
            raise refusal

    _, failed = _each(paths, joined, settings, show)
    if failed:
        sys.exit(Refusal.exit_code)


@main.command("sheet", help=say("commands.sheet"))
@_paths
@click.option(
    "-o", "--output", type=PATH, required=True, metavar="FILE.pdf", help=say("commands.sheet_output")
)
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", help=say("commands.paper"))
@_edition
@_site
@_times
@_mapping
@_joined
def make_sheet(
    paths: tuple[Path, ...],
    output: Path,
    paper: str,
    edition: str | None,
    site: Path | None,
    times: str | None,
    mapping: Path | None,
    joined: bool,
) -> None:
    """Write an event onto one page."""
    from debrief.assess import Asked
    from debrief.reports.making import sheet_of

    asked, settings = Asked(edition, site), _settings(times, mapping)
    _write(sheet_of(paths, joined=joined, settings=settings, asked=asked, paper=paper), output)


@main.command("targets", help=say("commands.targets"))
@_edition
@_site
@_format("table", "json")
@_output
def list_targets(edition: str | None, site: Path | None, form: str, output: Path | None) -> None:
    """List every target of an edition."""
    rows = targets.load(edition, site).targets
    if form == "json":
        _write(_json([asdict(row) | {"rule": row.rule, "judged": row.judged} for row in rows]), output)
        return
    figures = dict.fromkeys(figure for row in rows for figure in (*row.figures, *row.shown_beside))
    lines = []
    for figure in figures:
        lines.append(figure)
        lines += [_target_line(row, row.judges(figure)) for row in rows if row.speaks_of(figure)]
    _write("\n".join(lines), output)


@main.command(help=say("commands.guide"))
@click.argument("name", required=False)
@_edition
def guide(name: str | None, edition: str | None) -> None:
    """Explain a figure, or show a page of help."""
    from debrief.guide import figure_entry, pages
    from debrief.guide.text import contents_text, entry_text, page_text

    page = next((page for page in pages() if page.slug == name), None)
    if name is None:
        text = contents_text(_width())
    elif page:
        text = page_text(page, _width())
    else:
        text = entry_text(figure_entry(name, [edition] if edition else ()), _width())
    click.echo(text)


@main.command(help=say("commands.demo"))
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
        click.echo("\n" + report_text(report, _width(), DEMO_FIGURES))

    _each([folder], False, Settings(), show)
    click.echo("\n" + folded(say("pages.caution"), _width()))
    click.echo(say("commands.demo_end", folder=folder))


@main.command(help=say("commands.serve"))
@click.argument("paths", nargs=-1, type=PATH)
@click.option(
    "--port", type=click.IntRange(1, 65535), default=8050, show_default=True, help=say("commands.port")
)
@click.option("--host", default="127.0.0.1", show_default=True, help=say("commands.host"))
@click.option("--browser/--no-browser", default=True, help=say("commands.browser"))
@_site
def serve(paths: tuple[Path, ...], port: int, host: str, browser: bool, site: Path | None) -> None:
    """Serve the page until stopped."""
    from debrief import dashboard

    def announce(address: str) -> None:
        click.echo(say("commands.serving", address=address))

    try:
        dashboard.serve(paths, host=host, port=port, open_browser=browser, announce=announce, site=site)
    except OSError as error:
        raise BadSetting(say("commands.no_port", host=host, port=port, error=error)) from None


main.add_command(clocks)


def _settings(times: str | None, mapping: Path | None) -> "Settings":
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


def _each(
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


def _width() -> int:
    """Return how many letters go on a line: as the terminal has, else 100."""
    return min(get_terminal_size((100, 24)).columns, 120)


def _table(reports: list[Report]) -> str:
    from debrief.picture.text import folded, report_text

    width = _width()
    return "\n\n".join(
        [*(report_text(report, width) for report in reports), folded(say("pages.caution"), width)]
    )


def _json_of_reports(reports: list[Report]) -> str:
    return _json(reports[0] if len(reports) == 1 else reports)


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, indent=2)


def _target_line(row: targets.TargetRow, judges: bool) -> str:
    basis = say(f"commands.basis_{row.basis}")
    shown = "" if judges or not row.judged else say("commands.shown_beside")
    citation = fill(row.citation, 100, initial_indent=" " * 6, subsequent_indent=" " * 6)
    return f"  {row.rule} ({row.whom}); {row.kind}, {basis}{shown}; {row.id}\n{citation}"


def _write(made: str | bytes, output: Path | None) -> None:
    """Write to the screen, or to a file: text in UTF-8, anything else as it is."""
    if output is None:
        click.echo(made)
        return
    try:
        output.write_bytes(f"{made}\n".encode() if isinstance(made, str) else made)
    except OSError as error:
        raise BadSetting(say("commands.no_write", file=output, error=error.strerror)) from None
    click.echo(say("commands.written", file=output), err=True)

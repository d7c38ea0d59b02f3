"""``debrief trends``: a measure over time or by unit, with limits and signals."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from debrief import targets
from debrief.commands.shared import (
    Refusal,
    as_json,
    each_event,
    edition_option,
    format_option,
    map_option,
    output_option,
    paths_of,
    settings_of,
    site_option,
    times_option,
    width,
    write,
)
from debrief.words import say

if TYPE_CHECKING:
    from debrief.cohorts.cohort import By
    from debrief.cohorts.drawing import ChartName

BETWEEN_MISSES = ("g", "t")
CHARTS = ("p", "xmr", "run", *BETWEEN_MISSES)


@click.command("trends", help=say("trends.help"))
@paths_of
@click.option("--measure", "name", required=True, metavar="NAME", help=say("trends.help_measure"))
@click.option(
    "--by",
    type=click.Choice(["month", "quarter", "unit"]),
    default="month",
    show_default=True,
    help=say("trends.help_by"),
)
@click.option("--chart", type=click.Choice(CHARTS), help=say("trends.help_chart"))
@click.option("--where", "wanted", multiple=True, metavar="KEY=VALUE", help=say("trends.help_where"))
@click.option("--baseline", type=click.IntRange(1), metavar="N", help=say("trends.help_baseline"))
@click.option("--phase", "phases", multiple=True, metavar="LABEL", help=say("trends.help_phase"))
@edition_option
@site_option
@format_option("table", "json", "csv")
@click.option("--draws", type=click.IntRange(0), default=500, show_default=True, help=say("commands.draws"))
@times_option
@map_option
@output_option
def trends(
    paths: tuple[Path, ...],
    name: str,
    by: "By",
    chart: "ChartName | None",
    wanted: tuple[str, ...],
    baseline: int | None,
    phases: tuple[str, ...],
    edition: str | None,
    site: Path | None,
    form: str,
    draws: int,
    times: str | None,
    mapping: Path | None,
    output: Path | None,
) -> None:
    """Measure each event and show one measure of all; an event that cannot be read is named."""
    from debrief.assess import Asked, assess_event
    from debrief.cohorts.cohort import cohort, filter_named, measure_named, row_of
    from debrief.cohorts.few import guarded
    from debrief.cohorts.trends import trend
    from debrief.errors import BadSetting
    from debrief.importers import read_event
    from debrief.picture.trend_text import trend_csv, trend_text

    measure_named(name)
    filters = [filter_named(text) for text in wanted]
    if chart in BETWEEN_MISSES:
        if by == "unit":
            raise BadSetting(say("trends.no_order", read=chart))
        by = "miss"
    fewest = targets.load(edition, site).fewest_shown
    asked = Asked(edition, site, draws=draws)
    rows, failed = each_event(
        paths,
        False,
        settings_of(times, mapping),
        lambda files, own: row_of(assess_event(read_event(files, own), asked).to_dict(), name),
    )
    if rows:
        made = guarded(trend(cohort(rows, name, filters, by), by, chart, baseline, phases), fewest)
        shown = {
            "table": lambda: trend_text(made, width()),
            "json": lambda: as_json(made.to_dict()),
            "csv": lambda: trend_csv(made),
        }
        write(shown[form](), output)
    if failed:
        sys.exit(Refusal.exit_code)

"""``debrief report``: a month or a year of the registry on paper."""

from pathlib import Path

import click

from debrief.commands.shared import PATH, registry_option, site_option, write
from debrief.words import say


@click.command("report", help=say("period.help"))
@click.option("--month", metavar="YYYY-MM", help=say("period.help_month"))
@click.option("--year", metavar="YYYY", help=say("period.help_year"))
@click.option("--cohort", default="", metavar="NAME", help=say("period.help_cohort"))
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help=say("period.help_paper"),
)
@click.option("-o", "--output", type=PATH, required=True, help=say("commands.output"))
@site_option
@registry_option
def report(
    month: str | None,
    year: str | None,
    cohort: str,
    paper: str,
    output: Path,
    site: Path | None,
    registry: str | None,
) -> None:
    """Set the report of a period and write it."""
    from debrief.registry.store import Registry
    from debrief.reports.period import period_of, period_report

    period = period_of(month, year)
    with Registry(registry) as kept:
        write(period_report(kept, period, cohort, site=site, paper=paper), output)

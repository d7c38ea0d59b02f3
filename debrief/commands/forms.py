"""``debrief form``: a flat file with the columns of a registry's form."""

from datetime import datetime
from pathlib import Path

import click

from debrief.commands.shared import PATH, registry_option
from debrief.errors import BadSetting
from debrief.words import say


@click.command("form", help=say("form.help"))
@click.option("--map", "mapping", type=PATH, help=say("form.help_map"))
@click.option("--name", default="form", show_default=True, help=say("form.help_name"))
@click.option("-o", "--output", type=PATH, required=True, metavar="FILE", help=say("form.help_output"))
@click.option("--unit", help=say("registry.help_unit"))
@click.option("--from", "since", type=click.DateTime(["%Y-%m-%d"]), help=say("registry.help_from"))
@click.option("--to", "until", type=click.DateTime(["%Y-%m-%d"]), help=say("registry.help_to"))
@registry_option
def form(
    mapping: Path | None,
    name: str,
    output: Path,
    unit: str | None,
    since: datetime | None,
    until: datetime | None,
    registry: str | None,
) -> None:
    """Fill the form for every event and write it."""
    from debrief.registry.form import FORM, filled, form_text, read_form
    from debrief.registry.store import Registry
    from debrief.registry.writing import write_rows

    with Registry(registry) as kept:
        if mapping:
            text = form_text(mapping)
            columns = read_form(text, str(mapping))
            kept.name(FORM, name, text)
        else:
            forms = kept.named(FORM)
            if name not in forms:
                names = ", ".join(forms) or say("trends.nothing")
                raise BadSetting(say("form.named", read=name, names=names))
            columns = read_form(forms[name], name)
        rows = filled(kept, columns, unit=unit, since=_day(since), until=_day(until))
    write_rows(rows, [one.heading for one in columns], output)
    click.echo(say("form.written", count=len(rows), output=output), err=True)


def _day(given: datetime | None) -> str | None:
    return given.date().isoformat() if given else None

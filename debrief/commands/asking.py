"""``debrief targets`` and ``guide``: what is asked of figures, and how they are computed."""

from dataclasses import asdict
from pathlib import Path
from textwrap import fill

import click

from debrief import targets
from debrief.commands.shared import (
    as_json,
    edition_option,
    format_option,
    output_option,
    site_option,
    width,
    write,
)
from debrief.words import say


@click.command("targets", help=say("commands.targets"))
@edition_option
@site_option
@format_option("table", "json")
@output_option
def list_targets(edition: str | None, site: Path | None, form: str, output: Path | None) -> None:
    """List every target of an edition."""
    rows = targets.load(edition, site).targets
    if form == "json":
        write(as_json([asdict(row) | {"rule": row.rule, "judged": row.judged} for row in rows]), output)
        return
    figures = dict.fromkeys(figure for row in rows for figure in (*row.figures, *row.shown_beside))
    lines = []
    for figure in figures:
        lines.append(figure)
        lines += [_target_line(row, row.judges(figure)) for row in rows if row.speaks_of(figure)]
    write("\n".join(lines), output)


@click.command(help=say("commands.guide"))
@click.argument("name", required=False)
@edition_option
def guide(name: str | None, edition: str | None) -> None:
    """Explain a figure, or show a page of help."""
    from debrief.guide import figure_entry, pages
    from debrief.guide.text import contents_text, entry_text, page_text

    page = next((page for page in pages() if page.slug == name), None)
    if name is None:
        text = contents_text(width())
    elif page:
        text = page_text(page, width())
    else:
        text = entry_text(figure_entry(name, [edition] if edition else ()), width())
    click.echo(text)


def _target_line(row: targets.TargetRow, judges: bool) -> str:
    basis = say(f"commands.basis_{row.basis}")
    shown = "" if judges or not row.judged else say("commands.shown_beside")
    citation = fill(row.citation, 100, initial_indent=" " * 6, subsequent_indent=" " * 6)
    return f"  {row.rule} ({row.whom}); {row.kind}, {basis}{shown}; {row.id}\n{citation}"

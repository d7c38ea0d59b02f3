"""``debrief teach``: an event as a case that a class replays, with nobody in it."""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from debrief.commands.shared import (
    PATH,
    Refusal,
    each_event,
    edition_option,
    event_option,
    map_option,
    paths_of,
    registered,
    registry_option,
    settings_of,
    site_option,
    times_option,
    width,
    write,
)
from debrief.errors import BadSetting
from debrief.words import say

if TYPE_CHECKING:
    from debrief.importers import Settings
    from debrief.reports.case import Case


@click.command(help=say("case.help"))
@paths_of
@click.option("-o", "--output", type=PATH, metavar="FILE.html|FOLDER", help=say("case.help_output"))
@click.option("--title", default="", help=say("case.help_title"))
@click.option("--goal", "goals", multiple=True, help=say("case.help_goal"))
@click.option("--questions", type=PATH, metavar="FILE.toml", help=say("case.help_questions"))
@click.option("--suggest", is_flag=True, help=say("case.help_suggest"))
@click.option("--picture", type=PATH, metavar="FILE.svg|png", help=say("case.help_picture"))
@click.option("--check", is_flag=True, help=say("case.help_check"))
@edition_option
@site_option
@times_option
@map_option
@event_option
@registry_option
def teach(
    paths: tuple[Path, ...],
    output: Path | None,
    title: str,
    goals: tuple[str, ...],
    questions: Path | None,
    suggest: bool,
    picture: Path | None,
    check: bool,
    edition: str | None,
    site: Path | None,
    times: str | None,
    mapping: Path | None,
    joined: bool,
    registry: str | None,
) -> None:
    """Write teaching files, or say what would be left out of them."""
    from debrief.assess import Asked
    from debrief.reports.case import Case
    from debrief.reports.cases import copy_of
    from debrief.reports.cases import picture as picture_for
    from debrief.teaching.questions import as_toml, read_questions, suggested
    from debrief.teaching.telling import removed_text

    if not (output or picture or check or suggest):
        raise BadSetting(say("case.no_output"))
    if picture is not None and picture.suffix.lower() not in {".svg", ".png"}:
        raise BadSetting(say("case.no_picture", file=picture.name))
    asked, settings = Asked(edition, site), settings_of(times, mapping)
    checks: list[str] = []

    def make(files: Sequence[Path], own: "Settings") -> "Case":
        copy, invented = copy_of(files, own, asked)
        checks.append(removed_text(copy, width()))
        asks = read_questions(questions, copy.report) if questions else suggested(copy.report)
        return Case(copy.report, title, goals, tuple(asks), invented)

    with registered(paths, registry, settings) as (found, known):
        cases, failed = each_event(found, joined, known, make)
    several = output is not None and output.suffix.lower() not in {".html", ".htm"}
    if len(cases) > 1 and (picture or suggest or (output and not several)):
        raise BadSetting(say("case.one_event", count=len(cases)))
    if check:
        click.echo("\n".join(checks))
    for case in cases:
        _point_out(case, questions is not None)
        if suggest:
            click.echo(as_toml(case.questions))
        if picture is not None:
            write(picture_for(case.report, picture.suffix.lower()[1:]), picture)
    if output is not None and cases:
        _write_cases(cases, output, several)
    if failed:
        sys.exit(Refusal.exit_code)


def _write_cases(cases: Sequence["Case"], output: Path, several: bool) -> None:
    """Write a case to its file, or cases and their index into a folder."""
    from debrief.reports.case import case_file
    from debrief.reports.cases import index_page

    if not several:
        write(case_file(cases[0]), output)
        return
    try:
        output.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadSetting(say("commands.no_write", file=output, error=error.strerror)) from None
    named = [(f"case-{number}.html", case) for number, case in enumerate(cases, 1)]
    for name, case in named:
        write(case_file(case), output / name)
    write(index_page(named), output / "index.html")


def _point_out(case: "Case", own_questions: bool) -> None:
    """Say what in the educator's own words looks like it names somebody; nothing is taken out of them."""
    from debrief.teaching.identifiers import likely_identifiers

    typed = case.questions if own_questions else ()
    asked = [text for one in typed for text in (one.prompt, *one.choices, one.reveal, one.note)]
    for text in (case.title, *case.goals, *asked):
        for found in likely_identifiers(text):
            click.echo(say("case.looks_like", text=found.text, where=text), err=True)

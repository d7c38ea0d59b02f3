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
from debrief.resources import REGISTRY_FILE, home
from debrief.words import say

if TYPE_CHECKING:
    from debrief.importers import Settings
    from debrief.model.contract import Report
    from debrief.teaching.case import Case, Difficulty


@click.command(help=say("case.help"))
@paths_of
@click.option("-o", "--output", type=PATH, metavar="FILE.html|FOLDER", help=say("case.help_output"))
@click.option("--title", default="", help=say("case.help_title"))
@click.option("--goal", "goals", multiple=True, help=say("case.help_goal"))
@click.option("--questions", type=PATH, metavar="FILE.toml", help=say("case.help_questions"))
@click.option("--suggest", is_flag=True, help=say("case.help_suggest"))
@click.option("--picture", type=PATH, metavar="FILE.svg|png", help=say("case.help_picture"))
@click.option("--check", is_flag=True, help=say("case.help_check"))
@click.option("--note", "passed", multiple=True, metavar="MARK[=TEXT]", help=say("case.help_note"))
@click.option("--lesson", "lessons", multiple=True, help=say("case.help_lesson"))
@click.option(
    "--difficulty", type=click.Choice(["first", "middle", "demanding"]), help=say("case.help_difficulty")
)
@click.option("--keep", "kept_as", metavar="NAME", help=say("case.help_keep"))
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
    passed: tuple[str, ...],
    lessons: tuple[str, ...],
    difficulty: "Difficulty | None",
    kept_as: str | None,
    edition: str | None,
    site: Path | None,
    times: str | None,
    mapping: Path | None,
    joined: bool,
    registry: str | None,
) -> None:
    """Write teaching files, or say what would be left out of them."""
    from debrief.assess import Asked
    from debrief.reports.cases import copy_of
    from debrief.reports.cases import picture as picture_for
    from debrief.teaching.case import Case
    from debrief.teaching.questions import as_toml, read_questions, suggested
    from debrief.teaching.telling import removed_text

    if not (output or picture or check or suggest or kept_as):
        raise BadSetting(say("case.no_output"))
    if picture is not None and picture.suffix.lower() not in {".svg", ".png"}:
        raise BadSetting(say("case.no_picture", file=picture.name))
    asked, settings = Asked(edition, site), settings_of(times, mapping)
    checks: list[str] = []

    def make(files: Sequence[Path], own: "Settings") -> "Case":
        copy, invented = copy_of(files, own, asked, dict(map(_passed, passed)))
        if check:
            checks.extend([removed_text(copy, width()), *_notes(files, own), *_rarity(copy.report, registry)])
        asks = read_questions(questions, copy.report) if questions else suggested(copy.report)
        return Case(copy.report, title, goals, tuple(asks), invented, copy.notes, lessons, difficulty or "")

    with registered(paths, registry, settings) as (found, known):
        cases, failed = each_event(found, joined, known, make)
    several = output is not None and output.suffix.lower() not in {".html", ".htm"}
    if len(cases) > 1 and (picture or suggest or kept_as or passed or (output and not several)):
        raise BadSetting(say("case.one_event", count=len(cases)))
    if check:
        click.echo("\n".join(checks))
    for case in cases:
        _point_out(case)
        if kept_as is not None:
            _keep(case, kept_as, registry)
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


def _point_out(case: "Case") -> None:
    """Say what in the educator's own words looks like it names somebody; nothing is taken out of them."""
    from debrief.teaching.case import pointed_out

    for text, where in pointed_out(case):
        click.echo(say("case.looks_like", text=text, where=where), err=True)


def _passed(said: str) -> tuple[str, str | None]:
    """Return a mark and, where it was rewritten, the text of its note."""
    mark, given, text = said.partition("=")
    return mark.strip(), text.strip() if given else None


def _notes(files: Sequence[Path], settings: "Settings") -> list[str]:
    """Return the notes of an event, for a reviewer to pass, and what in each looks like an identifier."""
    from debrief.importers import read_event
    from debrief.teaching.notes import notes_of

    found = notes_of(read_event(files, settings))
    lines = [say("case.notes_to_pass")] if found else []
    for note in found:
        lines.append(f"  {note.mark}  {note.text}")
        lines += [f"      {say('case.may_be', text=one.text)}" for one in note.found]
    return lines


def _rarity(report: "Report", registry: str | None) -> list[str]:
    """Return how many events of the registry are like this one; nothing where there is no registry."""
    from debrief.registry.store import Registry
    from debrief.teaching.rarity import rarity

    if registry is None and not (home() / REGISTRY_FILE).is_file():
        return []
    with Registry(registry) as held:
        return [rarity(held, report)]


def _keep(case: "Case", name: str, registry: str | None) -> None:
    """Keep a case in the registry, made where there is none."""
    from debrief.registry.store import Registry
    from debrief.teaching.kept import keep

    with Registry(registry, create=True) as held:
        keep(held, name, case)
    click.echo(say("case.is_kept", name=name), err=True)

"""The command line: the group that holds all commands; each is in a file of `commands`."""

import io
import os
import sys
from typing import Any

import click

from debrief import __version__
from debrief.commands.asking import guide, list_targets
from debrief.commands.cases import cases
from debrief.commands.clocks import clocks
from debrief.commands.forms import form
from debrief.commands.keeping import actions, audit, enter, remove, restore, review
from debrief.commands.measuring import check, make_sheet, measure
from debrief.commands.parting import merge, split
from debrief.commands.periods import report
from debrief.commands.registry import add, export, list_events, rebuild
from debrief.commands.shared import Refusal
from debrief.commands.showing import demo, serve
from debrief.commands.teaching import teach
from debrief.commands.trends import trends
from debrief.errors import BadSetting, DebriefError
from debrief.words import LANGUAGES, language_named, say


class Commands(click.Group):
    """Commands that end in a refusal where a setting or file cannot be used."""

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401 - as click has it
        """Run a command."""
        try:
            return super().invoke(ctx)
        except DebriefError as error:
            raise Refusal(str(error)) from None


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


REGISTRY = (
    add,
    list_events,
    export,
    remove,
    restore,
    rebuild,
    enter,
    review,
    audit,
    actions,
    merge,
    split,
)
for command in (
    measure,
    check,
    make_sheet,
    teach,
    cases,
    list_targets,
    guide,
    clocks,
    trends,
    report,
    form,
    demo,
    serve,
    *REGISTRY,
):
    main.add_command(command)

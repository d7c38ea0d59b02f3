"""``debrief measure --all``: every event of a dataset or a registry, in partitions."""

import shutil
import sys
from dataclasses import dataclass
from pathlib import Path

import click

from debrief.commands.shared import Refusal, settings_of
from debrief.errors import BadSetting, NotKept
from debrief.words import say

ENGINES = ("local", "spark")


@dataclass(frozen=True)
class Many:
    """What was said of how the work is to be done; null and 0 where nothing was."""

    engine: str | None = None
    master: str | None = None
    workers: int = 0
    partitions: int = 0

    def refuse_any(self) -> None:
        """Refuse all of it.

        Raises
        ------
        BadSetting
            Where anything was said.
        """
        for name, value in vars(self).items():
            if value:
                raise BadSetting(say("datasets.only_all", option=f"--{name}"))


def measure_all(
    paths: tuple[Path, ...],
    output: Path | None,
    registry: str | None,
    many: Many,
    *,
    edition: str | None,
    site: Path | None,
    min_pause: float,
    window: str,
    draws: int,
) -> None:
    """Measure all events of one dataset or registry into a folder."""
    from debrief.assess import Asked
    from debrief.datasets.output import write
    from debrief.datasets.running import UNFINISHED, Outcome, measure_here
    from debrief.datasets.source import dataset
    from debrief.registry.measuring import How

    if output is None:
        raise BadSetting(say("datasets.no_folder"))
    if len(paths) > 1 or bool(paths) == (registry is not None):
        raise BadSetting(say("datasets.one_source"))
    if many.engine == "spark" and not paths:
        raise BadSetting(say("datasets.no_spark_registry"))
    if many.master and many.engine != "spark":
        raise BadSetting(say("datasets.only_all", option="--engine spark --master"))
    asked = Asked(edition, site, min_pause, window, draws)
    asked.check()
    folder = output / UNFINISHED
    outcome: Outcome
    try:
        if not paths:
            from debrief.datasets.registered import measure_registry

            outcome, inputs = measure_registry(
                registry,
                asked,
                settings_of(None, None),
                folder,
                _tell,
                partitions=many.partitions,
                workers=many.workers,
            )
        else:
            found = dataset(paths[0])
            inputs = dict(found.inputs)
            if many.engine == "spark":
                from debrief.datasets.spark import LOCAL, measure_by_spark

                outcome = measure_by_spark(
                    found, asked, folder, _tell, master=many.master or LOCAL, partitions=many.partitions
                )
            else:
                outcome = measure_here(
                    found, asked, folder, _tell, partitions=many.partitions, workers=many.workers
                )
        about = {
            "parameters": How(asked).parameters,
            "inputs": inputs,
            "unread": list(outcome.unread),
        }
        rows = write(outcome.pieces, output, about)
    except OSError as error:
        reason = error.strerror or error
        raise NotKept(say("datasets.no_write", folder=output, reason=reason)) from error
    click.echo(say("datasets.written", folder=output, **rows), err=True)
    for sentence in outcome.unread:
        Refusal(sentence).show()
    if outcome.unread:
        click.echo(say("datasets.incomplete"), err=True)
        sys.exit(Refusal.exit_code)
    shutil.rmtree(folder, ignore_errors=True)


def _tell(step: str, done: int, total: int) -> None:
    """Say how far it is, some twenty times in all."""
    if done in (0, total) or done * 20 // total > (done - 1) * 20 // total:
        click.echo(say(f"datasets.{step}", done=done, total=total), err=True)

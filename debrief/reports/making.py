"""From files to their sheet: what the command does."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from debrief.assess import Asked, assess_event
from debrief.errors import BadSetting
from debrief.importers import Found, Settings, find_events, read_event
from debrief.reports.sheet import sheet
from debrief.reports.spoken import spoken
from debrief.resources import shipped
from debrief.talk.kept import read_talk
from debrief.words import say

_NAMED = 5
"""How many of several events a refusal names."""


def sheet_of(
    paths: Sequence[Path], *, joined: bool, settings: Settings, asked: Asked, paper: str = "a4"
) -> bytes:
    """Read, measure and judge one event, and set its sheet, with what its folder keeps of a talk.

    Parameters
    ----------
    paths
        Where the event is.
    joined
        Whether the paths are the files of one event.
    settings, asked
        How to read it, and how to measure it.
    paper
        ``a4`` or ``letter``.

    Raises
    ------
    DebriefError
        Where the paths hold several events, or the one cannot be read or measured.
    """
    apart = [] if joined else [one for path in paths for one in find_events(path, settings)]
    found = [Found(tuple(paths))] if joined else apart
    if len(found) != 1:
        names = ", ".join(one.label or str(one.paths[0]) for one in found[:_NAMED])
        raise BadSetting(say("sheet.one_event", count=len(found), names=names))
    event = read_event(found[0].paths, replace(settings, only=found[0].only))
    assessment = assess_event(event, asked)
    report = assessment.to_dict()
    return sheet(
        report,
        paper,
        spoken=spoken(report, read_talk(found[0].paths[0])),
        confidentiality=assessment.edition.confidentiality,
        invented=is_invented(report["event"].get("setting")) or any(map(_came_along, paths)),
    )


def is_invented(setting: object) -> bool:
    """Return whether an event's setting says that nothing of it happened."""
    return str(setting or "").casefold().startswith("invented")


def _came_along(path: Path) -> bool:
    """Return whether a path is one of the invented events that come with the software."""
    return path.resolve().is_relative_to(shipped("sample_events").resolve())

"""Tie a change to what its marks read, so that it never hits another mark in silence.

A mark's name holds its source's, and a source is named after its file: a file that comes in later can take
the name, and a file can be written anew. So a change says of every mark it names in which file it stands
and how its time and label read. Read again, it follows its file to whatever the source is called by then,
and one whose mark reads otherwise does nothing, and is a problem.
"""

from collections.abc import Iterable
from dataclasses import replace

from debrief.importers.corrections import CORRECTIONS, Correction
from debrief.model.event import Event
from debrief.model.problems import Problem, problem

STANDING = ("drop", "link", "part", "clock")
"""Changes that do something; the others take one of these back."""


def tied(event: Event, changes: Iterable[Correction]) -> list[Correction]:
    """Return changes with what the marks that they name read now; of a clock, the file."""
    files, read = _files(event), _read(event)
    made = []
    for one in changes:
        reads = tuple(
            (files[source_id], *read[name]) if place else (files[source_id],)
            for name in _names(one)
            for source_id, _, place in [name.partition(":")]
            if source_id in files and (not place or name in read)
        )
        made.append(replace(one, reads=reads if len(reads) == len(_names(one)) else ()))
    return made


def followed(event: Event, changes: list[Correction]) -> tuple[list[Correction], list[Correction]]:
    """Return changes by the names that their marks have now, and those standing that have lost theirs."""
    if not any(one.reads for one in changes):
        return changes, []
    files, read = _files(event), _read(event)
    found: list[Correction] = []
    lost: dict[tuple[object, ...], Correction] = {}
    for one in changes:
        names: tuple[str | None, ...] = _names(one)
        if one.reads:
            named = zip(_names(one), one.reads, strict=True)
            names = tuple(_now(name, reads, files, read) for name, reads in named)
        here = [name for name in names if name is not None]
        if len(here) == len(names):
            found.append(replace(one, mark=here[0], other="".join(here[1:])))
        else:
            about = (
                "mark" if one.action in ("drop", "restore") else "clock" if one.action == "clock" else "pair"
            )
            lost[about, _names(one), one.reads] = one
    return found, [one for one in lost.values() if _stands(one)]


def _stands(one: Correction) -> bool:
    return one.action in STANDING and (one.action != "clock" or one.clock is not None)


def lost_problem(one: Correction) -> Problem:
    """Return the problem of a change that has lost its mark."""
    return problem("correction_lost", None, CORRECTIONS, action=one.action, marks=in_words(one))


def in_words(one: Correction) -> str:
    """Return the marks of a change as they read when it was made."""
    marks = [f"{name} ({', '.join(reads)})" for name, reads in zip(_names(one), one.reads, strict=True)]
    return " + ".join(marks)


def _names(one: Correction) -> tuple[str, ...]:
    return (one.mark, one.other) if one.other else (one.mark,)


def _files(event: Event) -> dict[str, str]:
    return {source.source_id: source.file for source in event.sources}


def _read(event: Event) -> dict[str, tuple[str, str]]:
    """Return how the time and label of each mark read, by its name."""
    columns = (event.marks[name].to_pylist() for name in ("source_id", "place", "time_text", "label"))
    return {
        f"{source_id}:{place}": (time, label or "")
        for source_id, place, time, label in zip(*columns, strict=True)
    }


def _now(
    name: str, reads: tuple[str, ...], files: dict[str, str], read: dict[str, tuple[str, str]]
) -> str | None:
    """Return the name that a mark or source has now, null where there is none that reads so."""
    own, colon, place = name.partition(":")
    file, *as_written = reads
    for source_id in sorted(files, key=lambda source_id: source_id != own):
        now = f"{source_id}{colon}{place}"
        if files[source_id] == file and (not as_written or read.get(now) == tuple(as_written)):
            return now
    return None

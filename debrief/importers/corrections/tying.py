"""Tie a change to what its marks read, so that it never hits another mark in silence.

A mark's name holds its source's, and a source is named after its file: a file that comes in later can take
the name, and a file can be written anew. So a change says of every mark it names in which file it stands, by
name and digest, and how its time and label read. Read again, it follows its file to whatever that and its
source are called by then. In the same bytes the same place is the same mark, however it is read now; in a
file of that name it is where it reads the same. A change whose mark is not there does nothing, and is a
problem.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from debrief.importers.corrections.lines import CORRECTIONS, Correction
from debrief.model.event import Event
from debrief.model.problems import Problem, problem


@dataclass(frozen=True)
class _Marks:
    """Of an event: the file of each source, its digest, and how time and label of each mark read, by name."""

    files: Mapping[str, str]
    digests: Mapping[str, str]
    read: Mapping[str, tuple[str, str]]

    @classmethod
    def of(cls, event: Event) -> "_Marks":
        columns = (event.marks[name].to_pylist() for name in ("source_id", "place", "time_text", "label"))
        read = {
            f"{source_id}:{place}": (time, label or "")
            for source_id, place, time, label in zip(*columns, strict=True)
        }
        digests = {entry.file: entry.sha256 for entry in event.inputs}
        return cls({source.source_id: source.file for source in event.sources}, digests, read)

    def now(self, name: str, reads: tuple[str, ...], digest: str) -> str | None:
        """Return the name that a mark or source has now, null where it is not there."""
        own, colon, place = name.partition(":")
        file, *as_written = reads
        found = [
            (not (digest and self.digests.get(held) == digest), held != file, source_id != own, source_id)
            for source_id, held in self.files.items()
        ]
        for other_bytes, other_file, _, source_id in sorted(found):
            same_bytes = not other_bytes
            if other_bytes and other_file:
                continue
            now = f"{source_id}{colon}{place}"
            if not as_written or self.read.get(now) == tuple(as_written) or (same_bytes and now in self.read):
                return now
            as_read = (one for one, reading in self.read.items() if reading == tuple(as_written))
            in_row = [one for one in as_read if _row(one) == _row(now)]
            if len(in_row) == 1:
                return in_row[0]
        return None


def _row(name: str) -> str:
    """Return a mark's name without the number of its column, which it gets once its row holds several."""
    row, dot, column = name.rpartition(".")
    return row if dot and column.isdecimal() else name


def tied(event: Event, changes: Iterable[Correction]) -> list[Correction]:
    """Return changes with what the marks that they name read now; of a clock, the file."""
    marks = _Marks.of(event)
    made = []
    for one in changes:
        reads = tuple(
            (marks.files[source_id], *marks.read[name]) if place else (marks.files[source_id],)
            for name in one.names
            for source_id, _, place in [name.partition(":")]
            if source_id in marks.files and (not place or name in marks.read)
        )
        whole = len(reads) == len(one.names)
        digests = tuple("" if each[0] == CORRECTIONS else marks.digests.get(each[0], "") for each in reads)
        made.append(replace(one, reads=reads, digests=digests) if whole else one)
    return made


def followed(
    event: Event, changes: Iterable[Correction], lines: Sequence[Correction] = ()
) -> tuple[list[Correction], list[Correction]]:
    """Return changes by the names that their marks have now, and those that have lost theirs.

    ``lines``: all there are. What is said of a mark that one of them adds and another undoes is in neither.
    """
    marks = _Marks.of(event)
    added = {one.key for one in lines if one.action == "add"}
    found: list[Correction] = []
    lost: dict[tuple[object, ...], Correction] = {}
    for one in changes:
        reads = one.reads or ((),) * len(one.names)
        digests = one.digests or ("",) * len(one.names)
        names = [
            marks.now(name, read, digest) if read else _named(name, marks)
            for name, read, digest in zip(one.names, reads, digests, strict=True)
        ]
        here = [name for name in names if name is not None]
        if len(here) == len(names):
            found.append(replace(one, mark="".join(here[:1]), other="".join(here[1:])))
        elif not any(name.partition(":")[2] in added for name in one.names):
            lost[one.about, one.names, one.reads] = one
    return found, [one for one in lost.values() if not one.takes_back]


def _named(name: str, marks: _Marks) -> str | None:
    """Return the name of a mark that nobody tied where there is one, and that of a source."""
    return name if name in marks.read or ":" not in name else None


def lost_problem(one: Correction) -> Problem:
    """Return the problem of a change that has lost its mark."""
    return problem("correction_lost", None, CORRECTIONS, action=one.action, marks=in_words(one))


def in_words(one: Correction) -> str:
    """Return the marks of a change as they read when it was made."""
    reads = one.reads or ((),) * len(one.names)
    return " + ".join(
        f"{name} ({', '.join(read)})" if read else name for name, read in zip(one.names, reads, strict=True)
    )

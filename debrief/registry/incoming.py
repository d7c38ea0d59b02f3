"""An event on its way into the registry: its files byte for byte, and what stands beside them."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from glob import glob
from hashlib import sha256
from pathlib import Path
from typing import Any

from debrief.importers import Found, Settings, find_events
from debrief.importers.archives import is_archive, unpack
from debrief.importers.corrections import ADDED, CORRECTIONS
from debrief.importers.finding import in_archive
from debrief.importers.folder import EVENT_JSON, TALK, inside, plan
from debrief.importers.limits import MAX_BYTES, check_size, refused
from debrief.importers.naming import plain
from debrief.words import say

STREAMS = (CORRECTIONS, ADDED, TALK)
"""Files of an event folder to which lines are only ever added."""


@dataclass(frozen=True)
class Kept:
    """A file of an event: under which name, its bytes; ``only`` and ``read`` as in `tables.source`."""

    file: str
    content: bytes
    only: str | None = None
    read: bool = True

    @property
    def sha256(self) -> str:
        """The digest of its bytes."""
        return sha256(self.content).hexdigest()


@dataclass(frozen=True)
class Incoming:
    """An event that may be added.

    ``name``: what to call it; ``settings``: its event.json, sources named as they are kept; ``lines``: those
    of `STREAMS`; ``notes``: sentences on what was left or renamed; ``part``: which part of an event that was
    parted in time, empty for a whole one.
    """

    name: str
    settings: Mapping[str, Any]
    files: tuple[Kept, ...]
    lines: Mapping[str, tuple[bytes, ...]]
    notes: tuple[str, ...] = ()
    part: str = ""

    @property
    def identity(self) -> str:
        """By what it is known again: the bytes of its sources, whatever their names and order; which part."""
        return identity_of(((kept.sha256, kept.only) for kept in self.files if kept.read), self.part)


def identity_of(sources: Iterator[tuple[str, str | None]], part: str = "") -> str:
    """Return the digest of sources, each the digest of a file and which event of it, or of a part of them."""
    parts = sorted(f"{digest}\0{only or ''}" for digest, only in sources)
    return sha256("\n".join([*parts, *([part] if part else [])]).encode("utf-8", "surrogatepass")).hexdigest()


def found_in(path: Path, settings: Settings) -> list[Found]:
    """Return the events of a path, which may hold ``*``, ``?`` and ``**``, those of archives unpacked.

    Raises
    ------
    UnreadableFile
        Where nothing is there, or an archive cannot be opened.
    """
    paths = [path]
    if not path.exists() and any(sign in str(path) for sign in "*?["):
        paths = [Path(one) for one in sorted(glob(str(path), recursive=True))]
        if not paths:
            raise refused(path, "missing_file", path=path)
    return [inner for one in paths for found in find_events(one, settings) for inner in _unpacked(found)]


def _unpacked(found: Found) -> Iterator[Found]:
    if not is_archive(found.paths[0]):
        yield found
        return
    yield from _unpacked(in_archive(found.paths[0], Settings())[found.only or ""])


def left_out(path: Path) -> tuple[str, ...]:
    """Return what was left in an archive, as sentences; nothing of any other file."""
    if not is_archive(path):
        return ()
    return tuple(
        say("registry.member_left", archive=path.name, **dict(told.values)) for told in unpack(path)[1]
    )


def incoming(found: Found, times: str | None = None) -> Incoming:
    """Return an event as it would be kept.

    Parameters
    ----------
    found
        One folder, or the files of one event.
    times
        What times in two parts mean (``clock``, ``elapsed``), where event.json does not say.

    Raises
    ------
    UnreadableFile
        Where a file is missing, empty or too large.
    BadSetting
        Where event.json says what cannot be.
    """
    if found.paths[0].is_dir():
        return _folder(found.paths[0], times)
    rows: list[dict[str, Any]] = []
    files: list[Kept] = []
    for path in found.paths:
        check_size(path)
        file = another(plain(path.name), [kept.file for kept in files])
        only = found.only if len(found.paths) == 1 else None
        files.append(Kept(file, path.read_bytes(), only))
        rows.append(_row({"file": file} | ({"only": only} if only else {}), path.name, times))
    stem = found.paths[0].stem
    name = stem if found.only is None else f"{stem} {found.only}" if found.only.isdecimal() else found.only
    return Incoming(name, {"format": 1, "sources": rows}, tuple(files), {}, _renamed(found.paths, files))


def _folder(folder: Path, times: str | None) -> Incoming:
    planned = plan(folder)
    path = folder / EVENT_JSON
    table = json.loads(path.read_text(encoding="utf-8-sig")) if path.is_file() else {}
    given = table.get("sources") or [{"file": sitting.file} for sitting in planned.sittings]
    rows: list[dict[str, Any]] = []
    files: list[Kept] = []
    notes: list[str] = []
    taken = [*STREAMS, EVENT_JSON]
    for sitting, row in zip(planned.sittings, given, strict=True):
        if not inside(folder, sitting) or not sitting.path.is_file():
            notes.append(say("registry.source_missing", file=sitting.file))
            rows.append(row)
            continue
        if sitting.path.stat().st_size:  # an empty one is a problem of the event, not the end of it
            check_size(sitting.path)
        same = [
            kept for kept in files if kept.content == sitting.path.read_bytes() and kept.only == sitting.only
        ]
        file = another("/".join(map(plain, Path(sitting.file).parts)), taken)
        taken.append(file)
        files.append(Kept(file, sitting.path.read_bytes(), sitting.only))
        rows.append(_row(row | {"file": file}, sitting.file, times))
        if file != sitting.file:
            notes.append(say("registry.renamed", file=sitting.file, kept=file))
        if same:
            notes.append(say("registry.same_twice", file=file, other=same[0].file))
    if not files:
        raise refused(folder, "no_sources", reasons=" ".join(notes))
    read = {sitting.path.resolve() for sitting in planned.sittings}
    for extra in sorted(folder.iterdir()):
        if extra.name.startswith(".") or extra.name in (*STREAMS, EVENT_JSON) or extra.resolve() in read:
            continue
        if extra.is_file() and extra.stat().st_size <= MAX_BYTES and inside_of(folder, extra):
            file = another(plain(extra.name), taken)
            taken.append(file)
            files.append(Kept(file, extra.read_bytes(), read=False))
        else:
            notes.append(say("registry.left", file=extra.name))
    lines = {name: lines_in(folder / name) for name in STREAMS}
    name = str(table.get("event_id") or folder.resolve().name)
    return Incoming(name, table | {"format": 1, "sources": rows}, tuple(files), lines, tuple(notes))


def inside_of(folder: Path, path: Path) -> bool:
    """Tell whether a path lies in a folder, links followed."""
    return path.resolve().is_relative_to(folder.resolve())


def _row(row: dict[str, Any], called: str, times: str | None) -> dict[str, Any]:
    """Return a source of event.json, called as its file was where that had to be kept under another name."""
    if times and not row.get("times"):
        row = row | {"times": times}
    if row["file"] != called and not row.get("name"):
        row = row | {"name": Path(called).stem}
    return row


def _renamed(paths: Sequence[Path], files: Sequence[Kept]) -> tuple[str, ...]:
    return tuple(
        say("registry.renamed", file=path.name, kept=kept.file)
        for path, kept in zip(paths, files, strict=True)
        if path.name != kept.file
    )


def lines_in(path: Path) -> tuple[bytes, ...]:
    """Return the lines of a file without their ends, empty ones left out; of none where there is none."""
    if not path.is_file():
        return ()
    content = path.read_bytes().removeprefix(b"\xef\xbb\xbf")
    return tuple(line for line in content.split(b"\n") if line.strip())


def another(name: str, taken: Sequence[str]) -> str:
    """Return the name, or one with a number where it is taken."""
    at = Path(name)
    number, fresh = 2, name
    while fresh.casefold() in {one.casefold() for one in taken}:
        fresh, number = at.with_name(f"{at.stem} ({number}){at.suffix}").as_posix(), number + 1
    return fresh

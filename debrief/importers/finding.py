"""Which events a path holds: a folder with event.json, a file, the events of a file, those of an archive."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from debrief.errors import DebriefError
from debrief.importers.archives import is_archive, unpack
from debrief.importers.folder import EVENT_JSON
from debrief.importers.limits import refused
from debrief.importers.opening import open_file
from debrief.importers.settings import Settings


@dataclass(frozen=True)
class Found:
    """One event: the paths that ``read_event`` takes, and which event of them, as ``Settings.only`` names it.

    ``label`` is what to call it.
    """

    paths: tuple[Path, ...]
    only: str | None = None
    label: str = ""


def find_events(path: Path, settings: Settings | None = None) -> list[Found]:
    """Return the events under a path.

    A folder that holds event.json is one event, and so is each of its folders that does; every other file is
    one, or as many as it holds: a file with a column of events, with a row for each, or with more than an
    hour between two arrests, and an archive of any of these.

    Raises
    ------
    UnreadableFile
        Where the path does not exist or holds no file, or an archive cannot be opened.
    """
    settings = replace(settings or Settings(), only=None)
    if not path.exists():
        raise refused(path, "missing_file", path=path)
    if path.is_dir() and (path / EVENT_JSON).is_file():
        return [Found((path,), label=path.resolve().name)]
    if path.is_file():
        return list(_in_file(path, settings))
    found = [
        event
        for each in sorted(path.iterdir())
        if not each.name.startswith(".") and (each.is_file() or (each / EVENT_JSON).is_file())
        for event in (_in_file(each, settings) if each.is_file() else [Found((each,), label=each.name)])
    ]
    if not found:
        raise refused(path, "empty_folder")
    return found


def _in_file(path: Path, settings: Settings) -> Iterator[Found]:
    """Yield the events of a file. One that cannot be read is one event: reading it says why."""
    if is_archive(path):
        for only in in_archive(path, settings):
            yield Found((path,), only, f"{path.name}: {only}")
        return
    try:
        opened = open_file(path, settings)[0]
        opened.reader.read()
        events = opened.events or opened.reader.events
    except DebriefError:
        events = ()
    if len(events) < 2:
        yield Found((path,), label=path.name)
    for only in events if len(events) > 1 else ():
        yield Found((path,), only, f"{path.name}: {only}")


def in_archive(path: Path, settings: Settings) -> dict[str, Found]:
    """Return the events of an archive by their names: the path inside it, ``#`` and an event of that file.

    Raises
    ------
    UnreadableFile
        Where it cannot be opened or holds no event.
    """
    folder, _ = unpack(path)
    found = {}
    for event in _below(folder, replace(settings, only=None)):
        inside = event.paths[0].relative_to(folder).as_posix()
        found[inside if event.only is None else f"{inside}#{event.only}"] = event
    if not found:
        raise refused(path, "no_event_in_zip")
    return found


def _below(folder: Path, settings: Settings) -> Iterator[Found]:
    """Yield the events of a folder and of all folders in it."""
    if (folder / EVENT_JSON).is_file():
        yield Found((folder,), label=folder.name)
        return
    for each in sorted(folder.iterdir()):
        if each.name.startswith("."):
            continue
        if each.is_dir():
            yield from _below(each, settings)
        else:
            yield from _in_file(each, settings)

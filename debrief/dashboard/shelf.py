"""Where the pages keep events: one folder an event, with its files as they came and its event.json.

Files dropped on the page are copied into the user's data folder (``DEBRIEF_HOME``, else where the
platform keeps such things). A folder named on the command line is opened where it lies.
"""

import hashlib
import json
import os
import re
import shutil
import tempfile
import threading
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from debrief.clocks.log import LOG
from debrief.errors import BadSetting
from debrief.importers import Settings
from debrief.importers.archives import is_archive
from debrief.importers.corrections import ADDED, CORRECTIONS
from debrief.importers.finding import Found, find_events, in_archive
from debrief.importers.folder import EVENT_JSON, NOT_READ
from debrief.resources import home, shipped
from debrief.words import say

CHANGED_FILES = (EVENT_JSON, ADDED, CORRECTIONS)
"""What a reviewer's change writes beside the files that came."""

OWN_FILES = (*CHANGED_FILES, *NOT_READ)
"""What stands in an event folder beside the files that came; nothing that comes may be called so."""

ID_PATTERN = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")
RESERVED = frozenset(
    {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}
)


class NotOnTheShelf(BadSetting):
    """No event of that name is kept."""


@dataclass(frozen=True)
class Entry:
    """One event as the start page lists it."""

    event_id: str
    folder: Path
    files: tuple[str, ...]
    settings: dict[str, Any]


def safe_name(name: str) -> str:
    """Return a file name that is a name and nothing else, on every platform.

    Folders, control characters, leading dots and the names some systems reserve are taken away; the
    ending is kept, since it says how to read the file.
    """
    name = unicodedata.normalize("NFC", name).replace("\\", "/").rsplit("/", 1)[-1]
    name = "".join(char if char.isalnum() or char in " ._-()+" else "_" for char in name).strip(" .")
    stem, dot, ending = name.rpartition(".")
    if not dot:
        stem, ending = name, ""
    stem = stem.strip(" ._")[:80] or "file"
    if stem.casefold() in RESERVED or f"{stem}.{ending}".casefold() in OWN_FILES:
        stem = f"{stem}_"
    return f"{stem}{dot}{ending[:12]}"


def labels_of(name: str, content: bytes) -> list[str]:
    """Return what to call each event that a file or an archive holds.

    Raises
    ------
    UnreadableFile
        Where an archive cannot be opened.
    """
    with laid_down(name, content) as path:
        return [found.label for found in find_events(path)]


@contextmanager
def laid_down(name: str, content: bytes) -> Iterator[Path]:
    """Lay a file that came by itself in a folder of its own for as long as it is read."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / safe_name(name)
        path.write_bytes(content)
        yield path


def event_id_of(contents: Iterable[bytes]) -> str:
    """Return the name under which these files are kept: the same files always get the same one."""
    digests = sorted(hashlib.sha256(content).hexdigest() for content in contents)
    return "e" + hashlib.sha256("".join(digests).encode()).hexdigest()[:10]


def read_settings(folder: Path) -> dict[str, Any]:
    """Return what event.json in the folder says; nothing where there is none.

    Raises
    ------
    BadSetting
        Where it is no JSON object.
    """
    path = folder / EVENT_JSON
    if not path.is_file():
        return {}
    try:
        found = json.loads(path.read_text(encoding="utf-8-sig"))
    except (ValueError, RecursionError) as error:
        raise BadSetting(f"{path.name}: not readable as JSON ({error}). Mend it or delete it.") from error
    if not isinstance(found, dict):
        raise BadSetting(f"{path.name}: holds no JSON object. Begin it with {{ and end it with }}.")
    return found


def write_settings(folder: Path, settings: dict[str, Any]) -> None:
    """Write event.json whole or not at all."""
    write_whole(
        folder / EVENT_JSON, json.dumps(settings, indent=1, ensure_ascii=False).encode("utf-8", "replace")
    )


def write_whole(path: Path, content: bytes) -> None:
    """Write a file whole or not at all: a broken write never replaces a good file."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".part-")
    with os.fdopen(handle, "wb") as file:
        file.write(content)
    Path(name).replace(path)


class Shelf:
    """The events that can be opened: those kept in the data folder, those named at the start, the samples.

    Parameters
    ----------
    folder
        Where events are kept; made when first needed.
    """

    def __init__(self, folder: Path | None = None) -> None:
        folder = folder or home()
        self.events_folder = folder / "events"
        self.remembered = folder / "layouts"
        self.clock_log = folder / LOG
        self.typing_folder = folder / "typing"
        self.opened: dict[str, Path] = {}
        self.writing = threading.Lock()
        """Held while answers or corrections are read, changed and written back."""

    def keep(self, files: Sequence[tuple[str, bytes]], only: str | None = None) -> str:
        """Keep files as one event and return its name; the same files again add nothing.

        Where the files of an event folder come with their event.json, it is kept as it is. ``only`` names one
        event of a file that holds several.
        """
        event_id = event_id_of([*(content for _, content in files), *([only.encode()] if only else [])])
        folder = self.events_folder / event_id
        if folder.is_dir():
            return event_id
        draft = self._draft()
        names: list[str] = []
        for name, content in files:
            name = EVENT_JSON if name == EVENT_JSON and len(files) > 1 else safe_name(name)
            name = _another(name, names)
            (draft / name).write_bytes(content)
            names.append(name)
        if EVENT_JSON not in names:
            one = {"only": only} if only else {}
            sources = [{"file": name} | one for name in names]
            write_settings(draft, {"format": 1, "event_id": event_id, "sources": sources})
        self._place(draft, folder)
        return event_id

    def keep_each(self, name: str, content: bytes) -> list[str]:
        """Keep every event of a file, or of an archive, as one of its own; return their names.

        Raises
        ------
        UnreadableFile
            Where an archive cannot be opened.
        """
        with laid_down(name, content) as path:
            return [self._keep_found(found) for found in find_events(path)]

    def _keep_found(self, found: Found) -> str:
        if is_archive(found.paths[0]):
            inside = in_archive(found.paths[0], Settings())[found.only or ""]
            return self._keep_found(inside)
        path = found.paths[0]
        files = sorted(path.iterdir()) if path.is_dir() else [path]
        return self.keep([(file.name, file.read_bytes()) for file in files if file.is_file()], found.only)

    def _draft(self) -> Path:
        """Make a folder beside the others that nobody sees yet."""
        self.events_folder.mkdir(parents=True, exist_ok=True)
        return Path(tempfile.mkdtemp(dir=self.events_folder, prefix=".draft-"))

    def _place(self, draft: Path, folder: Path) -> Path:
        """Give a finished draft its name; where another request was quicker, keep that one."""
        try:
            draft.rename(folder)
        except OSError:
            shutil.rmtree(draft)
        return folder

    def open(self, path: Path) -> list[str]:
        """Put a path named on the command line on the shelf; return the names of its events.

        A folder with event.json is one event and stays where it is; in any other folder, every file and
        every such folder is an event. A file is copied, and so is a sample; each event of a file that holds
        several is one.

        Raises
        ------
        BadSetting
            Where there is nothing at that path.
        """
        for name, sample in sample_paths().items():
            if path.resolve() == sample.resolve():
                self.opened[name] = self.folder(name)
                return [name]
        if path.is_dir() and (path / EVENT_JSON).is_file():
            event_id = safe_id(path.resolve().name)
            while self.opened.get(event_id, path) != path:
                event_id += "-"
            self.opened[event_id] = path
            return [event_id]
        if path.is_dir():
            inside = (one for one in sorted(path.iterdir()) if not one.name.startswith("."))
            return [
                name
                for one in inside
                if one.is_file() or (one / EVENT_JSON).is_file()
                for name in self.open(one)
            ]
        if not path.is_file():
            raise BadSetting(say("pages.no_path", path=path))
        return self.keep_each(path.name, path.read_bytes())

    def folder(self, event_id: str) -> Path:
        """Return the folder of an event. A sample is copied first, so that corrections never touch it.

        Raises
        ------
        NotOnTheShelf
            Where no event of that name is kept.
        """
        if event_id in self.opened:
            return self.opened[event_id]
        if not ID_PATTERN.fullmatch(event_id):
            raise NotOnTheShelf(event_id)
        folder = self.events_folder / event_id
        if folder.is_dir():
            return folder
        sample = sample_paths().get(event_id)
        if sample is None:
            raise NotOnTheShelf(event_id)
        draft = self._draft()
        if sample.is_dir():
            shutil.copytree(sample, draft, dirs_exist_ok=True)
        else:
            shutil.copy(sample, draft)
            write_settings(draft, {"format": 1, "event_id": event_id, "sources": [{"file": sample.name}]})
        return self._place(draft, folder)

    def folders(self) -> dict[str, Path]:
        """Return the folders of the events kept, by name, the newest first; the samples are apart."""
        kept = dict(self.opened)
        if self.events_folder.is_dir():
            for folder in sorted(
                self.events_folder.iterdir(), key=lambda one: one.stat().st_mtime, reverse=True
            ):
                if folder.is_dir() and ID_PATTERN.fullmatch(folder.name):
                    kept.setdefault(folder.name, folder)
        samples = sample_paths().keys() - self.opened.keys()
        return {name: folder for name, folder in kept.items() if name not in samples}

    def entries(self) -> list[Entry]:
        """Return the events kept, the newest first; the samples are apart (:func:`sample_paths`)."""
        return [entry(name, folder) for name, folder in self.folders().items()]

    def listed(self) -> list[str]:
        """Return the names of the events in the order of the list: those kept, or else the samples."""
        return [one.event_id for one in self.entries()] or list(sample_paths())

    def remove(self, event_id: str) -> None:
        """Delete an event that was copied here, files and corrections. One opened in place is only let go."""
        if self.opened.pop(event_id, None) is None and ID_PATTERN.fullmatch(event_id):
            shutil.rmtree(self.events_folder / event_id, ignore_errors=True)


def entry(event_id: str, folder: Path) -> Entry:
    """Describe an event folder without reading its marks. A broken event.json counts as empty here."""
    try:
        settings = read_settings(folder)
    except BadSetting:
        settings = {}
    files = tuple(sorted(file.name for file in folder.iterdir() if file.is_file() and not _own(file.name)))
    return Entry(event_id, folder, files, settings)


def entry_title(entry: Entry) -> str:
    """Return what to call an event: its ward and date where known, else its first file."""
    known = [str(entry.settings[key]) for key in ("unit", "date") if entry.settings.get(key)]
    return ", ".join(known) or (entry.files[0] if entry.files else entry.event_id)


def sample_paths() -> dict[str, Path]:
    """Return the invented events that ship with the software, folders and single files, by name."""
    return {
        path.stem: path for path in sorted(shipped("sample_events").iterdir()) if path.name[0] not in "._"
    }


def safe_id(name: str) -> str:
    """Return a folder's name as it can stand in an address."""
    return re.sub(r"[^A-Za-z0-9_-]+", "-", name).strip("-_")[:60] or "event"


def _own(name: str) -> bool:
    return name.startswith(".") or name in OWN_FILES


def _another(name: str, taken: Sequence[str]) -> str:
    """Return the name, or one with a number where it is taken."""
    stem, dot, ending = name.rpartition(".")
    stem, ending = (stem, dot + ending) if dot else (name, "")
    number, fresh = 2, name
    while fresh.casefold() in {one.casefold() for one in taken}:
        fresh, number = f"{stem} ({number}){ending}", number + 1
    return fresh

"""Where the pages find events: in the registry, in folders named at the start, among the samples.

What is dropped on a page is kept in the registry. A folder named on the command line is opened where it lies.
A sample is copied into a practice folder of its own; nothing invented comes into the registry by itself.
"""

import hashlib
import shutil
import tempfile
import threading
import weakref
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path

from debrief.assess import Asked
from debrief.clocks.log import LOG, checks_of, read_log
from debrief.dashboard.event_folder import (
    as_it_was_on_failure,
    entry,
    entry_title,
    safe_id,
    sample_paths,
    state_of,
    write_settings,
)
from debrief.errors import BadSetting, DebriefError
from debrief.importers import Settings, understand
from debrief.importers.finding import Found
from debrief.importers.folder import EVENT_JSON, TALK
from debrief.registry import listing
from debrief.registry.adding import Refused, add_events, how_for
from debrief.registry.arriving import Added
from debrief.registry.incoming import found_in, incoming
from debrief.registry.measuring import How, Measured
from debrief.registry.store import Registry
from debrief.resources import REGISTRY_FILE, home
from debrief.talk.changes import Change, append, line_of, lines_of
from debrief.talk.kept import Talk, talk_of
from debrief.words import say

NO_BOUNDS = Asked(draws=0)
"""How events that come are measured first: bounds follow."""


class NotOnTheShelf(BadSetting):
    """No event of that name is kept."""


class Shelf:
    """The events that can be opened, wherever they are kept.

    Parameters
    ----------
    folder
        The user's own: practice copies, sheets that are typed, the log of clock checks. Null: as
        `resources.home` has it.
    registry
        Where the registry is, as `Registry` takes it. Null: in that folder.
    """

    def __init__(self, folder: Path | None = None, registry: str | Path | None = None) -> None:
        folder = folder or home()
        self.practice_folder = folder / "practice"
        self.typing_folder = folder / "typing"
        self.clock_log = folder / LOG
        self.opened: dict[str, Path] = {}
        self.writing = threading.RLock()
        """Held while a folder is read, changed and written back."""
        self._where = registry or folder
        self._registry: Registry | None = None

    @property
    def registry(self) -> Registry:
        """The registry, opened on first need, and made where there is none.

        Raises
        ------
        BadSetting, NotKept
            Where it cannot be opened.
        """
        with self.writing:
            if self._registry is None:
                if not self._has_registry():
                    Registry(self._where, create=True).close()
                self._registry = Registry(self._where)
                weakref.finalize(self, self._registry.close)
            return self._registry

    def _has_registry(self) -> bool:
        return "://" in str(self._where) or (Path(self._where) / REGISTRY_FILE).is_file()

    @property
    def kept(self) -> Registry | None:
        """The registry where there is one, to look things up in."""
        return self.registry if self._registry is not None or self._has_registry() else None

    @property
    def remembered(self) -> Path | None:
        """A folder with the answers about layouts; null where nothing was answered."""
        return self.kept.layouts() if self.kept else None

    def settings(self) -> Settings:
        """Return what is known of files: the answers for their layouts, the log of clock checks."""
        checks = checks_of(read_log(self.clock_log).entries)
        return Settings(remembered=self.remembered, clock_checks=checks)

    def is_kept(self, event_id: str) -> bool:
        """Tell whether an event is one of the registry's."""
        return event_id not in self.opened and self.kept is not None and self.kept.has(event_id)

    def folder(self, event_id: str) -> Path:
        """Return a folder to read an event from. A sample is copied first, so that it stays as it is.

        Raises
        ------
        NotOnTheShelf
            Where there is no event of that name.
        """
        if event_id in self.opened:
            return self.opened[event_id]
        if self.is_kept(event_id):
            return self.registry.folder(event_id)
        sample = sample_paths().get(event_id)
        if sample is None:
            raise NotOnTheShelf(event_id)
        return self._practice(sample)

    def _practice(self, sample: Path) -> Path:
        """Return the copy of a sample, made at one go; where another request was quicker, that one's."""
        folder = self.practice_folder / sample.stem
        if folder.is_dir():
            return folder
        self.practice_folder.mkdir(parents=True, exist_ok=True)
        draft = Path(tempfile.mkdtemp(dir=self.practice_folder, prefix=".draft-"))
        if sample.is_dir():
            shutil.copytree(sample, draft, dirs_exist_ok=True)
        else:
            shutil.copy(sample, draft)
            write_settings(draft, {"format": 1, "event_id": folder.name, "sources": [{"file": sample.name}]})
        try:
            draft.rename(folder)
        except OSError:
            shutil.rmtree(draft)
        return folder

    @contextmanager
    def changing(self, event_id: str, role: str = "", why: str = "") -> Iterator[Path]:
        """Give a folder to write an event's changes into; they are kept where this ends well, else none is.

        Raises
        ------
        DebriefError
            As `folder` and `Registry.changing`: locked, gone, not to be written.
        """
        if self.is_kept(event_id):
            with self.registry.changing(event_id, role, why) as folder:
                yield folder
            return
        with self.writing, as_it_was_on_failure(self.folder(event_id)) as folder:
            yield folder

    def add_to_talk(self, event_id: str, changes: Sequence[Change], role: str = "") -> None:
        """Add changes to the talk of an event, and return once the disk has them.

        Raises
        ------
        NotKept
            Where they cannot be kept.
        """
        if self.is_kept(event_id):
            self.registry.append(
                event_id, TALK, [line_of(one).encode("utf-8", "replace") for one in changes], role
            )
            return
        for one in changes:
            append(self.folder(event_id), one)

    def version(self, event_id: str) -> str:
        """Return a text that is another one after each change of an event; its talk is no part of it."""
        if self.is_kept(event_id):
            return f"{self.registry.digest(event_id)}-{self.registry.reviewed(event_id)[0]}"
        folder = self.folder(event_id)
        files = (path for path in sorted(folder.iterdir()) if path.is_file() and path.name != TALK)
        about = [(path.name, path.stat()) for path in files]
        told = "\0".join(f"{name}\0{one.st_size}\0{one.st_mtime_ns}" for name, one in about)
        return hashlib.sha256(told.encode("utf-8", "replace")).hexdigest()

    def state(self, event_id: str) -> str:
        """Return a digest of what is measured of an event."""
        if self.is_kept(event_id):
            return self.registry.digest(event_id)
        return state_of(self.folder(event_id))

    def how(self, asked: Asked = NO_BOUNDS) -> How:
        """Return how to measure what is in the registry."""
        return how_for(self.registry, asked, self.settings())

    def keep(
        self, events: Sequence[Found], asked: Asked = NO_BOUNDS, role: str = ""
    ) -> Iterator[Added | Refused]:
        """Keep events in the registry and yield what became of each, once it is kept.

        One whose files are understood in part, so that somebody can answer what is open, is kept unmeasured.

        Raises
        ------
        NotKept
            Where the registry cannot be written.
        """
        how = self.how(asked)
        for found, one in zip(events, add_events(self.registry, events, how, role=role), strict=True):
            if isinstance(one, Refused) and _can_be_asked(found, how.settings):
                unread = Measured(how.parameters, "needs_mapping", 0, (), (), {})
                yield self.registry.add([(incoming(found), unread)], role)[0]
            else:
                yield one

    def open(
        self, path: Path, asked: Asked = NO_BOUNDS, complain: Callable[[str], object] | None = None
    ) -> list[str]:
        """Put a path named on the command line on the shelf; return the names of its events.

        A folder with event.json is one event and stays where it is; in any other folder, every file and
        every such folder is an event. Events of files are kept in the registry; a sample is copied.

        Parameters
        ----------
        path
            A path, or the name of an event of the registry.
        asked
            How to measure the events of files.
        complain
            Is told of files that cannot be kept; null makes them an error.

        Raises
        ------
        DebriefError
            Where there is nothing at that path, or a file cannot be kept.
        """
        for name, sample in sample_paths().items():
            if path.resolve() == sample.resolve():
                return [self._opened_as(name, self._practice(sample))]
        if path.is_dir() and (path / EVENT_JSON).is_file():
            return [self._opened_as(safe_id(path.resolve().name), path)]
        if path.is_dir():
            inside = (one for one in sorted(path.iterdir()) if not one.name.startswith("."))
            files = (one for one in inside if one.is_file() or (one / EVENT_JSON).is_file())
            return [name for one in files for name in self.open(one, asked, complain)]
        if not path.is_file():
            if self.is_kept(str(path)):
                return [str(path)]
            raise BadSetting(say("pages.no_path", path=path))
        names = []
        for one in self.keep(found_in(path, self.settings()), asked):
            if not isinstance(one, Refused):
                names.append(one.event)
                continue
            refused = say("registry.refused", event=one.event, why=one.why)
            if complain is None:
                raise BadSetting(refused)
            complain(refused)
        return names

    def _opened_as(self, event_id: str, folder: Path) -> str:
        """Open a folder under a name that no other event has, and return it."""
        while self.opened.get(event_id, folder) != folder or self.is_kept(event_id):
            event_id += "-"
        self.opened[event_id] = folder
        return event_id

    def names(self) -> list[str]:
        """Return the names of all events kept: those opened, then the registry's; the samples are apart."""
        return [*self.opened, *(listing.names(self.kept) if self.kept else ())]

    def latest(self, most: int) -> list[str]:
        """Return the names of events to go on with: those opened, then those that were added last."""
        return [*self.opened, *(listing.latest(self.kept, most) if self.kept else ())][:most]

    def listed(self) -> list[str]:
        """Return the names of the events in the order of the list: those kept, or else the samples."""
        return self.names() or list(sample_paths())

    def title(self, event_id: str) -> str:
        """Return what to call an event: its ward and date where known, else its first file."""
        if self.is_kept(event_id):
            told = self.registry.settings(event_id)
            return ", ".join(str(told[key]) for key in ("unit", "date") if told.get(key)) or event_id
        return entry_title(entry(event_id, self.folder(event_id)))

    def talks(self) -> dict[str, Talk]:
        """Return all talks that are kept, by the names of their events; those of the samples are apart."""
        kept = self.kept.talks() if self.kept else {}
        found = {name: _talk_of(tuple(lines)) for name, lines in kept.items()}
        for name, folder in self.opened.items():
            found[name] = _talk_of(tuple(lines_of(folder)))
        return found

    def remove(self, event_id: str, role: str = "", why: str = "") -> None:
        """Take an event out of the registry, from where it can be restored; let go of one opened in place."""
        if self.opened.pop(event_id, None) is None and self.is_kept(event_id):
            self.registry.remove(event_id, role, why)


_talk_of = lru_cache(maxsize=4096)(talk_of)


def _can_be_asked(found: Found, settings: Settings) -> bool:
    """Tell whether a file of an event is understood so far that somebody can answer what is open of it."""
    for path in found.paths:
        try:
            understand(path, settings)
        except (DebriefError, OSError):
            continue
        return True
    return False

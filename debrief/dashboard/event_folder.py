"""An event folder: what its event.json says, what to call it, how it is written to; those of the samples."""

import hashlib
import json
import os
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from debrief.errors import BadSetting, DebriefError
from debrief.importers.corrections import ADDED, CORRECTIONS
from debrief.importers.folder import EVENT_JSON, NOT_READ
from debrief.resources import shipped

CHANGED_FILES = (EVENT_JSON, ADDED, CORRECTIONS)
"""What a reviewer's change writes beside the files that came."""

OWN_FILES = (*CHANGED_FILES, *NOT_READ)
"""What stands in an event folder beside the files that came."""


@dataclass(frozen=True)
class Entry:
    """One event as a list shows it before it is measured."""

    event_id: str
    folder: Path
    files: tuple[str, ...]
    settings: dict[str, Any]


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


@contextmanager
def as_it_was_on_failure(folder: Path) -> Iterator[Path]:
    """Put back what stands beside the files of an event where a change leaves nothing to be measured."""
    before = {
        path: path.read_bytes() if path.is_file() else None
        for path in (folder / name for name in CHANGED_FILES)
    }
    try:
        yield folder
    except DebriefError:
        for path, content in before.items():
            if content is not None:
                path.write_bytes(content)
            else:
                path.unlink(missing_ok=True)
        raise


def state_of(folder: Path) -> str:
    """Return a digest of what is measured of a folder: names and bytes of its files."""
    digest = hashlib.sha256()
    for path in sorted(path for path in folder.glob("*") if path.is_file() and path.name not in NOT_READ):
        content = path.read_bytes()
        digest.update(f"{path.name}\0{len(content)}\0".encode())
        digest.update(content)
    return digest.hexdigest()


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

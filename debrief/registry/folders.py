"""An event of the registry as a folder, in the form that the importers read."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from debrief.importers.corrections import ADDED, CORRECTIONS
from debrief.importers.folder import EVENT_JSON
from debrief.registry.incoming import Kept

MEASURED_FROM = (CORRECTIONS, ADDED)
"""Of the lines that are only added, those on which figures depend."""


@dataclass(frozen=True)
class Contents:
    """All that is kept of one event. Called with a folder, it lays itself down there."""

    settings: Mapping[str, Any]
    files: Sequence[Kept]
    lines: Mapping[str, Sequence[bytes]]

    def __call__(self, folder: Path) -> None:
        """Write the files into a folder.

        Raises
        ------
        OSError
            Where the folder cannot be written.
        """
        for kept in self.files:
            path = folder / kept.file
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(kept.content)
        for name, lines in self.lines.items():
            if lines:
                write_lines(folder / name, lines)
        (folder / EVENT_JSON).write_text(json.dumps(self.settings, indent=1), encoding="utf-8")


def write_lines(path: Path, lines: Sequence[bytes]) -> None:
    """Write a file of lines whole, so that who reads it meanwhile finds those before or these."""
    draft = path.with_name(f".{path.name}")
    draft.write_bytes(b"".join(line + b"\n" for line in lines))
    draft.replace(path)


def digest_of(
    settings: Mapping[str, Any], files: Sequence[tuple[str, str]], lines: Mapping[str, Sequence[bytes]]
) -> str:
    """Return the digest of all that an event is measured from; what it is called is no part of it.

    Parameters
    ----------
    settings
        Its event.json.
    files
        The name and the digest of each file.
    lines
        Those that were added, by the name of their file.
    """
    about = [{key: value for key, value in settings.items() if key != "event_id"}, sorted(files)]
    digest = sha256(json.dumps(about, sort_keys=True).encode())
    for name in MEASURED_FROM:
        for line in lines.get(name, ()):
            digest.update(b"\n%d %s" % (len(line), line))
        digest.update(b"\n\n")
    return digest.hexdigest()

"""Work that is done stays done: pieces in a folder, each named by what it was made from and by its digest.

A piece whose bytes are no more those that were written is made again; so is one that was half written, since
it has no name yet.
"""

import hashlib
import os
from pathlib import Path

import pyarrow as pa


class Kept:
    """The pieces in a folder. ``key``: what a piece is made from, as text of any length."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, key: str) -> Path | None:
        """Return the file of a piece as it was written, null where there is none."""
        for path in self.folder.glob(f"{_short(key.encode())}.*.piece"):
            if path.name.split(".")[1] == _of_file(path):
                return path
            path.unlink(missing_ok=True)
        return None

    def put(self, key: str, content: bytes | pa.Buffer) -> Path:
        """Keep a piece.

        Raises
        ------
        OSError
            Where it cannot be written.
        """
        self.folder.mkdir(parents=True, exist_ok=True)
        draft = self.folder / f"{os.getpid()}.draft"
        with draft.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        path = self.folder / f"{_short(key.encode())}.{_short(content)}.piece"
        draft.replace(path)
        return path


def _short(content: bytes | pa.Buffer) -> str:
    return hashlib.sha256(content).hexdigest()[:32]


def _of_file(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()[:32]

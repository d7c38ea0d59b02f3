"""Folders of our own in which events and answers lie ready to be read, each made once."""

import shutil
import tempfile
import threading
from collections import OrderedDict
from hashlib import sha256
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from debrief.importers.folder import TALK
from debrief.registry import rows, tables
from debrief.registry.folders import write_lines

KEPT_FOLDERS = 64
"""How many events lie ready in folders at most."""


class Laid:
    """Folders that go when the registry closes. May be used by several threads."""

    def __init__(self) -> None:
        self._home = Path(tempfile.mkdtemp(prefix="debrief-"))
        self._folders: OrderedDict[tuple[str, str], Path] = OrderedDict()
        self._talk_lines: dict[Path, int] = {}
        self._one_at_a_time = threading.Lock()

    def close(self) -> None:
        """Take the folders away."""
        shutil.rmtree(self._home, ignore_errors=True)

    def event(self, connection: sa.Connection, held: Any) -> Path:  # noqa: ANN401 - a row
        """Return a folder that holds an event.

        It is the same one as long as the same is measured; what was said in the talk since is added to it.
        """
        entry = tables.entry
        of_talk = sa.and_(entry.c.event == held.id, entry.c.stream == TALK)
        count = connection.scalar(sa.select(sa.func.count()).where(of_talk)) or 0
        key = (held.name, held.digest)
        with self._one_at_a_time:
            if key not in self._folders:
                folder = Path(tempfile.mkdtemp(dir=self._home))
                rows.contents_of(connection, held)(folder)
                self._folders[key], self._talk_lines[folder] = folder, count
            folder = self._folders[key]
            if self._talk_lines[folder] != count:
                write_lines(folder / TALK, rows.lines_of(connection, held.id)[TALK])
                self._talk_lines[folder] = count
            self._folders.move_to_end(key)
            while len(self._folders) > KEPT_FOLDERS:
                oldest = self._folders.popitem(last=False)[1]
                self._talk_lines.pop(oldest)
                shutil.rmtree(oldest, ignore_errors=True)
            return folder

    def layouts(self, connection: sa.Connection) -> Path:
        """Return a folder with all answers about layouts: the same answers, the same folder."""
        table = tables.mapping
        kept = connection.execute(sa.select(table).order_by(table.c.layout)).all()
        digest = sha256("\0".join(f"{row.layout}\0{row.content}" for row in kept).encode()).hexdigest()
        folder = self._home / f"layouts-{digest[:32]}"
        with self._one_at_a_time:
            if not folder.is_dir():
                folder.mkdir()
                for row in kept:
                    (folder / f"{row.layout}.toml").write_text(row.content, encoding="utf-8")
            return folder

"""Files that come in by a page: laid down, kept in the registry as events, and told what became of each."""

import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from debrief.assess import Asked
from debrief.dashboard.addresses import event_address
from debrief.dashboard.shelf import Shelf
from debrief.errors import DebriefError
from debrief.importers.finding import Found
from debrief.importers.folder import EVENT_JSON
from debrief.importers.naming import plain
from debrief.registry.adding import Refused
from debrief.registry.arriving import Added
from debrief.registry.incoming import found_in, left_out
from debrief.words import say

Sent = tuple[str, bytes]
"""A file as it was sent: what it was called, and its bytes."""

WHERE = {"needs_mapping": "understood", "nothing_measured": "understood", "needs_clocks": "clocks"}
"""Which page of an event to look at first, by how it stands; else what was understood of a new one."""


@dataclass(frozen=True)
class Became:
    """What became of an event that came: in words, the page to look at, whether somebody should.

    ``did`` as `Added` has it, or ``refused``.
    """

    did: str
    said: str
    address: str | None
    attention: bool = False


def labels_of(sent: Sent, shelf: Shelf) -> list[str]:
    """Return what to call each event that a file or an archive holds.

    Raises
    ------
    UnreadableFile
        Where an archive cannot be opened.
    """
    with laid_down([sent]) as (path,):
        return [found.label for found in found_in(path, shelf.settings())]


def take_in(shelf: Shelf, sent: Sequence[Sent], as_one: bool, asked: Asked) -> list[Became]:
    """Keep files as one event, or every event in them as its own, and say what became of each.

    Files that hold an event.json are an event folder, whose settings stay as they are.

    Raises
    ------
    NotKept
        Where the registry cannot be written.
    """
    told: list[Became] = []
    with laid_down(sent) as paths:
        found: list[Found] = []
        if as_one and len(paths) > 1:
            found.append(_one(paths))
        for path in () if found else paths:
            try:
                found += found_in(path, shelf.settings())
                told += [Became("refused", left, None, attention=True) for left in left_out(path)]
            except DebriefError as error:
                told.append(_refused(Refused(path.name, str(error))))
        became = list(shelf.keep(found, asked))
    return [*map(_told, became), *told]


def _one(paths: Sequence[Path]) -> Found:
    """Return several files as one event."""
    if all(path.name != EVENT_JSON for path in paths):
        return Found(tuple(paths))
    others = [path for path in paths if path.name != EVENT_JSON]
    folder = paths[0].parent.parent / plain(others[0].stem if others else "event")
    folder.mkdir()
    for path in paths:
        path.rename(_free(folder / path.name))
    return Found((folder,))


def _free(path: Path) -> Path:
    number, free = 2, path
    while free.exists():
        free, number = path.with_name(f"{path.stem} ({number}){path.suffix}"), number + 1
    return free


@contextmanager
def laid_down(sent: Sequence[Sent]) -> Iterator[list[Path]]:
    """Lay files that came in folders of their own for as long as they are read."""
    with tempfile.TemporaryDirectory(prefix="debrief-") as folder:
        paths = []
        for number, (name, content) in enumerate(sent):
            own = Path(folder) / f".{number}"
            own.mkdir()
            path = own / plain(name.replace("\\", "/").rpartition("/")[2].lstrip(".") or "file")
            path.write_bytes(content)
            paths.append(path)
        yield paths


def _told(one: Added | Refused) -> Became:
    if isinstance(one, Refused):
        return _refused(one)
    said = [say(f"arriving.did_{one.did}", event=one.event)]
    status = one.measured.status if one.measured else "new"
    if status == "to_check" and one.measured:
        count = one.measured.to_check
        said.append(say("arriving.to_check_one" if count == 1 else "arriving.to_check", count=count))
    elif status != "new":
        said.append(say(f"arriving.{status}"))
    page = WHERE.get(status, "understood" if one.did == "added" else "")
    address = None if one.did == "removed" else event_address(one.event, page)
    return Became(one.did, " ".join([*said, *one.notes]), address, status != "new" or one.did == "removed")


def _refused(one: Refused) -> Became:
    return Became("refused", say("arriving.refused", event=one.event, why=one.why), None, attention=True)

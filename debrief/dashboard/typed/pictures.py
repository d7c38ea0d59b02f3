"""The picture of a typed sheet: known by how its content begins, kept and shown as it is, never read."""

from pathlib import Path

from debrief.dashboard.event_folder import write_whole
from debrief.dashboard.shelf import Shelf
from debrief.dashboard.typed.drafts import to_write
from debrief.errors import BadSetting, NotKept
from debrief.importers.folder import PICTURES
from debrief.words import say

MOST_PICTURE_BYTES = 20_000_000

_BEGINS = {
    "image/png": (b"\x89PNG\r\n\x1a\n", 0, "png"),
    "image/jpeg": (b"\xff\xd8\xff", 0, "jpg"),
    "application/pdf": (b"%PDF-", 0, "pdf"),
    "image/webp": (b"WEBP", 8, "webp"),
}
"""How the content of a picture begins, after how many bytes, and the ending that it is kept under."""
_TYPES = {f"sheet.{ending}": kind for kind, (_, _, ending) in _BEGINS.items()}


def picture_of(folder: Path) -> tuple[Path, str] | None:
    """Return the picture of a sheet and its media type, null where there is none."""
    found = next((folder / name for name in PICTURES if (folder / name).is_file()), None)
    return (found, _TYPES[found.name]) if found else None


def keep_picture(shelf: Shelf, sheet: str, content: bytes) -> None:
    """Keep a picture of a sheet, instead of another; without content there is none afterwards.

    Raises
    ------
    BadSetting
        Where its content is no picture that a browser shows, or it is too large.
    NotKept
        Where the folder cannot be written.
    """
    if len(content) > MOST_PICTURE_BYTES:
        raise BadSetting(say("typing.picture_too_big", most_mb=MOST_PICTURE_BYTES // 1_000_000))
    endings = [end for begins, at, end in _BEGINS.values() if content[at : at + len(begins)] == begins]
    if content and not endings:
        raise BadSetting(say("typing.no_picture"))
    with shelf.writing:
        folder = shelf.typing_folder / sheet
        try:
            to_write(shelf, sheet)
            if content:
                write_whole(folder / f"sheet.{endings[0]}", content)
            for name in PICTURES:
                if not (content and name == f"sheet.{endings[0]}"):
                    (folder / name).unlink(missing_ok=True)
        except OSError as error:
            raise NotKept(say("typing.not_kept", folder=folder, reason=error.strerror or error)) from error

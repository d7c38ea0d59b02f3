"""Zip archives of event folders: unpacked into a folder of our own that is gone when the program ends.

Only plain members are taken out, each below that folder; what is not plain is a problem and is left out.
"""

import atexit
import shutil
import stat
import tempfile
import zipfile
from functools import cache
from hashlib import sha256
from pathlib import Path, PurePosixPath

from debrief.importers import limits
from debrief.importers.limits import refused
from debrief.importers.naming import is_plain
from debrief.importers.notices import Notice, notice
from debrief.importers.workbook import is_workbook
from debrief.words import say

_ENCRYPTED = 0x1
_LITTER = ("__MACOSX", ".DS_Store", "Thumbs.db")
_CHUNK = 1 << 20


def is_archive(path: Path) -> bool:
    """Tell whether a path is a zip archive that is no workbook."""
    if not path.is_file():
        return False
    with path.open("rb") as file:
        begins = file.read(4)
    return begins in (b"PK\x03\x04", b"PK\x05\x06") and not is_workbook(path)


def unpack(path: Path) -> tuple[Path, tuple[Notice, ...]]:
    """Return the folder into which an archive was unpacked, and what was left out of it.

    The same archive is unpacked once.

    Raises
    ------
    UnreadableFile
        Where it is damaged, too large, or holds no member that can be read.
    """
    limits.check_size(path)
    with path.open("rb") as file:
        digest = sha256(file.read()).hexdigest()
    return _unpack(path, digest)


@cache
def _home() -> Path:
    """Make a folder that nobody else can look into, and that goes when the program ends."""
    home = Path(tempfile.mkdtemp(prefix="debrief-"))
    atexit.register(shutil.rmtree, home, ignore_errors=True)
    return home


@cache
def _unpack(path: Path, digest: str) -> tuple[Path, tuple[Notice, ...]]:
    folder = _home() / f"{path.stem}-{digest[:16]}"
    shutil.rmtree(folder, ignore_errors=True)
    notices: list[Notice] = []
    files: set[str] = set()
    folders: set[str] = set()
    left = limits.most_unpacked(path)
    try:
        with zipfile.ZipFile(path) as archive:
            limits.check_members(path, archive.infolist())
            for member in archive.infolist():
                parts = PurePosixPath(member.filename).parts
                if member.is_dir() or any(part in _LITTER for part in parts):
                    continue
                name = PurePosixPath(member.filename.casefold())
                above = {str(parent) for parent in name.parents}
                clashes = str(name) in files | folders or above & files
                reason = _unsafe(member) or ("twice" if clashes else None)
                if reason is None:
                    size, reason = _take_out(path, archive, member, folder, left)
                    left -= size
                if reason:
                    notices.append(_left_out(member, reason))
                files.add(str(name))
                folders |= above
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError, ValueError) as error:
        raise refused(path, "broken_zip", reason=error) from error
    if not any(folder.rglob("*")):
        raise refused(path, "empty_zip", reasons=" ".join(_reason(each) for each in notices))
    return folder, tuple(notices)


def _left_out(member: zipfile.ZipInfo, reason: str) -> Notice:
    shown = member.filename.encode("ascii", "backslashreplace").decode()[:80]
    return notice("member_left_out", None, member=shown, reason=say(f"importing.member_{reason}"))


def _reason(told: Notice) -> str:
    values = dict(told.values)
    return f"'{values['member']}': {values['reason']}"


def _unsafe(member: zipfile.ZipInfo) -> str | None:
    """Return why a member is not taken out, by its name and what it says of itself; null where it may be."""
    parts = member.filename.replace("\\", "/").split("/")
    if not all(map(is_plain, parts)):
        return "unsafe"
    if stat.S_IFMT(member.external_attr >> 16) not in (0, stat.S_IFREG):
        return "link"
    return "locked" if member.flag_bits & _ENCRYPTED else None


def _take_out(
    path: Path, archive: zipfile.ZipFile, member: zipfile.ZipInfo, folder: Path, allowed: int
) -> tuple[int, str | None]:
    """Write a member below the folder. Return its size, and why it was left out, null where it was not."""
    target = folder / member.filename
    size = 0
    try:
        with archive.open(member) as packed:
            target.parent.mkdir(parents=True, exist_ok=True)
            with target.open("xb") as file:
                while chunk := packed.read(_CHUNK):
                    size += len(chunk)
                    if size > allowed:
                        raise limits.unpacks_too_large(path)
                    file.write(chunk)
        with target.open("rb") as file:
            packed_again = limits.is_packed(file.read(8)) and not is_workbook(target)
        if not packed_again:
            return size, None
    except limits.BROKEN:
        target.unlink(missing_ok=True)
        return size, "damaged"
    target.unlink()
    return size, "archive"

"""Files: what ships beside the code, where the user's own things are kept, lines that are only ever added.

Style sheets, scripts, fonts and the sample events lie beside the package in a checkout and an editable
install; in a wheel, inside it.
"""

import os
import sys
from pathlib import Path

PACKAGE = Path(__file__).parent
REGISTRY_FILE = "registry.sqlite3"
"""What the registry is called in its folder."""


def shipped(name: str) -> Path:
    """Return the folder ``assets`` or ``sample_events``, wherever this installation keeps it.

    Raises
    ------
    FileNotFoundError
        Where the installation is broken and holds neither.
    """
    for home in (PACKAGE / "shipped", PACKAGE.parent):
        folder = home / name
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"{name} is missing from this installation of debrief; install it again")


def home() -> Path:
    """Return the folder that holds the user's own: ``DEBRIEF_HOME``, else the platform's data folder."""
    if given := os.environ.get("DEBRIEF_HOME"):
        return Path(given)
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local")) / "debrief"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "debrief"
    return Path(os.environ.get("XDG_DATA_HOME", Path.home() / ".local" / "share")) / "debrief"


def append_line(path: Path, text: str) -> None:
    """Add a line to a file in UTF-8, and return once the disk has it.

    Two programs that add lines at once lose none. A line that was cut off, as its writer was stopped, is
    left to stand by itself; an empty line may come between two.

    Raises
    ------
    OSError
        Where the file cannot be written.
    """
    line = text.encode("utf-8", "replace") + b"\n"
    handle = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o644)
    try:
        if _cut_off(handle):
            line = b"\n" + line
        while line:
            line = line[os.write(handle, line) :]
        os.fsync(handle)
    finally:
        os.close(handle)


def _cut_off(handle: int) -> bool:
    """Return whether a file ends in the middle of a line."""
    size = os.fstat(handle).st_size
    if not size:
        return False
    os.lseek(handle, size - 1, os.SEEK_SET)
    return os.read(handle, 1) != b"\n"

"""Whether a folder lies on a network drive, where two machines can break an SQLite file in WAL."""

import ctypes
import re
import subprocess
import sys
from pathlib import Path

NETWORK = frozenset(
    "nfs nfs4 cifs smb3 smbfs afs afpfs ncpfs webdav davfs 9p ceph glusterfs lustre gpfs ocfs2 gfs2"
    " vboxsf vmhgfs fuse.sshfs fuse.rclone fuse.s3fs fuse.gvfsd-fuse fuse.davfs2 fuse.glusterfs"
    " fuse.vmhgfs-fuse fuse.ceph beegfs".split()
)
_REMOTE_DRIVE = 4
_MOUNTS = Path("/proc/self/mountinfo")


def network_kind(folder: Path) -> str | None:
    """Return what kind of network drive a folder lies on; null where on none, or nothing tells."""
    folder = folder.resolve()
    if sys.platform == "win32":
        remote = ctypes.windll.kernel32.GetDriveTypeW(folder.anchor) == _REMOTE_DRIVE
        return "network drive" if remote or folder.anchor.startswith("\\\\") else None
    if sys.platform == "darwin":
        listed = subprocess.run(["/sbin/mount"], capture_output=True, text=True, check=False).stdout
        found = re.findall(r"^.* on (.*) \((\w+)", listed, re.MULTILINE)
    else:
        found = mounts(_MOUNTS.read_text(encoding="utf-8", errors="replace")) if _MOUNTS.exists() else []
    kind = kind_at(folder, found)
    return kind if kind in NETWORK else None


def mounts(text: str) -> list[tuple[str, str]]:
    """Return the mount points and file systems of a ``mountinfo``, in its order."""
    found = []
    for line in text.splitlines():
        about, _, rest = line.partition(" - ")
        point = re.sub(r"\\(\d{3})", lambda octal: chr(int(octal[1], 8)), about.split()[4])
        found.append((point, rest.split()[0]))
    return found


def kind_at(folder: Path, found: list[tuple[str, str]]) -> str | None:
    """Return the file system of a folder: that of the longest mount point above it, the last of two alike."""
    above = [(len(point), at, kind) for at, (point, kind) in enumerate(found) if folder.is_relative_to(point)]
    return max(above)[2] if above else None

"""Whether a folder lies on a network share, where two writers can damage a database file."""

from __future__ import annotations

import os
import sys
from pathlib import Path

KINDS = ("nfs", "nfs4", "cifs", "smb3", "smbfs", "sshfs", "fuse.sshfs", "afpfs", "webdav", "davfs", "9p", "ceph")
MOUNTS = Path("/proc/mounts")


def network_kind(folder: Path) -> str:
    """The kind of share in a word, or "" where it is a disk of this machine or cannot be told."""
    path = os.path.realpath(folder)
    if sys.platform == "win32":
        return _windows(path)
    best, kind = "", ""
    try:
        lines = MOUNTS.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return ""
    for line in lines:
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        place = fields[1].replace("\\040", " ")
        inside = path == place or path.startswith(place.rstrip("/") + "/")
        if inside and len(place) >= len(best):
            best, kind = place, fields[2]
    return kind if kind in KINDS else ""


def _windows(path: str) -> str:
    if path.startswith("\\\\"):
        return "network folder"
    import ctypes

    remote = 4
    drive = os.path.splitdrive(path)[0] + "\\"
    kind = ctypes.windll.kernel32.GetDriveTypeW(drive)  # type: ignore[attr-defined]
    return "network drive" if kind == remote else ""

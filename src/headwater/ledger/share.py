"""Whether a file lies on another machine: there SQLite's log written ahead does not work."""

from __future__ import annotations

import os
from pathlib import Path

MOUNTS = Path("/proc/self/mounts")
NETWORK = frozenset(
    {
        *("nfs", "nfs4", "cifs", "smb2", "smb3", "smbfs", "ncpfs", "afs", "afpfs", "webdav"),
        *("davfs", "ceph", "glusterfs", "lustre", "gpfs", "9p"),
        *("fuse.sshfs", "fuse.rclone", "fuse.davfs", "fuse.glusterfs", "fuse.s3fs"),
    }
)
"""Kinds of file system behind which stands another machine."""


def network_share(file: Path) -> str:
    """Return the kind of the network share on which a file is, or is to be; nothing if on none.

    What the system does not tell is taken for a disk of this machine.
    """
    if os.name == "nt":  # pragma: no cover
        return "a share of Windows" if str(file.resolve()).startswith("\\\\") else ""
    try:
        mounts = MOUNTS.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""
    return share_among(mounts, Path(os.path.realpath(file.parent)))


def share_among(mounts: str, folder: Path) -> str:
    """Return the same by the list of mounts as the kernel tells it: what, where, kind, how.

    >>> share_among("srv:/x /shop nfs4 rw 0 0\\n/dev/sda1 / ext4 rw 0 0\\n", Path("/shop/data"))
    'nfs4'
    """
    found, deepest = "", -1
    for row in mounts.splitlines():
        columns = row.split(" ")
        if len(columns) < 3:
            continue
        where = Path(columns[1].replace("\\040", " "))
        if folder.is_relative_to(where) and len(where.parts) >= deepest:
            found, deepest = columns[2], len(where.parts)
    return found if found in NETWORK else ""

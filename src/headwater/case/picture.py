"""How a photograph is named that was taken on a page: by what it holds."""

from __future__ import annotations

import hashlib
import re

MOST_PICTURE = 20_000_000
"""Bytes of the largest photograph that is read or kept."""
_NAME = re.compile(r"[0-9a-f]{64}\.jpg")


def name_of_picture(data: bytes) -> str:
    """Return the name under which a photograph is kept: its SHA-256, so the same one is kept once.

    >>> name_of_picture(b"")[:12], name_of_picture(b"")[-4:]
    ('e3b0c44298fc', '.jpg')
    """
    return f"{hashlib.sha256(data).hexdigest()}.jpg"


def is_picture(name: str) -> bool:
    """Say whether a name is one under which a photograph was taken here; no other is ever shown."""
    return _NAME.fullmatch(name) is not None

"""A code to be scanned (QR, ISO/IEC 18004), drawn as one path: the only user of `segno`."""

from __future__ import annotations

from typing import Any

from headwater.render.clean import clean
from headwater.render.fill import fill, ready

QUIET_ZONE = 4
"""Modules left free round a code, as the standard wants them."""


def code_drawing(text: str) -> Any:
    """Return a code as ready markup: dark on light whatever the page is, for scanners want that."""
    import segno

    rows = [bytes(row) for row in segno.make(text, error="m", micro=False).matrix]
    side = len(rows) + 2 * QUIET_ZONE
    path = "".join(
        f"M{x + QUIET_ZONE} {y + QUIET_ZONE}h1v1h-1z"
        for y, row in enumerate(rows)
        for x, dark in enumerate(row)
        if dark
    )
    return ready(fill("code.svg", {"side": side, "path": path, "text": text}, clean))

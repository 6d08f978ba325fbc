"""A fault of the program itself: one line for whoever met it, the whole of it in a file."""

from __future__ import annotations

import os
import tempfile
import traceback
from contextlib import suppress

from headwater.errors import HeadwaterError


def own_fault(error: Exception) -> HeadwaterError:
    """Return what to say of a fault that nobody foresaw, having written its details to a file."""
    kind = type(error).__name__
    place = _write_down(error)
    where = f"the details are in {place}" if place else "its details could not be written"
    return HeadwaterError(f"this is a fault of Headwater, not yours ({kind}); {where}")


def _write_down(error: Exception) -> str:
    """Return the name of the file with the details, or nothing where none could be written."""
    with suppress(OSError):
        number, name = tempfile.mkstemp(prefix="headwater-fault-", suffix=".txt")
        with os.fdopen(number, "w", encoding="utf-8", errors="replace") as details:
            details.write("".join(traceback.format_exception(error)))
        return name
    return ""

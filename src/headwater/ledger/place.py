"""Where the ledger is. Nothing here opens it: a seat without one pays for a look at one name."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path

from headwater.ledger.records import LedgerError

SETTING = "HEADWATER_LEDGER"
"""Variable of the environment: `off`, a file, or the address of a data base."""
FILE = "ledger.sqlite"


def data_home(environ: Mapping[str, str]) -> Path | None:
    """Return the folder in which a user's own data stand, by the habit of the system."""
    if sys.platform == "win32":  # pragma: no cover
        named = environ.get("LOCALAPPDATA", "")
        return Path(named) if named else None
    shared, home = environ.get("XDG_DATA_HOME", ""), environ.get("HOME", "")
    if shared.startswith("/"):
        return Path(shared)
    if not home:
        return None
    more = ("Library", "Application Support") if sys.platform == "darwin" else (".local", "share")
    return Path(home, *more)


def ledger_address(environ: Mapping[str, str], told: str | None = None) -> str | None:
    """Return the file or the address of the ledger, there or not; None where none is wanted."""
    chosen = told or environ.get(SETTING, "")
    if chosen:
        return None if chosen == "off" else chosen
    home = data_home(environ)
    return str(home / "headwater" / FILE) if home else None


def wanted_address(environ: Mapping[str, str], told: str | None = None) -> str:
    """Return the same for a command that needs a ledger. Raises LedgerError."""
    found = ledger_address(environ, told)
    if found is None:
        mend = "name a file: --ledger FILE"
        raise LedgerError(f"no ledger is wanted here ({SETTING}=off), or there is no home; {mend}")
    return found


def is_address(text: str) -> bool:
    """Say whether a text is the address of a data base, and no file."""
    return "://" in text


def ledger_here(environ: Mapping[str, str], told: str | None = None) -> str | None:
    """Return the ledger that a case is kept in if it is there, or else None: cases are files."""
    found = ledger_address(environ, told)
    if found is None or is_address(found) or os.path.exists(found):  # noqa: PTH110 - no import
        return found
    return None

"""The libraries that a plain install does not have: one line says how to get them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from headwater.ledger.records import LedgerError

OURS = ("sqlalchemy", "scipy", "surpyval", "numpy", "pandas")


@contextmanager
def needs_extra() -> Iterator[None]:
    """Say how a library is had that is imported here and is not there. Raises LedgerError."""
    try:
        yield
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] not in OURS:
            raise
        text = "the ledger needs the extra 'ledger': pip install '.[ledger]' in Headwater's folder"
        raise LedgerError(text) from None

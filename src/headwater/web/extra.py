"""The libraries of the pages, which a plain install lacks: one line says how to get them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from headwater.errors import HeadwaterError

OURS = ("starlette", "uvicorn", "python_multipart", "argon2", "PIL", "segno", "anyio", "h11")


@contextmanager
def needs_web() -> Iterator[None]:
    """Say how a library is had that is imported here and is not there. Raises HeadwaterError."""
    try:
        yield
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] not in OURS:
            raise
        text = "the pages need the extra 'web': pip install '.[web]' in Headwater's folder"
        raise HeadwaterError(text) from None

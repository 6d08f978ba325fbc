"""The streams of this process: closed, or with their reader gone, they are no reason to stop.

A command is run to its end whoever listens, so that its exit status says how the case stands.
"""

from __future__ import annotations

import io
import os
import sys
from typing import IO, Any


class _Lasting(io.FileIO):
    """An output of the process; once its reader has gone, what is written goes nowhere."""

    def write(self, data: Any) -> int:
        """Write bytes, or drop them."""
        try:
            return super().write(data)
        except BrokenPipeError:
            return len(data)


def process_streams() -> tuple[IO[str], IO[str], IO[str]]:
    """Return output, error output and input; one that was closed takes everything, or is empty."""
    _fill_gaps()
    return _output(1), _output(2), _input(sys.stdin)


def _fill_gaps() -> None:
    """Open nothing in place of each closed stream, so that no file is taken for one of them."""
    while (number := os.open(os.devnull, os.O_RDWR)) <= 2:
        pass
    os.close(number)


def _output(number: int) -> IO[str]:
    raw = _Lasting(number, "wb", closefd=False)
    live = number == 2 or raw.isatty()
    whole = io.BufferedWriter(raw)
    return io.TextIOWrapper(whole, encoding="utf-8", errors="replace", line_buffering=live)


def _input(stream: IO[str] | None) -> IO[str]:
    if isinstance(stream, io.TextIOWrapper):
        stream.reconfigure(errors="strict")  # some systems take a wrong byte for half a sign
    return stream or io.StringIO()

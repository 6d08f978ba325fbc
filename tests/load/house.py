"""The pages in a process of their own, as a shop starts them: what it takes of the machine."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from httpx2 import Client, Limits

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 60.0
LIMITS = Limits(keepalive_expiry=2)
"""Seconds after which a quiet connection is made anew: the server ends it after five, and a browser
would notice."""
MB = 1_000_000
LINES = 3
"""What the server says as it starts: what it serves, the link, how it is stopped."""
PRICES = ROOT / "examples" / "price-folder"


@dataclass(slots=True)
class Running:
    """A server that runs: its process, and the link for the next browser."""

    process: subprocess.Popen[str]
    link: str

    @property
    def address(self) -> str:
        """Where it is."""
        return self.link.partition("/enter")[0]

    def come_in(self) -> Client:
        """Return a browser that came in; the server then tells the link for the next one."""
        client = Client(base_url=self.address, timeout=PATIENCE, limits=LIMITS)
        assert client.get(self.link).status_code == 303
        assert self.process.stdout is not None
        self.link = _link_in(self.process.stdout.readline())
        return client

    @property
    def memory_mb(self) -> float:
        """What it has in memory now, in megabytes."""
        told = Path(f"/proc/{self.process.pid}/statm").read_text(encoding="ascii").split()
        return int(told[1]) * os.sysconf("SC_PAGE_SIZE") / MB

    @property
    def cpu_seconds(self) -> float:
        """What it has reckoned so far, all its threads together."""
        told = Path(f"/proc/{self.process.pid}/stat").read_text(encoding="ascii")
        used = told.rpartition(")")[2].split()[11:13]
        return sum(map(int, used)) / os.sysconf("SC_CLK_TCK")


def _link_in(line: str) -> str:
    found = re.search(r"http://127\.0\.0\.1:\d+/enter/\S+", line)
    assert found, f"the server says: {line!r}"
    return found[0]


@contextmanager
def running(folder: Path, prices: bool = False) -> Iterator[Running]:
    """Start the server over a folder with the stored units of the examples, and end it."""
    for path in sorted((ROOT / "examples" / "units").glob("*[0-9].yaml")):
        shutil.copy(path, folder)
    keep = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "HEADWATER"))}
    own = {"PYTHONPATH": str(ROOT / "src"), "HEADWATER_LEDGER": "off"}
    words = ["serve", folder, "--port", "0", *(["--prices", PRICES] if prices else [])]
    line = [sys.executable, "-m", "headwater", *map(str, words)]
    with subprocess.Popen(line, stdout=subprocess.PIPE, text=True, env=keep | own) as process:
        try:
            assert process.stdout is not None
            told = [process.stdout.readline() for _ in range(LINES)]
            yield Running(process, _link_in(told[1]))
        finally:
            process.send_signal(signal.SIGINT)

"""Headwater beside other packages: experta's pins bind nobody else."""

from __future__ import annotations

import re
import subprocess
import venv
from importlib.metadata import requires
from pathlib import Path

import pytest
from process import ROOT

LOCK = ROOT / ".ci" / "lock.txt"


def _name(written: str) -> str:
    """Return a distribution's name as names are compared (packaging specification, names)."""
    return re.sub(r"[-_.]+", "-", written).lower()


def test_the_lock_holds_every_distribution_that_headwater_asks_for() -> None:
    """Those of the tests, too; each with the hash of its file."""
    lines = [line for line in LOCK.read_text().splitlines() if not line.startswith("#")]
    locked = {_name(line.split("==")[0]) for line in lines}
    assert all(re.fullmatch(r"\S+==\S+ --hash=sha256:[0-9a-f]{64}", line) for line in lines)
    asked = {_name(re.split(r"[^\w.-]", told)[0]) for told in requires("headwater") or ()}
    assert asked <= locked


@pytest.mark.trial
def test_installs_beside_a_newer_frozendict(tmp_path: Path) -> None:
    """In either order of importing: experta gets a stand-in, and everybody else their own."""
    home = tmp_path / "venv"
    venv.create(home, with_pip=True)
    python = str(home / "bin" / "python")
    for asked in (str(ROOT), "frozendict>=2"):
        subprocess.run([python, "-m", "pip", "install", "-q", asked], check=True)
    for first, then in (("frozendict", "engine"), ("engine", "frozendict")):
        lines = {"frozendict": "import frozendict", "engine": "import headwater.rules.engine"}
        told = "print(frozendict.__version__, frozendict.frozendict(a=1) | {'b': 2})"
        code = "; ".join((lines[first], lines[then], told))
        found = subprocess.run([python, "-c", code], capture_output=True, text=True, check=True)
        version, rest = found.stdout.split(" ", 1)
        assert int(version.split(".")[0]) >= 2
        assert "'b': 2" in rest
    case = str(ROOT / "examples" / "ridge-07.yaml")
    ran = subprocess.run([str(home / "bin" / "headwater"), "diagnose", case], capture_output=True)
    assert (ran.returncode, ran.stderr) == (0, b"")

"""The first tenths of a second: Ctrl-C ends them in one line at most, never in a traceback."""

from __future__ import annotations

import subprocess
import sys

import pytest
from process import ROOT, environment

CASE = str(ROOT / "examples" / "ridge-07.yaml")

STOP = """\
import runpy, sys

class Stop:
    def find_spec(self, name, *_):
        if name == {name!r}:
            raise KeyboardInterrupt

sys.meta_path.insert(0, Stop())
sys.argv[1:] = ["diagnose", {case!r}]
runpy.run_module("headwater", run_name="__main__", alter_sys=True)
"""


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("headwater.cli", ""),
        ("headwater.cli.main", ""),
        ("argparse", ""),
        ("headwater.cli.commands", ""),
        ("headwater.cli.case", "headwater: stopped\n"),
        ("headwater.book.model", "headwater: stopped\n"),
        ("networkx", "headwater: stopped\n"),
        ("numpy", "headwater: stopped\n"),
        ("rich.console", "headwater: stopped\n"),
    ],
)
def test_ctrl_c_while_something_is_imported(name: str, told: str) -> None:
    found = subprocess.run(
        [sys.executable, "-c", STOP.format(name=name, case=CASE)],
        capture_output=True,
        text=True,
        env=environment(),
        timeout=60,
        check=False,
    )
    assert (found.returncode, found.stdout, found.stderr) == (2, "", told)

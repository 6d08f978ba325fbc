"""The commands `serve` and `people`: what is refused, what is said, and that Ctrl-C ends it."""

from __future__ import annotations

import platform
import re
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from process import ROOT, command, environment, run, session

from headwater.web.server import Address, hosts_of


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--network"], "--insecure-lan"),
        (["--network", "--cert", "c.pem"], "needs its key"),
        (["--insecure-lan"], "for --network"),
        (["--network", "--insecure-lan", "--people", "none.json"], "nobody may come in yet"),
        (["--network", "--cert", "none", "--key", "none"], "no certificate"),
        (["nowhere"], "no such folder"),
        (["--port", "70000"], "0 to 65535"),
        (["--prices", "none.yaml"], "no such file"),
        (["--progress", "pyproject.toml"], "pyproject.toml"),
    ],
)
def test_what_cannot_be_served_is_said_in_one_line(words: list[str], told: str) -> None:
    found = run("serve", *words)
    assert found.returncode == 2
    assert told in found.stderr
    assert len(found.stderr.splitlines()) == 1


def test_a_port_that_is_taken_is_said(tmp_path: Path) -> None:
    import socket

    with socket.create_server(("127.0.0.1", 0)) as taken:
        found = run("serve", tmp_path, "--port", str(taken.getsockname()[1]))
    assert found.returncode == 2
    assert "--port N" in found.stderr


def test_the_link_that_is_printed_opens_the_pages_and_ctrl_c_ends_them() -> None:
    served = session("serve", ROOT / "examples", "--port", "0")
    try:
        assert served.stdout is not None
        served.stdout.readline()
        link = re.findall(r"http://127\.0\.0\.1:\d+/enter/\S+", served.stdout.readline())
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        with opener.open(link[0], timeout=30) as reply:
            assert b"Where do you work?" in reply.read()
        with opener.open(f"{link[0].partition('/enter')[0]}/cases", timeout=30) as reply:
            assert b"/case/ridge-07" in reply.read()
        served.send_signal(signal.SIGINT)
        out, err = served.communicate(timeout=30)
        assert served.returncode == 0
        assert "Stopped. Every answer is saved." in out
        assert err == ""
    finally:
        served.kill()
        served.wait()


def test_what_is_lost_without_tls_is_said(tmp_path: Path) -> None:
    file = tmp_path / "people.json"
    added = run("people", "add", "Ada", "--role", "foreman", "--people", file, typed="nine fords\n")
    assert added.returncode == 0
    assert "Ada" in added.stdout
    words = ("--network", "--insecure-lan", "--people", file, "--port", "0", "--host", "127.0.0.1")
    served = session("serve", tmp_path, *words)
    try:
        assert served.stdout is not None
        lines = [served.stdout.readline() for _ in range(3)]
        served.send_signal(signal.SIGINT)
        _, err = served.communicate(timeout=30)
        assert "to this network: http://127.0.0.1:" in lines[0]
        assert "/enter/" not in "".join(lines), "nobody comes in by a link from the network"
        assert "every password" in err
    finally:
        served.kill()
        served.wait()


def test_people_are_added_listed_and_taken_out(tmp_path: Path) -> None:
    file = ("--people", str(tmp_path / "people.json"))
    assert "nobody yet" in run("people", "list", *file).stdout
    assert run("people", "add", "Ada", "--role", "bench", *file, typed="short\n").returncode == 2
    assert run("people", "add", "Ada", "--role", "bench", *file, typed="nine fords\n").stdout
    assert run("people", "password", "Ada", *file, typed="ten fords\n").returncode == 2
    assert run("people", "password", "Ada", *file, typed="eleven fords\n").returncode == 0
    assert "bench" in run("people", "list", *file).stdout
    assert "nobody yet" in run("people", "remove", "Ada", *file).stdout
    assert run("people", "remove", "Ada", *file).returncode == 2


def test_a_plain_install_says_how_the_pages_are_had() -> None:
    code = (
        "import sys; sys.modules['starlette'] = sys.modules['argon2'] = None\n"
        "from headwater.cli.main import Terminal, run\n"
        "sys.exit(run(sys.argv[1:], Terminal(sys.stdout, sys.stderr, sys.stdin)))"
    )
    for words in (("serve",), ("people", "list")):
        found = subprocess.run(
            [command()[0], "-c", code, *words], capture_output=True, text=True, env=environment()
        )
        assert found.returncode == 2
        assert "pip install '.[web]'" in found.stderr


def test_a_house_goes_by_its_names_and_their_port() -> None:
    assert hosts_of(Address(names=("Yard",)), 8620) == ("yard:8620",)
    assert hosts_of(Address(names=("Yard",)), 443) == ("yard:443", "yard")
    assert "127.0.0.1:8620" in hosts_of(Address(), 8620)


HELD = """
import sys
from headwater.cli.serve import _give_memory_back

def held():
    return int(open("/proc/self/statm").read().split()[1]) * 4096 // 1_000_000

if sys.argv[1] == "told":
    _give_memory_back()
first = b"x" * 30_000_000
del first  # which teaches the C library to keep what comes next
large, small = [], []
for _ in range(200):
    large.append(b"x" * 900_000)
    small.append(b"y" * 2_000)
full = held()
large.clear()
print(full - held())
"""


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="another C library")
@pytest.mark.parametrize(("how", "given_back"), [("told", True), ("not told", False)])
def test_large_pieces_of_memory_are_given_back(how: str, given_back: bool) -> None:
    words = [sys.executable, "-c", HELD, how]
    found = subprocess.run(words, capture_output=True, text=True, env=environment(), check=True)
    assert (int(found.stdout) > 150) is given_back, found.stdout

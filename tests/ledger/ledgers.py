"""Ledgers for tests: files, and a server of PostgreSQL of their own where it is installed."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path

import pytest

KINDS = ("sqlite", pytest.param("postgres", marks=pytest.mark.trial))
"""The same tests on both; the second in the long run, which is where a server is started."""
_BINARIES = Path("/usr/lib/postgresql")


def why_no_server() -> str:
    """Return why no server can be started here; nothing if one can."""
    if not list(_BINARIES.glob("*/bin/initdb")):
        return "PostgreSQL is not installed (Debian: apt-get install postgresql)"
    if os.geteuid() != 0:
        return "a server is started as its own person, which only root can become"
    with suppress(KeyError):
        pwd.getpwnam("postgres")
        return ""
    return "there is no person 'postgres' here"


@contextmanager
def server() -> Iterator[str]:
    """Start a server with a socket in a folder of its own; yield that folder."""
    binaries = sorted(_BINARIES.glob("*/bin"))[-1]
    folder = Path(tempfile.mkdtemp(prefix="hw-pg-", dir="/tmp"))
    shutil.chown(folder, "postgres")
    data = folder / "data"

    def run(*words: str | Path) -> None:
        command = ["runuser", "-u", "postgres", "--", *map(str, words)]
        subprocess.run(command, check=True, capture_output=True, cwd="/")

    settings = f"-c listen_addresses='' -c unix_socket_directories={folder} -c fsync=off"
    try:
        run(binaries / "initdb", "-D", data, "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8")
        run(binaries / "pg_ctl", "-D", data, "-w", "-l", folder / "log", "-o", settings, "start")
        try:
            yield str(folder)
        finally:
            run(binaries / "pg_ctl", "-D", data, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@cache
def numbers() -> Iterator[int]:
    """Return the numbers of the data bases made so far."""
    return iter(range(1, 100_000))


def fresh_data_base(folder: str) -> str:
    """Make an empty data base on a server; return its address."""
    import psycopg

    name = f"shop_{next(numbers())}"
    with psycopg.connect(host=folder, user="postgres", autocommit=True) as connection:
        connection.execute(f"create database {name}")
    return f"postgresql://postgres@/{name}?host={folder}"

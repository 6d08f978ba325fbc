"""The people of the house, their roles and passwords, in a small file of their own.

A file and not the ledger: pages over case files need people as well, and a ledger is backed up,
exported and handed on, where nobody's password belongs. Passwords are kept as argon2id (RFC 9106)
of 19 MiB and two passes, a setting that OWASP names for signing in (*from memory*).
"""

from __future__ import annotations

import hashlib
import json
import os
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from headwater.errors import HeadwaterError, Place
from headwater.files import read_bytes, write_whole
from headwater.ledger.place import data_home
from headwater.web.visits import Role

FILE = "people.json"
SHORTEST = 10
"""Signs of a password (*common practice, no source*)."""
LONGEST = 200
AT_ONCE = 2
"""Passwords that are tried at the same time: each takes 19 MiB and a core."""
ROLES = tuple(role for role in Role if role is not Role.HERE)
_HASHER = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)
_NOBODY = (
    "$argon2id$v=19$m=19456,t=2,p=1$c29tZSBzYWx0IGhlcmU$Xy0sIcAwzW1PrKrZmVDTB4vC2OY2dNvl0bWNIlBd4lI"
)
"""Tried where there is no such person, so that the time tells nobody who there is."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody with a role; `kept` is what is kept of their password."""

    name: str
    role: Role
    kept: str


@dataclass(slots=True)
class People:
    """All people of a house. What another process writes is read by the next request."""

    path: Path
    _read: tuple[tuple[int, int], dict[str, Person]] = ((0, 0), {})
    _trying: threading.Semaphore = field(default_factory=lambda: threading.Semaphore(AT_ONCE))

    def every(self) -> dict[str, Person]:
        """Return the people by name. Raises HeadwaterError where the file cannot be used."""
        try:
            state = self.path.stat()
        except FileNotFoundError:
            return {}
        stamp = (state.st_mtime_ns, state.st_size)
        if self._read[0] != stamp:
            self._read = (stamp, self._parsed())
        return self._read[1]

    def add(self, name: str, role: Role, password: str) -> None:
        """Add a person. Raises HeadwaterError where there is one of the name."""
        if name in self.every():
            self._refuse(f"there is a '{name}' already; 'people password' gives a new password")
        self._check(name, password)
        self._write({**self.every(), name: Person(name, role, _HASHER.hash(password))})

    def change(self, name: str, password: str) -> None:
        """Give a person a new password; their visits end."""
        person = self._person(name)
        self._check(name, password)
        self._write({**self.every(), name: Person(name, person.role, _HASHER.hash(password))})

    def remove(self, name: str) -> None:
        """Take a person out; their visits end."""
        self._person(name)
        self._write({one: person for one, person in self.every().items() if one != name})

    def admit(self, name: str, password: str) -> Person | None:
        """Return a person whose password it is."""
        person = self.every().get(name)
        with self._trying:
            good = _is_kept(person.kept if person else _NOBODY, password[:LONGEST])
        return person if good else None

    def seal_of(self, name: str) -> str:
        """Return what changes with a person's role and password; '' where there is no such person.

        A visit holds the one it began with.
        """
        person = self.every().get(name)
        told = f"{person.role}:{person.kept}" if person else ""
        return hashlib.sha256(told.encode()).hexdigest() if told else ""

    def _person(self, name: str) -> Person:
        person = self.every().get(name)
        if person is None:
            self._refuse(f"there is no '{name}'; 'people list' names everybody")
        assert person is not None
        return person

    def _check(self, name: str, password: str) -> None:
        if not name.strip() or len(name) > 80 or not name.isprintable():
            self._refuse("a person's name is 1 to 80 letters; choose another")
        if not SHORTEST <= len(password) <= LONGEST:
            self._refuse(f"a password has {SHORTEST} to {LONGEST} signs; choose another")
        if name.lower() in password.lower():
            self._refuse("a password does not hold the name; choose another")

    def _refuse(self, text: str) -> None:
        raise HeadwaterError(text, Place(str(self.path)))

    def _parsed(self) -> dict[str, Person]:
        try:
            told: Any = json.loads(read_bytes(self.path))
            return {
                str(name): Person(str(name), Role(row["role"]), str(row["password"]))
                for name, row in told["people"].items()
            }
        except (ValueError, KeyError, TypeError, AttributeError):
            self._refuse("is no file of people; take it away, and add them anew")
            raise

    def _write(self, people: Mapping[str, Person]) -> None:
        rows = {one.name: {"role": one.role.value, "password": one.kept} for one in people.values()}
        text = json.dumps({"people": rows}, indent=1, ensure_ascii=False) + "\n"
        write_whole(self.path, text, ready=lambda handle: os.fchmod(handle, 0o600))


def _is_kept(kept: str, password: str) -> bool:
    try:
        return _HASHER.verify(kept, password)
    except (VerificationError, InvalidHashError):
        return False


def people_file(environ: Mapping[str, str], told: Path | None) -> Path:
    """Return the file of the people: the one named, or that in the user's data folder."""
    if told is not None:
        return told
    home = data_home(environ)
    if home is None:
        raise HeadwaterError("there is no home for the file of people; name one: --people FILE")
    return home / "headwater" / FILE


FREE = {"pair": 5, "address": 20, "name": 50}
"""Wrong passwords without a wait: of one name from one address, from one address, of one name."""
LONGEST_WAIT = {"pair": 900.0, "address": 900.0, "name": 30.0}
"""Seconds; short for a name alone, so that nobody can keep another out."""
MOST_COUNTED = 10_000


@dataclass(slots=True)
class Tries:
    """Wrong passwords, and how long to wait before the next. `seconds` only runs forward."""

    seconds: Callable[[], float]
    _wrong: dict[tuple[str, str], tuple[int, float]] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def begin(self, name: str, address: str) -> bool:
        """Count a try before it is made; False where one has to wait first."""
        now = self.seconds()
        with self._lock:
            keys = _keys(name, address)
            if any(now < self._wrong.get(key, (0, 0.0))[1] for key in keys):
                return False
            for kind, who in keys:
                count = self._wrong.pop((kind, who), (0, 0.0))[0] + 1
                over = min(count - FREE[kind], 20)
                wait = min(2.0**over, LONGEST_WAIT[kind]) if over >= 0 else 0.0
                self._wrong[kind, who] = (count, now + wait)
            while len(self._wrong) > MOST_COUNTED:
                del self._wrong[next(iter(self._wrong))]
            return True

    def was_right(self, name: str, address: str) -> None:
        """Forget the tries of somebody who is in now; those of others from there still count."""
        with self._lock:
            for key in _keys(name, address):
                if key[0] != "address":
                    self._wrong.pop(key, None)


def _keys(name: str, address: str) -> tuple[tuple[str, str], ...]:
    return (("pair", f"{address} {name}"), ("address", address), ("name", name))

"""Who is at which browser: the one-time link, the cookie, and the token in every form.

A visit is kept in memory under the SHA-256 of its cookie, so that a forged one finds nothing, and
one that was ended or is a night old is worth nothing any more.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import StrEnum

COOKIE = "headwater"
DOOR = "headwater-door"
"""Cookie of a browser at the door: its forms carry the same."""
LASTS_SECONDS = 12 * 3600
"""After so long without a page a visit ends: a shift and its overtime."""
MOST_VISITS = 1_000
"""Visits that are kept; the one that was quiet for longest makes room."""


class Role(StrEnum):
    """What a person does in the house; `HERE` is whoever sits at the machine itself."""

    COUNTER = "counter"
    BENCH = "bench"
    FOREMAN = "foreman"
    TRAINER = "trainer"
    APPRENTICE = "apprentice"
    HERE = "here"


class WorkPlace(StrEnum):
    """Where a person works; it decides where the pages begin."""

    COUNTER = "counter"
    BENCH = "bench"
    OFFICE = "office"


@dataclass(frozen=True, slots=True)
class Visit:
    """A browser that may see pages: whose it is, and what its forms carry.

    `desk` is None until the person has said where they work. `seal` is that of a person of the
    house when they came in.
    """

    role: Role
    csrf: str
    seen: float
    who: str = ""
    desk: WorkPlace | None = None
    seal: str = ""


@dataclass(slots=True)
class Visits:
    """All visits. `seconds` is a clock that only runs forward. Threads may share it."""

    seconds: Callable[[], float]
    _kept: dict[bytes, Visit] = field(default_factory=dict)
    _link: str = ""
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def new_link(self) -> str:
        """Return the token of a new one-time link; the one before it is void."""
        with self._lock:
            self._link = secrets.token_urlsafe(32)
            return self._link

    def spend(self, token: str) -> bool:
        """Say whether a token is that of the link, which is void from then on."""
        with self._lock:
            good = bool(self._link) and hmac.compare_digest(token.encode(), self._link.encode())
            if good:
                self._link = ""
            return good

    def begin(
        self, role: Role, who: str = "", desk: WorkPlace | None = None, seal: str = ""
    ) -> str:
        """Begin a visit and return its cookie."""
        cookie = secrets.token_urlsafe(32)
        visit = Visit(role, secrets.token_urlsafe(32), self.seconds(), who, desk, seal)
        with self._lock:
            while len(self._kept) >= MOST_VISITS:
                del self._kept[min(self._kept, key=lambda key: self._kept[key].seen)]
            self._kept[_key(cookie)] = visit
        return cookie

    def of(self, cookie: str) -> Visit | None:
        """Return the visit of a cookie; None where there is none, or it is too old."""
        key, now = _key(cookie), self.seconds()
        with self._lock:
            visit = self._kept.get(key)
            if visit is None:
                return None
            if now - visit.seen > LASTS_SECONDS:
                del self._kept[key]
                return None
            self._kept[key] = visit = replace(visit, seen=now)
            return visit

    def sit_down(self, cookie: str, desk: WorkPlace, who: str | None = None) -> None:
        """Take down where a person works, and who they are where they say it."""
        with self._lock:
            visit = self._kept[_key(cookie)]
            told = visit.who if who is None else who
            self._kept[_key(cookie)] = replace(visit, desk=desk, who=told)

    def end(self, cookie: str) -> None:
        """End a visit."""
        with self._lock:
            self._kept.pop(_key(cookie), None)


def _key(cookie: str) -> bytes:
    return hashlib.sha256(cookie.encode(errors="replace")).digest()


def same(given: str, wanted: str) -> bool:
    """Say whether two tokens are the same, in a time that tells nothing of where they differ."""
    return hmac.compare_digest(given.encode(errors="replace"), wanted.encode())

"""A person who answers on the pages: a browser without one, and a hidden unit that it looks at."""

from __future__ import annotations

import html
import re
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from httpx2 import Client, HTTPError

from headwater.book.records import Book
from headwater.book.tables import DONT_KNOW, SPECIAL
from headwater.simulate.observer import Asked, Observer
from headwater.simulate.units import SETTINGS, draw_unit

SEATS = ("call", "hoist", "bench")
ANSWER = "answer"
BEGIN = "begin"


@dataclass(frozen=True, slots=True)
class Deed:
    """Something that was sent: at which case and seat, what, and how long until the next page.

    `seconds` run from the moment at which it was due, so that a page that keeps somebody waiting
    longer than to their next answer does not hide the wait. What was sent before the clock started
    does not count.
    """

    case: str
    seat: str
    kind: str
    sent: Mapping[str, Any]
    seconds: float
    counts: bool


@dataclass(slots=True)
class Person:
    """Somebody at one seat, who takes one case after the other; `wrong` is what went wrong."""

    client: Client
    book: Book
    number: int
    wrong: list[str] = field(default_factory=list)
    deeds: list[Deed] = field(default_factory=list)
    counts: bool = False
    units: int = 0
    path: str = ""
    page: str = ""
    observer: Observer | None = None
    times: dict[str, int] = field(default_factory=dict)

    @property
    def seat(self) -> str:
        """Where this one works."""
        return SEATS[self.number % len(SEATS)]

    def do_next(self, due: float) -> None:
        """Do what the page asks for; `due` is when, by the clock that only runs forward."""
        kind, sent = self.wanted()
        try:
            if kind == BEGIN:
                self._begin(sent)
            else:
                self._send(kind, sent)
        except (HTTPError, RuntimeError, AssertionError) as error:
            self.wrong.append(f"{kind} {dict(sent)} at {self.path}: {error!r}")
            self.page = ""  # the next case
            return
        case = self.path.split("/")[2]
        self.deeds.append(Deed(case, self.seat, kind, sent, time.monotonic() - due, self.counts))

    def wanted(self) -> tuple[str, dict[str, Any]]:
        """Return what the page wants to be sent, and as what."""
        now = self.page.partition("<aside")[0]
        if 'name="attribute"' in now:
            (name,) = set(re.findall(r'name="attribute" value="([^"]+)"', now))
            return "unit", {"attribute": name, "value": self.book.family.get(name, "")}
        if f'{self.path}/confirm"' in now:
            rows, signs = (
                re.findall(rf'name="{name}" value="([^"]+)" checked', now)
                for name in ("row", "sign")
            )
            return "confirm", {"row": rows, "sign": signs}
        if f'{self.path}/clear-up"' in now:
            return "clear-up", {"how": "none"}
        if f'{self.path}/earlier"' in now:
            return "earlier", {}
        if found := re.search(r'name="check" value="([^"]+)"', now):
            return ANSWER, self._answer(found[1], now)
        return BEGIN, {"words": self._next_unit()}

    def _answer(self, check: str, now: str) -> dict[str, Any]:
        assert self.observer is not None
        number = re.search(r'name="number" value="(\d+)"', now)
        seen = re.search(r'name="seen" value="(\d+)"', now)
        sent = {"check": check, "seen": seen[1] if seen else "0"}
        sent |= {"number": number[1]} if number else {}
        again = self.times.get(check, 0)
        self.times[check] = again + 1
        if check not in self.book.checks:  # it is about units of another kind
            return sent | {"answer": DONT_KNOW}
        heard = self.observer.answer(self.book.checks[check], Asked(again, 0))
        if heard.word in SPECIAL or f'name="answer" value="{heard.word}"' in now:
            return sent | {"answer": heard.word}
        return sent | {"reading": heard.given}

    def _next_unit(self) -> str:
        """Draw the next unit, and return what its driver says of it."""
        self.units += 1
        unit = draw_unit(self.book, 1, 1000 * self.number + self.units)
        self.observer = Observer(self.book, unit, SETTINGS["plain"])
        self.times = {}
        return "; ".join(self.book.conditions[cid].title for cid in unit.found)

    def _begin(self, sent: Mapping[str, Any]) -> None:
        self.page = self._got(self.client.get(f"/begin/{self.seat}"))
        reply = self.client.post(f"/begin/{self.seat}/case", data=self._signed(sent))
        self._follow(reply)

    def _send(self, kind: str, sent: Mapping[str, Any]) -> None:
        self._follow(self.client.post(f"{self.path}/{kind}", data=self._signed(sent)))

    def _follow(self, reply: Any) -> None:
        assert reply.status_code == 303, f"{reply.status_code} at {reply.request.url}"
        self.path = reply.headers["location"]
        self.page = self._got(self.client.get(self.path))

    def _got(self, reply: Any) -> str:
        assert reply.status_code == 200, f"{reply.status_code} at {reply.request.url}"
        page: str = reply.text
        if told := re.search(r'role="alert">([^<]+)', page):
            raise RuntimeError(f"it was turned away: {html.unescape(told[1])}")
        return page

    def _signed(self, sent: Mapping[str, Any]) -> dict[str, Any]:
        token = re.search(r'name="csrf" value="([^"]+)"', self.page)
        assert token, "no form on the page"
        return {"csrf": token[1], **sent}

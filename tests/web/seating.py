"""A person at a seat, in process: presses what stands on the page, as a browser without script."""

from __future__ import annotations

import html
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from starlette.testclient import TestClient

from web.conftest import Standing, token

MOST_ASKED = 20


@dataclass
class Sitter:
    """A browser at a seat; `page` is what it shows."""

    client: TestClient
    path: str = ""
    page: str = ""
    name: str = field(default="")

    @classmethod
    def at(cls, standing: Standing, case: str, seat: str, who: str = "") -> Sitter:
        """Come in, say who one is, and open a case at a seat."""
        client = standing.inside()
        csrf = token(client.get("/").text)
        client.post("/desk", data={"csrf": csrf, "desk": "bench", "who": who})
        sitter = cls(client, f"/case/{case}/at/{seat}", name=who)
        sitter.look()
        return sitter

    @classmethod
    def begins(cls, standing: Standing, seat: str, words: str, **about: str) -> Sitter:
        """Come in and begin a case in words."""
        client = standing.inside()
        csrf = token(client.get(f"/begin/{seat}").text)
        sent = {"csrf": csrf, "words": words, **about}
        reply = client.post(f"/begin/{seat}/case", data=sent)
        assert reply.status_code == 303
        sitter = cls(client, reply.headers["location"])
        sitter.look()
        return sitter

    def look(self) -> str:
        """Load the page."""
        reply = self.client.get(self.path)
        assert reply.status_code == 200, reply.text
        self.page = reply.text
        return self.text

    def send(self, deed: str, **sent: str | Sequence[str]) -> str:
        """Send a form of the page, and follow to what comes next."""
        assert f'action="{self.path}/{deed}"' in self.page, f"there is no form for '{deed}'"
        reply = self.post(deed, **sent)
        assert reply.status_code == 303, reply.text
        assert reply.headers["location"] == self.path
        return self.look()

    def post(self, deed: str, **sent: Any) -> Any:
        """Send a form, whether it stands on the page or not."""
        return self.client.post(f"{self.path}/{deed}", data={"csrf": token(self.page), **sent})

    def answer(self, given: str = "", **sent: str) -> str:
        """Answer the question of the page by a button, or with other fields of its forms."""
        number = re.search(r'name="number" value="(\d+)"', self._question)
        hidden = {"check": self.check, "seen": self.seen} | (
            {"number": number[1]} if number else {}
        )
        if given:
            assert f'name="answer" value="{given}"' in self.page
            sent["answer"] = given
        return self.send("answer", **hidden, **sent)

    def until(self, check: str, given: str) -> None:
        """Answer each question in one way until a check is put."""
        for _ in range(MOST_ASKED):
            if self.check == check:
                return
            self.answer(given)
        raise AssertionError(f"'{check}' is never put")

    def confirm(self) -> str:
        """Take what is ticked."""
        rows, signs = (
            re.findall(rf'name="{name}" value="([^"]+)" checked', self.page)
            for name in ("row", "sign")
        )
        return self.send("confirm", row=rows, sign=signs)

    @property
    def _question(self) -> str:
        return self.page.partition("<aside")[0]

    @property
    def check(self) -> str:
        """The check that is put; nothing where none is."""
        found = re.search(r'name="check" value="([^"]+)"', self._question)
        return found[1] if found else ""

    @property
    def attribute(self) -> str:
        """The attribute of the unit that is asked for."""
        found = re.search(r'name="attribute" value="([^"]+)"', self.page)
        return found[1] if found else ""

    @property
    def seen(self) -> str:
        """The edition of the case that the page has shown."""
        found = re.search(r'name="seen" value="(\d+)"', self.page)
        assert found
        return found[1]

    @property
    def asked(self) -> str:
        """The question in words."""
        found = re.search(r'class="asked"[^>]*>([^<]+)', self.page)
        return html.unescape(found[1]) if found else ""

    @property
    def text(self) -> str:
        """The page in words."""
        main = self.page[self.page.index("<main") : self.page.index("</main>")]
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", main)).split())

    @property
    def advice(self) -> str:
        """Whether it may be driven, as the page says it at its head."""
        found = re.search(r'<div class="advice".*?</div>', self.page, re.DOTALL)
        assert found
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", found[0])).split())

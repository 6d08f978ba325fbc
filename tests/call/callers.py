"""Twelve kinds of call: who rings, what they say first, and what they know when asked.

Whoever answers knows nothing of the program: the answers are by what is asked, all else is 'no',
or 'not sure' where somebody knows little.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from io import StringIO

from headwater.book.records import Book

RULE = "-" * 78
EARLIER = "worked on, before?"


@dataclass(frozen=True, slots=True)
class Rings:
    """Somebody who rings: their words, what they know of work before, what they answer.

    `wants` is what they say before the first question that counts.
    """

    words: str
    earlier: str = ""
    answers: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    otherwise: str = "no"
    wants: str = ""


class Phone(StringIO):
    """The caller's end of the line: hears what stands on the screen last, and answers it."""

    def __init__(self, rings: Rings, book: Book, out: StringIO) -> None:
        """Answer what is printed to `out`."""
        super().__init__()
        self.rings, self.out = rings, out
        self.checks = {" ".join((c.say or c.ask).split()): c.id for c in book.checks.values()}
        self.times: Counter[str] = Counter()
        self.wants = rings.wants
        self.heard = 0
        self.last = ""

    def readline(self, _size: int | None = -1, /) -> str:  # type: ignore[override]
        """Return the next line that the caller says."""
        screen, self.heard = self.out.getvalue()[self.heard :], len(self.out.getvalue())
        return f"{self._words(screen)}\n"

    def _words(self, screen: str) -> str:
        if "What is wrong?" in screen:
            return self.rings.words
        if EARLIER in screen:
            return self.rings.earlier
        heard = re.split(r"^\d of 8   ", screen, flags=re.M)[-1]
        question = " ".join(heard.split())
        check = max((c for c in self.checks if question.startswith(c)), key=len, default="")
        if not check and "Ask: " in screen and self.times:
            return self._say(self.last)
        if not check:
            return ""
        if self.wants:
            wants, self.wants = f"wants {self.wants}", ""
            self.heard = len(self.out.getvalue()) - len(screen)
            return wants
        self.last = self.checks[check]
        return self._say(self.last)

    def _say(self, check: str) -> str:
        words = self.rings.answers.get(check, (self.rings.otherwise,))
        self.times[check] += 1
        return words[min(self.times[check], len(words)) - 1]


CALLS: dict[str, Rings] = {
    "plastic crumbs": Rings(
        "there were dark plastic bits in the oil when I changed it",
        answers={"work-before-trouble": ("only an oil change",)},
        wants="the pads",
    ),
    "sensor only": Rings(
        "the speedometer needle jumps, just send me a sensor",
        answers={"speedometer": ("it jumps about",), "work-before-trouble": ("nothing for years",)},
        wants="a speed sensor",
    ),
    "code and noise": Rings(
        "the reader shows P0735 and it whines with road speed in every range",
        answers={"work-before-trouble": ("nothing for years",)},
    ),
    "rolls in park with a bang": Rings(
        "it rolled away in park and there was a bang",
        answers={"work-before-trouble": ("nothing for years",)},
    ),
    "hop after new tyres": Rings(
        "since two new tyres went on it hops in tight turns in four-wheel drive",
        answers={
            "work-before-trouble": ("nothing for years",),
            "tyres-asked": ("same size but two are much younger",),
            "hop-in-two-wheel-drive": ("only in four-wheel drive",),
        },
    ),
    "smoke after a ford": Rings("after the ford there is smoke coming from underneath"),
    "knows nothing": Rings("something is wrong with it", otherwise="no idea"),
    "engine overheats": Rings("my engine overheats"),
    "angry comeback": Rings(
        "you rebuilt it 350 miles ago and now it jumps out of low again, I want my money back",
        earlier="you rebuilt it 350 miles ago",
    ),
    "blinking lamp": Rings(
        "the four-wheel-drive lamp blinks",
        answers={"work-before-trouble": ("nothing for years",)},
    ),
    "out of low with a trailer": Rings(
        "it drops out of low by itself with the trailer on, going downhill",
        answers={"work-before-trouble": ("nothing for years",)},
    ),
    "odd forms": Rings("  oil ,,, LEAK!!! under middle -- ?? a few drops :)", otherwise="nope."),
}

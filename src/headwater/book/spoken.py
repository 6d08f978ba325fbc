"""What people say that is no condition of a unit, as an author writes it.

Signs of danger that are answered first, trouble that is not the driveline's, what is told somebody
who wants just a part, and trade words that mean the same.
"""

from __future__ import annotations

from dataclasses import dataclass

from headwater.book.tables import Drive
from headwater.book.things import PartRef, doc, filled
from headwater.errors import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Emergency:
    """A sign of danger that is answered before any question: fire, rolling, locked wheels."""

    id: str = filled()
    title: str = doc("what is happening, in a few words")
    said: tuple[str, ...] = doc("how people say it", default=())
    now: tuple[str, ...] = doc("what to do now: at most three short sentences, said to the caller")
    words: dict[str, tuple[str, ...]] = doc(
        "a name -> the words for it; `*` is any ending, 'not x' is x denied", default_factory=dict
    )
    told: tuple[str, ...] = doc(
        "names, or words, that tell of it where they stand together", default=()
    )
    calm: tuple[str, ...] = doc("words beside which they are harmless", default=())
    sure: tuple[str, ...] = doc("what tells of it also beside a calm word", default=())
    unless: tuple[str, ...] = doc("words beside which that is harmless, too", default=())
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Elsewhere:
    """Trouble that is not the driveline's: said to be so, kindly, with who should look."""

    id: str = filled()
    title: str = doc("what the trouble is, in a few words")
    said: tuple[str, ...] = doc("how people say it", default=())
    tell: str = doc("what is said to the caller: that it is not the driveline, and who should look")
    advice: Drive = doc("what it means for driving until then")
    wish: bool = doc(
        "true for no trouble but a wish: a service, a price, when you open", default=False
    )
    caution: str = doc("what it calls for now: stop the engine, let it cool", default="")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class PartWanted:
    """What somebody is told who wants just a part, or the whole unit, before it was seen."""

    id: str = filled()
    of: PartRef | None = doc("the part; the whole unit if not said", default=None)
    said: tuple[str, ...] = doc("how people ask for it", default=())
    tell: str = doc("why it may not help, in words that need no bench")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """A word of the trade (its id, `-` for a blank) and the words that people use for it."""

    id: str = filled()
    said: tuple[str, ...] = doc("words or short phrases that mean the same")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Hint:
    """What tells of a condition, an answer or a trouble elsewhere: concepts named together.

    Its id is the condition or the trouble, or any name where it has an `answer`.
    """

    id: str = filled()
    answer: str = doc("the answer that is meant, as `check: answer`", default="")
    told: tuple[str, ...] = doc("concepts, or words, that tell of it where they stand together")
    calm: tuple[str, ...] = doc("words beside which they mean something else", default=())
    place: Place = filled()

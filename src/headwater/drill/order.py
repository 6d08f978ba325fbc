"""Explain-back: the links of a chain, shuffled, to be put in order, with evidence for each."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeVar

from headwater.book.model import Chain, Check
from headwater.book.records import Book
from headwater.drill.recall import AGAIN, GOOD, card
from headwater.drill.truth import pick
from headwater.hearing.reading import telling
from headwater.verdict.assess import Reasoner
from headwater.view.paper import Paper, Tone, Words, say
from headwater.view.words import title

CHOICES = 4
TOLD_OF = 2
"""Conditions that are named of what a wrong check tells."""
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class EvidenceQuestion:
    """One condition of the chain and the checks to pick from; one of them shows it."""

    condition: str
    checks: tuple[str, ...]
    right: str


@dataclass(frozen=True, slots=True)
class Puzzle:
    """A chain to be put in order: `shuffled` is what is shown, `path` the answer, origin first.

    The questions run from what was noticed to the origin: what decides comes last.
    """

    path: tuple[str, ...]
    shuffled: tuple[str, ...]
    questions: tuple[EvidenceQuestion, ...]


@dataclass(frozen=True, slots=True)
class Marks:
    """What came out: links put right, evidence picked right, each out of how many."""

    links: int
    links_of: int
    evidence: int
    evidence_of: int

    @property
    def full(self) -> bool:
        """True when everything was right."""
        return (self.links, self.evidence) == (self.links_of, self.evidence_of)


def shuffled(rng: random.Random, items: Sequence[T]) -> list[T]:
    """Return the items in another order; the same again only where there is no other."""
    left = list(items)
    out: list[T] = []
    while left:
        out.append(left.pop(min(int(rng.random() * len(left)), len(left) - 1)))
    return [*out[1:], out[0]] if out == list(items) and len(out) > 1 else out


def make_puzzle(reasoner: Reasoner, chain: Chain, seed: int) -> Puzzle:
    """Return the puzzle of a chain; the same seed gives the same."""
    rng = random.Random(f"order:{chain.id}:{seed}")
    path = chain.path()
    questions = []
    for cid in reversed(path):
        right = [c.id for c in reasoner.deciders[cid] if _shows(c, cid)]
        if not right:
            continue
        chosen = pick(rng, right)
        decoys = _decoys(reasoner, path, cid)
        offered = shuffled(rng, [chosen, *decoys[: CHOICES - 1]])
        questions.append(EvidenceQuestion(cid, tuple(offered), chosen))
    return Puzzle(path, tuple(shuffled(rng, path)), tuple(questions))


def _decoys(reasoner: Reasoner, path: Sequence[str], condition: str) -> list[str]:
    """Return checks that look right and are not: they never speak of the condition asked for.

    They speak of the neighbourhood of the chain; those come first that share most words with what
    is asked for, so that words alone do not tell.
    """
    book = reasoner.book
    near = {cause for one in path for cause in reasoner.graph.pred[one]} | set(path)
    words = set(telling(title(book, condition)))
    found = [
        (-len(words & set(telling(check.ask))), check.id)
        for check in book.checks.values()
        if condition not in check.speaks_of() and set(check.speaks_of()) & near
    ]
    return [cid for _, cid in sorted(found)]


def _shows(check: Check, condition: str) -> bool:
    return any(check.shows(str(word), condition) for word in check.answers)


def mark(puzzle: Puzzle, ordered: Sequence[str], picked: Sequence[str | None]) -> Marks:
    """Return the marks: a link is right when its cause stands just before its effect."""
    told = set(pairwise(ordered))
    links = sum(ends in told for ends in pairwise(puzzle.path))
    evidence = sum(
        choice == question.right for choice, question in zip(picked, puzzle.questions, strict=True)
    )
    return Marks(links, len(puzzle.path) - 1, evidence, len(puzzle.questions))


@dataclass(frozen=True, slots=True)
class WrongLink:
    """Two conditions that were put one after the other, and why the one cannot make the other."""

    cause: str
    effect: str
    why: str


def wrong_links(book: Book, puzzle: Puzzle, ordered: Sequence[str]) -> tuple[WrongLink, ...]:
    """Return the links of an order that are not the chain's, each with the reason."""
    right = set(pairwise(puzzle.path))
    wrong = [ends for ends in pairwise(ordered) if ends not in right]
    return tuple(WrongLink(c, e, _why_not(book, puzzle.path, c, e)) for c, e in wrong)


def _why_not(book: Book, path: Sequence[str], cause: str, effect: str) -> str:
    """Return why one condition does not make another in this chain."""
    first, last = path.index(cause), path.index(effect)
    if first > last + 1:
        return "it is the other way round: the one comes of the other, by steps between"
    if first == last + 1:
        return f"it is the other way round: {book.links[effect, cause].how}"
    between = " → ".join(title(book, cid) for cid in path[first + 1 : last])
    if (cause, effect) in book.links:
        return f"that can be, but here it goes by: {between}"
    return f"not by itself: between them stands {between}"


@dataclass(frozen=True, slots=True)
class Explained:
    """A chain as somebody explained it back: their order, and the checks they picked."""

    book: Book
    chain: str
    puzzle: Puzzle
    ordered: tuple[str, ...]
    picked: tuple[str, ...]

    @property
    def marks(self) -> Marks:
        """What came out."""
        return mark(self.puzzle, self.ordered, self.picked)

    @property
    def ratings(self) -> dict[str, str]:
        """How well each link of the chain was known, by its card."""
        told = set(pairwise(self.ordered))
        return {card(*ends): GOOD if ends in told else AGAIN for ends in pairwise(self.puzzle.path)}


def _tells_of(book: Book, check: str) -> str:
    """Return what a check shows, in a few words."""
    record = book.checks.get(check)
    shows = dict.fromkeys(
        str(cid)
        for answer in (record.answers.values() if record else ())
        for cid, sureness in answer.shows.items()
        if sureness.decisive
    )
    return "; ".join(title(book, cid) for cid in list(shows)[:TOLD_OF])


@dataclass(frozen=True, slots=True)
class AskedBackView:
    """One question for evidence, with what was right and what was picked."""

    condition: str
    right: str
    picked: str


@dataclass(frozen=True, slots=True)
class ExplainedView:
    """How a chain was explained back; `links` and `evidence` are right and of how many."""

    chain: str
    path: tuple[str, ...]
    ordered: tuple[str, ...]
    links: tuple[int, ...]
    evidence: tuple[int, ...]
    questions: tuple[AskedBackView, ...]
    wrong_links: tuple[WrongLink, ...]


def explained_view(told: Explained) -> ExplainedView:
    """Return an explanation as a record."""
    marks, puzzle = told.marks, told.puzzle
    questions = tuple(
        AskedBackView(q.condition, q.right, choice)
        for q, choice in zip(puzzle.questions, told.picked, strict=True)
    )
    links, evidence = (marks.links, marks.links_of), (marks.evidence, marks.evidence_of)
    wrong = wrong_links(told.book, puzzle, told.ordered)
    return ExplainedView(told.chain, puzzle.path, told.ordered, links, evidence, questions, wrong)


def explained_paper(told: Explained) -> Paper:
    """Return the marks, and the chain as it is."""
    marks, book, path = told.marks, told.book, told.puzzle.path
    blocks = [
        say(Words(f"Links right: {marks.links} of {marks.links_of}.", Tone.STRONG)),
        say(Words(f"Evidence right: {marks.evidence} of {marks.evidence_of}.", Tone.STRONG)),
    ]
    for wrong in wrong_links(book, told.puzzle, told.ordered):
        text = f"Not so: {title(book, wrong.cause)} → {title(book, wrong.effect)}; {wrong.why}"
        blocks.append(say(Words(text, Tone.HELD)))
    blocks += [
        say("The chain, origin first:"),
        say(title(book, path[0])),
    ]
    for cause, effect in pairwise(path):
        blocks.append(say(Words(f"so {book.links[cause, effect].how}", Tone.QUIET)))
        blocks.append(say(f"→ {title(book, effect)}"))
    for question, choice in zip(told.puzzle.questions, told.picked, strict=True):
        if choice != question.right:
            ask = book.checks[question.right].ask
            text = f"What shows '{title(book, question.condition)}': {ask}"
            if tells := _tells_of(book, choice):
                text = f"{text} Yours tells of: {tells}"
            blocks.append(say(Words(text, Tone.HELD)))
    return Paper("", tuple(blocks), ())

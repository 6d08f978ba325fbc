"""Explain-back: the links of a chain, shuffled, to be put in order, with evidence for each."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeVar

from headwater.book.model import Chain, Check
from headwater.book.records import Book
from headwater.drill.truth import pick
from headwater.verdict.assess import Reasoner
from headwater.view.paper import Paper, Tone, Words, say
from headwater.view.words import title

CHOICES = 4
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class EvidenceQuestion:
    """One condition of the chain and the checks to pick from; one of them shows it."""

    condition: str
    checks: tuple[str, ...]
    right: str


@dataclass(frozen=True, slots=True)
class Puzzle:
    """A chain to be put in order: `shuffled` is what is shown, `path` the answer, origin first."""

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
    for cid in path:
        right = [c.id for c in reasoner.deciders[cid] if _shows(c, cid)]
        if not right:
            continue
        chosen = pick(rng, right)
        # A decoy speaks of the neighbourhood of the chain, never of the condition asked for.
        near = {n for p in path for n in reasoner.graph.pred[p]} | set(path)
        decoys = [
            c.id
            for c in reasoner.book.checks.values()
            if cid not in c.speaks_of() and set(c.speaks_of()) & near
        ]
        offered = shuffled(rng, [chosen, *shuffled(rng, decoys)[: CHOICES - 1]])
        questions.append(EvidenceQuestion(cid, tuple(offered), chosen))
    return Puzzle(path, tuple(shuffled(rng, path)), tuple(questions))


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


def explained_view(told: Explained) -> ExplainedView:
    """Return an explanation as a record."""
    marks, puzzle = told.marks, told.puzzle
    questions = tuple(
        AskedBackView(q.condition, q.right, choice)
        for q, choice in zip(puzzle.questions, told.picked, strict=True)
    )
    links, evidence = (marks.links, marks.links_of), (marks.evidence, marks.evidence_of)
    return ExplainedView(told.chain, puzzle.path, told.ordered, links, evidence, questions)


def explained_paper(told: Explained) -> Paper:
    """Return the marks, and the chain as it is."""
    marks, book, path = told.marks, told.book, told.puzzle.path
    blocks = [
        say(Words(f"Links right: {marks.links} of {marks.links_of}.", Tone.STRONG)),
        say(Words(f"Evidence right: {marks.evidence} of {marks.evidence_of}.", Tone.STRONG)),
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
            blocks.append(say(Words(text, Tone.HELD)))
    return Paper("", tuple(blocks), ())

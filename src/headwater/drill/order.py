"""Explain-back: the links of a chain, shuffled, to be put in order, with evidence for each."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeVar

from headwater.belief.particles import spoken_of
from headwater.book.model import Chain, Check
from headwater.drill.truth import pick
from headwater.verdict.assess import Reasoner

CHOICES = 4
Item = TypeVar("Item")


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


def shuffled(rng: random.Random, items: Sequence[Item]) -> list[Item]:
    """Return the items in another order; the same again only where there is no other."""
    left = list(items)
    out: list[Item] = []
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
            if cid not in spoken_of(c) and set(spoken_of(c)) & near
        ]
        offered = shuffled(rng, [chosen, *shuffled(rng, decoys)[: CHOICES - 1]])
        questions.append(EvidenceQuestion(cid, tuple(offered), chosen))
    return Puzzle(path, tuple(shuffled(rng, path)), tuple(questions))


def _shows(check: Check, condition: str) -> bool:
    return any(
        str(c) == condition and sureness.decisive
        for answer in check.answers.values()
        for c, sureness in answer.shows.items()
    )


def mark(puzzle: Puzzle, ordered: Sequence[str], picked: Sequence[str | None]) -> Marks:
    """Return the marks: a link is right when its cause stands just before its effect."""
    told = set(pairwise(ordered))
    links = sum(ends in told for ends in pairwise(puzzle.path))
    evidence = sum(
        choice == question.right for choice, question in zip(picked, puzzle.questions, strict=True)
    )
    return Marks(links, len(puzzle.path) - 1, evidence, len(puzzle.questions))

from __future__ import annotations

import pytest

from headwater.drill.order import Puzzle, make_puzzle, mark
from headwater.session.openbook import OpenBook


@pytest.fixture
def puzzle(practised: OpenBook) -> Puzzle:
    return make_puzzle(practised.compiled({}), practised.book.chains["bore-makes-crumbs"], 1)


def test_the_links_are_shuffled(puzzle: Puzzle) -> None:
    assert sorted(puzzle.shuffled) == sorted(puzzle.path)
    assert puzzle.shuffled != puzzle.path


@pytest.mark.parametrize("seed", range(20))
def test_exactly_one_choice_shows_the_condition(practised: OpenBook, seed: int) -> None:
    reasoner = practised.compiled({})
    for chain in practised.book.chains.values():
        puzzle = make_puzzle(reasoner, chain, seed)
        for question in puzzle.questions:
            showing = {c.id for c in reasoner.deciders[question.condition]}
            assert [c for c in question.checks if c in showing] == [question.right]


def test_what_cannot_be_seen_is_not_asked_for(puzzle: Puzzle) -> None:
    assert "gear-displaced" not in {q.condition for q in puzzle.questions}
    assert len(puzzle.questions) == 3


def test_marks(puzzle: Puzzle) -> None:
    right = [q.right for q in puzzle.questions]
    assert mark(puzzle, puzzle.path, right).full
    marks = mark(puzzle, puzzle.path[::-1], [None, *right[1:]])
    assert (marks.links, marks.links_of, marks.evidence, marks.evidence_of) == (0, 3, 2, 3)
    moved = (*puzzle.path[1:], puzzle.path[0])
    assert mark(puzzle, moved, right).links == 2


def test_the_same_seed_gives_the_same_puzzle(practised: OpenBook, puzzle: Puzzle) -> None:
    chain = practised.book.chains["bore-makes-crumbs"]
    assert make_puzzle(practised.compiled({}), chain, 1) == puzzle

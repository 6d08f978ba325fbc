from __future__ import annotations

from itertools import pairwise

import pytest
from draws import some

from headwater.book.records import Book
from headwater.drill.order import Puzzle, make_puzzle, mark, wrong_links
from headwater.hearing.reading import telling
from headwater.session.openbook import OpenBook
from headwater.verdict.assess import Reasoner


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


def test_a_wrong_link_is_named_with_why_it_cannot_be(practised: OpenBook, puzzle: Puzzle) -> None:
    book, path = practised.book, puzzle.path
    assert wrong_links(book, puzzle, path) == ()
    turned = wrong_links(book, puzzle, path[::-1])
    assert [(one.cause, one.effect) for one in turned] == list(pairwise(path[::-1]))
    assert {one.why for one in turned} >= {"it is the other way round: the bearing floats back"}
    swapped = (path[0], path[2], path[1], path[3])
    whys = [one.why for one in wrong_links(book, puzzle, swapped)]
    assert whys == [
        "not by itself: between them stands gear sits rearward",
        "it is the other way round: the gear presses on the fork",
        "not by itself: between them stands pads burnt",
    ]


def test_the_origin_is_asked_for_last(puzzle: Puzzle) -> None:
    asked = [question.condition for question in puzzle.questions]
    assert asked == [cid for cid in reversed(puzzle.path) if cid in asked]


def test_words_alone_do_not_tell_the_right_look(book: Book, reasoner: Reasoner) -> None:
    ours = theirs = 0
    for chain in some(list(reasoner.book.chains.values())[::40]):
        for question in make_puzzle(reasoner, chain, 1).questions:
            words = set(telling(book.conditions[question.condition].title))
            shared = {c: len(words & set(telling(book.checks[c].ask))) for c in question.checks}
            best = max(shared.values())
            likely = [c for c in question.checks if shared[c] == best]
            ours += question.right in likely
            theirs += len(likely) > 1 or question.right not in likely
    assert theirs > 0
    assert theirs * 3 > ours

"""A part of the book set out for paper: two sentences a chain, every answer of every check."""

from __future__ import annotations

from headwater.book.records import Book
from headwater.view.paper import Entries, Grid
from headwater.view.proofsheet import PackPart, chain_sentences, proof_paper
from headwater.view.words import title


def test_every_chain_is_two_sentences_that_name_each_step(book: Book) -> None:
    for chain in book.chains.values():
        story, told = chain_sentences(book, chain)
        assert all(title(book, condition) in story for condition in chain.path())
        assert told.startswith("It is told by: ")


def test_the_packs_together_hold_every_chain_and_every_answer_once(book: Book) -> None:
    packs = {"transfer-case", "drive-axle", "driveline"} & PackPart.names(book)
    papers = [proof_paper(PackPart(book, name)) for name in packs]
    entries = [b for p in papers for b in p.sections[0].blocks if isinstance(b, Entries)]
    assert sum(len(block.entries) for block in entries) == len(book.chains)
    grids = [b for p in papers for s in p.sections[1:] for b in s.blocks if isinstance(b, Grid)]
    answers = sum(len(check.answers) for check in book.checks.values())
    assert sum(len(grid.rows) for grid in grids) == answers


def test_a_folder_is_a_part_of_its_pack(book: Book) -> None:
    oil = proof_paper(PackPart(book, "transfer-case/oil")).sections
    whole = proof_paper(PackPart(book, "transfer-case")).sections
    assert {section.heading for section in oil} < {section.heading for section in whole}

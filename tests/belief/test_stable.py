"""A record more in the book moves nothing that it has nothing to do with; threads share a book.

The shipped cases are compared with themselves under a larger book, so no figure is written down.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from belief.brute import draw_factors, draw_network
from belief.test_worlds import summary
from draws import some
from strategies import check, condition

from headwater.author.sample import SampleRunner
from headwater.belief.posterior import Posterior, posterior
from headwater.belief.worlds import make_worlds
from headwater.book.chances import Common, Often
from headwater.book.model import Condition
from headwater.book.records import Book, Link
from headwater.book.tables import Nature
from headwater.case.read import read_case
from headwater.errors import Place
from headwater.session.ask import next_checks
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session
from headwater.verdict.assess import Assessment, Reasoner

ROOT = Path(__file__).resolve().parents[2]
CASES = [
    path
    for folder in ("examples", "examples/units")
    for path in sorted((ROOT / folder).glob("*.yaml"))
    if "\ncase: " in f"\n{path.read_text(encoding='utf-8')}"
]
EVERY = 120
"""Of the cases beside the chains, one in so many."""


def outcomes(book: Book) -> Iterator[tuple[str, Assessment]]:
    """Yield every stored case, and a sample of those beside the chains, with what it comes to."""
    opened = OpenBook(book)
    runner = SampleRunner(opened)
    for path in some(CASES[::4]):
        yield path.name, open_session(opened, read_case(path)).verdict
    samples = [(cid, sample) for cid, some in book.samples.items() for sample in some]
    for cid, sample in some(samples[::EVERY]):
        yield f"{cid}: {sample.name}", runner.assess(sample)


def rare(cid: str) -> Condition:
    """Return an origin of one unit in two thousand."""
    record = condition(cid, origin=True)
    assert record.origin is not None
    return replace(record, origin=replace(record.origin, common=Common(0.0005, "")))


def link(cause: str, effect: str) -> Link:
    return Link(
        cause=cause,
        effect=effect,
        how="made for this test",
        often=Often(0.8, "usually"),
        when={},
        place=Place("(test)", 0, 0),
    )


def with_a_chain_apart(book: Book) -> Book:
    """Return the book with a rare origin, a complaint of its own and a check of it, put first."""
    complaint = condition("drawer-sticks", kind=Nature.COMPLAINT)
    asked = check("drawer-asked", {"yes": ({"drawer-sticks": "strong"}, {}), "no": ({}, {})})
    return replace(
        book,
        conditions={"drawer-bent": rare("drawer-bent"), complaint.id: complaint} | book.conditions,
        links={("drawer-bent", complaint.id): link("drawer-bent", complaint.id)} | book.links,
        checks={asked.id: asked} | book.checks,
    )


def with_an_origin_more(book: Book, effect: str) -> Book:
    """Return the book with one more rare origin of a condition."""
    return replace(
        book,
        conditions=book.conditions | {"never-heard-of": rare("never-heard-of")},
        links=book.links | {("never-heard-of", effect): link("never-heard-of", effect)},
    )


def believed(found: Posterior) -> list[object]:
    """Return the numbers of a posterior, without those of the chain apart."""
    apart = {"drawer-bent", "drawer-sticks"}
    names, place = list(found.worlds.network.conditions), found.worlds.position
    return [
        found.count,
        found.log_evidence,
        found.marginals,
        found.conditions,
        found.errors,
        {c: p for c, p in found.presence().items() if c not in apart},
        {s: bits for s, bits in found.starts.items() if s.condition not in apart},
        {c: found.present.get(place[c], 0) for c in names if c not in apart},
    ]


def judged(a: Assessment) -> list[object]:
    """Return what a verdict comes to: ending, names, what is released, and the advice."""
    released = {part: decision.released for part, decision in a.decisions.items()}
    return [a.ending, a.origins, released, a.drive.advice]


@pytest.fixture(scope="module")
def as_it_is(book: Book) -> list[tuple[str, Assessment]]:
    return list(outcomes(book))


def test_a_chain_apart_moves_nothing(book: Book, as_it_is: list[tuple[str, Assessment]]) -> None:
    pairs = zip(as_it_is, outcomes(with_a_chain_apart(book)), strict=True)
    for (name, one), (_, other) in pairs:
        assert believed(other.posterior) == believed(one.posterior), name
        assert judged(other) == judged(one), name
        assert other.drive == one.drive, name
        asked = [(n.check, n.gain) for n in next_checks(other) if n.check != "drawer-asked"]
        assert asked == [(n.check, n.gain) for n in next_checks(one)], name


@pytest.mark.parametrize(
    "effect", ["metal-in-oil", pytest.param("seal-hardened", marks=pytest.mark.trial)]
)
def test_a_rare_origin_more_changes_no_verdict(
    book: Book, as_it_is: list[tuple[str, Assessment]], effect: str
) -> None:
    pairs = zip(as_it_is, outcomes(with_an_origin_more(book, effect)), strict=True)
    for (name, one), (_, other) in pairs:
        assert judged(other) == judged(one), name


def test_threads_that_share_a_book_believe_what_one_does() -> None:
    random = Random(0)
    network = draw_network(random, 40, 70, loops=True, unlisted=0.002)
    questions = [draw_factors(random, network, 4) for _ in range(32)]
    alone = make_worlds(network)
    serial = [summary(posterior(alone, factors)) for factors in questions]
    shared = make_worlds(network)
    with ThreadPoolExecutor(8) as threads:
        together = threads.map(lambda factors: summary(posterior(shared, factors)), questions * 4)
        assert list(together) == serial * 4


def test_threads_share_the_shipped_book(reasoner: Reasoner) -> None:
    worlds = reasoner.worlds
    origins = list(reasoner.book.origins)[:16]
    fresh = make_worlds(worlds.network)
    factors = [{origin: (0.9, 0.1), "metal-in-oil": (0.998, 0.002)} for origin in origins]
    serial = [summary(posterior(worlds, one)) for one in factors]
    with ThreadPoolExecutor(8) as threads:
        assert list(threads.map(lambda one: summary(posterior(fresh, one)), factors)) == serial

"""The mutation trial: break the meaning of the book and see whether anything notices.

    python tests/mutation/trial.py --count 200

Each mutation is made on the loaded book, behind the loader's back: a link dropped, a link turned
round, the edges of a limit moved, a decisive answer loosened. It is noticed when the checker
reports an error or a case that touches the mutated record comes out differently: one beside a
chain of the link first, then those that look at both of its ends.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from headwater.author.sample import SampleRunner
from headwater.book.chances import Sureness
from headwater.book.check import check_book
from headwater.book.files import Sample
from headwater.book.load import load_book
from headwater.book.records import Book, pairs
from headwater.book.tables import SURENESS
from headwater.measure.registry import input_names
from headwater.session.openbook import OpenBook
from headwater.units import base_unit, parse_quantity

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Mutant:
    """A broken book, what was broken, and the cases that touch it."""

    name: str
    book: Book
    touched: tuple[tuple[str, Sample], ...]


Maker = Callable[[Book, random.Random], Mutant]


def _touching_link(book: Book, ends: tuple[str, str]) -> Iterator[tuple[str, Sample]]:
    beside = {str(chain.chain) for chain in book.chains.values() if ends in pairs(chain)}
    for name in sorted(beside):
        yield from ((name, sample) for sample in book.samples.get(name, ()))
    for name, samples in book.samples.items():
        for sample in samples if name not in beside else ():
            if set(ends) <= _looked_at(book, sample):
                yield str(name), sample


def _looked_at(book: Book, sample: Sample) -> set[str]:
    """Return what a case looks at, and what it says of conditions."""
    looks = (book.checks[str(ref)] for ref in sample.given if str(ref) in book.checks)
    seen = {str(c) for check in looks for c in check.speaks_of()}
    return seen | set(map(str, (*sample.expect.statuses, *sample.expect.origins)))


def _touching_check(book: Book, checks: set[str]) -> Iterator[tuple[str, Sample]]:
    for chain_id, samples in book.samples.items():
        for sample in samples:
            if checks & set(sample.given):
                yield chain_id, sample


def drop_link(book: Book, rng: random.Random) -> Mutant:
    """Forget a link."""
    ends = rng.choice(list(book.links))
    links = {key: link for key, link in book.links.items() if key != ends}
    name = f"link {ends[0]} -> {ends[1]} dropped"
    return Mutant(name, replace(book, links=links), tuple(_touching_link(book, ends)))


def turn_link(book: Book, rng: random.Random) -> Mutant:
    """Swap cause and effect of a link."""
    ends = rng.choice([e for e in book.links if (e[1], e[0]) not in book.links])
    links = dict(book.links)
    link = links.pop(ends)
    links[ends[1], ends[0]] = replace(link, cause=ends[1], effect=ends[0])
    name = f"link {ends[0]} -> {ends[1]} turned round"
    return Mutant(name, replace(book, links=links), tuple(_touching_link(book, ends)))


def move_limit(book: Book, rng: random.Random) -> Mutant:
    """Move every edge of a limit to three times its value, one at zero by one unit."""
    limit = rng.choice(list(book.limits.values()))
    bands = tuple(
        replace(band, upto=f"{_moved(band.upto, limit.dimension)} {base_unit(limit.dimension)}")
        if band.upto
        else band
        for band in limit.bands
    )
    limits = book.limits | {limit.id: replace(limit, bands=bands)}
    checks = {c.id for c in book.checks.values() if c.reading and c.reading.limit == limit.id}
    name = f"limit {limit.id} moved"
    return Mutant(name, replace(book, limits=limits), tuple(_touching_check(book, checks)))


def _moved(edge: str, dimension: str) -> float:
    return parse_quantity(edge, dimension).value * 3 or 1.0


def loosen(book: Book, rng: random.Random) -> Mutant:
    """Make a decisive piece of evidence weak."""
    choices = [
        (check.id, word, side, cid)
        for check in book.checks.values()
        for word, answer in check.answers.items()
        for side in ("shows", "rules_out")
        for cid, sureness in getattr(answer, side).items()
        if sureness.decisive
    ]
    check_id, word, side, cid = rng.choice(choices)
    check = book.checks[check_id]
    answer = check.answers[word]
    weak = Sureness(*SURENESS["weak"], "weak")
    evidence = getattr(answer, side) | {cid: weak}
    changed = replace(answer, **{side: evidence})
    checks = book.checks | {check_id: replace(check, answers=check.answers | {word: changed})}
    name = f"check {check_id}, answer {word}: {cid} loosened"
    return Mutant(name, replace(book, checks=checks), tuple(_touching_check(book, {check_id})))


MAKERS: tuple[Maker, ...] = (drop_link, turn_link, move_limit, loosen)


def notice(mutant: Mutant) -> str | None:
    """Return who notices the mutant: 'checker', the case that comes out differently, or None."""
    if any(p.severity == "error" for p in check_book(mutant.book, input_names())):
        return "checker"
    runner = SampleRunner(OpenBook(mutant.book))
    for chain_id, sample in mutant.touched:
        if any(True for _ in runner.problems_of(chain_id, sample)):
            return f"case '{sample.name}' of {chain_id}"
    return None


def run(book: Book, count: int, seed: int) -> tuple[int, list[str]]:
    """Return how many mutants were noticed, and the names of those that were not."""
    rng = random.Random(seed)
    survivors = []
    for index in range(count):
        mutant = MAKERS[index % len(MAKERS)](book, rng)
        if notice(mutant) is None:
            survivors.append(mutant.name)
    return count - len(survivors), survivors


def main() -> int:
    """Run the trial and print the survivors."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    book = load_book([ROOT / "knowledge" / "transfer-case"], samples=True)
    noticed, survivors = run(book, args.count, args.seed)
    for name in survivors:
        sys.stdout.write(f"survived: {name}\n")
    share = 100.0 * noticed / args.count
    sys.stdout.write(f"{noticed} of {args.count} mutants noticed ({share:.1f} %)\n")
    return 0 if share >= 90.0 else 1


if __name__ == "__main__":
    sys.exit(main())

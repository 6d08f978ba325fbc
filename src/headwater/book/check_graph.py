"""The rules of the book about chains and the causal graph: where they begin, and their cases."""

from __future__ import annotations

from typing import Any

from headwater.book.files import Sample
from headwater.book.model import Chain
from headwater.book.problem import Faults, nearest
from headwater.book.records import COMMON_PRACTICE, Book, effects_by_cause, spread
from headwater.book.refs import TABLES, records_of, refs_of
from headwater.book.tables import SPECIAL
from headwater.book.things import Limit
from headwater.yamltext import Table, Value


def chains_end_in_origins(book: Book) -> Faults:
    """Every chain ends in an origin, and its verdict is that end."""
    for chain in book.chains.values():
        last = chain.path()[0]
        if chain.verdict != last:
            yield (
                chain.verdict.place,
                f"the verdict is '{chain.verdict}' but the last cause is '{last}'",
            )
        origin = book.conditions.get(chain.verdict)
        if origin and not origin.origin:
            yield (
                chain.verdict.place,
                f"'{chain.verdict}' is not an origin; give the condition an 'origin:' or go on",
            )
        repeated = len(set(chain.path())) != len(chain.path())
        if repeated:
            yield chain.chain.place, "a chain must not pass the same condition twice"


def chain_file_names(book: Book) -> Faults:
    """A chain's file carries the chain's id, so that it can be found."""
    for chain in book.chains.values():
        name = chain.place.file.rsplit("/", 1)[-1]
        if name != f"{chain.chain}.yaml" and chain.place.line:
            yield chain.chain.place, f"save this chain as {chain.chain}.yaml"


def others_have_causes(book: Book) -> Faults:
    """A condition that is not an origin has a cause."""
    effects = {effect for _, effect in book.links}
    for condition in book.conditions.values():
        if not condition.origin and condition.id not in effects:
            yield (
                condition.place,
                f"'{condition.id}' is no origin and no chain leads to it; add a chain",
            )


def loops_have_a_way_in(book: Book) -> Faults:
    """A loop never starts itself: some origin must enter it."""
    reached = spread(book.origins, effects_by_cause(book.links))
    for condition in book.conditions.values():
        if condition.id not in reached and any(condition.id in ends for ends in book.links):
            yield condition.place, f"no origin reaches '{condition.id}': its loop has no way in"


def no_repeats(book: Book) -> Faults:
    """A chain is a chain: it does not repeat another one."""
    seen: dict[tuple[str, ...], str] = {}
    for chain in book.chains.values():
        path = tuple(chain.path())
        if path in seen:
            yield chain.chain.place, f"chain '{chain.chain}' repeats chain '{seen[path]}'"
        seen.setdefault(path, str(chain.chain))


def nothing_unreachable(book: Book) -> Faults:
    """Every condition, part, limit, removal, gauge, source and caution is used by something."""
    used: dict[str, set[str]] = {kind: set() for kind in TABLES}
    for record in records_of(book):
        for kind, ref in refs_of(record):
            used[kind].add(str(ref))
    varied = {name for record in (*records_of(book), *book.packs) for name in _varies_by(record)}
    for name, attribute in book.attributes.items():
        if name not in varied:
            yield attribute.place, f"nothing depends on attribute '{name}'"
    linked = {end for ends in book.links for end in ends}
    linked |= {str(chain.found) for chain in book.chains.values()}
    for condition in book.conditions.values():
        if condition.id not in linked:
            yield condition.place, f"no chain passes condition '{condition.id}'"
    for kind in ("part", "limit", "removal", "caution", "gauge"):
        for record in book.table(TABLES[kind]).values():
            if record.id not in used[kind]:
                yield record.place, f"nothing uses {kind} '{record.id}'"
    for source in book.sources.values():
        if source.id not in used["source"] and source.id != COMMON_PRACTICE:
            yield source.place, f"nothing uses source '{source.id}'"


def _varies_by(record: Any) -> set[str]:
    """Return the attributes that a record, or something in it, depends on."""
    parts: list[Any] = [record]
    parts += [step.said for step in record.because] if isinstance(record, Chain) else []
    parts += record.families if isinstance(record, Limit) else []
    return {name for part in parts for name in getattr(part, "when", {})}


def chains_have_samples(book: Book) -> Faults:
    """Every chain has a case that fires, or tells of a usage, and a near miss beside it."""
    for chain in book.chains.values():
        samples = book.samples.get(chain.chain, ())
        if len(samples) < 2:
            yield (
                chain.chain.place,
                f"chain '{chain.chain}' needs two cases in {chain.chain}.cases.yaml: "
                "one that fires and one near miss",
            )
            continue
        fires = [chain.verdict in sample.expect.origins for sample in samples]
        if not any(fires) and not any(_told(book, chain.verdict, sample) for sample in samples):
            yield chain.chain.place, f"no case of chain '{chain.chain}' comes to its verdict"
        if all(fires):
            yield chain.chain.place, f"every case of chain '{chain.chain}' fires; add a near miss"
    beside = book.chains.keys() | book.retired.keys() | book.files
    for name, samples in book.samples.items():
        if name not in beside:
            mend = nearest(name, beside)
            yield samples[0].place, f"no chain or declarations stand beside '{name}'{mend}"


def _told(book: Book, origin: str, sample: Sample) -> bool:
    """Say whether a case tells of a usage and does not name it: its word alone proves nothing."""
    record = book.conditions[origin].origin if origin in book.conditions else None
    if not record or not record.usage or origin not in sample.expect.not_origins:
        return False
    given = {str(ref): word_of(value) for ref, value in sample.given.items()}
    return any(
        origin in answer.shows and given.get(check.id) == word
        for check in book.checks.values()
        for word, answer in check.answers.items()
    )


def word_of(value: Value) -> str:
    """Return the word that a case gives as an answer; YAML takes yes and no for true and false."""
    said = value.data if isinstance(value.data, str) else f"{value.data}".lower()
    return {"true": "yes", "false": "no"}.get(said, said)


def sample_answers(book: Book) -> Faults:
    """The answers given in a sample case are answers of the check."""
    for samples in book.samples.values():
        for sample in samples:
            for ref, value in sample.given.items():
                check = book.checks.get(str(ref))
                if not check or check.reading:
                    continue
                words = [*check.answers, *SPECIAL]
                old = {word for answer in check.answers.values() for word in answer.said}
                said = word_of(value)
                if isinstance(value.data, (tuple, Table)):
                    yield value.place, f"one word is the answer to '{ref}': {', '.join(words)}"
                elif said not in {*words, *old}:
                    yield value.place, f"'{said}' is no answer to '{ref}'{nearest(said, words)}"

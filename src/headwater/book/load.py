"""Reads packs from disk and merges them into one book; every fault of every file is collected.

Packs layer: a pack that stands later in the order replaces records of an earlier one by id, and
the replacement is kept in `Book.overrides` so that the checker and the verdict can say so.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from pathlib import Path
from typing import Any

from headwater.book.model import (
    RECORDS,
    Answer,
    Attribute,
    Caution,
    Chain,
    Check,
    Condition,
    Gauge,
    Limit,
    Link,
    Mode,
    Pack,
    Part,
    Reason,
    Removal,
    Sample,
    SampleFile,
    Sections,
    Source,
    When,
)
from headwater.book.problem import BookError, Problem, nearest
from headwater.book.refs import ids_resolve
from headwater.book.shape import KEBAB, Reader, Ref
from headwater.errors import HeadwaterError, Place
from headwater.yamltext import Table, Value, parse, read_file

COMMON_PRACTICE = "common-practice"
CASES_SUFFIX = ".cases.yaml"
Family = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Override:
    """A record that a later pack put in place of an earlier one's."""

    kind: str
    id: str
    pack: str
    place: Place
    instead_of: Place


@dataclass(slots=True)
class Book:
    """Everything the loaded packs say, by kind and id, in the order written.

    Built once by `load_book` and not changed afterwards; `for_family` returns a narrowed copy.
    """

    packs: tuple[Pack, ...] = ()
    digest: str = ""
    sources: dict[str, Source] = field(default_factory=dict)
    cautions: dict[str, Caution] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    removals: dict[str, Removal] = field(default_factory=dict)
    gauges: dict[str, Gauge] = field(default_factory=dict)
    limits: dict[str, Limit] = field(default_factory=dict)
    conditions: dict[str, Condition] = field(default_factory=dict)
    reasons: dict[str, Reason] = field(default_factory=dict)
    modes: dict[str, Mode] = field(default_factory=dict)
    checks: dict[str, Check] = field(default_factory=dict)
    chains: dict[str, Chain] = field(default_factory=dict)
    links: dict[tuple[str, str], Link] = field(default_factory=dict)
    attributes: dict[str, Attribute] = field(default_factory=dict)
    samples: dict[str, tuple[Sample, ...]] = field(default_factory=dict)
    overrides: list[Override] = field(default_factory=list)
    retired: dict[str, str] = field(default_factory=dict)
    aliases: dict[str, str] = field(default_factory=dict)
    files: set[str] = field(default_factory=set)
    owner: dict[tuple[str, str], str] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """Return the names of the packs, the shipped ones first."""
        return " + ".join(pack.pack for pack in self.packs)

    @property
    def version(self) -> str:
        """Return the versions of the packs in the order of `name`."""
        return " + ".join(pack.version for pack in self.packs)

    @property
    def family(self) -> dict[str, str]:
        """Return the unit family that the examples assume."""
        merged: dict[str, str] = {}
        for pack in self.packs:
            merged |= pack.family
        return merged

    @property
    def assumed(self) -> dict[str, str]:
        """Return the attributes that are taken as given where a case does not say."""
        return {name: item.assume for name, item in self.attributes.items() if item.assume}

    @property
    def origins(self) -> dict[str, Condition]:
        """Return the conditions that can start a chain."""
        return {cid: c for cid, c in self.conditions.items() if c.origin}

    def table(self, kind: str) -> dict[str, Any]:
        """Return the records of one kind (`conditions`, `checks` ...)."""
        found: dict[str, Any] = getattr(self, kind)
        return found


def applies(when: When, family: Family) -> bool:
    """Say whether a record applies to a unit family; an attribute not known does not exclude it.

    >>> applies({"drive": ("chain",)}, {"drive": "gear"})
    False
    """
    return all(name not in family or family[name] in values for name, values in when.items())


def for_family(book: Book, family: Family) -> Book:
    """Return the book as it applies to one unit family, limits resolved for it.

    A pack that is about other units drops out whole, with every record that it owns.
    """
    packs = tuple(pack for pack in book.packs if applies(pack.when, family))
    away = {str(pack.pack) for pack in book.packs} - {str(pack.pack) for pack in packs}

    def keep(kind: str) -> dict[str, Any]:
        return {
            key: item
            for key, item in book.table(kind).items()
            if book.owner.get((kind, key)) not in away and applies(item.when, family)
        }

    conditions = keep("conditions")
    links = {
        ends: link
        for ends, link in book.links.items()
        if book.owner.get(("links", " -> ".join(ends))) not in away
        and applies(link.when, family)
        and ends[0] in conditions
        and ends[1] in conditions
    }
    chains = {
        cid: chain
        for cid, chain in keep("chains").items()
        if all(pair in links for pair in pairs(chain)) and chain.found in conditions
    }
    asked = {name for pack in packs for name in pack.attributes}
    attributes = {name: item for name, item in book.attributes.items() if name in asked}
    return replace(
        book,
        packs=packs,
        attributes=attributes,
        parts=keep("parts"),
        removals=keep("removals"),
        conditions=conditions,
        checks=keep("checks"),
        links=links,
        chains=chains,
        limits={key: _limit_for(limit, family) for key, limit in book.limits.items()},
    )


def _limit_for(limit: Limit, family: Family) -> Limit:
    for special in limit.families:
        named = all(name in family for name in special.when)
        if named and applies(special.when, family):
            return replace(limit, bands=special.bands, source=special.source, families=())
    return limit


def pairs(chain: Chain) -> list[tuple[str, str]]:
    """Return the (cause, effect) pairs of a chain, from what is found back to the origin."""
    ends = [str(chain.found), *(str(step.cause) for step in chain.because)]
    return [(cause, effect) for effect, cause in pairwise(ends)]


def load_book(folders: Iterable[Path], samples: bool = False) -> Book:
    """Return the book of the given pack folders, later ones layered over earlier ones.

    The cases beside the chains are read only if `samples`: no verdict needs them. Raises BookError
    with every fault that keeps the files from being read.
    """
    book, problems = read_packs(folders, samples)
    problems += [Problem(place, "error", "ids", text) for place, text in ids_resolve(book)]
    faults = [p for p in problems if p.severity == "error"]
    if faults:
        raise BookError(faults)
    return book


def read_packs(folders: Iterable[Path], samples: bool = True) -> tuple[Book, list[Problem]]:
    """Return as much of the book as can be read, and every fault met on the way."""
    reader = Reader()
    book = Book()
    book.sources[COMMON_PRACTICE] = Source(
        id=COMMON_PRACTICE, title="common practice, no published source"
    )
    digest = hashlib.sha256()
    for folder in _with_used(list(folders), reader):
        _read_pack(book, folder, reader, digest, samples)
    _merge_links(book, reader)
    _removals_end(book, reader)
    for check in [c for c in book.checks.values() if c.modes]:
        book.checks[check.id] = with_modes(book, check)
    book.digest = digest.hexdigest()[:16]
    return book, reader.problems


def with_modes(book: Book, check: Check) -> Check:
    """Return the check with an answer for each damage mode that it offers and does not declare.

    Such an answer shows what every mode shows here, and what this pack makes of the families of
    causes that the mode points to.
    """
    answers = dict(check.answers)
    for mode in book.modes.values():
        offered = not check.offers or mode.id in (*check.offers, *check.answers)
        if mode.of != check.modes or not offered:
            continue
        shows = dict(check.any_mode)
        for reason in mode.points_to:
            shows |= check.reasons.get(reason, {})
        said = answers.pop(Ref(mode.id), Answer(shows=shows, place=check.place))
        answers[Ref(mode.id, check.place)] = replace(said, says=said.says or says_of(mode))
    return replace(check, answers=answers)


def says_of(mode: Mode) -> str:
    """Return the words that a mode is chosen by: its name, its clause and its look."""
    clause = f" ({mode.clause})" if mode.clause else ""
    return f"{mode.title}{clause}: {mode.looks}"


def removals_before(book: Book, wanted: Iterable[str]) -> set[str]:
    """Return the removals wanted and all that must be done before them."""
    found: set[str] = set()
    open_ids = [str(rid) for rid in wanted]
    while open_ids:
        rid = open_ids.pop()
        if rid in book.removals and rid not in found:
            found.add(rid)
            open_ids.extend(map(str, book.removals[rid].after))
    return found


def _removals_end(book: Book, reader: Reader) -> None:
    for removal in book.removals.values():
        if removal.id in removals_before(book, removal.after):
            text = f"removal '{removal.id}' must come before itself; mend its 'after'"
            reader.fault(removal.place, text)


def _with_used(folders: list[Path], reader: Reader) -> list[Path]:
    """Put the packs that a pack builds on before it, each once."""
    ordered: list[Path] = []

    def visit(folder: Path, trail: tuple[Path, ...]) -> None:
        if folder.resolve() in [known.resolve() for known in (*ordered, *trail)]:
            return
        head = folder / "pack.yaml"
        if head.is_file():
            pack = _read_head(head, Reader())
            for used in pack.uses if pack else ():
                beside = folder.parent / used
                if not (beside / "pack.yaml").is_file():
                    reader.fault(Place(str(head)), f"uses '{used}', but {beside} holds no pack")
                    continue
                visit(beside, (*trail, folder))
        ordered.append(folder)

    for folder in folders:
        visit(folder, ())
    return ordered


def _read_head(head: Path, reader: Reader) -> Pack | None:
    try:
        tree = parse(read_file(head), str(head))
    except HeadwaterError as error:
        reader.fault(error.place or Place(str(head)), error.message)
        return None
    pack: Pack | None = reader.record(Pack, tree)
    return pack


def _read_pack(book: Book, folder: Path, reader: Reader, digest: Any, samples: bool) -> None:
    head = folder / "pack.yaml"
    if not head.is_file():
        mend = "a pack is a folder with a pack.yaml in it"
        reader.fault(Place(str(folder)), f"holds no pack.yaml; {mend}")
        return
    pack = _read_head(head, reader)
    if pack is None:
        return
    book.packs = (*book.packs, pack)
    book.attributes |= pack.attributes
    book.retired |= pack.retired
    seen: dict[tuple[str, str], Place] = {}
    for path in sorted(folder.rglob("*.yaml")):
        if path.name.endswith(CASES_SUFFIX) and not samples:
            continue
        try:
            text = read_file(path)
            if not path.name.endswith(CASES_SUFFIX):
                digest.update(f"{path.relative_to(folder).as_posix()}\0{text}\0".encode())
            if path != head:
                _read_part(book, pack, path, parse(text, str(path)), reader, seen)
        except HeadwaterError as error:
            reader.fault(error.place or Place(str(path)), error.message)
    for chain_id in pack.retired:
        if book.chains.pop(chain_id, None) is None:
            mend = nearest(chain_id, book.chains)
            reader.fault(pack.place, f"no pack before has chain '{chain_id}' to retire{mend}")
        book.samples.pop(chain_id, None)


def _read_part(
    book: Book,
    head: Pack,
    path: Path,
    tree: Value,
    reader: Reader,
    seen: dict[tuple[str, str], Place],
) -> None:
    if not isinstance(tree.data, Table):
        reader.fault(tree.place, "is empty; write sections or a chain, or delete the file")
        return
    if path.name.endswith(CASES_SUFFIX):
        found = reader.record(SampleFile, tree)
        if found:
            chain_id = path.name.removesuffix(CASES_SUFFIX)
            cases = [replace(case, family=head.family | case.family) for case in found.cases]
            book.samples[chain_id] = (*book.samples.get(chain_id, ()), *cases)
    elif "chain" in tree.data.entries:
        chain = reader.record(Chain, tree)
        if chain:
            _put(book, head.pack, "chains", chain.chain, chain, reader, seen)
    else:
        book.files.add(path.stem)
        sections = reader.record(Sections, tree)
        for kind, cls in RECORDS.items():
            for key, value in getattr(sections, kind).items() if sections else ():
                record = reader.record(cls, value, id=str(key), place=key.place)
                if record:
                    _put(book, head.pack, kind, key, record, reader, seen)


def _put(
    book: Book,
    pack: str,
    kind: str,
    key: Any,
    record: Any,
    reader: Reader,
    seen: dict[tuple[str, str], Place],
) -> None:
    if not KEBAB.match(key):
        reader.fault(key.place, f"'{key}' must be lower-case words joined by '-'")
    if (kind, key) in seen:
        where = seen[kind, str(key)]
        reader.fault(key.place, f"'{key}' is declared a second time (first at {where})")
        return
    seen[kind, str(key)] = key.place
    table = book.table(kind)
    if key in table and table[key].place.line:
        book.overrides.append(Override(kind, str(key), pack, key.place, table[key].place))
    table[str(key)] = record
    book.owner[kind, str(key)] = pack
    for old in getattr(record, "replaces", ()):
        book.aliases[old] = str(key)


def _merge_links(book: Book, reader: Reader) -> None:
    """Make the one causal graph: each link told once, with how and how often, in some chain."""
    told: dict[tuple[str, str], tuple[Any, str]] = {}
    met: dict[tuple[str, str], Place] = {}
    rank = {str(pack.pack): number for number, pack in enumerate(book.packs)}
    for chain in sorted(book.chains.values(), key=lambda c: rank[book.owner["chains", c.chain]]):
        pack = book.owner["chains", chain.chain]
        for ends, step in zip(pairs(chain), chain.because, strict=True):
            met.setdefault(ends, step.cause.place)
            said = step.said
            if not said.how and said.often is None:
                continue
            if not said.how or said.often is None:
                reader.fault(step.cause.place, "a link needs both 'how' and 'often'")
                continue
            if ends not in told or told[ends][1] != pack:
                if ends in told:
                    first = told[ends][0].place
                    arrow = " -> ".join(ends)
                    book.overrides.append(Override("links", arrow, pack, said.place, first))
                told[ends] = (said, pack)
            elif told[ends][0].often.p != said.often.p or told[ends][0].when != said.when:
                first = told[ends][0].place
                reader.fault(
                    step.cause.place,
                    f"link {ends[0]} -> {ends[1]} is told differently at {first}; "
                    "tell it once and name only the cause here",
                )
    for ends, (_, pack) in told.items():
        book.owner["links", " -> ".join(ends)] = pack
    for ends, place in met.items():
        if ends not in told:
            reader.fault(place, f"link {ends[0]} -> {ends[1]} has no 'how' and 'often' anywhere")
            continue
        said = told[ends][0]
        book.links[ends] = Link(
            cause=ends[0],
            effect=ends[1],
            how=said.how,
            often=said.often,
            when=said.when,
            place=said.place,
        )

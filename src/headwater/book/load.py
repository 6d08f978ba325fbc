"""Reads packs from disk and merges them into one book; every fault of every file is collected.

Packs layer: a pack that stands later in the order replaces records of an earlier one by id, and
the replacement is kept in `Book.overrides` so that the checker and the verdict can say so.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from headwater.book.figures import lay_figures
from headwater.book.files import RECORDS, Pack, SampleFile, Sections
from headwater.book.model import Answer, Chain, Check, Mode
from headwater.book.problem import BookError, Problem, nearest
from headwater.book.records import (
    COMMON_PRACTICE,
    Book,
    Link,
    Override,
    pairs,
    removals_before,
)
from headwater.book.refs import ids_resolve
from headwater.book.shape import KEBAB, Reader, Ref
from headwater.book.things import Source
from headwater.errors import HeadwaterError, Place
from headwater.yamltext import Table, Value, parse, read_file

CASES_SUFFIX = ".cases.yaml"


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
    for folder in with_used(folders, reader):
        _read_pack(book, folder, reader, digest, samples)
    _merge_links(book, reader)
    lay_figures(book, reader)
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
    taken = {word for answer in answers.values() for word in (answer.says, *answer.said)}
    for mode in book.modes.values():
        offered = not check.offers or mode.id in (*check.offers, *check.answers)
        if mode.of != check.modes or not offered:
            continue
        shows = dict(check.any_mode)
        for reason in mode.points_to:
            shows |= check.reasons.get(reason, {})
        said = answers.pop(Ref(mode.id), Answer(shows=shows, place=check.place))
        # What the check's own answers are called is no other answer's word.
        ways = (*said.said, *(way for way in mode.said if way not in taken))
        words = said.says or says_of(mode)
        answers[Ref(mode.id, check.place)] = replace(said, says=words, said=ways)
    return replace(check, answers=answers)


def says_of(mode: Mode) -> str:
    """Return the words that a mode is chosen by: its name, its clause and its look."""
    clause = f" ({mode.clause})" if mode.clause else ""
    return f"{mode.title}{clause}: {mode.looks}"


def _removals_end(book: Book, reader: Reader) -> None:
    for removal in book.removals.values():
        if removal.id in removals_before(book, removal.after):
            text = f"removal '{removal.id}' must come before itself; mend its 'after'"
            reader.fault(removal.place, text)


def pack_files(folder: Path, samples: bool) -> list[tuple[str, str]]:
    """Return (name below the folder, path) of the files of a pack, in the order they are read in.

    The cases beside the chains are among them only if `samples`. Links to folders are not followed.
    Text, not `Path`s: the book's cache walks hundreds of files through here. Raises OSError.
    """
    unwanted = () if samples else (CASES_SUFFIX,)
    found = [
        (name.split("/"), path)
        for name, path in _walk(str(folder), "")
        if name.endswith(".yaml") and not name.endswith(unwanted)
    ]
    return [("/".join(parts), path) for parts, path in sorted(found)]


def _files_of(folder: Path, samples: bool, reader: Reader) -> list[tuple[str, str]]:
    try:
        return pack_files(folder, samples)
    except OSError as error:
        place = Place(str(error.filename or folder))
        reader.fault(place, f"cannot be read ({(error.strerror or str(error)).lower()})")
        return []


def _walk(folder: str, below: str) -> Iterator[tuple[str, str]]:
    with os.scandir(folder) as entries:
        for entry in entries:
            yield below + entry.name, entry.path
            if entry.is_dir(follow_symlinks=False):
                yield from _walk(entry.path, f"{below}{entry.name}/")


def with_used(folders: Iterable[Path], reader: Reader | None = None) -> list[Path]:
    """Put the packs that a pack builds on before it, each once; faults go to the reader."""
    reader = reader or Reader()
    ordered: list[Path] = []

    def visit(folder: Path, trail: tuple[Path, ...]) -> None:
        real = os.path.realpath  # which takes a link to itself as it stands
        if real(folder) in [real(known) for known in (*ordered, *trail)]:
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
    for name, file in _files_of(folder, samples, reader):
        path = Path(file)
        try:
            text = read_file(path)
            if not name.endswith(CASES_SUFFIX):
                digest.update(f"{name}\0{text}\0".encode(errors="surrogateescape"))
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

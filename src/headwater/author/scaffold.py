"""Starts a new chain for an author: its file, its cases, and the conditions that are still missing.

What only the author can know is left empty, and `book check` names each empty place with its line.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

from headwater.book.records import Book
from headwater.book.shape import KEBAB
from headwater.errors import HeadwaterError


class ScaffoldError(HeadwaterError):
    """A chain that cannot be started as asked."""


def chain_files(book: Book, folder: Path, chain: str, path: Sequence[str]) -> dict[Path, str]:
    """Return the files of a new chain by path; `path` runs from what is found back to the origin.

    Raises ScaffoldError when the chain exists or an id is not one.
    """
    for name in (chain, *path):
        if not KEBAB.match(name):
            raise ScaffoldError(f"'{name}' must be lower-case words joined by '-'")
    if len(path) < 1:
        raise ScaffoldError("name at least what is found: FOUND [CAUSE ...] ORIGIN")
    if chain in book.chains:
        raise ScaffoldError(f"chain '{chain}' exists already", book.chains[chain].place)
    schema = os.path.relpath(_pack_of(folder).parent / "schema", os.path.realpath(folder))
    files = {
        folder / f"{chain}.yaml": _chain_text(book, chain, path, schema),
        folder / f"{chain}.cases.yaml": _cases_text(book, path, schema),
    }
    missing = [cid for cid in path if cid not in book.conditions]
    if missing:
        files[folder / f"{chain}-words.yaml"] = _words_text(missing, path[-1], schema)
    return files


def _pack_of(folder: Path) -> Path:
    """Return the pack that a folder lies in: the schemas stand beside it."""
    here = Path(os.path.realpath(folder))
    return next((one for one in (here, *here.parents) if (one / "pack.yaml").is_file()), here)


def _head(schema: str, kind: str) -> str:
    return f"# yaml-language-server: $schema={schema}/{kind}.schema.json\n"


def _chain_text(book: Book, chain: str, path: Sequence[str], schema: str) -> str:
    lines = [f"chain: {chain}", "title:", f"found: {path[0]}"]
    lines += ["because:"] if len(path) > 1 else []
    for effect, cause in pairwise(path):
        if (cause, effect) in book.links:
            lines.append(f"  - {cause}")
        else:
            lines.append(f"  - {cause}: {{how: , often: }}")
    lines += [f"verdict: {path[-1]}", "tempting:", "  repair:", "  leads-to:"]
    return _head(schema, "chain") + "\n".join(lines) + "\n"


def _cases_text(book: Book, path: Sequence[str], schema: str) -> str:
    fires = _given(book, path, "shows")
    misses = _given(book, path[:1], "shows") + _given(book, path[-1:], "rules_out")
    return _head(schema, "cases") + "\n".join(
        [
            "cases:",
            "  - name: it fires",
            "    given:",
            *fires,
            "    expect:",
            f"      origins: {{{path[-1]}: proven}}",
            "    why:",
            "  - name: near miss",
            "    given:",
            *misses,
            "    expect:",
            f"      not-origins: [{path[-1]}]",
            "    why:",
            "",
        ]
    )


def _given(book: Book, path: Sequence[str], side: str) -> list[str]:
    """Return a `check: answer` line for each condition that a check settles so."""
    lines: dict[str, str] = {}
    for cid in path:
        if cid not in book.conditions:
            lines[cid] = f"      {cid}-look: {'bad' if side == 'shows' else 'sound'}"
        for check in book.checks.values():
            for word, answer in check.answers.items():
                sureness = getattr(answer, side).get(cid)
                if sureness and sureness.decisive and cid not in lines:
                    lines[cid] = f"      {check.id}: {word}"
    return list(dict.fromkeys(lines.values()))


def _words_text(missing: Sequence[str], origin: str, schema: str) -> str:
    lines = ["conditions:"]
    for cid in missing:
        lines += [f"  {cid}:", "    title:", "    kind: damage", "    part:"]
        if cid == origin:
            lines += ["    origin:", "      common:", "      corrections:"]
            lines += ["        - {action: , text: }"]
        else:
            lines += ["    dispositions:", "      - {action: , text: }"]
    lines.append("checks:")
    for cid in missing:
        lines += [
            f"  {cid}-look:",
            "    ask:",
            "    how:",
            "    good:",
            "    bad:",
            "    seats: bench",
            "    minutes: 5",
            "    answers:",
            f"      sound: {{says: , rules-out: {{{cid}: decisive}}}}",
            f"      bad: {{says: , shows: {{{cid}: decisive}}}}",
        ]
    return _head(schema, "sections") + "\n".join(lines) + "\n"

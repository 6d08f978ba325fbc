"""A book and a case in which every free text is hostile, through every output in every form."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from itertools import islice
from pathlib import Path
from random import Random
from typing import Any

from attack.ending import obeyed, wrong_json
from attack.registry import Attack, Outcome
from occasions import MAKERS
from render.hostile import HOSTILE
from sessions import replay

from headwater import outputs
from headwater.author.cover import CoverReport
from headwater.author.diff import Change
from headwater.book.chances import Chance, Sureness
from headwater.book.load import load_book
from headwater.book.model import Remedies
from headwater.book.problem import Problem
from headwater.book.records import Book
from headwater.book.refs import TABLES
from headwater.book.seal import unseal
from headwater.book.show import written_out
from headwater.case.model import Case
from headwater.case.read import read_case
from headwater.cli.console import Screen
from headwater.cli.main import Terminal
from headwater.errors import HeadwaterError, Place
from headwater.measure.registry import run_work
from headwater.outputs import OUTPUTS, Output
from headwater.render.data import as_json
from headwater.render.graphs import as_dot, as_mermaid
from headwater.session.session import Session
from headwater.view.book import Changed, Checked, Kept, Shown
from headwater.view.proofsheet import PackPart
from headwater.view.refusal import TurnedAway
from headwater.yamltext import Value

FROZEN = Path(__file__).resolve().parents[1] / "frozen"
KEYS = frozenset(
    {
        "id", "u", "upto", "dimension", "unit", "act", "work", "digest", "at", "rest", "assume",
        "file", "color", "advice", "check", "possible", "inputs", "distance", "chain", "pack",
        "family", "when", "verdict", "given", "remembers",
    }
)  # fmt: skip
"""Fields that are no free text: the program reads them, and refuses what it does not know."""
MARKUP = ("<script>alert", "<img src=x", "<svg onload", "<b>", "<?php", "<!DOCTYPE x", "]]>")
FORMULA = tuple("=+-@\t\r")


def poisoned(value: Any, bad: str) -> Any:
    """Return a record with something hostile behind each of its free texts."""
    if isinstance(value, Remedies):
        return Remedies(tuple(poisoned(item, bad) for item in unseal(value)))
    if isinstance(value, (Chance, Sureness, Enum)):
        return value
    if isinstance(value, Place):
        return value._replace(file=f"{value.file}{bad}")
    if is_dataclass(value) and not isinstance(value, type):
        free = {f.name: getattr(value, f.name) for f in fields(value) if f.name not in KEYS}
        return replace(value, **{name: poisoned(item, bad) for name, item in free.items()})
    if isinstance(value, Value):
        return value
    if isinstance(value, (tuple, list)):
        return type(value)(poisoned(item, bad) for item in value)
    if isinstance(value, dict):
        return {key: poisoned(item, bad) for key, item in value.items()}
    return f"{value} {bad}" if type(value) is str and value else value


def poisoned_book(bad: str) -> Book:
    """Return the frozen book with every free text of every record poisoned."""
    book = load_book([FROZEN / "looks", FROZEN / "winch"], samples=True)
    made = replace(book, packs=poisoned(book.packs, bad))
    for kind in (*TABLES.values(), "links", "chains", "attributes"):
        table = getattr(made, kind, None)
        if isinstance(table, dict):
            setattr(made, kind, poisoned(table, bad))
    return made


def poisoned_case(name: str, bad: str) -> Case:
    """Return a frozen case with hostile words, names and remarks."""
    case: Case = poisoned(read_case(FROZEN / "cases" / f"{name}.yaml"), bad)
    return replace(case, customer=bad, vehicle=bad, complaint=bad)


def alone(book: Book, bad: str) -> Iterator[tuple[str, Any]]:
    """Yield what outputs of the book alone are made from."""
    records = [(k, poisoned(r, bad)) for k in TABLES.values() for r in book.table(k).values()]
    written = [(kind, f"{record.place}", written_out(record)) for kind, record in records]
    yield from (("book-show", Shown(bad, (row,))) for row in written)
    yield "book-list", Kept(bad, {f"{n}{bad}": row for n, (_, _, row) in enumerate(written)})
    yield "book-check", Checked(book, (Problem(Place(bad, 1, 1), "error", bad, bad),))
    yield "book-diff", Changed((Change("changed", bad, bad),))
    whole = poisoned(book, bad)
    yield from (("book-read", PackPart(whole, name)) for name in PackPart.names(whole))
    yield (
        "book-cover",
        CoverReport((bad,), ((bad, bad),), (bad,), (bad,), ((bad,),), (bad,), (bad,), 1),
    )
    yield "refusal", TurnedAway(2, (HeadwaterError(bad, Place(bad, 1, 1)),))
    yield "work", poisoned(run_work("axial-float", {"pushed": "0.12 mm", "pulled": "1.26 mm"}), bad)


def written(output: Output, told: Any) -> Iterator[tuple[str, str]]:
    """Yield (form, text) of an output as it reaches a terminal, a file or a program."""
    if output.paper:
        out = io.StringIO()
        Screen(out, 80).show(outputs.lines(output.name, told))
        yield "terminal", out.getvalue()
        yield "markdown", outputs.markdown_text(output.name, told)
        yield "html", outputs.html_text(output.name, told)
    if output.record:
        yield "json", outputs.json_text(output.name, told)
    if output.table:
        yield "csv", outputs.csv_text(output.name, told)
    if output.page:
        yield "json", as_json(outputs.page_of(output.name, told))
    if output.tree:
        yield "svg", outputs.svg_text(output.name, told)


def faults_in(form: str, text: str) -> Iterator[str]:
    """Yield what a text holds that its reader would obey."""
    if found := obeyed(text.replace("\r\n", "\n")):
        yield f"holds {sorted(found)!a}"
    if form == "markdown":  # what is fenced in is shown as it is written
        text = re.sub(r"(`{3,})text\n.*?\n\1", "", text, flags=re.DOTALL)
    if form in ("html", "svg", "markdown"):
        yield from (f"holds {mark}" for mark in MARKUP if mark in text)
    if form == "json":
        yield from wrong_json(text)
    if form == "csv":
        rows = csv.reader(io.StringIO(text, newline=""))
        cells = [cell for row in rows for cell in row if cell.startswith(FORMULA)]
        yield from (f"a formula: {cell[:40]!r}" for cell in cells if not _is_figure(cell))


def _is_figure(cell: str) -> bool:
    try:
        return bool(float(cell)) or True
    except ValueError:
        return False


def everything(session: Session, bad: str, most: int) -> Iterator[tuple[str, str, str]]:
    """Yield (output, form, text) of every output, from at most so many occasions each."""
    for output in OUTPUTS:
        if output.takes in MAKERS:
            for told in islice(MAKERS[output.takes](session, None), most):
                yield from ((output.name, form, text) for form, text in written(output, told))
    for name, told in alone(session.book, bad):
        known = outputs.BY_NAME[name]
        yield from ((name, form, text) for form, text in written(known, told))
    yield "graph", "mermaid", as_mermaid(session.book)
    yield "graph", "dot", as_dot(session.book)
    out, err = io.StringIO(), io.StringIO()
    Terminal(out, err, io.StringIO()).write(f"{bad}\n")
    Terminal(out, err, io.StringIO()).complain(bad)
    yield "command line", "terminal", out.getvalue() + err.getvalue()


def _strike(dice: Random, runs: int, folder: Path) -> Outcome:  # noqa: ARG001 - as all attacks
    """Run until so many texts were written; a poison is some hostile texts in any order."""
    made, failures = 0, []
    while made < runs:
        bad = (
            " ".join(dice.sample(HOSTILE, 2 if runs < 1000 else 6))
            + f"{chr(dice.choice(SIGNS))}= \x1b[2J\u202e"
        )
        case = dice.choice(("bore", "pads", "two", "undetermined", "back"))
        session = replay(poisoned_book(bad), poisoned_case(case, bad))
        for name, form, text in everything(session, bad, 2 + runs // 2000):
            made += 1
            failures += [f"{name} as {form} {fault}" for fault in faults_in(form, text)]
    return Outcome(made, tuple(failures))


SIGNS = (*range(32), *range(0x7F, 0xA0), 0x200E, 0x200F, 0x061C, *range(0x202A, 0x202F), 0x2028)

ATTACKS = (Attack("hostile text through every output", _strike, 100, 20_000),)

"""Commands on the book: check, show, read, graph, schema, new, cover, diff."""

from __future__ import annotations

import argparse
import json
import os
from dataclasses import replace
from pathlib import Path

from headwater import outputs
from headwater.author.cover import cover_of
from headwater.author.diff import book_changes, case_changes
from headwater.author.sample import SampleRunner
from headwater.author.scaffold import chain_files
from headwater.book.check import check_book
from headwater.book.load import load_book, read_packs
from headwater.book.problem import Problem, nearest
from headwater.book.refs import TABLES
from headwater.book.schema import book_schemas
from headwater.book.show import written_out
from headwater.case.read import read_case
from headwater.cli.chosen import book_of, form_of, packs_of, target_of
from headwater.cli.main import DONE, HELD, Terminal
from headwater.cli.show import say, show
from headwater.errors import HeadwaterError, Place
from headwater.files import Destination, write_new
from headwater.measure.registry import input_names
from headwater.render.graphs import areas, around, as_dot, as_mermaid
from headwater.render.look import MARK
from headwater.session.openbook import OpenBook
from headwater.session.search import find_condition
from headwater.shipped import packs_with
from headwater.view.book import Changed, Checked, Kept, Shown
from headwater.view.proofsheet import PackPart
from headwater.view.told import Leftovers

SCHEMA_MARK = '"title": "Headwater'
"""Stands at the head of every schema, so that it may be written over."""


def run_check(args: argparse.Namespace, terminal: Terminal) -> int:
    """Print every problem as `file:line:column: severity [check] message`."""

    for path in args.path:
        if not path.is_dir():
            what = "is a file; name the pack's folder" if path.exists() else "no such folder"
            raise HeadwaterError(what, Place(str(path)))
    book, problems = read_packs(list(args.path) or packs_of(args))
    problems = [*problems, *check_book(book, input_names())]
    if args.cases and not any(p.severity == "error" for p in problems):
        problems += SampleRunner(OpenBook(book)).problems()
    told = tuple(_nearer(problem) for problem in sorted(set(problems)))
    checked = Checked(book, told)
    if args.json:
        show(terminal, args, "book-check", checked)
    else:
        for line in outputs.lines("book-check", checked):
            terminal.screen.raw(line.text)  # one to a line, so that an editor finds the place
    return HELD if any(problem.severity == "error" for problem in told) else DONE


def _nearer(problem: Problem) -> Problem:
    """Return the problem with its file named from the working folder, where that is shorter."""

    try:
        near = str(Path(os.path.realpath(problem.place.file)).relative_to(Path.cwd()))
    except ValueError:
        return problem
    return replace(problem, place=problem.place._replace(file=near))


def run_show(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show every record with this id, as its author wrote it, or the ids of one kind."""

    book = book_of(args).book
    name = book.aliases.get(args.id, args.id)
    kinds = [*TABLES.values(), "chains"]
    if name in kinds:
        written = {str(key): written_out(record) for key, record in book.table(name).items()}
        show(terminal, args, "book-list", Kept(name, written))
        return DONE
    found = [(kind, book.table(kind)[name]) for kind in kinds if name in book.table(kind)]
    if not found:
        every = [*kinds, *(key for kind in kinds for key in book.table(kind))]
        raise HeadwaterError(f"the book has no '{args.id}'{nearest(args.id, every)}")
    records = tuple((kind, str(record.place), written_out(record)) for kind, record in found)
    show(terminal, args, "book-show", Shown(name, records))
    return DONE


def run_read(args: argparse.Namespace, terminal: Terminal) -> int:
    """Set a part of the book out to be read: on the screen, or into a page or Markdown."""

    form = form_of(args) if args.out else ""
    target = target_of(args, args.out, MARK) if args.out else None
    book = book_of(args).book
    known = PackPart.names(book)
    if args.part not in known:
        packs = ", ".join(sorted({book.owner["chains", cid] for cid in book.chains}))
        near = nearest(args.part, known) or f"; there are {packs}, and their folders"
        raise HeadwaterError(f"no pack, and no folder of one, is '{args.part}'{near}")
    part = PackPart(book, args.part)
    if target is None:
        say(terminal.screen, "book-read", part)
        return DONE
    target.write(outputs.paper_file("book-read", part, form))
    terminal.screen.raw(f"Written: {args.out}")
    return DONE


def run_graph(args: argparse.Namespace, terminal: Terminal) -> int:
    """Print the causal graph, or the part of it that was asked for."""

    opened = book_of(args)
    write = as_mermaid if args.form == "mermaid" else as_dot
    terminal.screen.raw(write(opened.book, _part_of_graph(opened, args)))
    return DONE


def _part_of_graph(opened: OpenBook, args: argparse.Namespace) -> set[str] | None:

    book = opened.book
    if args.around:
        if args.depth < 0:
            raise HeadwaterError(f"--depth {args.depth}: a number of links is 0 or more")
        return around(book, find_condition(opened, args.around), args.depth)
    if not args.area:
        return None
    known = areas(book)
    if args.area not in known:
        raise HeadwaterError(f"no folder of the book is '{args.area}'{nearest(args.area, known)}")
    return known[args.area]


def run_new(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write the files of a new chain, and say what to do next."""

    if not args.folder.is_dir():
        raise HeadwaterError("no such folder; name a folder of your pack", Place(str(args.folder)))
    files = chain_files(book_of(args).book, args.folder, args.id, args.path)
    for path in write_new(files):
        terminal.write(f"wrote {path}\n")
    terminal.screen.say("Fill in what is empty, then run 'headwater book check' on your pack.")
    return DONE


def run_cover(args: argparse.Namespace, terminal: Terminal) -> int:
    """Run every case beside the chains and print what none of them exercises.

    With `--told`, print what was told in some cases and is placed nowhere.
    """
    if args.told:
        show(terminal, args, "leftovers", Leftovers(tuple(map(read_case, args.told))))
        return DONE
    book = load_book(list(args.path) or packs_of(args), samples=True)
    report = cover_of(OpenBook(book))
    show(terminal, args, "book-cover", report)
    return DONE if report.clean else HELD


def run_diff(args: argparse.Namespace, terminal: Terminal) -> int:
    """Print in words what changed, and which stored cases come out differently."""

    if args.cases and not args.cases.is_dir():
        raise HeadwaterError("no such folder; name the one of the cases", Place(str(args.cases)))
    before, after = _compared(args)
    old, new = load_book(before), load_book(after)
    files = sorted(args.cases.rglob("*.yaml")) if args.cases else []
    changes = (*book_changes(old, new), *case_changes(old, new, files))
    show(terminal, args, "book-diff", Changed(changes))
    return DONE


def _compared(args: argparse.Namespace) -> tuple[list[Path], list[Path]]:
    """Return the packs before and after: the two named, or the book without and with `--shop`."""
    if args.new:
        return [args.old], [args.new]
    if args.old or not args.shop:
        raise HeadwaterError(
            "name two pack folders, OLD and NEW, or one to lay over: --shop FOLDER"
        )
    return packs_with(args.book or ()), packs_of(args)


def run_schema(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write the schemas of the book's files, or of a case and every `--json`, into a folder."""

    if not args.folder.is_dir():
        raise HeadwaterError("no such folder; make it first", Place(str(args.folder)))
    texts = book_schemas()
    if args.outputs:
        made = outputs.schemas()
        texts = {name: json.dumps(made[name], indent=1) + "\n" for name in made}
    for name, text in texts.items():
        path = args.folder / name
        Destination(path, SCHEMA_MARK).write(text)
        terminal.write(f"wrote {path}\n")
    return DONE

"""Commands on the book: check, cases, show, graph, schema."""

from __future__ import annotations

import argparse
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

from headwater.author.cover import cover_of
from headwater.author.diff import book_changes, case_changes
from headwater.author.sample import SampleRunner
from headwater.author.scaffold import chain_files
from headwater.book.check import check_book
from headwater.book.load import load_book, read_packs
from headwater.book.problem import Problem, nearest
from headwater.book.records import Book
from headwater.book.refs import TABLES
from headwater.book.schema import book_schemas
from headwater.book.shape import key_of
from headwater.case.read import CaseError
from headwater.cli.books import book_of, packs_of
from headwater.cli.main import DONE, HELD, Terminal
from headwater.cli.options import add_book_options, add_json
from headwater.errors import Place
from headwater.files import write_new, write_whole
from headwater.measure.registry import WORKS
from headwater.render.graphs import areas, around, as_dot, as_mermaid
from headwater.session.openbook import OpenBook


def add_commands(commands: Any) -> None:
    """Add the commands of this module."""
    book = commands.add_parser("book", help="look after the knowledge: check, show, graph")
    inner = book.add_subparsers(dest="book_command", metavar="ACTION", required=True)

    check = inner.add_parser("check", help="print every problem of the book")
    check.add_argument("path", nargs="*", type=Path, metavar="PATH", help="pack folders")
    check.add_argument("--cases", action="store_true", help="run the cases beside the chains too")
    add_json(check)
    add_book_options(check)
    check.set_defaults(run=run_check)

    show = inner.add_parser("show", help="show one record of the book")
    show.add_argument("id", metavar="ID", help="a condition, check, part, chain, limit ...")
    add_json(show)
    add_book_options(show)
    show.set_defaults(run=run_show)

    graph = inner.add_parser("graph", help="print the causal graph for a drawing program")
    graph.add_argument(
        "--form", choices=("mermaid", "dot"), default="mermaid", help="mermaid or dot"
    )
    part = graph.add_mutually_exclusive_group()
    part.add_argument("--around", metavar="CONDITION", help="only what is near this condition")
    part.add_argument("--area", metavar="FOLDER", help="only what this folder of the pack holds")
    graph.add_argument(
        "--depth", type=int, default=2, metavar="N", help="how many links away is near (2)"
    )
    add_book_options(graph)
    graph.set_defaults(run=run_graph)

    schema = inner.add_parser("schema", help="write the JSON Schemas for editors")
    schema.add_argument("folder", type=Path, metavar="FOLDER", help="where they go")
    schema.set_defaults(run=run_schema)

    new = inner.add_parser("new", help="start a chain: its file, its cases, what is missing")
    new.add_argument("what", choices=("chain",), help="what is started: a chain")
    new.add_argument("id", metavar="ID", help="the id of the new chain")
    new.add_argument(
        "path", nargs="+", metavar="CONDITION", help="from what is found back to the origin"
    )
    new.add_argument(
        "--in", dest="folder", type=Path, required=True, metavar="FOLDER", help="of its pack"
    )
    add_book_options(new)
    new.set_defaults(run=run_new)

    cover = inner.add_parser("cover", help="what no case exercises and no check tells apart")
    cover.add_argument("path", nargs="*", type=Path, metavar="PATH", help="pack folders")
    add_json(cover)
    add_book_options(cover)
    cover.set_defaults(run=run_cover)

    diff = inner.add_parser("diff", help="what changed in meaning between two states of a pack")
    diff.add_argument("old", type=Path, metavar="OLD", help="pack folder before")
    diff.add_argument("new", type=Path, metavar="NEW", help="pack folder after")
    diff.add_argument("--cases", type=Path, metavar="FOLDER", help="stored cases to judge by both")
    add_json(diff)
    diff.set_defaults(run=run_diff)


def known_works() -> dict[str, list[str]]:
    """Return the bench arithmetic that checks may use, with the inputs of each."""
    return {name: [item.name for item in work.inputs] for name, work in WORKS.items()}


def run_check(args: argparse.Namespace, terminal: Terminal) -> int:
    """Print every problem as `file:line:column: severity [check] message`."""
    for path in args.path:
        if not path.is_dir():
            what = "is a file; name the pack's folder" if path.exists() else "no such folder"
            raise CaseError(what, Place(str(path)))
    folders = list(args.path) or packs_of(args)
    book, problems = read_packs(folders)
    problems = [*problems, *check_book(book, known_works())]
    if args.cases and not any(p.severity == "error" for p in problems):
        problems += SampleRunner(OpenBook(book)).problems()
    problems = [_nearer(problem) for problem in sorted(set(problems))]
    errors = sum(problem.severity == "error" for problem in problems)
    counts = {kind: len(book.table(kind)) for kind in ("conditions", "checks", "links", "chains")}
    counts = {"origins": len(book.origins)} | counts
    counts["cases"] = sum(len(samples) for samples in book.samples.values())
    if args.json:
        from headwater.cli.case import show_json

        rows = [
            {
                "file": p.place.file,
                "line": p.place.line,
                "column": p.place.column,
                "severity": p.severity,
                "check": p.check,
                "message": p.message,
            }
            for p in problems
        ]
        show_json(terminal, {"problems": rows, "counts": counts})
    else:
        for problem in problems:
            print(problem, file=terminal.out)
        told = ", ".join(f"{number} {kind}" for kind, number in counts.items())
        print(f"{book.name or 'no book'}: {told}; {errors} errors", file=terminal.out)
    return HELD if errors else DONE


def _nearer(problem: Problem) -> Problem:
    """Return the problem with its file named from the working folder, where that is shorter."""
    place = problem.place
    try:
        near = str(Path(place.file).resolve().relative_to(Path.cwd()))
    except ValueError:
        return problem
    where = Place(near, place.line, place.column)
    return Problem(where, problem.severity, problem.check, problem.message)


def run_show(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show every record with this id, as its author wrote it."""
    book = book_of(args).book
    name = book.aliases.get(args.id, args.id)
    kinds = [*TABLES.values(), "chains"]
    records = [(kind, book.table(kind)[name]) for kind in kinds if name in book.table(kind)]
    if not records:
        every = [key for kind in kinds for key in book.table(kind)]
        raise CaseError(f"the book has no '{args.id}'{nearest(args.id, every)}")
    if args.json:
        from headwater.cli.case import show_json

        show_json(terminal, {kind: plain(record) for kind, record in records})
        return DONE
    for kind, record in records:
        terminal.screen.say(f"{kind.rstrip('s')} {name}", "head")
        terminal.screen.say(f"at {record.place}", "quiet", indent=2)
        _show_entries(terminal, plain(record), 2)
    return DONE


def plain(record: Any) -> Any:
    """Return a record as plain data, what is empty left out."""
    if is_dataclass(record) and not isinstance(record, type):
        items = {key_of(f): getattr(record, f.name) for f in fields(record)}
        kept = {
            k: plain(v) for k, v in items.items() if k != "place" and v not in ("", (), {}, None)
        }
        word = kept.get("word")
        return word if set(kept) & {"p", "present"} and word else kept
    if isinstance(record, tuple):
        return [plain(item) for item in record]
    if isinstance(record, dict):
        return {str(key): plain(item) for key, item in record.items()}
    return str(record) if isinstance(record, str) else record


def _show_entries(terminal: Terminal, data: Any, indent: int) -> None:
    for key, value in data.items():
        if isinstance(value, dict):
            terminal.screen.say(f"{key}:", indent=indent)
            _show_entries(terminal, value, indent + 2)
        elif isinstance(value, list) and any(isinstance(item, dict) for item in value):
            for item in value:
                terminal.screen.say(f"{key}:", indent=indent)
                _show_entries(terminal, item, indent + 2)
        else:
            text = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
            terminal.screen.say(f"{key}: {text}", indent=indent)


def run_graph(args: argparse.Namespace, terminal: Terminal) -> int:
    """Print the causal graph, or the part of it that was asked for."""
    book = book_of(args).book
    only = _part_of_graph(book, args)
    write = as_mermaid if args.form == "mermaid" else as_dot
    terminal.screen.raw(write(book, only))
    return DONE


def _part_of_graph(book: Book, args: argparse.Namespace) -> set[str] | None:
    from headwater.cli.case import find_condition

    if args.around:
        if args.depth < 0:
            raise CaseError(f"--depth {args.depth}: a number of links is 0 or more")
        return around(book, find_condition(book, args.around), args.depth)
    if not args.area:
        return None
    known = areas(book)
    if args.area not in known:
        raise CaseError(f"no folder of the book is '{args.area}'{nearest(args.area, known)}")
    return known[args.area]


def run_new(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write the files of a new chain, and say what to do next."""
    if not args.folder.is_dir():
        raise CaseError("no such folder; name a folder of your pack", Place(str(args.folder)))
    files = chain_files(book_of(args).book, args.folder, args.id, args.path)
    for path in write_new(files):
        print(f"wrote {path}", file=terminal.out)
    terminal.screen.say("Fill in what is empty, then run 'headwater book check' on your pack.")
    return DONE


def run_cover(args: argparse.Namespace, terminal: Terminal) -> int:
    """Run every case beside the chains and print what none of them exercises."""
    book = load_book(list(args.path) or packs_of(args), samples=True)
    report = cover_of(OpenBook(book))
    rows = {
        "conditions no case settles": report.conditions,
        "checks no case answers": report.checks,
        "origins no case names": report.origins,
        "origins no check tells apart": tuple(" = ".join(group) for group in report.alike),
        "checks that tell nothing": report.idle,
        "links on no named chain": tuple(" -> ".join(ends) for ends in report.links),
    }
    if args.json:
        from headwater.cli.case import show_json

        show_json(terminal, {key: list(items) for key, items in rows.items()})
        return DONE if report.clean else HELD
    for name, items in rows.items():
        terminal.screen.say(f"{name}: {len(items)}", "head" if items else "plain")
        for item in items:
            terminal.screen.say(f"- {item}", indent=2)
    terminal.screen.say(f"checks that only hint, and decide nothing by themselves: {report.hints}")
    return DONE if report.clean else HELD


def run_diff(args: argparse.Namespace, terminal: Terminal) -> int:
    """Print in words what changed, and which stored cases come out differently."""
    old, new = load_book([args.old]), load_book([args.new])
    changes = list(book_changes(old, new))
    files = sorted(args.cases.rglob("*.yaml")) if args.cases else []
    changes += case_changes(old, new, files)
    if args.json:
        from headwater.cli.case import show_json

        rows = [{"kind": c.kind, "id": c.id, "change": c.text} for c in changes]
        show_json(terminal, {"changes": rows})
        return DONE
    for change in changes:
        terminal.screen.say(f"{change.kind} {change.id}: {change.text}")
    terminal.screen.say(f"{len(changes)} changes" if changes else "nothing changed in meaning")
    return DONE


def run_schema(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write the schemas of pack, chain, cases and sections files into a folder."""
    if not args.folder.is_dir():
        raise CaseError("no such folder; make it first", Place(str(args.folder)))
    for name, text in book_schemas().items():
        path = args.folder / name
        write_whole(path, text)
        print(f"wrote {path}", file=terminal.out)
    return DONE

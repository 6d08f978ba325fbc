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
from headwater.book.refs import TABLES
from headwater.book.schema import book_schemas
from headwater.book.shape import key_of
from headwater.case.read import CaseError
from headwater.cli.books import book_of, packs_of
from headwater.cli.main import DONE, HELD, Terminal, show_json
from headwater.errors import Place
from headwater.files import write_new, write_whole
from headwater.graph.draw import as_dot, as_mermaid
from headwater.measure.registry import WORKS
from headwater.session.openbook import OpenBook


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
    """Print the causal graph."""
    book = book_of(args).book
    terminal.screen.raw(as_mermaid(book) if args.form == "mermaid" else as_dot(book))
    return DONE


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

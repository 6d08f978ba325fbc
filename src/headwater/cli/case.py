"""Commands on a case: diagnose, trace, demo."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import Any

from headwater.book.problem import nearest
from headwater.book.records import Book, for_family
from headwater.case.read import CaseError, read_case
from headwater.cli.books import book_of, data_folder
from headwater.cli.main import DONE, HELD, Terminal, show_json
from headwater.files import check_target, write_whole
from headwater.graph.causal import Graph, causal_graph, causes_of, chains_between, loops
from headwater.report.contract import contract
from headwater.report.line import Line
from headwater.report.text import account_of, verdict_lines, why_status_lines
from headwater.report.tree import Tree, book_tree, tree_lines
from headwater.report.words import part_title, title
from headwater.session.session import Session, open_session

DEMO_CASE = "ridge-07.yaml"
Loop = tuple[str, ...]


def status_of_case(found: Session) -> int:
    """Return the exit status that a verdict stands for."""
    return DONE if found.fine else HELD


def run_diagnose(args: argparse.Namespace, terminal: Terminal) -> int:
    """Judge a case file once."""
    found = open_session(book_of(args), read_case(args.case))
    if args.why is not None:
        condition = find_condition(found.book, args.why)
        if args.json:
            show_json(terminal, account_of(found, condition))
        else:
            terminal.screen.show(why_status_lines(found, condition))
    elif args.json:
        show_json(terminal, contract(found))
    else:
        terminal.screen.show(verdict_lines(found))
    return status_of_case(found)


def run_demo(args: argparse.Namespace, terminal: Terminal) -> int:
    """Play a shipped case: first what is found alone, then with the measurement that names it."""
    book = book_of(args)
    case = read_case(data_folder() / "examples" / DEMO_CASE)
    if args.json:
        show_json(terminal, contract(open_session(book, case)))
        return DONE
    screen = terminal.screen
    first = type(case)(case=case.case, unit=case.unit, seat=case.seat, findings=case.findings[:1])
    screen.say("A unit of an invented mountain-rescue fleet lies on the bench.", "head")
    screen.say(f"Its driver said: {case.complaint}")
    screen.say()
    screen.say("1. One thing was found: the pads of the range fork are burnt.", "head")
    screen.say("It would be easy to stop here, at the last link of the chain. Headwater does not:")
    screen.say()
    before = open_session(book, first)
    from headwater.report.text import next_lines, standing_lines

    screen.show(standing_lines(before.verdict))
    screen.say()
    screen.show(next_lines(before.verdict, most=3))
    screen.say()
    screen.say("2. The bench measures, and the chain is named.", "head")
    screen.say()
    screen.show(verdict_lines(open_session(book, case)))
    screen.say()
    screen.say("Now try it yourself: headwater bench my-unit.yaml", "head")
    return DONE


def find_condition(book: Book, words: str) -> str:
    """Return the condition that an id or words mean; raises CaseError with the nearest ones."""
    if words in book.conditions:
        return words
    if book.aliases.get(words) in book.conditions:
        return book.aliases[words]
    from headwater.session.search import search_conditions

    hits = search_conditions(book, words)
    if len(hits) == 1:
        return hits[0]
    if hits:
        raise CaseError(f"'{words}' may mean {', '.join(hits[:6])}; name one")
    mend = nearest(words, book.conditions) or "; try other words for it"
    raise CaseError(f"there is no condition '{words}'{mend}")


def run_trace(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show the chains that end in or pass through a condition."""
    book = book_of(args).book
    condition = find_condition(book, args.condition)
    narrowed = for_family(book, {})
    graph = causal_graph(narrowed)
    if args.svg:
        return _draw_trace(args, terminal, book_tree(narrowed, graph, condition))
    around = [loop for loop in loops(graph) if condition in loop]
    if args.json:
        show_json(terminal, _trace_data(book, graph, condition, around))
    else:
        terminal.screen.show(_trace_lines(narrowed, graph, condition, around))
    return DONE


def _draw_trace(args: argparse.Namespace, terminal: Terminal, tree: Tree) -> int:
    from headwater.report.look import MARK
    from headwater.report.svg import svg_file

    check_target(args.svg, MARK, args.force)
    write_whole(args.svg, svg_file(tree, tree.heading))
    terminal.screen.raw(f"Drawn: {args.svg}")
    return DONE


def _trace_data(book: Book, graph: Graph, condition: str, around: list[Loop]) -> dict[str, Any]:
    origins = [c for c in causes_of(graph, condition) if c in book.origins]
    chains = [
        path for origin in sorted(origins) for path in chains_between(graph, origin, condition, 4)
    ]
    return {
        "condition": condition,
        "title": title(book, condition),
        "chains": [list(path) for path in chains],
        "effects": [effect for cause, effect in book.links if cause == condition],
        "loops": [list(loop) for loop in around],
    }


def _trace_lines(book: Book, graph: Graph, condition: str, around: list[Loop]) -> Iterator[Line]:
    record = book.conditions[condition]
    where = f" ({part_title(book, str(record.part))})" if record.part else ""
    yield Line(f"{record.title}{where}", "head")
    if record.looks:
        yield Line(record.looks, indent=2)
    tree = book_tree(book, graph, condition)
    origins = sum(node.origin for node in tree.root.walk())
    yield Line()
    yield Line(f"What it may come from: {origins} origins, each by its likeliest way", "head")
    yield from tree_lines(tree)
    yield Line()
    yield Line("What it may lead to", "head")
    follow = [effect for cause, effect in book.links if cause == condition]
    for effect in follow:
        link = book.links[condition, effect]
        yield Line(f"- {title(book, effect)} ({link.often.word}): {link.how}", indent=2)
    if not follow:
        yield Line("nothing in the book", indent=2)
    for loop in around:
        yield Line()
        yield Line("It is part of a loop, which some origin must enter:", "head")
        yield Line("; ".join(title(book, c) for c in loop), indent=2)

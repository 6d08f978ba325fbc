"""The commands that look after the book."""

from __future__ import annotations

from pathlib import Path

from headwater.cli.arguments import Commands, add_book_options, add_json, add_paper_file


def add_book(commands: Commands) -> None:
    """Add `book` with its actions."""
    book = commands.add_parser("book", help="look after the knowledge: check, show, graph")
    inner = book.add_subparsers(dest="book_command", metavar="ACTION", required=True)

    check = inner.add_parser("check", help="print every problem of the book")
    check.add_argument("path", nargs="*", type=Path, metavar="PATH", help="pack folders")
    check.add_argument("--cases", action="store_true", help="run the cases beside the chains too")
    add_json(check)
    add_book_options(check)
    check.set_defaults(run="book:run_check")

    show = inner.add_parser("show", help="show one record of the book, or list a kind of them")
    show.add_argument(
        "id",
        metavar="ID",
        help="a condition, check, part, chain, limit ...; 'checks', 'parts' ... lists their ids",
    )
    add_json(show)
    add_book_options(show)
    show.set_defaults(run="book:run_show")

    read = inner.add_parser("read", help="set a part of the book out to be read on paper")
    read.add_argument("part", metavar="PACK", help="a pack, or a folder of one")
    add_paper_file(read)
    add_book_options(read)
    read.set_defaults(run="book:run_read")

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
    graph.set_defaults(run="book:run_graph")

    schema = inner.add_parser("schema", help="write the JSON Schemas for editors and programs")
    schema.add_argument("folder", type=Path, metavar="FOLDER", help="where they go")
    schema.add_argument(
        "--outputs",
        action="store_true",
        help="those of case, price list, plan file and every --json instead",
    )
    schema.set_defaults(run="book:run_schema")

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
    new.set_defaults(run="book:run_new")

    cover = inner.add_parser("cover", help="what no case exercises and no check tells apart")
    cover.add_argument("path", nargs="*", type=Path, metavar="PATH", help="pack folders")
    cover.add_argument(
        "--told",
        nargs="+",
        type=Path,
        metavar="CASE",
        help="instead: what was told in these cases and is placed nowhere",
    )
    add_json(cover)
    add_book_options(cover)
    cover.set_defaults(run="book:run_cover")

    diff = inner.add_parser(
        "diff", help="what changed between two states of a pack, or with a pack of --shop"
    )
    diff.add_argument("old", nargs="?", type=Path, metavar="OLD", help="pack folder before")
    diff.add_argument("new", nargs="?", type=Path, metavar="NEW", help="pack folder after")
    diff.add_argument("--cases", type=Path, metavar="FOLDER", help="stored cases to judge by both")
    add_json(diff)
    add_book_options(diff)
    diff.set_defaults(run="book:run_diff")

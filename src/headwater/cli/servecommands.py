"""The commands of the pages, and of the people who see them: their words and options."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from headwater.cli.arguments import Commands, add_book_options, add_letterhead_file


def add_serve(commands: Commands) -> None:
    """Add `serve`."""
    serve = commands.add_parser(
        "serve",
        help="the same cases as pages in a browser",
        description="Serves pages to this machine alone, by a link that works once. With "
        "--network to other devices, for people with a role and a password ('people add').",
    )
    serve.add_argument(
        "folder",
        nargs="?",
        type=Path,
        metavar="FOLDER",
        help="case files; without it the ledger, or else the files of this folder",
    )
    serve.add_argument(
        "--port", type=_port, default=8620, metavar="N", help="port (8620); 0 takes any free one"
    )
    serve.add_argument(
        "--prices", type=Path, metavar="FILE", help="the shop's price list, or its folder of them"
    )
    add_letterhead_file(serve)
    serve.add_argument(
        "--progress",
        type=Path,
        metavar="FILE",
        help="the class list, which takes what lessons earn",
    )
    serve.add_argument("--network", action="store_true", help="to other devices too")
    serve.add_argument("--cert", type=Path, metavar="FILE", help="certificate (PEM), for TLS")
    serve.add_argument("--key", type=Path, metavar="FILE", help="its private key (PEM)")
    serve.add_argument(
        "--insecure-lan", action="store_true", help="without TLS: anybody on the network can listen"
    )
    serve.add_argument(
        "--host",
        action="append",
        metavar="NAME",
        help="a name or address by which others reach this machine; may be said again",
    )
    _add_people_file(serve)
    add_book_options(serve)
    serve.set_defaults(run="serve:run_serve", who="")


def add_people(commands: Commands) -> None:
    """Add `people` with its actions."""
    people = commands.add_parser("people", help="who may use the pages over a network")
    actions = people.add_subparsers(dest="action", metavar="ACTION", required=True)
    add = actions.add_parser("add", help="add a person; the password is asked, or read as a line")
    add.add_argument("--role", required=True, choices=ROLES, help="what the person does")
    password = actions.add_parser("password", help="give a person a new password")
    remove = actions.add_parser("remove", help="take a person out; their visits end")
    for action, name in ((add, "add"), (password, "password"), (remove, "remove")):
        action.add_argument("name", metavar="NAME", help="the person")
        action.set_defaults(run=f"people:run_{name}")
    every = actions.add_parser("list", help="list the people and their roles")
    every.set_defaults(run="people:run_list")
    for action in (add, password, remove, every):
        _add_people_file(action)


ROLES = ("counter", "bench", "foreman", "trainer", "apprentice")
"""The roles of `web.visits`, which is not imported only to be listed."""


def _add_people_file(parser: Any) -> None:
    parser.add_argument(
        "--people", type=Path, metavar="FILE", help="the file of people (in the user's data)"
    )


def _port(text: str) -> int:
    if not text.isdecimal() or int(text[:6]) > 65535:
        raise argparse.ArgumentTypeError("a port is a whole number from 0 to 65535")
    return int(text)

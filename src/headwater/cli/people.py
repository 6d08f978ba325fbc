"""The command `people`: who may use the pages over a network, and as what."""

from __future__ import annotations

import argparse
import getpass
import os

from headwater import outputs
from headwater.cli.main import DONE, Terminal
from headwater.errors import HeadwaterError
from headwater.web.extra import needs_web

with needs_web():
    from headwater.web.people import People, people_file
    from headwater.web.visits import Role


def run_add(args: argparse.Namespace, terminal: Terminal) -> int:
    """Add a person."""
    people = _people(args)
    people.path.parent.mkdir(parents=True, exist_ok=True)
    people.add(args.name, Role(args.role), _password(terminal))
    return _list(people, terminal)


def run_password(args: argparse.Namespace, terminal: Terminal) -> int:
    """Give a person a new password."""
    people = _people(args)
    people.change(args.name, _password(terminal))
    return _list(people, terminal)


def run_remove(args: argparse.Namespace, terminal: Terminal) -> int:
    """Take a person out."""
    people = _people(args)
    people.remove(args.name)
    return _list(people, terminal)


def run_list(args: argparse.Namespace, terminal: Terminal) -> int:
    """List the people and their roles."""
    return _list(_people(args), terminal)


def _people(args: argparse.Namespace) -> People:
    return People(people_file(os.environ, args.people))


def _list(people: People, terminal: Terminal) -> int:
    from headwater.view.staff import Staff

    rows = tuple((one.name, one.role.value) for one in people.every().values())
    terminal.screen.show(outputs.lines("people", Staff(str(people.path), rows)))
    return DONE


def _password(terminal: Terminal) -> str:
    """Return a password: typed twice unseen at a terminal, or the next line of the input."""
    if not terminal.stdin.isatty():
        return terminal.stdin.readline().rstrip("\r\n")
    first = getpass.getpass("Password: ")
    if getpass.getpass("Once more: ") != first:
        raise HeadwaterError("the two are not the same; nothing was changed")
    return first

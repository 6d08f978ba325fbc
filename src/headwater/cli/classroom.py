"""The trainer's commands: the class list, what is assigned, and exercises on paper."""

from __future__ import annotations

import argparse
import os
import random
from dataclasses import replace
from pathlib import Path

from headwater import outputs
from headwater.book.cache import cache_folder
from headwater.book.records import Book
from headwater.cli.chosen import book_of, case_of, form_of, target_of
from headwater.cli.main import DONE, Terminal
from headwater.cli.show import say, show
from headwater.drill.classlist import Assigned, ClassList
from headwater.drill.exercise import Wish
from headwater.drill.progress import Apprentice, Task, open_progress, read_progress
from headwater.drill.run import DrillError
from headwater.drill.shelf import shelf_for
from headwater.drill.walk import chain_of_case, find_chain
from headwater.errors import Place
from headwater.render.look import MARK
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session

SEEDS = 1_000_000


def run_list(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show the class, or some of it."""
    book, people = book_of(args).book, _people(args.progress)
    if not people:
        mend = "'headwater class assign --who NAME' with this file begins one"
        raise DrillError(f"there is no class here yet; {mend}", Place(str(args.progress)))
    names = args.who or sorted(people)
    show(terminal, args, "class-list", ClassList(book, _chosen(people, names, args.progress)))
    return DONE


def _people(path: Path) -> dict[str, Apprentice]:
    return read_progress(path) if os.path.lexists(path) else {}


def _chosen(people: dict[str, Apprentice], names: list[str], path: Path) -> dict[str, Apprentice]:
    """Return the apprentices of some names. Raises DrillError that says who there is."""
    for name in names:
        if name not in people:
            known = ", ".join(sorted(people)) or "nobody yet"
            raise DrillError(f"there is no '{name}' in it; there is: {known}", Place(str(path)))
    return {name: people[name] for name in names}


def run_assign(args: argparse.Namespace, terminal: Terminal) -> int:
    """Set a task for one apprentice, some, or all; who is new joins the class by it."""
    opened = book_of(args)
    task = Task(level=args.level or 1, chain=_chain(args, opened, terminal))
    people = _people(args.progress)
    names = args.who or sorted(people)
    if not names:
        raise DrillError("nobody is in it yet; name somebody with --who", Place(str(args.progress)))
    for name in names:
        progress = open_progress(args.progress, name)
        progress.keep(replace(progress.record, assigned=(*progress.record.assigned, task)))
    show(terminal, args, "class-assigned", Assigned(task, tuple(names)))
    return DONE


def _chain(args: argparse.Namespace, opened: OpenBook, terminal: Terminal) -> str:
    """Return the chain that is asked for: by words, or that of a case; empty for any."""
    if args.case:
        return chain_of_case(open_session(opened, case_of(args.case, terminal)), args.case)
    return str(find_chain(opened.book, args.chain).chain) if args.chain else ""


def run_sheet(args: argparse.Namespace, terminal: Terminal) -> int:
    """Print an exercise, or the answers to it."""
    form = form_of(args) if args.out else ""
    target = target_of(args, args.out, MARK) if args.out else None
    opened = book_of(args)
    book: Book = opened.book
    near = (str(find_chain(book, args.chain).chain),) if args.chain else ()
    if args.answers and args.seed is None:
        raise DrillError("which exercise? name the number on its sheet, with --seed N")
    seed = random.SystemRandom().randrange(SEEDS) if args.seed is None else args.seed
    wish = Wish(args.level or 1, seed, near, chosen=bool(near))
    exercise = shelf_for(cache_folder(os.environ), book).exercise(opened, wish)
    name = "answer-sheet" if args.answers else "exercise-sheet"
    if target:
        target.write(outputs.paper_file(name, exercise, form))
        terminal.screen.raw(f"Written: {args.out}")
    else:
        say(terminal.screen, name, exercise)
    return DONE

"""Lessons on a chain at a terminal: it is walked with a class, or explained back."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import UTC, datetime

from headwater import outputs
from headwater.book.model import Chain
from headwater.book.records import Book
from headwater.cli.chosen import book_of, case_of, target_of
from headwater.cli.main import DONE, Terminal
from headwater.cli.prompt import EndOfInput, Prompt
from headwater.cli.show import say, show, status_of
from headwater.drill.order import Explained, make_puzzle
from headwater.drill.progress import Progress, open_progress
from headwater.drill.run import DrillError
from headwater.drill.truth import family_for
from headwater.drill.walk import (
    Stop,
    Walk,
    case_stops,
    chain_stops,
    chain_title,
    chains_fitting,
    find_chain,
)
from headwater.errors import Place
from headwater.files import Destination, WriteError
from headwater.render.look import MARK
from headwater.session.session import open_session

QUIT = "quit"


def lesson_prompt(args: argparse.Namespace, terminal: Terminal) -> Prompt:
    """Return what asks in a lesson."""
    # With --json the result alone goes to the output; the talk goes to the other stream.
    screen = terminal.side if args.json else terminal.screen
    return Prompt(screen, terminal.stdin, args.answers)


def ask_line(prompt: Prompt, mark: str = "> ") -> str:
    """Return the next line. Raises EndOfInput where it is 'quit'."""
    typed = prompt.ask(mark)
    if typed.lower() == QUIT:
        raise EndOfInput("stopped")
    return typed


def progress_of(args: argparse.Namespace) -> Progress:
    """Return the progress of whoever takes the lesson. Raises DrillError."""
    if bool(args.progress) != bool(args.who):
        raise DrillError("--who NAME and --progress FILE go together; give both or neither")
    return open_progress(args.progress, args.who)


def run_walk(args: argparse.Namespace, terminal: Terminal) -> int:
    """Step along a chain or a case."""
    target = _page_of(args)
    book, prompt = book_of(args), lesson_prompt(args, terminal)
    status = DONE
    if args.case:
        found = open_session(book, case_of(args.case, terminal))
        stops, status = case_stops(found), status_of(found)
    else:
        chain = _chosen_chain(book.book, args.chain, prompt)
        stops = chain_stops(book.compiled(family_for(book.book, chain)), chain)
    if target:
        target.write(outputs.steps_text("walk-steps", Walk(tuple(stops))))
        prompt.screen.raw(f"Written, to be projected: {args.out}")
    elif args.json:
        show(terminal, args, "walk", Walk(tuple(stops)))
    else:
        _step(stops, prompt)
    return status


def _page_of(args: argparse.Namespace) -> Destination | None:
    """Return the page that is asked for, if one is. Raises WriteError."""
    if args.out and args.out.suffix.lower() not in (".html", ".htm"):
        raise WriteError("a walk is projected as a page; end it in .html", Place(str(args.out)))
    return target_of(args, args.out, MARK) if args.out else None


def _chosen_chain(book: Book, words: str, prompt: Prompt) -> Chain:
    """Return the chain that words mean, by its number where they fit several."""
    found = chains_fitting(book, words)
    if len(found) == 1:
        return found[0]
    prompt.screen.say(f"'{words}' fits several; which one?", "head")
    for number, chain in enumerate(found, 1):
        prompt.screen.say(f"{number}  {chain_title(book, chain)}", indent=2, hang=3)
    try:
        return find_chain(book, _ask_one([str(chain.chain) for chain in found], prompt))
    except EndOfInput:
        return find_chain(book, words)


def _step(stops: Sequence[Stop], prompt: Prompt) -> None:
    """Show the stops one by one; when the input ends, the rest is shown without waiting."""
    waiting: bool | None = True
    for number, stop in enumerate(stops, 1):
        prompt.screen.say()
        prompt.screen.say(f"Stop {number} of {len(stops)}", "quiet")
        say(prompt.screen, "stop-shown", stop)
        waiting = waiting and wait_for_enter(prompt)
        if waiting is None:
            return
        say(prompt.screen, "stop-told", stop)
        waiting = waiting and number < len(stops) and wait_for_enter(prompt)
        if waiting is None:
            return


def wait_for_enter(prompt: Prompt) -> bool | None:
    """Wait for Enter. Return whether to wait on: not at the end of the input; None for 'quit'."""
    try:
        typed = prompt.ask("[Enter] ")
    except EndOfInput:
        return False
    return None if typed.lower() == QUIT else True


def run_order(args: argparse.Namespace, terminal: Terminal) -> int:
    """Have a chain explained back."""
    open_book = book_of(args)
    book = open_book.book
    progress = progress_of(args)
    prompt = lesson_prompt(args, terminal)
    screen = prompt.screen
    chain = _chosen_chain(book, args.chain, prompt)
    puzzle = make_puzzle(open_book.compiled(family_for(book, chain)), chain, args.seed)
    screen.say("Put these in order, from what was noticed back to where it began.", "head")
    for number, cid in enumerate(puzzle.shuffled, 1):
        screen.say(f"{number}  {book.conditions[cid].title}", indent=2, hang=3)
    ordered = _ask_order(puzzle.shuffled, prompt)[::-1]
    picked = []
    for question in puzzle.questions:
        screen.say()
        screen.say(
            f"Which check would show it: {book.conditions[question.condition].title}?", "head"
        )
        for number, cid in enumerate(question.checks, 1):
            screen.say(f"{number}  {book.checks[cid].ask}", indent=2, hang=3)
        picked.append(_ask_one(question.checks, prompt))
    told = Explained(book, str(chain.chain), puzzle, tuple(ordered), tuple(picked))
    record = progress.record.after_order(str(chain.chain), missed=not told.marks.full)
    progress.keep(record.after_reviews(told.ratings, datetime.now(UTC)))
    screen.say()
    show(terminal, args, "explained", told)
    return DONE


def _ask_order(shown: Sequence[str], prompt: Prompt) -> list[str]:
    wanted = [str(number) for number in range(1, len(shown) + 1)]
    while True:
        typed = ask_line(prompt).replace(",", " ").split()
        if sorted(typed) == sorted(wanted):
            return [shown[int(number) - 1] for number in typed]
        prompt.screen.say(f"Each number from 1 to {len(shown)} once, such as: {' '.join(wanted)}")


def _ask_one(offered: Sequence[str], prompt: Prompt) -> str:
    while True:
        picked = picked_of(ask_line(prompt), offered)
        if picked:
            return picked
        prompt.screen.say(f"A number from 1 to {len(offered)}.")


def picked_of(typed: str, offered: Sequence[str]) -> str | None:
    """Return what was offered under a number; None for anything else."""
    if typed.isdecimal() and len(typed) < 4 and 1 <= int(typed) <= len(offered):
        return offered[int(typed) - 1]
    return None

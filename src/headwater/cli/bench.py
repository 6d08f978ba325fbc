"""The commands `bench` and `hoist`: guided questions over a unit, torn down or in its vehicle."""

from __future__ import annotations

import argparse

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, GONE, Seat
from headwater.case.read import CaseError, read_case
from headwater.case.store import CaseWriter, new_case_text
from headwater.cli.books import book_of
from headwater.cli.case import find_condition, status_of_case
from headwater.cli.main import Terminal, show_json
from headwater.cli.prompt import Prompt
from headwater.cli.question import show_live, show_question, show_why
from headwater.cli.seat import WORDS, ask_family, kept, now, parse_family, pick
from headwater.errors import HeadwaterError
from headwater.measure.answer import RawAnswer, asked_inputs
from headwater.report.contract import contract
from headwater.report.text import (
    finding_lines,
    standing_lines,
    verdict_lines,
    why_status_lines,
)
from headwater.session.ask import Purpose
from headwater.session.session import Session, open_session

HELP = """\
Answer with the number or the word of an answer, or with a reading and its unit
(0.045 in, 1.14 mm). A finding nobody asked for: its check, a colon, the answer.
?              don't know
x              cannot check it now
gone           cannot be seen any more
back           take the last answer back
later          put this question off
why            why this is asked, and what each answer would do
why CONDITION  why something is confirmed, ruled out or only suspected
find WORDS     say something you found
list           what was found so far
state          chains, parts and plan as they stand
done, quit     stop here with the verdict; all is saved"""


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Hold the session; every answer is on disk before the next question."""
    book = book_of(args)
    # With --json the result alone goes to the output; the talk goes to the other stream.
    screen = terminal.side if args.json else terminal.screen
    prompt = Prompt(screen, terminal.stdin, args.answers)
    new = not args.case.exists()
    seat = Seat(args.seat)
    with kept(args.case, args.seat):
        writer = _new_case(args, book.book, prompt) if new else CaseWriter(args.case)
        with writer:
            case = read_case(args.case)
            session = open_session(book, case, seat, writer, now)
            _greet(session, prompt, new)
            _ask_all(session, prompt)
            screen.say()
            if args.json:
                show_json(terminal, contract(session))
            else:
                screen.show(verdict_lines(session))
            screen.say()
            again = f"headwater {args.seat} {args.case}"
            screen.say(f"Saved in {args.case}. Go on with: {again}", "quiet")
            status = status_of_case(session)
    return status


def _new_case(args: argparse.Namespace, book: Book, prompt: Prompt) -> CaseWriter:
    family = parse_family(book, args.family) if args.family else ask_family(book, prompt)
    text = new_case_text(args.case.stem, book, family, Seat(args.seat), args.complaint)
    if args.closed:
        text = text.replace("findings:\n", "  removed: []\nfindings:\n")
    return CaseWriter.create(args.case, text)


def _greet(session: Session, prompt: Prompt, new: bool) -> None:
    screen = prompt.screen
    screen.say()
    screen.say(f"Case {session.case.case}. {'New' if new else 'Going on'}.", "head")
    if session.stale:
        screen.say("The book has changed since the case was made; it is judged anew.", "bad")
    screen.say("'help' lists what you can type. Each answer is saved at once.", "quiet")
    if session.findings:
        screen.show(finding_lines(session))
        return
    screen.say()
    screen.say("What was found or complained of first? A few words, or Enter to be asked.", "head")
    words = prompt.ask()
    if words in ("quit", "done"):
        return
    if words:
        _volunteer(session, prompt, words)


def _ask_all(session: Session, prompt: Prompt) -> None:
    """Ask until the verdict stands, or the person has had enough."""
    put_off: set[str] = set()
    swept = False
    while True:
        asked = [item for item in session.next() if item.check not in put_off]
        if not asked and put_off:
            put_off.clear()
            continue
        if not asked:
            prompt.screen.say()
            prompt.screen.say("The verdict can no longer change at this seat.", "head")
            return
        item = asked[0]
        if item.purpose is Purpose.SWEEP and not swept:
            swept = True
            prompt.screen.say()
            prompt.screen.say("Every finding is explained.", "good")
            prompt.screen.say("A few quick looks for fellow origins, while it is apart:")
        check = session.check(item.check)
        move = _ask(session, prompt, check)
        if move == "end":
            return
        if move == "later":
            put_off.add(check.id)


def _ask(session: Session, prompt: Prompt, check: Check) -> str:
    """Put one question until it is answered. Returns 'answered', 'later' or 'end'."""
    screen = prompt.screen
    show_question(screen, session, check)
    while True:
        typed = prompt.ask()
        command, _, rest = typed.partition(" ")
        command = command.lower()
        if command in ("quit", "done", "end"):
            return "end"
        if command == "later":
            return "later"
        if command == "help":
            for line in HELP.splitlines():
                screen.console.print(line)
        elif command == "why" and rest:
            _why(session, prompt, rest)
        elif command == "why":
            show_why(screen, session, check)
        elif command == "list":
            screen.show(finding_lines(session))
        elif command == "state":
            screen.show(standing_lines(session.verdict))
        elif command == "back":
            return _back(session, prompt)
        elif command == "find":
            return _volunteer(session, prompt, rest)
        elif ":" in typed and typed.partition(":")[0].strip() in session.book.checks:
            name, _, value = typed.partition(":")
            if _take(session, prompt, session.check(name.strip()), value.strip()):
                return "answered"
        elif typed and _take(session, prompt, check, typed):
            return "answered"
        elif not typed:
            screen.say("An answer, please; '?' if you do not know, 'help' for more.")


def _why(session: Session, prompt: Prompt, words: str) -> None:
    try:
        condition = find_condition(session.book, words)
    except CaseError as error:
        prompt.screen.say(error.message)
        return
    prompt.screen.show(why_status_lines(session, condition))


def _back(session: Session, prompt: Prompt) -> str:
    check = session.back()
    if check is None:
        prompt.screen.say("There is nothing to take back.")
        return "answered"
    prompt.screen.say(f"Taken back: {check.ask} Answer it again.")
    return _ask(session, prompt, check)


def _volunteer(session: Session, prompt: Prompt, words: str) -> str:
    screen = prompt.screen
    hits = session.find(words) if words else []
    if not hits:
        screen.say("No check fits these words; try others, or answer the questions.")
        return "answered"
    screen.say("Which is it? The number; Enter if none.")
    for number, cid in enumerate(hits, 1):
        screen.say(f"{number}  {session.check(cid).ask}", indent=2)
    while True:
        typed = prompt.ask()
        if not typed:
            return "answered"
        picked = pick(typed, hits)
        if picked:
            return _ask(session, prompt, session.check(picked))
        screen.say(f"'{typed}' is not one of 1 to {len(hits)}; Enter if none fits.")


def _take(session: Session, prompt: Prompt, check: Check, typed: str) -> bool:
    """Take an answer; a wrong one costs one line and loses nothing."""
    held_before = set(session.verdict.held)
    try:
        session.answer(check.id, _given(prompt, check, typed))
    except HeadwaterError as error:
        if isinstance(error, CaseError):
            raise
        prompt.screen.say(error.message, "bad")
        return False
    show_live(prompt.screen, session, check, held_before)
    return True


def _given(prompt: Prompt, check: Check, typed: str) -> RawAnswer:
    """Return what was typed as an answer; bench arithmetic is asked for input by input."""
    word = WORDS.get(typed.lower(), typed)
    answers = [str(a) for a in check.answers]
    if check.reading is None:
        return pick(word.lower(), answers) or word
    inputs = asked_inputs(check)
    if len(inputs) < 2 or word in (*answers, DONT_KNOW, CANNOT_CHECK, GONE):
        return word
    if word.lower() != "measure":
        return word
    return {name: prompt.ask(f"{name}: ") for name in inputs}

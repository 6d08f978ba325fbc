"""The command `bench`: guided questions over a torn-down unit."""

from __future__ import annotations

import argparse
from datetime import datetime
from pathlib import Path
from typing import Any

from headwater.book.load import Book, for_family
from headwater.book.model import Check
from headwater.book.problem import nearest
from headwater.book.tables import Seat
from headwater.case.load import CaseError, read_case
from headwater.case.store import CaseWriter, new_case_text
from headwater.cli.books import book_of
from headwater.cli.case import show_json, status_of_case
from headwater.cli.main import Terminal
from headwater.cli.options import add_book_options, add_json
from headwater.cli.prompt import EndOfInput, Prompt
from headwater.cli.question import show_live, show_question, show_why
from headwater.errors import HeadwaterError, Place
from headwater.measure.answer import CANNOT_CHECK, DONT_KNOW, GONE, Given, asked_inputs
from headwater.report.contract import contract
from headwater.report.text import finding_lines, standing_lines, verdict_lines
from headwater.session.ask import Purpose
from headwater.session.inquiry import Inquiry, open_inquiry

HELP = """\
Answer with the number or the word of an answer, or with a reading and its unit (0.045 in, 1.14 mm).
?          don't know                 x          cannot check it now
gone       cannot be seen any more    why        why this is asked, what each answer would do
back       take the last answer back  list       what was found so far
find WORDS say something you found    state      chains, parts and plan as they stand
later      put this question off      done       end with the verdict
quit       stop here; all is saved    help       this list"""

WORDS = {
    "?": DONT_KNOW,
    "don't know": DONT_KNOW,
    "dont know": DONT_KNOW,
    "not sure": DONT_KNOW,
    "x": CANNOT_CHECK,
    "cannot check": CANNOT_CHECK,
    "can't check": CANNOT_CHECK,
    "gone": GONE,
}


def add_commands(commands: Any) -> None:
    """Add the command."""
    bench = commands.add_parser(
        "bench",
        help="guided questions over a torn-down unit",
        description="Asks one question at a time, most telling first, and names the origin.",
    )
    bench.add_argument("case", type=Path, metavar="CASE", help="case file; a new one is made")
    bench.add_argument("--answers", type=Path, metavar="FILE", help="take answers from a file")
    bench.add_argument(
        "--family", default="", metavar="A=B,C=D", help="what the unit is: housing=magnesium,..."
    )
    bench.add_argument("--closed", action="store_true", help="the unit is not taken apart yet")
    bench.add_argument("--complaint", default="", metavar="TEXT", help="the customer's words")
    add_json(bench)
    add_book_options(bench)
    bench.set_defaults(run=run)


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Hold the session; every answer is on disk before the next question."""
    book = book_of(args)
    # With --json the result alone goes to the output; the talk goes to the other stream.
    screen = terminal.side if args.json else terminal.screen
    prompt = Prompt(screen, terminal.stdin, args.answers)
    new = not args.case.exists()
    try:
        writer = _new_case(args, book, prompt) if new else CaseWriter(args.case)
        with writer:
            case = read_case(args.case)
            inquiry = open_inquiry(book, case, writer, clock=_now, seat=Seat.BENCH)
            _greet(inquiry, prompt, new)
            _session(inquiry, prompt)
            screen.say()
            if args.json:
                show_json(terminal, contract(inquiry.replay))
            else:
                screen.show(verdict_lines(inquiry.replay))
            screen.say()
            screen.say(f"Saved in {args.case}. Go on with: headwater bench {args.case}", "quiet")
            return status_of_case(inquiry.replay)
    except (EndOfInput, KeyboardInterrupt) as stop:
        why = stop.message if isinstance(stop, EndOfInput) else "stopped"
        saved = f"all answers are saved in {args.case}; go on with 'headwater bench {args.case}'"
        if not args.case.exists():
            saved = "nothing was answered yet"
        raise EndOfInput(f"{why}; {saved}") from None


def _now() -> str:
    return datetime.now().astimezone().isoformat(timespec="seconds")


def _new_case(args: argparse.Namespace, book: Book, prompt: Prompt) -> CaseWriter:
    family = parse_family(book, args.family) if args.family else _ask_family(book, prompt)
    text = new_case_text(args.case.stem, book, family, Seat.BENCH, args.complaint)
    if args.closed:
        text = text.replace("findings:\n", "  removed: []\nfindings:\n")
    return CaseWriter.create(args.case, text)


def parse_family(book: Book, text: str) -> dict[str, str]:
    """Return the family written as `housing=magnesium,drive=chain`."""
    family: dict[str, str] = {}
    for pair in filter(None, (p.strip() for p in text.split(","))):
        name, mark, value = (s.strip() for s in pair.partition("="))
        if not mark:
            raise CaseError(f"'{pair}' must be written attribute=value", Place("--family"))
        if name not in book.attributes:
            mend = nearest(name, book.attributes) or f"; known: {', '.join(book.attributes)}"
            raise CaseError(f"there is no attribute '{name}'{mend}", Place("--family"))
        values = book.attributes[name].values
        if value not in values:
            mend = nearest(value, values) or f"; it is one of {', '.join(values)}"
            raise CaseError(f"'{name}' cannot be '{value}'{mend}", Place("--family"))
        family[name] = value
    return family


def _ask_family(book: Book, prompt: Prompt) -> dict[str, str]:
    screen = prompt.screen
    screen.say("What is the unit? Answer by number; Enter if you do not know, 'skip' to skip all.")
    family: dict[str, str] = {}
    asked = for_family(book, book.assumed).attributes
    for name, attribute in asked.items():
        if attribute.assume:
            continue
        screen.say()
        screen.say(attribute.ask, "head")
        values = list(attribute.values)
        for number, value in enumerate(values, 1):
            screen.say(f"{number}  {attribute.values[value]}", indent=2)
        while True:
            typed = prompt.ask().lower()
            if typed == "skip":
                return family
            if typed in ("", "?"):
                break
            picked = _pick(typed, values)
            if picked:
                family[name] = picked
                break
            screen.say(f"'{typed}' is not one of 1 to {len(values)}; Enter if you do not know.")
    return family


def _pick(typed: str, values: list[str]) -> str | None:
    if typed.isdigit() and 1 <= int(typed) <= len(values):
        return values[int(typed) - 1]
    return typed if typed in values else None


def _greet(inquiry: Inquiry, prompt: Prompt, new: bool) -> None:
    screen = prompt.screen
    screen.say()
    screen.say(f"Case {inquiry.case.case}. {'New' if new else 'Going on'}.", "head")
    if inquiry.replay.stale:
        screen.say("The book has changed since the case was made; it is judged anew.", "bad")
    screen.say("'help' lists what you can type. Each answer is saved at once.", "quiet")
    if inquiry.findings:
        screen.show(finding_lines(inquiry.replay))
        return
    screen.say()
    screen.say("What was found or complained of first? A few words, or Enter to be asked.", "head")
    words = prompt.ask()
    if words in ("quit", "done"):
        return
    if words:
        _volunteer(inquiry, prompt, words)


def _session(inquiry: Inquiry, prompt: Prompt) -> None:
    """Ask until the verdict stands, or the person has had enough."""
    put_off: set[str] = set()
    swept = False
    while True:
        asked = [item for item in inquiry.next() if item.check not in put_off]
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
        check = inquiry.check(item.check)
        move = _ask(inquiry, prompt, check)
        if move == "end":
            return
        if move == "later":
            put_off.add(check.id)


def _ask(inquiry: Inquiry, prompt: Prompt, check: Check) -> str:
    """Put one question until it is answered. Returns 'answered', 'later' or 'end'."""
    screen = prompt.screen
    show_question(screen, inquiry, check)
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
        elif command == "why":
            show_why(screen, inquiry, check)
        elif command == "list":
            screen.show(finding_lines(inquiry.replay))
        elif command == "state":
            screen.show(standing_lines(inquiry.assessment))
        elif command == "back":
            return _back(inquiry, prompt)
        elif command == "find":
            return _volunteer(inquiry, prompt, rest)
        elif ":" in typed and typed.partition(":")[0].strip() in inquiry.reasoner.book.checks:
            name, _, value = typed.partition(":")
            if _take(inquiry, prompt, inquiry.check(name.strip()), value.strip()):
                return "answered"
        elif typed and _take(inquiry, prompt, check, typed):
            return "answered"
        elif not typed:
            screen.say("An answer, please; '?' if you do not know, 'help' for more.")


def _back(inquiry: Inquiry, prompt: Prompt) -> str:
    check = inquiry.take_back()
    if check is None:
        prompt.screen.say("There is nothing to take back.")
        return "answered"
    prompt.screen.say(f"Taken back: {check.ask} Answer it again.")
    return _ask(inquiry, prompt, check)


def _volunteer(inquiry: Inquiry, prompt: Prompt, words: str) -> str:
    screen = prompt.screen
    hits = inquiry.find(words) if words else []
    if not hits:
        screen.say("No check fits these words; try others, or answer the questions.")
        return "answered"
    screen.say("Which is it? The number; Enter if none.")
    for number, cid in enumerate(hits, 1):
        screen.say(f"{number}  {inquiry.check(cid).ask}", indent=2)
    while True:
        typed = prompt.ask()
        if not typed:
            return "answered"
        picked = _pick(typed, hits)
        if picked:
            return _ask(inquiry, prompt, inquiry.check(picked))
        screen.say(f"'{typed}' is not one of 1 to {len(hits)}; Enter if none fits.")


def _take(inquiry: Inquiry, prompt: Prompt, check: Check, typed: str) -> bool:
    """Take an answer; a wrong one costs one line and loses nothing."""
    held_before = set(inquiry.assessment.held)
    try:
        inquiry.answer(check, _given(prompt, check, typed))
    except HeadwaterError as error:
        if isinstance(error, CaseError):
            raise
        prompt.screen.say(error.message, "bad")
        return False
    show_live(prompt.screen, inquiry, check, held_before)
    return True


def _given(prompt: Prompt, check: Check, typed: str) -> Given:
    """Return what was typed as an answer; bench arithmetic is asked for input by input."""
    word = WORDS.get(typed.lower(), typed)
    answers = [str(a) for a in check.answers]
    if check.reading is None:
        return _pick(word.lower(), answers) or word
    inputs = asked_inputs(check)
    if len(inputs) < 2 or word in (*answers, DONT_KNOW, CANNOT_CHECK, GONE):
        return word
    if word.lower() != "measure":
        return word
    return {name: prompt.ask(f"{name}: ") for name in inputs}

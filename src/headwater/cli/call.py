"""The command `call`: triage on the phone, for support staff who are not technicians."""

from __future__ import annotations

import argparse
import time

from headwater import outputs
from headwater.book.model import Check
from headwater.book.tables import DONT_KNOW, Seat
from headwater.case.read import read_case
from headwater.case.store import CaseWriter, new_case_text
from headwater.cli.chosen import book_of
from headwater.cli.main import Terminal
from headwater.cli.prompt import Prompt
from headwater.cli.seat import ask_earlier, kept, name_earlier, now, parse_family, pick
from headwater.cli.show import say, show, status_of
from headwater.files import check_target, write_whole
from headwater.session.call import Call
from headwater.session.openbook import OpenBook
from headwater.session.pricelist import read_prices
from headwater.session.search import is_vague, search_complaints
from headwater.session.session import open_session
from headwater.session.triage import opening
from headwater.view.call import Ringing, Wanted

HELP = """\
Read the question aloud and type what the caller says: yes, no, not sure, a number with its unit,
or their own words. Or:
wants PART   they want just a part: what to tell them     also WORDS   a further complaint
later        they cannot look now                         list         what was said so far
back         take the last answer back                    why          why this is asked
done         end with the call sheet                      help         this list"""
KINDS = "Is it a noise, a leak or a smell, a shift that fails, a shake, or a lamp? What is it like?"
MOST_SHOWN = 6
SHEET_HEAD = "# Call sheet"
"""How a call sheet begins that may be written over."""


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Hold the call; every answer is on disk before the next question."""

    book = book_of(args)
    if args.sheet:
        check_target(args.sheet, SHEET_HEAD, args.force)
    prices = read_prices(args.prices, book.book) if args.prices else None
    # With --json the sheet alone goes to the output; the talk goes to the other stream.
    screen = terminal.side if args.json else terminal.screen
    prompt = Prompt(screen, terminal.stdin, args.answers)
    with kept(args.case, "call"):
        new = not args.case.exists()
        with _new_case(args, book, prompt) if new else CaseWriter(args.case) as writer:
            name_earlier(writer, args.case, args.earlier)
            session = open_session(book, read_case(args.case), Seat.CALL, writer, now)
            desk = Desk(Call(session, time.monotonic), prompt)
            ringing = Ringing(desk.call, desk.hold(), prices)
    screen.say()
    if args.sheet:
        write_whole(args.sheet, outputs.markdown_text("call-sheet", ringing))
    show(terminal, args, "call-sheet", ringing)
    screen.say()
    if args.sheet:
        screen.say(f"The call sheet is in {args.sheet}.", "quiet")
    screen.say(f"Saved in {args.case}. The shop goes on with: headwater hoist {args.case}", "quiet")
    return status_of(session)


def _new_case(args: argparse.Namespace, book: OpenBook, prompt: Prompt) -> CaseWriter:

    family = parse_family(book.book, args.family) if args.family else {}
    complaint = args.complaint
    while not complaint:
        prompt.screen.say("What is wrong? Type the caller's own words.", "head")
        complaint = prompt.ask()
    text = new_case_text(args.case.stem, book.book, family, Seat.CALL, complaint)
    return CaseWriter.create(args.case, text)


class Desk:
    """The person at the phone: puts questions, takes words, shows where the call stands."""

    def __init__(self, call: Call, prompt: Prompt) -> None:
        """Work a call through a prompt."""
        self.call, self.session = call, call.session
        self.prompt, self.screen = prompt, prompt.screen

    def hold(self) -> str:
        """Hold the call, or go on with it; return why it ended."""
        case = self.session.case
        if self.session.findings:
            words = f"Going on with the call {case.case}. 'help' lists what to type."
            self.screen.say(words, "head")
            say(self.screen, "found", self.session)
            return self.ask_all()
        self.screen.say("'help' lists what to type. Each answer is saved at once.", "quiet")
        ask_earlier(self.session, self.prompt)
        return "Ended by you." if self.open(case.complaint) == "end" else self.ask_all()

    def open(self, words: str) -> str:
        """Find the complaints that the caller's words mean, and take them down."""

        book, said = self.session.book, words
        hits = search_complaints(book, said)
        if (is_vague(said) and "nois" not in said and "sound" not in said) or not hits:
            self.screen.say(KINDS, "head")
            said = self.prompt.ask()
            hits = search_complaints(book, said) if said else []
        while hits:
            shown = hits if is_vague(said) else hits[:MOST_SHOWN]
            self.screen.say("Which is it? Read them out. Type the numbers; Enter if none.", "head")
            for number, cid in enumerate(shown, 1):
                record = book.conditions[cid]
                self.screen.say(f"{number}  {record.plain or record.title}", indent=2, hang=3)
            typed = self.prompt.ask()
            if typed in ("done", "quit"):
                return "end"
            picked = [pick(word, shown) for word in typed.replace(",", " ").split()]
            if typed and all(picked):
                moves = [self._take_down(cid, words, said) for cid in picked if cid]
                return "end" if "end" in moves else ""
            if not typed:
                break
            said = typed
            hits = search_complaints(book, typed) or hits
        self.screen.say("Then a few general questions.")
        return ""

    def _take_down(self, complaint: str, words: str, said: str) -> str:
        """Record a complaint that the caller told unasked; ask where their words leave it open."""

        found = opening(self.session.book, complaint, f"{words} {said}")
        if found is None:
            return ""
        check, answer = found
        if answer is None:
            return self.ask(check)
        self.session.answer(check.id, answer, words)
        return ""

    def ask_all(self) -> str:
        """Ask until the call should end; return why it did."""
        while True:
            item = self.call.next()
            if item is None:
                return self.call.over()
            if self.ask(self.session.check(item.check)) == "end":
                return "Ended by you."

    def ask(self, check: Check) -> str:
        """Put one question until it is answered. Returns 'answered' or 'end'."""
        self.show(check)
        vague = False
        while True:
            typed = self.prompt.ask()
            command, _, rest = typed.partition(" ")
            command = command.lower()
            if command in ("done", "quit") and not rest:
                return "end"
            if command == "also" and rest:
                return self.open(rest) or "answered"
            if command == "back" and not rest:
                return self._back()
            if command == "later" and not rest:
                self.call.put_off(check.id)
                return "answered"
            if self._told(command, rest, check):
                continue
            if not typed:
                self.screen.say("Type what the caller says; '?' if they do not know.")
            elif self._hear(check, typed, vague):
                return "answered"
            else:
                vague = True

    def _told(self, command: str, rest: str, check: Check) -> bool:
        """Show what a command asks for; False where the words are no such command."""

        if command == "help" and not rest:
            for line in HELP.splitlines():
                self.screen.say(line)
        elif command == "wants" and rest:
            say(self.screen, "not-yet", Wanted(self.call, rest))
        elif command == "list" and not rest:
            say(self.screen, "found", self.session)
        elif command == "why" and not rest:
            means = check.means or "It tells the causes apart that are still open."
            self.screen.say(means, indent=2)
        else:
            return False
        return True

    def show(self, check: Check) -> None:
        """Print where the call stands, then the question with its answers."""

        self.screen.say()
        self.screen.say("-" * min(self.screen.width, 78), "quiet")
        say(self.screen, "standing", Wanted(self.call, current=check))
        self.screen.say()
        say(self.screen, "spoken", Wanted(self.call, current=check))

    def _hear(self, check: Check, typed: str, again: bool) -> bool:
        """Take what was said; False where it is vague and the follow-up was put."""

        heard = self.call.hear(check.id, typed)
        if heard.answer is not None:
            self.session.answer(check.id, heard.answer, heard.note)
            return True
        if again:
            self.screen.say("Taken down as 'not sure', in their words.", "quiet")
            self.session.answer(check.id, DONT_KNOW, heard.note)
            return True
        if heard.because:
            self.screen.say(heard.because, "bad")
        say(self.screen, "follow-up", Wanted(self.call, current=check))
        return False

    def _back(self) -> str:
        check = self.session.back()
        if check is None:
            self.screen.say("There is nothing to take back.")
            return "answered"
        self.screen.say(f"Taken back: {check.say or check.ask}")
        return self.ask(check)

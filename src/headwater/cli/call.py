"""The command `call`: triage on the phone, for support staff who are not technicians."""

from __future__ import annotations

import argparse
import time

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import DONT_KNOW, Seat
from headwater.case.read import read_case
from headwater.case.store import CaseWriter, new_case_text
from headwater.cli.books import book_of
from headwater.cli.case import status_of_case
from headwater.cli.main import Terminal, show_json
from headwater.cli.prompt import Prompt
from headwater.cli.seat import kept, now, parse_family, pick
from headwater.files import check_target, write_whole
from headwater.report.call_sheet import (
    LABEL,
    make_sheet,
    not_yet_words,
    sheet_data,
    sheet_lines,
    sheet_markdown,
    standing_block,
)
from headwater.report.text import Line, finding_lines
from headwater.session.call import Call
from headwater.session.hear import read_out
from headwater.session.search import is_vague, search_complaints
from headwater.session.session import open_session
from headwater.session.triage import MOST_QUESTIONS, opening, part_meant
from headwater.verdict.prices import read_prices

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
        with _new_case(args, book.book, prompt) if new else CaseWriter(args.case) as writer:
            case = read_case(args.case)
            session = open_session(book, case, Seat.CALL, writer, now)
            desk = Desk(Call(session, time.monotonic), prompt)
            if session.findings:
                screen.say(
                    f"Going on with the call {case.case}. 'help' lists what to type.", "head"
                )
                screen.show(finding_lines(session))
                ended = desk.ask_all()
            else:
                screen.say("'help' lists what to type. Each answer is saved at once.", "quiet")
                ended = "Ended by you." if desk.open(case.complaint) == "end" else desk.ask_all()
            sheet = make_sheet(session, ended, desk.call.minutes, desk.call.notes, prices)
            status = status_of_case(session)
    screen.say()
    screen.show(sheet_lines(sheet))
    screen.say()
    if args.sheet:
        write_whole(args.sheet, sheet_markdown(sheet))
        screen.say(f"The call sheet is in {args.sheet}.", "quiet")
    screen.say(f"Saved in {args.case}. The shop goes on with: headwater hoist {args.case}", "quiet")
    if args.json:
        show_json(terminal, sheet_data(sheet))
    return status


def _new_case(args: argparse.Namespace, book: Book, prompt: Prompt) -> CaseWriter:
    family = parse_family(book, args.family) if args.family else {}
    complaint = args.complaint
    while not complaint:
        prompt.screen.say("What is wrong? Type the caller's own words.", "head")
        complaint = prompt.ask()
    text = new_case_text(args.case.stem, book, family, Seat.CALL, complaint)
    return CaseWriter.create(args.case, text)


class Desk:
    """The person at the phone: puts questions, takes words, shows where the call stands."""

    def __init__(self, call: Call, prompt: Prompt) -> None:
        """Work a call through a prompt."""
        self.call = call
        self.session = call.session
        self.prompt = prompt
        self.screen = prompt.screen

    def open(self, words: str) -> str:
        """Find the complaints that the caller's words mean, and take them down."""
        book = self.session.book
        said = words
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
                self.screen.line(
                    Line(f"{number}  {record.plain or record.title}", indent=2, hang=3)
                )
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
            check = self.session.check(item.check)
            if self.ask(check) == "end":
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
            if command == "help" and not rest:
                for line in HELP.splitlines():
                    self.screen.say(line)
            elif command == "wants" and rest:
                self.screen.say(f'Say: "{self.wants(rest)}"')
            elif command == "also" and rest:
                return self.open(rest) or "answered"
            elif command == "list" and not rest:
                self.screen.show(finding_lines(self.session))
            elif command == "why" and not rest:
                self.screen.say(
                    check.means or "It tells the causes apart that are still open.", indent=2
                )
            elif command == "back" and not rest:
                return self._back()
            elif command == "later" and not rest:
                self.call.put_off(check.id)
                return "answered"
            elif not typed:
                self.screen.say("Type what the caller says; '?' if they do not know.")
            elif self._hear(check, typed, vague):
                return "answered"
            else:
                vague = True

    def show(self, check: Check) -> None:
        """Print where the call stands, then the question with its answers."""
        self.screen.say()
        self.screen.say("-" * min(self.screen.width, 78), "quiet")
        self.screen.show(standing_block(self.session.verdict, check))
        self.screen.say()
        number = min(self.call.asked + 1, MOST_QUESTIONS)
        question = f"{number} of {MOST_QUESTIONS}   {check.say or check.ask}"
        self.screen.line(Line(question, "head", hang=LABEL))
        if check.reading:
            limit = self.session.book.limits[check.reading.limit]
            self.screen.say(f"a number with its unit ({limit.unit}), or 'not sure'", indent=LABEL)
            return
        answers = [f"{n} {words}" for n, words in enumerate(read_out(check), 1)]
        self.screen.line(Line("; ".join(answers), indent=LABEL, hang=0))

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
        if check.reading:
            self.screen.say("Ask: about how much, as a number with its unit?", "head")
        else:
            self.screen.say(f"Ask: which is nearest: {'; or '.join(read_out(check))}?", "head")
        return False

    def wants(self, words: str) -> str:
        """Return what to tell a caller who wants just a part."""
        assessment = self.session.verdict
        part = part_meant(assessment, words)
        if part is None:
            return "Please do not buy anything yet: the shop has not seen where it begins."
        return not_yet_words(assessment, part)

    def _back(self) -> str:
        check = self.session.back()
        if check is None:
            self.screen.say("There is nothing to take back.")
            return "answered"
        self.screen.say(f"Taken back: {check.say or check.ask}")
        return self.ask(check)

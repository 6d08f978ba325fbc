"""The command `call`: triage on the phone, for support staff who are not technicians."""

from __future__ import annotations

import argparse
import time
from datetime import date

from headwater import outputs
from headwater.book.model import Check
from headwater.book.tables import DONT_KNOW, Seat
from headwater.case.casestore import CaseStore
from headwater.case.store import Say, new_case_text
from headwater.caseplace import CasePlace, case_place, check_earlier
from headwater.cli.aside import strike, takes_as_same
from headwater.cli.chosen import book_of, target_of
from headwater.cli.intake import STOPS, ask_for_meaning, listen
from headwater.cli.main import Terminal
from headwater.cli.prompt import Prompt
from headwater.cli.seat import (
    add_family,
    ask_earlier,
    kept,
    now,
    parse_family,
)
from headwater.cli.show import say, show, status_of
from headwater.hearing.answers import Heard, special_answer
from headwater.hearing.search import tells_nothing
from headwater.session.again import has_heard, keep_told
from headwater.session.call import Call
from headwater.session.intake import ALARM
from headwater.session.openbook import OpenBook
from headwater.session.pricelist import prices_on
from headwater.session.session import open_session
from headwater.view.call import Ringing
from headwater.view.spoken import ReadBack, Wanted

HELP = """\
Read the question aloud and type what the caller says: yes, no, not sure,
a number with its unit, or their own words. Or:
danger WORDS   a sign of danger: what to do now comes first
also WORDS     a further complaint
wants PART     they want just a part: what to tell them
strike WORDS: REASON   leave aside what was told and not placed; the
               advice stays on the safe side
same           what was not understood adds nothing to what was
               taken down
later          they cannot look now
back           take the last answer back
list           what was said so far
why            why this is asked
done           end with the call sheet
help           this list"""
KINDS = "Is it a noise, a leak or a smell, a shift that fails, a shake, or a lamp? What is it like?"
YES_TO_WHAT = "Enter takes it as it is read back; otherwise the number of the answer."
SHEET_HEAD = "# Call sheet"
"""How a call sheet begins that may be written over."""


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Hold the call; every answer is on disk before the next question."""

    book = book_of(args)
    place = case_place(args.case)
    check_earlier(place, args.earlier)
    sheet = target_of(args, args.sheet, SHEET_HEAD) if args.sheet else None
    prices = prices_on(args.prices, book.book, date.today()) if args.prices else None
    # With --json the sheet alone goes to the output; the talk goes to the other stream.
    screen = terminal.side if args.json else terminal.screen
    prompt = Prompt(screen, terminal.stdin, args.answers)
    with kept(place, "call"):
        say, new = terminal.complain, place.is_new()
        with _new_case(args, place, book, prompt, say) if new else place.open(say) as writer:
            place.name_earlier(writer, args.earlier)
            session = open_session(book, writer.case(), Seat.CALL, writer, now)
            add_family(session, args.family)
            desk = Desk(Call(session, time.monotonic), prompt)
            ringing = Ringing(desk.call, desk.hold(), prices)
    screen.say()
    if sheet:
        sheet.write(outputs.markdown_text("call-sheet", ringing))
    show(terminal, args, "call-sheet", ringing)
    screen.say()
    if args.sheet:
        screen.say(f"The call sheet is in {args.sheet}.", "quiet")
    screen.say(
        f"Saved in {place.where}. The shop goes on with: headwater hoist {args.case}", "quiet"
    )
    return status_of(session)


def _new_case(
    args: argparse.Namespace, place: CasePlace, book: OpenBook, prompt: Prompt, say: Say
) -> CaseStore:

    place.check()
    family = parse_family(book.book, args.family) if args.family else {}
    complaint = args.complaint
    while not complaint:
        prompt.screen.say("What is wrong? Type the caller's own words.", "head")
        complaint = prompt.ask()
        if complaint.lower() in ("help", "?"):
            prompt.screen.raw(HELP)
            complaint = ""
    name, colon, _ = complaint.partition(":")
    if colon and name.strip() in book.book.checks:
        prompt.keep(complaint)  # an answer to a check is no complaint
        complaint = ""
    text = new_case_text(place.stem, book.book, family, Seat.CALL, complaint)
    return place.create(text, say)


class Desk:
    """The person at the phone: puts questions, takes words, shows where the call stands."""

    def __init__(self, call: Call, prompt: Prompt) -> None:
        """Work a call through a prompt."""
        self.call, self.session = call, call.session
        self.prompt, self.screen = prompt, prompt.screen
        self._unclear: tuple[str, ...] = ()

    def hold(self) -> str:
        """Hold the call, or go on with it; return why it ended."""
        case, going_on = self.session.case, self.call.was_asked
        if case.findings:
            words = f"Going on with the call {case.case}. 'help' lists what to type."
            self.screen.say(words, "head")
            say(self.screen, "found", self.session)
            left = [words for words in case.not_placed if words in case.told]
            broken_off = bool(left) and not self.call.asked
            if broken_off:  # before anybody said what is meant: it is listened to once more
                moved = self.open(*left)
            else:
                moved = self._ring_again() if self.call.finished else ""
        else:
            self.screen.say("'help' lists what to type. Each answer is saved at once.", "quiet")
            moved = self.open(case.complaint or self._first_words())
        if moved == "end":
            return "Ended by you."
        if going_on:
            return self.ask_all()
        if self._ask_what_was_before() == "end":
            return "Ended by you."
        say(self.screen, "to-read-out", Wanted(self.call))
        return self.ask_all() if self._clear_words() else "Ended by you."

    def _ask_what_was_before(self) -> str:
        """Ask what was done before, also where the call was broken off; 'end' where it ends."""
        if self.call.in_danger or self.call.elsewhere:
            return ""
        more = ask_earlier(self.session, self.prompt)
        before = self.session.case.before
        if before and self.call.tells_of_trouble("", before.told):
            more = before.told
        moved = self.open(more) if more else ""
        self.call.take_history()
        return moved

    def _clear_words(self) -> bool:
        """Ask once what is in the words not understood; False where the call is ended here."""
        if self.call.in_danger:
            return True
        more = ask_for_meaning(self.session, self.prompt, self._command)
        if has_heard(self.session):  # before that nobody could say that it adds nothing
            self._unclear = self.session.case.not_placed
        return not more or self.open(more) != "end"

    def _ring_again(self) -> str:
        """Hear what is new before any question; returns 'end' where the call is ended here."""
        say(self.screen, "advice", Wanted(self.call))
        self.screen.say("This call was finished. What is new? Enter if nothing.", "head")
        while (words := self.prompt.ask()) and (self._command(words) or words.lower() == "back"):
            if words.lower() == "back":
                self._back()
        if words and self.open(words) == "end":
            return "end"
        return ""

    def _first_words(self) -> str:
        """Take answers to checks that are named, until the caller's words come."""
        while self._command(typed := self.prompt.ask()):
            self.screen.say("And what is wrong, in the caller's own words?", "head")
        return typed

    def open(self, words: str, *more: str) -> str:
        """Take the caller's words down; returns 'end' where the call is ended here."""
        if words.lower() in STOPS:
            return "end"
        if not more and tells_nothing(words) and not self.session.understand(words).emergency:
            self.screen.say(KINDS, "head")
            plainer = self.prompt.ask_if_any()
            self.session.tell(words, () if plainer else (words,))
            words = plainer
        ask = listen(self.session, self.prompt, [words, *more], self._command) if words else {}
        if ask is None:
            return "end"
        if self.call.in_danger:
            keep_told(self.session, ask)  # there is no time to ask it, and it was said
            return ""
        moves = [self.ask(self.session.check(check)) for check in ask]
        keep_told(self.session, ask)
        return "end" if "end" in moves else ""

    def _open_more(self, words: str) -> str:
        """Take what is told beside a question; what is not understood is asked for at once."""
        if self.open(words) == "end":
            return "end"
        more = has_heard(self.session) and self._unclear != self.session.case.not_placed
        return "answered" if not more or self._clear_words() else "end"

    def _command(self, typed: str) -> bool:
        """Do what a line asks for, a command or an answer to a named check; False if it is none."""
        command, _, rest = typed.partition(" ")
        if self._told("help" if typed == "?" else command.lower(), rest, None):
            return True
        name, colon, value = typed.partition(":")
        if colon and name.strip() in self.session.book.checks:
            heard = self.call.hear(name.strip(), value.strip())
            if heard.answer is None:
                self.screen.say(heard.because or f"'{value.strip()}' is no answer to it.", "bad")
            else:
                self.session.answer(name.strip(), heard.answer, heard.note)
            return True
        return False

    def ask_all(self) -> str:
        """Ask until the call should end; return why it did."""
        while True:
            item = self.call.next()
            if item is None:
                return self._last_words()
            if self.ask(self.session.check(item.check)) == "end":
                return "Ended by you."

    def _last_words(self) -> str:
        """Ask what is in words that came later, then return why the call is over."""
        done = self.call.in_danger or self.call.elsewhere
        if done or self._unclear == self.session.case.not_placed:
            return self.call.over()
        return self.ask_all() if self._clear_words() else "Ended by you."

    def ask(self, check: Check) -> str:
        """Put one question until it is answered. Returns 'answered' or 'end'."""
        self.show(check)
        waits: Heard | None = None
        while True:
            typed = self.prompt.ask()
            command, _, rest = typed.partition(" ")
            command = command.lower()
            if command in ("done", "quit") and not rest:
                return "end"
            if command in ("also", "find") and rest:
                return self._open_more(rest)
            if command == ALARM and rest:
                return self._open_more(typed)
            if command == "back" and not rest:
                return self._back()
            if command == "later" and not rest and check.answer(command) is None:
                self.call.put_off(check.id)
                return "answered"
            if self._told(command, rest, check) or self._takes_as_same(check, typed):
                continue
            read_back = waits is not None and waits.read_back
            if waits and read_back and not typed:
                self.call.take_down(check.id, waits.agreed)
                return "answered"
            if not typed:
                self.screen.say("Type what the caller says; '?' if they do not know.")
            elif waits and read_back and _is_bare(typed) and not _is_bare(waits.note):
                self.screen.say(YES_TO_WHAT)
            elif self.call.tells_of_trouble(check.id, typed):
                self.call.take_if_sure(check.id, typed)
                return self._open_more(typed)
            elif not (waits := self._hear(check, typed, waits)):
                return "answered"

    def _told(self, command: str, rest: str, check: Check | None) -> bool:
        """Show what a command asks for; False where the words are no such command."""

        if command == "help" and not rest:
            for line in HELP.splitlines():
                self.screen.say(line)
        elif command == "wants" and rest:
            self.call.want(rest)
            say(self.screen, "not-yet", Wanted(self.call, rest))
        elif command == "list" and not rest:
            say(self.screen, "found", self.session)
        elif command == "strike" and rest:
            strike(self.session, self.screen, rest)
        elif command == "why" and not rest and check:
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

    def _hear(self, check: Check, typed: str, waits: Heard | None) -> Heard | None:
        """Take what was said; return what waits where it is vague or read back."""

        heard = self.call.take(check.id, typed, waits)
        if heard is None:
            vague = waits and not special_answer(typed.lower())
            given = self.session.answers.get(check.id)
            if vague and given is not None and given.special == DONT_KNOW:
                self.screen.say("Taken down as 'not sure', in their words.", "quiet")
            return None
        if heard.because:
            self.screen.say(heard.because, "bad")
        if heard.read_back:
            say(self.screen, "read-back", ReadBack(check, heard))
        else:
            say(self.screen, "follow-up", Wanted(self.call, current=check))
        return heard

    def _takes_as_same(self, check: Check, typed: str) -> bool:
        """Take words not placed to add nothing; False where the line answers the question."""
        return self.call.hear(check.id, typed).answer is None and takes_as_same(
            self.session, self.screen, typed
        )

    def _back(self) -> str:
        check = self.session.back()
        if check is None:
            self.screen.say("There is nothing to take back.")
            return "answered"
        self.screen.say(f"Taken back: {check.say or check.ask}")
        return self.ask(check)


def _is_bare(typed: str) -> bool:
    """Say whether a line is a yes or a no and nothing more."""
    return typed.lower().strip(" .!") in ("yes", "y", "no", "n")

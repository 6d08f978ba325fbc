"""What every guided seat shares: opening a case, the family, picking by number, saving."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime

from headwater.book.records import Book
from headwater.case.model import Case
from headwater.case.read import CaseError
from headwater.caseplace import CasePlace
from headwater.cli.prompt import EndOfInput, Prompt
from headwater.cli.show import say
from headwater.errors import Place
from headwater.hearing.answers import special_answer
from headwater.hearing.reading import telling
from headwater.session.before import is_unknown, says_of_none, take_earlier
from headwater.session.earlier import tells_of_work
from headwater.session.openbook import checked_family
from headwater.session.session import Session
from headwater.session.unit import attributes_that_matter


def now() -> str:
    """Return the time, as it stands in a case file."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


@contextmanager
def kept(place: CasePlace, command: str) -> Iterator[None]:
    """Turn the end of the input, or a stop from the keyboard, into a line on what is kept.

    A case that could not be saved is refused before the first question.
    """

    place.check_folder()
    new = place.is_new()
    try:
        yield
    except (EndOfInput, KeyboardInterrupt) as stop:
        why = stop.message if isinstance(stop, EndOfInput) else "stopped"
        if new and place.is_there() and _says_nothing(place.read()):
            place.drop()
        again = f"go on with 'headwater {command} {place.name}'"
        saved = f"all answers are saved in {place.where}; {again}"
        if not place.is_there():
            saved = "nothing was answered yet"
        raise EndOfInput(f"{why}; {saved}") from None
    finally:
        place.close()


def _says_nothing(case: Case) -> bool:
    """Say whether nobody has said anything in a case yet: there is nothing to keep."""
    return not (case.findings or case.complaint or case.earlier or case.before or case.done)


def ask_earlier(session: Session, prompt: Prompt) -> str:
    """Ask in one question whether the unit was worked on before; whoever goes on at once may.

    Returns words that tell of something else: they are to be heard as what was said before.
    """

    if not is_unknown(session):
        return ""
    screen = prompt.screen
    screen.say()
    ask = "Was it here, or worked on, before? How long or how far ago, and what was done?"
    screen.say(ask, "head")
    screen.say("Enter if not, or if nobody knows.", "quiet")
    typed = prompt.ask()
    if not (tells_of_work(typed) or says_of_none(typed)) and _goes_on(session, typed):
        prompt.keep(typed)
        return ""
    more = take_earlier(session, typed)
    if session.case.before:
        say(screen, "earlier", session)
    return more


def _goes_on(session: Session, typed: str) -> bool:
    """Say whether a line is no words, but a number, a command, or an answer to a named check."""
    name, colon, _ = typed.partition(":")
    named = bool(colon) and name.strip() in session.book.checks
    head, *rest = typed.lower().split()
    return named or typed.isdecimal() or head in (COMMANDS if rest else (*BETWEEN, *ALONE))


def pick(typed: str, values: list[str]) -> str | None:
    """Return the value that a number or the word itself means."""
    if typed.isdecimal() and len(typed) < 4 and 1 <= int(typed) <= len(values):
        return values[int(typed) - 1]
    return typed if typed in values else None


def parse_family(book: Book, text: str) -> dict[str, str]:
    """Return the family written as `housing=magnesium,drive=chain`."""

    family: dict[str, str] = {}
    place = Place("--family")
    for pair in filter(None, (p.strip() for p in text.split(","))):
        name, mark, value = (s.strip() for s in pair.partition("="))
        if not mark:
            raise CaseError(f"'{pair}' must be written attribute=value", place)
        family[name] = value
    return checked_family(book, family, place)


def add_family(session: Session, text: str) -> None:
    """Take what the command line says of the unit into a case that says something else, or nothing.

    Raises CaseError where an answer that was given does not apply to such a unit.
    """
    family = parse_family(session.open_book.book, text)
    more = {name: value for name, value in family.items() if session.case.family.get(name) != value}
    if more:
        session.describe(more)


def ask_family(session: Session, prompt: Prompt, skipped: set[str]) -> None:
    """Ask what the unit is, as far as it matters to what is asked next and is not known.

    What nobody knows is `skipped`, and not asked again, nor is anything after 'skip'; whoever types
    something else goes on.
    """
    wanted = [name for name in attributes_that_matter(session) if name not in skipped]
    broken_off = ask_unit(session, prompt, wanted)
    if broken_off.lower() == SKIP:
        skipped.update(session.open_book.book.attributes)
    elif broken_off.partition(" ")[0].lower() not in BETWEEN:
        skipped.update(wanted)


def ask_unit(session: Session, prompt: Prompt, names: Iterable[str]) -> str:
    """Ask for some attributes of the unit; return what was typed instead, if anything was."""
    found: dict[str, str] = {}
    instead = ""
    try:
        for name in names:
            picked, instead = _ask_attribute(session, prompt, name)
            if instead:
                break
            if picked:
                found[name] = picked
    finally:  # also where the input ends between two of them: what was told stays
        _describe(session, prompt, found)
    return instead


def _describe(session: Session, prompt: Prompt, found: dict[str, str]) -> None:
    try:
        if found:
            session.describe(found)
    except CaseError as error:
        prompt.screen.say(f"{error.message}: left open.", "bad")


BETWEEN = ("find", "also", "back", "strike", "list", "state", "why", "help")
"""What may be typed between two questions about the unit, which are then put all the same."""
COMMANDS = (*BETWEEN, "wants", "danger")
"""Words that begin a command with something behind it."""
SKIP = "skip"
ALONE = ("?", "x", "later", SKIP, "more", "done", "quit", "end")
"""Commands that stand alone."""


def _ask_attribute(session: Session, prompt: Prompt, name: str) -> tuple[str, str]:
    """Return a value, or nothing where nobody knows it; and what was typed instead, if anything.

    That, a command or an answer to a named check, is given back to the prompt. Other words are
    none: they would answer whatever is asked next.
    """
    screen, attribute = prompt.screen, session.book.attributes[name]
    values = list(attribute.values)
    screen.say()
    screen.say(attribute.ask, "head")
    for number, value in enumerate(values, 1):
        screen.say(f"{number}  {attribute.values[value]}", indent=2)
    screen.say("It matters to what is asked next. Enter if you do not know; 'skip' asks no more.")
    while True:
        typed = prompt.ask()
        picked = pick(typed.lower(), values) or _named_value(attribute.values, typed)
        if picked or typed == "" or special_answer(typed):
            return picked or "", ""
        if typed.lower() == SKIP:
            return "", typed
        if not typed.isdecimal() and _goes_on(session, typed):
            prompt.keep(typed)
            return "", typed
        screen.say(f"'{typed}' is not one of 1 to {len(values)}; Enter if you do not know.")
        if not typed.isdecimal():
            screen.say("'find' before words tells of something else.", "quiet")


def _named_value(values: Mapping[str, str], typed: str) -> str | None:
    """Return the one value that has every telling word that was typed."""
    said = set(telling(typed))
    named = [value for value, text in values.items() if said <= set(telling(f"{value} {text}"))]
    return named[0] if said and len(named) == 1 else None

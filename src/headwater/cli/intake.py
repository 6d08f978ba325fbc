"""Words at a prompt of any seat: what was understood is shown, ticked off, and taken down."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from headwater.cli.aside import takes_as_same
from headwater.cli.prompt import EndOfInput, Prompt
from headwater.cli.show import say
from headwater.hearing.answers import special_answer
from headwater.session.again import has_heard
from headwater.session.intake import NOBODY_KNOWS, NONE_OF_IT, Intake
from headwater.session.listed import numbers_of
from headwater.session.session import Session
from headwater.session.unit import other_units, unit_title

Command = Callable[[str], bool]
"""What shows something that a line asks for; False where the line is no command."""

TAKE = "Enter takes what is ticked; a number ticks or drops; more words add to it."
CHOOSE = "A number, or several, if it is among them; Enter if not; or say it in other words."
AGAIN = (
    "Nothing of this is in the book. Other words for it - a noise, a leak or a smell, a shift that"
    " fails, a shake, a lamp? Enter to go on; it is kept as told."
)
NO_NUMBER = "There is no list to choose from here: say it in words, or Enter to go on."
NOT_AMONG = "'{}' is not among 1 to {}."
GO_ON = "Enter goes on; more words add to it."
TAKEN_BACK = "Taken back: nothing of it is kept. Say it again, or Enter to go on."
MISFIT = "Kept as told only, for a unit that is built as was said cannot have it: {}."
TAKEN_FOR = (
    "Taken to be: {}. If it is not, 'quit' and go on with '--family unit=...': one of {}"
    " (both: the whole vehicle)."
)
TAKEN = "Taken to be: {}."
STOPS = ("quit", "done", "end")
ANY_OF_IT = "Does any of it tell what is wrong? Enter if not; else in other words."
ANY_MORE = (
    "Does any of it tell what is wrong? Say it in other words; 'same' if it adds nothing to what"
    " was taken down; Enter leaves it aside, and the advice stays on the safe side."
)


def listen(
    session: Session, prompt: Prompt, said: Iterable[str], command: Command
) -> dict[str, str] | None:
    """Take sentences down with what the person confirms; return the checks to be asked, with words.

    None where the person stops here; what was ticked is taken down all the same. Where the input
    ends before anything is confirmed, every word is kept as told and not placed.
    """
    intake = Intake(session)
    unit = unit_title(session)
    for words in said:
        intake.hear(words)
    try:
        stopped = not _confirm(intake, prompt, command)
    except (EndOfInput, KeyboardInterrupt):
        intake.leave()
        raise
    ask = intake.take()
    if (taken := unit_title(session)) != unit:
        others = other_units(session)
        prompt.screen.say((TAKEN_FOR if others else TAKEN).format(taken, ", ".join(others)))
    if intake.misfits:
        prompt.screen.say(MISFIT.format("; ".join(intake.misfits)))
    return None if stopped else ask


def _confirm(intake: Intake, prompt: Prompt, command: Command) -> bool:
    """Show what was understood until the person agrees; False where they stop."""
    shown = False
    while True:
        if not shown:
            prompt.screen.say()
            say(prompt.screen, "intake", intake)
            session = intake.session
            session.signs_listed = session.signs_listed or intake.asks_for_danger
            prompt.screen.say(_ask(intake), "quiet")
            shown = True
        typed = prompt.ask()
        if not typed or typed.lower() in STOPS:
            return not typed
        if typed.lower() == "back":
            intake.forget()
            prompt.screen.say(TAKEN_BACK)
            continue
        if says_no(typed) and not intake.takes_any:
            return True
        if (numbers := numbers_of(typed)) and numbers[0] == 0 and intake.alarms:
            signs = len(intake.alarms)
            if max(numbers) > signs:
                prompt.screen.say(NOT_AMONG.format(typed[1:].strip(" ,"), signs))
                continue
            intake.calm(numbers[1:])
            shown = False
            continue
        numbers = _numbers(typed, len(intake.rows))
        if numbers:
            ticked = intake.takes_any
            intake.choose(numbers)
            if not ticked:
                return True
        elif _is_number(typed):
            among = NOT_AMONG.format(typed, len(intake.rows))
            prompt.screen.say(among if intake.rows else NO_NUMBER)
            continue
        elif command(typed):
            continue
        else:
            intake.hear(typed)
        shown = False


def ask_for_meaning(session: Session, prompt: Prompt, command: Command) -> str:
    """Ask once what is in the words that were not understood; return them in other words, or "".

    Small talk keeps no case open and nobody parked, but only somebody who heard it can say that it
    is some.
    """
    while left := session.case.not_placed:
        prompt.screen.say()
        prompt.screen.say(f"Not understood: {'; '.join(left)}.", "head")
        prompt.screen.say(ANY_MORE if has_heard(session) else ANY_OF_IT)
        typed = prompt.ask()
        if says_no(typed):
            session.strike_the_rest(NONE_OF_IT)
        elif takes_as_same(session, prompt.screen, typed):
            continue
        elif special_answer(typed):
            session.strike_the_rest(NOBODY_KNOWS)
        elif _is_number(typed):
            prompt.screen.say(NO_NUMBER)
        elif not command(typed):
            return typed
    return ""


def says_no(typed: str) -> bool:
    """Say whether a line says no more than that there is nothing to add."""
    return typed.lower().strip(" .!,") in ("", "no", "nope", "nah", "none", "nothing")


def _ask(intake: Intake) -> str:
    if intake.takes_any:
        return TAKE
    if intake.rows:
        return CHOOSE
    return GO_ON if intake.emergency or not intake.said else AGAIN


def _is_number(typed: str) -> bool:
    return typed.replace(",", " ").replace(" ", "").isdecimal()


def _numbers(typed: str, most: int) -> list[int]:
    """Return the numbers of a line of nothing but numbers that all name an item; else none."""
    numbers = numbers_of(typed)
    return numbers if all(1 <= number <= most for number in numbers) else []

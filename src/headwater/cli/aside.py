"""What was told and not understood: struck, or taken to add nothing."""

from __future__ import annotations

from headwater.case.read import CaseError
from headwater.cli.console import Screen
from headwater.session.again import has_heard, is_held_back, tells_no_more
from headwater.session.session import Session

SAME = ("same", "s", "the same", "same again", "no more", "nothing more", "said already")
STILL_SAFE = (
    "It may have told of more, so the advice stays on the safe side: 'same' if it only says again"
    " what was taken down."
)
NOTHING_YET = "Nothing amiss is taken down yet that it could say again: say it in other words."
NOTHING_LEFT = "Nothing is left that was not understood."


def strike(session: Session, screen: Screen, typed: str) -> None:
    """Leave aside words that were told and not placed: `WORDS: REASON`."""
    words, _, reason = typed.partition(":")
    try:
        struck = session.strike(words.strip(), reason.strip())
    except CaseError as error:
        screen.say(error.message, "bad")
    else:
        safe = f" {STILL_SAFE}" if is_held_back(session) else ""
        screen.say(f"Left aside: '{struck}'.{safe}")


def takes_as_same(session: Session, screen: Screen, typed: str) -> bool:
    """Take words not placed to tell no more than what was taken down; False for another line."""
    left = (*session.case.not_placed, *session.case.left_aside)
    if not is_same(typed):
        return False
    if not left:
        screen.say(NOTHING_LEFT)
    elif not has_heard(session):
        screen.say(NOTHING_YET)
    else:
        tells_no_more(session)
        screen.say(f"Taken to add nothing: {'; '.join(left)}.")
    return True


def is_same(typed: str) -> bool:
    """Say whether a line says that words add nothing to what was taken down."""
    return typed.lower().strip(" .!'") in SAME

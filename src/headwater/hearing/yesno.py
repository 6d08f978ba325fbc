"""A yes or a no: its forms, and what it comes to where no answer is one."""

from __future__ import annotations

import re

from headwater.book.model import Answer, Check
from headwater.book.tables import Sense

YES = (
    "yes", "yeah", "yep", "yup", "y", "yes it does", "sure does", "it does", "it sure does",
    "always",    "right", "definitely", "absolutely", "of course", "aye", "correct",
)  # fmt: skip
NO = (
    "no", "nope", "nah", "n", "not at all", "it does not", "it doesn't", "never", "not really",
    "don't think so", "dont think so", "i don't think so", "i dont think so", "do not think so",
    "no way", "none", "none at all", "none whatsoever", "nothing like that",
    "nothing of the kind", "not that i noticed", "negative",
)  # fmt: skip
_NOTHING = ("no", "none", "never", "nothing")
_ASKS_WHETHER = re.compile(r"(?:do|does|did|is|are|was|were|has|have|had|can|will)\b", re.I)


def starts(text: str, word: str) -> bool:
    """Say whether a text begins with a word, or is it."""
    return text == word or text.startswith(tuple(word + mark for mark in " ,;.:"))


def by_yes_or_no(check: Check, text: str) -> str | None:
    """Return which answer a yes or no may be, to a question that has no such answer.

    A no is the answer that itself begins with one. Else what is asked for stands first among two;
    among more, no is the one that is sound.
    """
    yes, no = (any(starts(text, form) for form in forms) for forms in (YES, NO))
    if (no and not yes) or text in ("nothing", "no sign of it"):
        denying = [str(word) for word, answer in check.answers.items() if _denies(word, answer)]
        if len(denying) == 1:
            return denying[0]
    if yes == no or not _ASKS_WHETHER.match(check.say or check.ask):
        return None
    answers = list(check.answers)
    if len(answers) == 2:
        return str(answers[0] if yes else answers[1])
    wanted = Sense.BAD if yes else Sense.SOUND
    fit = [word for word in answers if check.answers[word].sense is wanted]
    return str(fit[0]) if len(fit) == 1 else None


def _denies(word: str, answer: Answer) -> bool:
    return not {word, (answer.says or word).split()[0].lower()}.isdisjoint(_NOTHING)

"""What a caller said, as an answer to a check: yes, no, not sure, a reading, or words of their own.

An answer is taken only where the words fit one answer of the check and no other; anything else is
vague, and the caller is asked again with the answers read out. Guessing would be worse than asking.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, SPECIAL
from headwater.errors import HeadwaterError
from headwater.measure.answer import meant, plain, understand
from headwater.session.search import words_of

_YES = ("yes", "yeah", "yep", "yup", "y", "sure does", "it does", "always", "right")
_NO = ("no", "nope", "nah", "n", "not at all", "it does not", "it doesn't", "never")
_UNSURE = (
    "?", "dont know", "don't know", "do not know", "not sure", "unsure", "no idea",
    "can't say", "cannot say", "hard to say", "who knows",
)  # fmt: skip
_CANNOT = (
    "x", "can't look", "cannot look", "can't check", "cannot check", "not at the car", "later",
)  # fmt: skip
_FITS_FROM = 0.34


@dataclass(frozen=True, slots=True)
class Heard:
    """What was understood: the answer to take (None when vague), and their own words.

    `because` says what is wrong with a reading that cannot be taken.
    """

    answer: str | None
    note: str = ""
    because: str = ""


def hear(book: Book, check: Check, said: str) -> Heard:
    """Return the answer of a check that a caller's words mean."""
    text = " ".join(said.lower().strip(" .!").split())
    if special := special_answer(text):
        return Heard(special, "" if text in ("?", "x", *SPECIAL) else said.strip())
    if check.reading:
        return _reading(book, check, said.strip())
    words = list(check.answers)
    if text.isdecimal() and 1 <= int(text) <= len(words):
        return Heard(str(words[int(text) - 1]))
    for candidate, rest in _heads(text):
        answer = _named(check, candidate)
        if answer:
            return Heard(answer, said.strip() if rest else "")
    if answer := _by_words(check, text):
        return Heard(answer, said.strip())
    return Heard(None, said.strip())


def read_out(check: Check) -> list[str]:
    """Return the answers of a check as they are read to a caller."""
    return [answer.says or str(word).replace("-", " ") for word, answer in check.answers.items()]


def special_answer(text: str) -> str | None:
    """Return the special answer that words mean: not known, cannot be checked, gone; else None."""
    said = plain(text)
    if said in SPECIAL:
        return said
    if said in _CANNOT:
        return CANNOT_CHECK
    return DONT_KNOW if any(_starts(said, word) for word in _UNSURE) else None


def _starts(text: str, word: str) -> bool:
    return text == word or text.startswith((word + " ", word + ",", word + ";"))


def _heads(text: str) -> list[tuple[str, bool]]:
    """Return the whole text, then its part before the first comma, then yes or no at its head."""
    heads = [(text, False)]
    head, mark, _ = text.partition(",")
    if mark:
        heads.append((head.strip(), True))
    for word, forms in (("yes", _YES), ("no", _NO)):
        heads += [
            (word, text != form) for form in forms if text == form or text.startswith(form + ",")
        ]
    return heads


def _named(check: Check, word: str) -> str | None:
    """Return the answer called by a word: its key, what it says, or one of its other words."""
    answer = meant(check, word.replace(" ", "-"))
    if answer in check.answers:
        return answer
    answer = meant(check, word)
    if answer in check.answers:
        return answer
    return next((str(key) for key, a in check.answers.items() if a.says.lower() == word), None)


def _by_words(check: Check, text: str) -> str | None:
    """Return the one answer whose words fit best; None when none or two fit."""
    asked = set(words_of(text)) - {"yes", "no"}
    if not asked:
        return None
    told = {"no", "not", "never", "none", "nothing", "n't"}
    negative = bool(told & set(text.replace("'", " '").split()))
    scores = []
    for key, answer in check.answers.items():
        best = 0.0
        for phrase in (answer.says, str(key).replace("-", " "), *answer.said):
            if negative is not bool(told & set(phrase.split())):
                continue
            own = set(words_of(phrase))
            best = max(best, len(asked & own) / len(own) if own else 0.0)
        scores.append((best, str(key)))
    scores.sort(reverse=True)
    if scores[0][0] < _FITS_FROM or (len(scores) > 1 and scores[1][0] >= scores[0][0]):
        return None
    return scores[0][1]


def _reading(book: Book, check: Check, said: str) -> Heard:
    text = _THOUSANDS.sub(lambda match: match[0].replace(",", ""), said)
    try:
        understand(book, check, text)
    except HeadwaterError as fault:
        told = re.search(r"\d", said)  # words without a figure are vague, not wrong
        return Heard(None, said, fault.message.removeprefix(f"{check.id}: ") if told else "")
    return Heard(text)


_THOUSANDS = re.compile(r"(?<![\d.,])[1-9]\d{0,2}(?:,\d{3})+(?=\s*(?:km|kilom|mi\b|mile))", re.I)
"""A distance with thousands marks; elsewhere '1,140 mm' may be 1.14 and is asked back."""

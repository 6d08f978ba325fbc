"""What is said to a question, as an answer of its check: yes, no, not sure, a reading, or words.

An answer is taken only where the words fit one answer of the check and no other; anything else is
vague, and is asked again with the answers read out. Guessing would be worse than asking.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, SPECIAL, Sense
from headwater.errors import HeadwaterError
from headwater.hearing import english
from headwater.hearing.cover import Fit, lay
from headwater.hearing.distances import run_meant
from headwater.hearing.index import Index, plain_words
from headwater.hearing.reading import MOST_HEARD, Token
from headwater.hearing.yesno import NO, YES, by_yes_or_no, starts
from headwater.measure.answer import Judged, meant, plain, understand

_UNSURE = (
    "?", "dont know", "don't know", "do not know", "i dont know", "i don't know", "i do not know",
    "not sure", "i'm not sure", "im not sure", "unsure", "no idea", "i have no idea", "no clue",
    "haven't a clue", "not a clue", "dunno", "i dunno", "idk", "can't say", "cannot say",
    "cant say", "hard to say", "hard to tell", "who knows", "couldn't tell you",
    "could not tell you", "couldn't say", "beats me", "never noticed", "never looked",
    "not known", "unknown", "we don't know", "we dont know", "we do not know", "nobody knows",
    "no one knows", "that i don't know", "that i do not know", "don't remember", "do not remember",
    "i don't remember", "i do not remember",
)  # fmt: skip
_CANNOT = (
    "x", "can't look", "cannot look", "can't check", "cannot check", "cant look", "cant check",
    "not at the car", "later", "can't see it", "cannot see it", "cant see it", "can't get at it",
    "cannot get at it", "can't reach it", "no tool", "no gauge",
)  # fmt: skip
_AS_FAR_AS = re.compile(
    r"[, ]*\b(?:not )?(?:that (?:i|we|anyone|anybody) (?:know|knows|am aware|heard)(?: of)?"
    r"|as far as (?:i|we) know|to my knowledge|that i recall|that i remember)\b"
)
_SAID_FROM, _HISTORY_FROM = 0.5, 0.7
"""How much of an answer must be said, and of one about the past, which nobody can look at again."""
_OWN_FROM, _HISTORY_OWN_FROM = 0.4, 0.75
"""How much of what was said must belong to the answer, and to one about the past."""
_PIECE_OWN_FROM = 0.8
"""The same of one piece of a sentence that tells more than was asked."""
_EASE = 0.5
"""What is left of these for an answer that is read back before it is taken."""
_STOPS = re.compile(r"[,;:]|\.(?!\d)")
"""What ends a piece that may be an answer by itself: 'No difference. I drive in 2H.'"""
_READ_BACK_FROM = 6
"""Words from which an answer that only fits what was said may have been turned round."""
_HEAD_READ_BACK_FROM = 5
"""The same where only the head of it is an answer: 'dark, no water in it'."""
_MANY = 6
_PIECES = re.compile(r"[,;]|\b(?:and|but|so|with)\b")
_CLEAR = 0.8
"""Pieces that are listened to; the share of the best fit that the next must stay below."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What was understood: the answer to take (None when vague), and their own words.

    `because` says what is wrong with a reading that cannot be taken; one that can is `judged`.
    `unsure` is true where more is said than an answer by itself, and it only fits; where none fits
    well enough, `nearest` is the one that comes nearest. Either is read back before it is taken.
    """

    answer: str | None
    note: str = ""
    because: str = ""
    judged: Judged | None = None
    unsure: bool = False
    nearest: str | None = None

    @property
    def read_back(self) -> str | None:
        """Return the answer that is read back, and taken where that is what was meant."""
        return self.answer if self.unsure else self.nearest

    @property
    def agreed(self) -> Heard:
        """Return what was heard once the person agreed to what was read back."""
        return replace(self, answer=self.read_back, unsure=False, nearest=None)

    @property
    def taken(self) -> str | Judged | None:
        """Return the answer as it is to be taken down: a reading is parsed once."""
        return self.judged or self.answer


def hear(index: Index, book: Book, check: Check, said: str) -> Heard:
    """Return the answer of a check that somebody's words mean; `book` is the unit's."""
    words = said.strip()[:MOST_HEARD]
    text = " ".join(words.lower().replace("’", "'").strip(" .!").split())
    named = "" if text in ("?", "x", *SPECIAL) else _named(check, text)
    if not named and (special := special_answer(text)):
        return Heard(special, "" if text in ("?", "x", *SPECIAL) else words)
    if check.reading and re.search(r"\d", text):
        return _reading(book, check, words)
    keys = list(check.answers)
    if text.isdecimal() and len(text) < 4 and 1 <= int(text) <= len(keys):
        return Heard(str(keys[int(text) - 1]))
    if answer := _named(check, text):
        return Heard(answer)
    if _lacks_it(index, check, text):
        return Heard(DONT_KNOW, words)
    if hedged := _as_far_as_known(check, text):
        return Heard(hedged, words)
    for candidate, rest in _heads(text):
        if answer := _named(check, candidate):
            plain_head = candidate in ("yes", "no") or len(text.split()) < _HEAD_READ_BACK_FROM
            return Heard(answer, words if rest else "", unsure=rest and not plain_head)
    if run := run_meant(check, text):
        return Heard(run, words, unsure=True)
    if answer := _by_words(index, check, text):
        long = len(text.split()) >= _READ_BACK_FROM
        return Heard(answer, words, unsure=long or _may_turn(check, answer, text))
    headed = _HEADED.match(text)
    if headed and (answer := _named(check, "yes" if headed["yes"] else "no")):
        return Heard(answer, words)
    near = _best(index, check, text, _OWN_FROM, _EASE)
    return Heard(None, words, nearest=near or by_yes_or_no(check, text))


def _may_turn(check: Check, answer: str, text: str) -> bool:
    """Say whether a word of how much is said that the answer has not: 'with little force'."""
    record = check.answers[answer]  # type: ignore[index]
    own = plain_words(" ".join((record.says, *record.said))).split()
    return not english.HOW_MUCH.intersection(plain_words(text).split()).issubset(own)


def read_out(check: Check) -> list[str]:
    """Return the answers of a check as they are read to a caller."""
    return [answer.says or str(word).replace("-", " ") for word, answer in check.answers.items()]


def special_answer(text: str) -> str | None:
    """Return the special answer that words mean: not known, cannot be checked, gone; else None.

    >>> special_answer("Dunno."), special_answer("it leaks")
    ('dont-know', None)
    """
    said = plain(text.replace("’", "'"))
    if said in SPECIAL:
        return said
    if said in _CANNOT:
        return CANNOT_CHECK
    return DONT_KNOW if any(starts(said, word) for word in _UNSURE) else None


def _as_far_as_known(check: Check, text: str) -> str | None:
    """Return what 'never that I know of' comes to; None where more is said than that."""
    if not _AS_FAR_AS.search(text):
        return None
    for word, answer in check.answers.items():
        if re.search(r"\b(?:any|no)(?:one|body) knows\b|\bnot known\b", answer.says.lower()):
            return str(word)
    rest = _AS_FAR_AS.sub("", text).strip(" ,.")
    return DONT_KNOW if rest in ("", "no", "not", "never", "nothing", "none") else None


def _lacks_it(index: Index, check: Check, text: str) -> bool:
    """Say whether the vehicle has nothing of what is asked about: 'this car has no low range'."""
    if _NOTHING_TO.match(text) or _NO_SUCH.search(text):
        return True
    lacks = _LACKS.fullmatch(text)
    if not lacks:
        return False
    named = {token.stem for token in index.read(lacks["thing"]) if not token.small}
    asked = {token.stem for token in index.read(f"{check.ask} {check.say}")}
    return bool(named) and named <= index.things | english.DRIVES and not named.isdisjoint(asked)


def _heads(text: str) -> Iterator[tuple[str, bool]]:
    """Yield the whole text, then its part before the first stop, then yes or no at its head."""
    yield text, False
    head, *rest = _STOPS.split(text, maxsplit=1)
    if rest:
        yield head.strip(), True
    for word, forms in (("yes", YES), ("no", NO)):
        for form in forms:
            if text == form or text.startswith((form + ",", form + ";", form + ".")):
                yield word, text != form


def _named(check: Check, word: str) -> str | None:
    """Return the answer called by a word: its key, what it says, or one of its other words."""
    for form in (word.replace(" ", "-"), word):
        answer = meant(check, form)
        if answer in check.answers:
            return answer
    return None


def _outright(check: Check, text: str) -> str | None:
    """Return the one answer that a piece of a text has every word of: 'both rear wheels pull'."""
    quiet = english.DENY | english.STILL
    pieces = [frozenset(plain_words(piece).split()) for piece in _STOPS.split(text)[:_MANY]]
    found = {
        str(word)
        for word, answer in check.answers.items()
        for way in (answer.says, *answer.said)
        if len(told := frozenset(plain_words(way).split())) > 1
        if any(told <= piece and quiet.isdisjoint(piece - told) for piece in pieces)
    }
    return found.pop() if len(found) == 1 else None


def _by_words(index: Index, check: Check, text: str) -> str | None:
    """Return the one answer whose words fit best, or one piece of them; None when none or two.

    A piece that says another answer by itself makes it two.
    """
    whole = _best(index, check, text, _OWN_FROM)
    pieces = [piece for piece in _PIECES.split(text) if piece.strip()]
    found = {_best(index, check, piece, _PIECE_OWN_FROM) for piece in pieces[:_MANY]}
    found = (found | {whole, _outright(check, text)}) - {None}
    return found.pop() if len(found) == 1 else None


def _best(index: Index, check: Check, text: str, own_from: float, ease: float = 1.0) -> str | None:
    """Return the one answer whose words fit best and are such a share of what was said.

    With `ease` below 1 so much less of it need fit.
    """
    tokens = index.read(text)
    if not tokens:
        return None
    fits = lay(index, tokens, lambda target: target.check == check.id, asked=True)
    sides = [
        *_fits(index, tokens, check, fits, own_from, ease),
        *_of_conditions(index, tokens, check, own_from, ease),
    ]
    best: dict[str, float] = {}
    for answer, score in sides:
        best[answer] = max(best.get(answer, 0.0), score)
    ranked = sorted(best, key=lambda answer: -best[answer])
    if not ranked or (len(ranked) > 1 and best[ranked[1]] > _CLEAR * best[ranked[0]]):
        return None
    return ranked[0]


def _fits(
    index: Index,
    tokens: tuple[Token, ...],
    check: Check,
    fits: list[Fit],
    own_from: float,
    ease: float,
) -> Iterator[tuple[str, float]]:
    """Yield the answers whose own words are said well enough, with how well."""
    for fit in fits:
        answer = fit.target.records[0].answer
        own = _own_share(index, tokens, fit)
        past = check.answers[answer].sense is Sense.PLAIN  # type: ignore[index]
        if _is_by_the_way(index, tokens, fit) or _is_stilled(index, check, tokens, fit):
            continue
        if fit.score < ease * (_HISTORY_FROM if past else _SAID_FROM):
            continue
        if own < ease * (max(own_from, _HISTORY_OWN_FROM) if past else own_from):
            continue
        if fit.denied:
            refused = _named(check, "no")
            if refused and any(tokens[place].denied for place in fit.laid):
                yield refused, fit.score * own
            continue
        yield answer, fit.score * (0.5 + 0.5 * own) + 0.01 * len(fit.laid)


def _is_by_the_way(index: Index, tokens: tuple[Token, ...], fit: Fit) -> bool:
    """Say whether only that is said of an answer which is not so, and not what is."""
    said = {tokens[place].stem for place, weight in fit.laid.items() if weight > 0}
    groups = fit.phrase.groups
    states = [g for g in groups if g.tells and not g.denied and not g.stems <= index.things]
    return (
        any(group.denied for group in groups)
        and bool(states)
        and not any(group.stems & said for group in states)
    )


def _is_stilled(index: Index, check: Check, tokens: tuple[Token, ...], fit: Fit) -> bool:
    """Say whether it is said beside an answer that there it is still: 'quiet when I let it roll'.

    Not where the question or its answers speak of that themselves; but 'never quiet' is not still.
    """
    if any(tokens[place].word in english.STILL and tokens[place].denied for place in fit.laid):
        return True
    clauses = {tokens[place].clause for place, weight in fit.laid.items() if weight > 0}
    still = {
        token.stem
        for place, token in enumerate(tokens)
        if token.word in english.STILL and token.clause in clauses and place not in fit.laid
    }
    asked = " ".join((check.ask, check.say, *(one.says for one in check.answers.values())))
    return bool(still) and still.isdisjoint(token.stem for token in index.read(asked))


def _own_share(index: Index, tokens: tuple[Token, ...], fit: Fit) -> float:
    """Return which share of what was said the answer explains."""
    weights = {
        place: index.weight(token)
        for place, token in enumerate(tokens)
        if (not token.small and token.word not in english.GENERAL) or place in fit.laid
    }
    told = sum(weight for place, weight in weights.items() if place in fit.laid)
    return told / sum(weights.values()) if weights else 0.0


def _of_conditions(
    index: Index, tokens: tuple[Token, ...], check: Check, own_from: float, ease: float
) -> Iterator[tuple[str, float]]:
    """Yield the answers that show what is said to be so, and those that rule out what is not."""
    about = set(check.speaks_of())
    past = all(answer.sense is Sense.PLAIN for answer in check.answers.values())
    said_from = ease * (_HISTORY_FROM if past else _SAID_FROM)
    own_from = ease * (max(own_from, _HISTORY_OWN_FROM) if past else own_from)
    for fit in lay(index, tokens, lambda target: not target.check and target.id in about):
        if fit.score < said_from:
            continue
        showing = [
            str(word)
            for word, answer in check.answers.items()
            if any(
                str(c) == fit.target.id and s.decisive
                for c, s in (answer.rules_out if fit.denied else answer.shows).items()
            )
        ]
        own = _own_share(index, tokens, fit)
        if len(showing) == 1 and own >= own_from:
            yield showing[0], 0.9 * fit.score * (0.5 + 0.5 * own)


def _reading(book: Book, check: Check, said: str) -> Heard:
    text = _THOUSANDS.sub(lambda match: match[0].replace(",", ""), said)
    try:
        return Heard(text, judged=understand(book, check, text))
    except HeadwaterError as fault:
        return Heard(None, said, fault.message.removeprefix(f"{check.id}: "))


_LACKS = re.compile(
    r"(?:no,? |well,? |but |sorry,? )*"
    r"(?:(?:this|the|my|our|that|his|her) (?:\w+ )?\w+|it|mine|ours|we|i|you)"
    r"(?: (?:has|have|got)(?: got)? no|'s got no| (?:has|have|does|do)(?:n't| not)"
    r"(?: got| have)?(?: an?| any)?| never had(?: an?| any)?) (?P<thing>[a-z][\w -]{1,40})"
    r"(?: (?:on|in) (?:it|this one|this car|mine))?",
)
"""That there is none of a thing; what is wrong with one is told in other ways."""
_NOTHING_TO = re.compile(
    r"(?:no,? |well,? |but )*(?:there(?: is|'s)|it has|it's got|i have) nothing to"
    r" (?:put|switch|shift|engage|lock|push|select|turn on)\b"
)
"""That it is always in, or has no such lever: 'there is nothing to put in'."""
_NO_SUCH = re.compile(
    r"\b(?:there(?: is|'s)|has|it's got|i have) (?:nothing to (?:put in|choose|switch|select)\b"
    r"|no (?:such )?(?:lever|knob|switch|button)(?=[,.;]|$| for | in (?:it|this|mine)))"
)
"""The same further on in an answer: 'it decides itself, there is nothing to put in'."""
_HEADED = re.compile(
    r"(?P<yes>yes|yeah|yep|yup|sure)\b|(?:nope|nah)\b"
    r"|no,? (?:it|i|we|there|they|not|nothing|never)\b"
)
"""A yes or no that other words follow, which fit no answer."""
_THOUSANDS = re.compile(r"(?<![\d.,])[1-9]\d{0,2}(?:,\d{3})+(?=\s*(?:km|kilom|mi\b|mile))", re.I)
"""A distance with thousands marks; elsewhere '1,140 mm' may be 1.14 and is asked back."""

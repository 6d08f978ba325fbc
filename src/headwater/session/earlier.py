"""What is told of work that was done before: heard in plain words, and what it makes likelier.

A unit that comes back soon after work has most often a fault of that work. The origins that only a
fitting hand makes, on what that hand touched, are given a larger starting chance.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from math import inf

from headwater.book.records import Book
from headwater.book.shape import Named
from headwater.book.tables import Verb
from headwater.case.model import Case, Done, EarlierWork
from headwater.hearing.reading import MOST_HEARD
from headwater.session.parts import EXACT, PartError, part_meant, parts_fitting
from headwater.session.proposal import deeds_done
from headwater.verdict.audit import Proposal
from headwater.verdict.fitting import ageing_chances, fitting_chances

NO_WORK = frozenset({"", "no", "none", "never", "not known", "?", "no idea", "don't know", "n"})
_DEEDS = {
    Verb.REPLACE: r"replac\w*|renew\w*|new|swapp?\w*|exchang\w*|fitted|changed|done|rebuil\w*",
    Verb.CLEAN: r"clean\w*|wash\w*|flush\w*",
    Verb.REFILL: r"refill\w*|filled|topped",
    Verb.REPAIR: r"repair\w*|weld\w*|sealed|reseal\w*",
}
_WORKED = re.compile(
    r"\b(rebuil\w*|overhaul\w*|repair\w*|replac\w*|renew\w*|swapped|reseal\w*|refitted|serviced"
    r"|opened|exchanged|changed|fitted|put in|worked on|here before|in bits|apart)\b|\bago\b"
    r"|\b(?:was|were|been|had it|had them|got) (?:\w+ )?done\b"
    r"|\bnew\b.*\b(?:in|last|this)\s+(?:january|february|march|april|may|june|july|august"
    r"|september|october|november|december|spring|summer|autumn|winter|week|month|year)\b"
    r"|\blast\s+(?:week|month|year|spring|summer|autumn|winter)\b"
    r"|\byou(?:r \w+| lot| people)? (?:did|redid|sealed|put|had) (?:the|my|our|it|this|that|in)\b",
    re.IGNORECASE,
)
_BEGAN = re.compile(
    r"\b(?:began|begun|starts|started|happened|noticed|appeared|came on|bought)"
    r"(?:\s+(?!after|since|when|new)\w+){0,4}?\s+(?:ago|last \w+"
    r"|in (?:the )?(?:spring|summer|autumn|winter|january|february|march|april|may|june|july|august"
    r"|september|october|november|december))\b",
    re.IGNORECASE,
)
"""That trouble began at some time is no work."""
_DENIED = re.compile(
    r"\b(no|not|never|nothing|nobody|none|without|untouched|unopened|left alone)\b", re.IGNORECASE
)
_WISHED = re.compile(
    r"\s*(?:so|then|and|but)?\s*(?:please|just|do|replace|change|fit|renew|swap|send|order|quote"
    r"|(?:can|could|would|will) (?:you|we)|(?:i|we)(?: would|'d)? (?:want|need|like)"
    r"|(?:it|he|she|that|this|they) (?:just )?needs?|shall|should"
    r"|(?:put|take|get) (?:it|them|that|those|these|this|one))\b",
    re.IGNORECASE,
)
"""How a wish begins: 'Do the pinion seal', 'Put them in' tell of no work that was done."""
_PLACES = frozenset(
    [
        "front",
        "rear",
        "left",
        "right",
        "input",
        "output",
        "upper",
        "lower",
        "main",
        "inner",
        "outer",
    ]
)
_OF_ANOTHER = re.compile(
    r"\b(?:engine|gearbox|transmission|axles?|diffs?|steering|brakes?|hubs?|wheel)\b", re.IGNORECASE
)
"""What a part may belong to that is not the unit: 'the axle oils' are not the oil of the case."""
LONG_AGO = {"year": 4, "month": 48, "mi": 60_000, "km": 100_000, "kilomet": 100_000}
"""From when a part renewed then may be at its end again: common practice, no source."""
_FEW = 3
"""Parts that one word may fit: of more of them it says nothing."""
_WHOLE = re.compile(
    r"\b(rebuil\w*|overhaul\w*|opened|apart|in bits|reseal\w*|done (?:new|up)|made new)\b",
    re.IGNORECASE,
)
_SURELY = re.compile(
    r"\b(rebuil\w*|overhaul\w*|repair\w*|replac\w*|renew\w*|reseal\w*|refitted|serviced|mended"
    r"|fixed|opened|worked on|(?:was|were|been) here|here before|in bits|apart"
    r"|you (?:\w+ )?(?:did|put|fitted|changed|swapped|sealed|had it))\b",
    re.IGNORECASE,
)
"""Words of work even where no part is named: a sound may have changed, too."""
_ABOUT_IT = re.compile(
    r"\b(again|rebuil[dt]|overhaul(ed)?|repaired|mended|warranty|guarantee|money"
    r"|you(?:r \w+| lot| people)? (?:\w+ )?"
    r"(?:did|put|fitted|changed|swapped|sealed|replaced|had it))\b",
    re.IGNORECASE,
)
"""How people ring about a job that was done, and not only after an oil change."""
_COUNTED = "one two three four five six seven eight nine ten eleven twelve thirteen fourteen"
_NUMBERS = {word: number for number, word in enumerate(_COUNTED.split(), 1)}
_NUMBERS |= {"fifteen": 15, "sixteen": 16, "eighteen": 18, "twenty": 20}
_AGO = re.compile(
    rf"\b(?:[0-9][0-9.,]*|half an?|an?|{'|'.join(_NUMBERS)})\s*"
    r"(?:miles?|mi|kms?|kilomet\w+|hours?|days?|weeks?|months?|years?)\b",
    re.IGNORECASE,
)
_DAYS = {"hour": 1 / 24, "day": 1.0, "week": 7.0, "month": 30.0, "year": 365.0}
_DAYS |= {"mi": 1 / 35, "km": 1 / 55, "kilomet": 1 / 55}
"""Days in a time, and in a distance as it is driven in a year: common practice, no source."""
_SENTENCE = re.compile(r"[.](?!\d)|[;?!]")
_OTHER_DEED = re.compile(r"\b\w+ed\b", re.IGNORECASE)
"""That something else was done than what the book has a word for: 'lowered', 'balanced'."""
_BACK = re.compile(r"\s*(?:ago|back|since|before)\b", re.IGNORECASE)
_ODOMETER = re.compile(r"\b(?:at|with|now|has|showed|shows)\s*$", re.IGNORECASE)
_BEFORE_PLACE = re.compile(r"\s(?:of|between|at|in|on|for|behind|under|from|and|with)\s")
_SAYS_MORE = re.compile(
    r"\b(?:is|are|am|was|were|can|cannot|could|will|would|does|do|did|has|have|makes?|goes|comes"
    r"|leaks?|howls?|whines?|growls?|clicks?|hops?|smells?|runs?|looks?|checks?|keeps?|says?|said)\b"
    r"|\bi\b",
    re.IGNORECASE,
)
"""That a piece is a sentence of its own, and not one more part in a list of work."""
_STOP = r"[,.](?!\d)"
"""A comma or stop that ends a piece of a sentence: the one in '2,000 km' does not."""
_IDLE = re.compile(
    r"\b(ago|since|was|were|it|we|they|the|a|an|had|has|been|got|put|in|with|last|then|after"
    r"|about|before|here|by|us|you|and|also|as|well|too|only|just|whole|unit|case"
    r"|spring|summer|autumn|winter"
    r"|one|two|three|four|five|six|seven|eight|nine|ten|dozen"
    r"|january|february|march|april|may|june|july|august|september|october|november|december|weeks?|months?|years?)\b",
    re.IGNORECASE,
)


def without_beginning(text: str) -> str:
    """Return words without those that say when trouble began: 'it started in spring' is no spring.

    >>> without_beginning("it started in spring and leaks")
    'it and leaks'
    """
    return " ".join(_BEGAN.sub(" ", text).split())


def tells_of_work(text: str) -> bool:
    """Say whether words tell of work that was done; else they answer another question.

    >>> tells_of_work("rebuilt 350 miles ago"), tells_of_work("it began three weeks ago")
    (True, False)
    """
    return bool(_WORKED.search(without_beginning(_affirmed(text[:MOST_HEARD]))))


def surely_tells_of_work(book: Book, text: str) -> bool:
    """Say whether a sentence that nobody asked for tells of work that was done.

    'Last week it gave a tug' does not; an answer to what was done last week may.
    """
    plain = without_beginning(_affirmed(text[:MOST_HEARD]))
    return bool(_SURELY.search(plain) or (tells_of_work(text) and work_told(book, text).done))


def without_work(text: str) -> str:
    """Return the pieces of a text that tell of no work that was done.

    >>> without_work("the spring was done in May, and it leaks")
    ' and it leaks'
    """
    pieces = re.split(rf"{_STOP}|[;?!]", text[:MOST_HEARD])
    return ";".join(piece for piece in pieces if not tells_of_work(piece))


def is_comeback(case: Case) -> bool:
    """Say whether it was worked on before, and they ring about that.

    That trouble began some time ago, or that they ask something of somebody, tells of no work.
    """
    work = case.before
    if work is None or not (work.done or _SURELY.search(_affirmed(work.told))):
        return bool(case.earlier)
    return bool(case.earlier or _ABOUT_IT.search(" ".join((*case.told, work.told))))


def _affirmed(text: str) -> str:
    """Return a text without what it denies or asks for: 'no, never opened', 'do the seal'.

    What is added to a wish with 'and' is wished, too.
    """
    kept: list[str] = []
    wished = False
    for piece in re.split(rf"{_STOP}|[;?!]", text):
        wished = bool(_WISHED.match(piece)) or (
            wished and piece.lstrip().startswith(("and ", "or "))
        )
        if not (wished or _DENIED.search(piece)):
            kept.append(piece)
    return "; ".join(kept)


def work_told(book: Book, text: str) -> EarlierWork:
    """Return what words tell of earlier work: how long ago, and what was done to which part.

    Where several times are told it is the work of the latest one: trouble mostly follows that.
    """
    heard = text[:MOST_HEARD]
    affirmed = _affirmed(heard)
    ago = _how_long_ago(affirmed if affirmed.strip() else heard)
    by_time: dict[str, list[Done]] = {}
    for when, done in _done_when(book, heard):
        by_time.setdefault(when or ago, []).append(done)
    latest = min(by_time, key=_days, default=ago)
    return EarlierWork(told=text, ago=latest, done=tuple(by_time.get(latest, ())))


def _how_long_ago(text: str) -> str:
    """Return the time or distance since: what is said to be ago, not where the odometer stood."""
    found = [m for m in _AGO.finditer(text) if not _ODOMETER.search(text[: m.start()])]
    said = (m for m in found if _BACK.match(text[m.end() :]))
    first = next(said, next(iter(found), None))
    return first.group() if first else ""


def _days(ago: str) -> float:
    """Return about how many days a time or a distance is ago; what is told without one, longest."""
    per = (days for word, days in _DAYS.items() if word in ago.lower())
    return _amount(ago) * next(per, inf)


def _done_when(book: Book, text: str) -> Iterator[tuple[str, Done]]:
    """Yield what was done with how long ago; "" where no time is told before it.

    A verb goes for the list that it stands in, not for another sentence; nor for a piece that has
    one of its own. A time goes for what follows it in its sentence, else for all of that.
    """
    before = ""
    for sentence in re.split(_SENTENCE, text):
        clauses = _affirmed(sentence).split(";")
        times = [_how_long_ago(clause) for clause in clauses]
        when = next(filter(None, times), before)
        verb = _deed(_AGO.sub(" ", ";".join(clauses)))
        for clause, time in zip(clauses, times, strict=True):
            when = before = time or when
            others = _deed(clause) is None and _OTHER_DEED.search(clause)
            for piece in re.split(r"\band\b|\bwith\b", _AGO.sub(" ", clause)):
                own = _deed(piece)
                if own is None and (others or _SAYS_MORE.search(piece)):
                    continue  # 'The oil is up to the hole' is not of what was renewed
                verb = own or verb
                if verb and (part := _part_of(book, piece, by_name=own is None)):
                    yield when, Done(action=verb.value, on=Named(part))


def _part_of(book: Book, piece: str, *, by_name: bool) -> str | None:
    """Return the part that a piece names beside what was done to it."""
    for words in (*_DEEDS.values(), _WHOLE.pattern):
        piece = _word(words).sub(" ", piece)
    return _part(book, _IDLE.sub(" ", piece), by_name=by_name)


def _deed(text: str) -> Verb | None:
    """Return the work that a text names first; None where it only tells of a part."""
    found = {verb: _word(words).search(text) for verb, words in _DEEDS.items()}
    said = {verb: match.start() for verb, match in found.items() if match}
    return min(said, key=lambda verb: said[verb], default=None)


def _word(words: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{words})\b", re.IGNORECASE)


def _part(book: Book, words: str, *, by_name: bool = False) -> str | None:
    """Return the part that a few words mean; None where they mean none, or several.

    With `by_name` only one that is called by its name is meant: no work is made of half a match.
    """
    named = [word for word in words.split() if word.lower() not in _PLACES]
    fits = parts_fitting(book, " ".join(words.split())) if named else {}
    if named and EXACT not in fits.values() and not _OF_ANOTHER.search(words):
        # The last word says what it is: 'all drive oils'.
        head = parts_fitting(book, named[-1].lower().removesuffix("s"))
        words, fits = (named[-1], head) if EXACT in head.values() else (words, fits)
    exact = EXACT in fits.values()
    lone = len(words.split()) == 1
    if not exact:  # 'the exhaust' is not the shield beside it, 'gearbox oil' no cooler of it
        heads = {part for part in fits if any(_is_head(book, part, word) for word in named)}
        fits = {part: fit for part, fit in fits.items() if part in heads}
    if not fits or (not exact and (by_name or (lone and len(fits) > _FEW))):
        return None
    if exact:
        return next(iter(fits))
    try:
        meant = part_meant(book, " ".join(words.split()))
    except PartError:
        return None
    return meant if meant in fits else None


def _is_head(book: Book, part: str, word: str) -> bool:
    """Say whether a word is what a part is, not where it is: the last one of a name of it."""
    names = (book.parts[part].title, *book.parts[part].said)
    heads = {_BEFORE_PLACE.split(name.lower())[0].split()[-1] for name in names if name.split()}
    return word.lower().strip().removesuffix("s") in {head.removesuffix("s") for head in heads}


def was_opened(work: EarlierWork) -> bool:
    """Say whether the whole unit was apart then, by the words in which it is told."""
    return bool(_WHOLE.search(_affirmed(work.told)))


def earlier_proposal(book: Book, case: Case) -> Proposal:
    """Return what was done before, by what a case tells, as a proposal that can be judged."""
    done = case.before.done if case.before else ()
    return replace(deeds_done(Case(case=case.case, done=done), book), name="the earlier work")


def earlier_chances(book: Book, case: Case) -> dict[str, float]:
    """Return by what factor origins are likelier than in any unit, after the work that is told.

    Those that are less likely come last, with a factor below 1.
    """
    work = case.before
    if work is None:
        return {}
    deeds = earlier_proposal(book, case).deeds
    found = fitting_chances(book, deeds, opened=was_opened(work))
    return found if _is_long_ago(work.ago) else found | ageing_chances(book, deeds)


def _is_long_ago(ago: str) -> bool:
    """Say whether a part renewed so long, or so far, ago may have run its life since."""
    return any(word in ago and _amount(ago) >= most for word, most in LONG_AGO.items())


def _amount(ago: str) -> float:
    """Return the number in a time or a distance; 'a year' is one."""
    for word, number in _NUMBERS.items():
        ago = re.sub(rf"\b{word}\b", str(number), ago, flags=re.IGNORECASE)
    said = re.search(r"[0-9]+(?:,[0-9]{3})*(?:[.][0-9]+)?", ago)
    return float(said.group().replace(",", "")) if said else 1.0

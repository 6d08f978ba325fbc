"""The rules of the book about how a check is asked: its words, and what asking it takes."""

from __future__ import annotations

import re

from headwater.book.model import Answer, Check
from headwater.book.problem import Faults
from headwater.book.records import Book
from headwater.book.tables import Seat, Sense

SHORTEST_DRIVE = 10.0
"""Minutes below which nobody drives a vehicle out, on, and back to the hoist."""

VERB = r"(does|do|did|is|are|was|were|has|have|had|can|will)"
SUBJECT = r"(the|a|an|it|its|there|this|that|they|you|your|he|she|any|anyone|anybody|nothing)"
ASKS_OPENLY = re.compile(rf"(how|what|which|who|why|(at|on|in) which|(where|when) {VERB})\b", re.I)
SECOND_QUESTION = re.compile(
    rf"\band (({VERB} {SUBJECT})|how (far|long|often|much|many)|where|when|which) ", re.I
)
OTHER_QUESTION = re.compile(rf"\bor {VERB} {SUBJECT} ", re.I)
EITHER = re.compile(r"\b(or|one of|either|any of)\b", re.I)

FINDING = (
    r"(cracks?|breaks?|fracture|leaks?|dents?|spalls?|spalling|whine|growl|knock|bang|noise|wear|"
    r"damage|scratch(es)?|flakes?|stains?|drips?|puddle|pits?|(broken|worn|torn) (end|face|part))"
)
TAKES_FOR_GRANTED = re.compile(
    rf"\bthe {FINDING}\b|^(from |at |on |in )?(where|which)\b.*\b"
    r"(leaks?|wet|cracked|broken|broke|spalled|worn|torn|cut|dented|loudest|rubs|rubbed|drips?)\b",
    re.I | re.S,
)
THERE_IS_NONE = re.compile(
    r"\b(no|none|not|never|nothing|nowhere|dry|whole|even|sound|smooth|quiet|silent|clean)\b", re.I
)
DRIVEN = re.compile(
    r"\b(road test|test drive|on the road|at road speed|(after|during) (a|the) (\w+ )?drive|"
    r"drive (it|off|gently|slowly|out|up|in a|a few|some|ten|half an hour|until|straight))\b",
    re.I,
)


def looks_worded(book: Book) -> Faults:
    """A look that can be bad says what sound and bad look like, and what bad means."""
    for check in book.checks.values():
        if not any(answer.sense is Sense.BAD for answer in check.answers.values()):
            continue
        told = {"good": check.good, "bad": check.bad} if _looked_at(check) else {}
        lacking = [name for name, text in {**told, "means": check.means}.items() if not text]
        if lacking:
            text = f"check '{check.id}' can be answered with something bad and lacks"
            yield check.place, f"{text} {_listed(lacking)}: write what a reader would go by"


def _listed(names: list[str]) -> str:
    return " and ".join(f"'{name}:'" for name in names)


def _looked_at(check: Check) -> bool:
    """Say whether somebody goes and looks: what a caller is asked has no good and bad."""
    return Seat.CALL not in check.seats


def one_question(book: Book) -> Faults:
    """A check asks one thing: yes and no cannot answer two."""
    for check in book.checks.values():
        for name, text in (("ask", check.ask), ("say", check.say)):
            if _asks_two(check, text):
                yield (
                    check.place,
                    f"'{name}' of check '{check.id}' asks two things, which one answer cannot "
                    "part: ask one, or give each pair its answer",
                )


def _asks_two(check: Check, text: str) -> bool:
    if len(check.answers) > 2 or ASKS_OPENLY.match(text):
        return False
    if SECOND_QUESTION.search(text) or text.count("?") > 1:
        return True
    yes = check.answer("yes")
    return bool(yes and not EITHER.search(yes.says) and OTHER_QUESTION.search(text))


def nothing_presupposed(book: Book) -> Faults:
    """A question about a finding can be answered with 'there is none', or presumes it openly."""
    for check in book.checks.values():
        if check.presumes or check.reading or not TAKES_FOR_GRANTED.search(check.ask):
            continue
        if not any(_says_none(word, answer) for word, answer in check.answers.items()):
            yield (
                check.place,
                f"check '{check.id}' takes for granted what only it could have found: add an "
                "answer 'there is none', or say what it 'presumes'",
            )


def _says_none(word: str, answer: Answer) -> bool:
    return bool(THERE_IS_NONE.search(f"{word} {answer.says}".replace("-", " ")))


def drives_marked(book: Book) -> Faults:
    """A check that sends the vehicle onto the road says so: a danger then forbids it."""
    for check in book.checks.values():
        if check.driving or Seat.HOIST not in check.seats or Seat.CALL in check.seats:
            continue
        if found := DRIVEN.search(f"{check.ask} {check.how}"):
            yield (
                check.place,
                f"check '{check.id}' says '{found.group()}': write 'driving: true' if the vehicle "
                "is driven for it, or say it otherwise",
            )


def drives_timed(book: Book) -> Faults:
    """A drive takes its time, there and back."""
    for check in book.checks.values():
        if check.driving and check.minutes < SHORTEST_DRIVE:
            yield (
                check.place,
                f"check '{check.id}' is driven in {check.minutes:g} minutes: give at least "
                f"{SHORTEST_DRIVE:g}, with the way there and back",
            )


def told_alone_holds(book: Book) -> Faults:
    """What holds where nobody can say more of a trouble that is told is an answer that says it."""
    for check in book.checks.values():
        answer = check.answer(check.told_alone) if check.told_alone else None
        if check.told_alone and (answer is None or check.id not in map(str, answer.shows)):
            yield (
                check.told_alone.place,
                f"'{check.told_alone}' is no answer of check '{check.id}' that shows "
                f"'{check.id}': 'told-alone' names the one that holds where nobody knows more",
            )

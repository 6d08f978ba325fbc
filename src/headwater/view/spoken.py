"""What is read to a caller: a question, and what is asked where the answer to it is not plain."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.book.model import Check
from headwater.book.shape import Ref
from headwater.hearing.answers import Heard, read_out
from headwater.measure.answer import limit_of
from headwater.session.call import Call
from headwater.session.triage import MOST_QUESTIONS
from headwater.view.paper import Facts, Paper, Tone


@dataclass(frozen=True, slots=True)
class Wanted:
    """A caller wants just a part; `current` is the question that is being asked, if any."""

    call: Call
    words: str = ""
    current: Check | None = None


def spoken_paper(wanted: Wanted) -> Paper:
    """Return a question as it is read to a caller, with its answers."""
    check = wanted.current
    assert check is not None
    number = min(wanted.call.asked + 1, MOST_QUESTIONS)
    unit = _unit(wanted)
    answers = "; ".join(f"{n} {text}" for n, text in enumerate(read_out(check), 1))
    told = f"a number with its unit ({unit}), or 'not sure'" if unit else answers
    question = Facts(((f"{number} of {MOST_QUESTIONS}", check.say or check.ask),), Tone.STRONG)
    return Paper("", (question, Facts((("", told),))), ())


def follow_up_paper(wanted: Wanted) -> Paper:
    """Return what to ask a caller whose answer was vague."""
    assert wanted.current is not None
    nearest = f"which is nearest: {'; or '.join(read_out(wanted.current))}?"
    told = "about how much, as a number with its unit?" if _unit(wanted) else nearest
    return Paper(f"Ask: {told}", (), ())


@dataclass(frozen=True, slots=True)
class ReadBack:
    """An answer in somebody's words that may have been understood amiss."""

    check: Check
    heard: Heard


def read_back_paper(said_to: ReadBack) -> Paper:
    """Return how an answer was understood that may be turned round, for a yes or another one."""
    check, heard = said_to.check, said_to.heard
    said = dict(zip(check.answers, enumerate(read_out(check), 1), strict=True))
    number, words = said[Ref(heard.read_back or "")]
    others = "; ".join(f"{n} {text}" for n, text in said.values() if n != number)
    asked = (
        f"Put down as: {number} {words}? Enter if that is meant; if not, the number of: {others}"
    )
    return Paper(asked, (), ())


def _unit(wanted: Wanted) -> str:
    limit = limit_of(wanted.call.session.book, wanted.current.id) if wanted.current else None
    return limit.unit if limit else ""

"""May it be driven, in words: for the shop, for somebody on the phone, for a unit on the bench.

Each of the four answers has words, a mark and a frame of its own, so that none looks like another
without colour either.
"""

from __future__ import annotations

from dataclasses import dataclass

from headwater.book.tables import Drive, Seat
from headwater.verdict.advice import DriveAdvice
from headwater.verdict.assess import Assessment
from headwater.view.paper import Paragraph, Tone, Words, say

MARKS = {Drive.STOP: "!!", Drive.PARKED: "==", Drive.LIMP: "..", Drive.OK: "ok"}
"""A mark before the words: two of a kind, so that it reads alike in grey and in a fixed font."""
SHOP = {
    Drive.STOP: "Do not drive.",
    Drive.PARKED: "Leave it parked until more is known.",
    Drive.LIMP: "Drive only so far, within limits.",
    Drive.OK: "No reason is known not to drive.",
}
CALLER = {
    Drive.STOP: "STOP, do not drive.",
    Drive.PARKED: "LEAVE IT PARKED until more is known.",
    Drive.LIMP: "ONLY SO FAR, WITHIN LIMITS.",
    Drive.OK: "OK to drive in.",
}
BENCH = {
    Drive.STOP: "Before it goes back on the road, this must be put right:",
    Drive.PARKED: "Before it goes back on the road, this must be cleared up:",
    Drive.LIMP: "Before it goes back on the road, see to this:",
    Drive.OK: "Before it goes back on the road: nothing found stands against it.",
}
"""For a unit that is out of its vehicle: nobody can drive it."""
TONES = {
    Drive.STOP: Tone.HELD,
    Drive.PARKED: Tone.STRONG,
    Drive.LIMP: Tone.STRONG,
    Drive.OK: Tone.RELEASED,
}
FOUND_PARKED = {
    "Leave it parked until more is known.": "Leave it parked until that is put right.",
    "LEAVE IT PARKED until more is known.": "LEAVE IT PARKED until that is put right.",
}
"""Where it is known already."""
CARRIED = "Have it fetched on a carrier, all wheels off the ground."
"""What is to be done with a vehicle that must not be driven: on its wheels its driveline turns."""
NOT_RULED_OUT = "Not found, but not ruled out."


@dataclass(frozen=True, slots=True)
class AdviceView:
    """The advice, the danger behind it, what to do now, and the sentence for the shop."""

    advice: Drive
    because: str
    limits: str
    condition: str | None
    sure: bool
    words: str
    now: tuple[str, ...]
    outside: str | None


def advice_view(verdict: Assessment) -> AdviceView:
    """Return whether the vehicle may be driven, and why."""
    advice = verdict.drive
    bench = verdict.stand.seat is Seat.BENCH
    return AdviceView(
        advice.advice,
        advice.because,
        "" if bench else advice.limits,
        advice.condition,
        advice.sure,
        bench_words(advice) if bench else _words(SHOP, advice),
        () if bench else advice.now,
        advice.outside,
    )


def advice_block(view: AdviceView) -> Paragraph:
    """Return the advice as it is shown: its mark, its words, in its tone and frame."""
    text = f"{MARKS[view.advice]} {view.words}"
    return say(Words(text, TONES[view.advice]), boxed=True, frame=view.advice.value)


def caller_words(verdict: Assessment) -> str:
    """Return the advice with its reason, limits and what to do now, in a caller's words."""
    return _words(CALLER, verdict.drive)


def bench_words(advice: DriveAdvice) -> str:
    """Return the advice for a unit on the bench: it is about going back on the road."""
    if advice.advice is Drive.OK:
        return BENCH[Drive.OK]
    parts = [BENCH[advice.advice], _ended(advice.because)]
    return " ".join(parts if advice.sure else [*parts, NOT_RULED_OUT])


def _words(heads: dict[Drive, str], advice: DriveAdvice) -> str:
    head = heads[advice.advice]
    if advice.condition and advice.sure:
        head = FOUND_PARKED.get(head, head)
    parts = [head, *map(sentence, advice.now), sentence(advice.because)]
    parts += [sentence(advice.limits)] if advice.limits else []
    parts += [] if advice.sure else [NOT_RULED_OUT]
    parts += [CARRIED] if advice.advice is Drive.STOP and advice.condition else []
    return " ".join(parts)


def sentence(text: str) -> str:
    """Return a text as a sentence.

    >>> sentence("the shaft may fall")
    'The shaft may fall.'
    """
    return text[:1].upper() + _ended(text[1:])


def _ended(text: str) -> str:
    return text + ("" if text.endswith((".", "!", "?")) else ".")

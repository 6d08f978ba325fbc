"""May it be driven, in words: for the shop, and for somebody on the phone."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.book.tables import Drive
from headwater.verdict.assess import Assessment

SHOP = {
    Drive.STOP: "Do not drive.",
    Drive.LIMP: "Drive only with care.",
    Drive.OK: "No reason is known not to drive.",
}
CALLER = {
    Drive.STOP: "STOP, do not drive.",
    Drive.LIMP: "DRIVE WITH LIMITS.",
    Drive.OK: "OK to drive in.",
}
NOTHING_KNOWN = "LEAVE IT PARKED until something is known."


@dataclass(frozen=True, slots=True)
class AdviceView:
    """The advice, the danger behind it, and the sentence for the shop."""

    advice: Drive
    because: str
    limits: str
    condition: str | None
    sure: bool
    words: str


def advice_view(verdict: Assessment) -> AdviceView:
    """Return whether the vehicle may be driven, and why."""
    advice = verdict.drive
    sure = "" if advice.sure else " (not ruled out)"
    limits = f" {advice.limits}" if advice.limits else ""
    words = f"{SHOP[advice.advice]} {sentence(advice.because)}{limits}{sure}"
    return AdviceView(
        advice.advice, advice.because, advice.limits, advice.condition, advice.sure, words
    )


def caller_words(verdict: Assessment) -> str:
    """Return the advice with its reason and limits, in a caller's words."""
    advice = verdict.drive
    told = any(judged.settled for judged in verdict.stand.answered.values())
    if advice.advice is Drive.OK and not told:
        return NOTHING_KNOWN
    parts = [CALLER[advice.advice], sentence(advice.because)]
    parts += [sentence(advice.limits)] if advice.limits else []
    parts += [] if advice.sure else ["Not found yet, but not ruled out."]
    return " ".join(parts)


def sentence(text: str) -> str:
    """Return a text as a sentence.

    >>> sentence("the shaft may fall")
    'The shaft may fall.'
    """
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!")) else ".")

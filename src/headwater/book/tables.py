"""The tables of meaning: how often a link fires, how sure an answer is, how common an origin is.

Each is stated once, here, and a book may override any entry in place with a number. All figures
are common practice, no source: they order the candidates, they do not measure a fleet.
"""

from __future__ import annotations

from enum import StrEnum

OFTEN: dict[str, float] = {"always": 0.98, "usually": 0.8, "sometimes": 0.4, "rarely": 0.1}
"""P(link fires | cause present), by word."""

SURENESS: dict[str, tuple[float, float]] = {
    "decisive": (0.98, 0.002),
    "strong": (0.9, 0.1),
    "weak": (0.7, 0.3),
}
"""(P(answer | present), P(answer | absent)) of an answer that shows a condition, by word.

Honest slips are in it: of a hundred looks at something plain to see two miss it, and of a thousand
at a sound part two see what is not there. An answer that rules out is the other side of the same
look: (1 - P(answer | present), 1 - P(answer | absent)). The figures are set for an origin of the
common sort: one decisive look at it is believed, at a rare one it is not yet.
"""

COMMON: dict[str, float] = {"common": 0.06, "occasional": 0.02, "rare": 0.005}
"""Prior probability that an origin has occurred in a unit that comes to the shop, by word."""

UNLISTED = 0.002
"""Prior probability that a condition was started by a cause the book does not know."""

EXPECTED_FROM = 0.4
"""A link at least this likely makes its effect 'expected' when the cause is present."""

EXPECTED_ONWARD_FROM = 0.8
"""A link at least this likely carries 'expected' on to the next effect."""


class Seat(StrEnum):
    """Where a person stands; each later seat can still put the questions of the call."""

    CALL = "call"
    HOIST = "hoist"
    BENCH = "bench"


POSSIBLE_AT: dict[Seat, frozenset[Seat]] = {
    Seat.CALL: frozenset({Seat.CALL}),
    Seat.HOIST: frozenset({Seat.CALL, Seat.HOIST}),
    Seat.BENCH: frozenset({Seat.CALL, Seat.BENCH}),
}
"""The check seats that are within reach from a seat: a unit on the bench has left its vehicle,
but its owner can still be asked."""


DONT_KNOW, CANNOT_CHECK, GONE = "dont-know", "cannot-check", "gone"
TAKEN_BACK = "taken-back"
"""Written when an answer is taken back: the check stands as if it had never been asked."""
SPECIAL = (DONT_KNOW, CANNOT_CHECK, GONE)
"""Answers that every check has: they tell nothing, and are never declared."""


class Verb(StrEnum):
    """What may be done to a part, weakest first: a later one makes an earlier one needless."""

    REUSE = "reuse"
    ADVISE = "advise"
    INSPECT = "inspect"
    CLEAN = "clean"
    REFILL = "refill"
    ADJUST = "adjust"
    SHIM = "shim"
    REPAIR = "repair"
    MACHINE = "machine"
    REPLACE = "replace"
    SCRAP = "scrap"


RENEWED = frozenset({Verb.REPLACE, Verb.SCRAP})
"""A part that is scrapped has another put in its place: for what it corrects, both are one."""


class Nature(StrEnum):
    """What a condition is: damage to a part, a complaint of the vehicle, or another state."""

    DAMAGE = "damage"
    COMPLAINT = "complaint"
    STATE = "state"


class Sense(StrEnum):
    """What an answer comes to: nothing amiss, something amiss, or a fact of history or build."""

    SOUND = "sound"
    BAD = "bad"
    PLAIN = "plain"


class Renewed(StrEnum):
    """When a part is renewed whatever its state."""

    WHEN_REMOVED = "when-removed"


class Drive(StrEnum):
    """May the vehicle be driven? Safest last, so that the worst of several is the greatest."""

    OK = "ok"
    LIMP = "limp"
    PARKED = "parked"
    STOP = "stop"


DRIVE_RANK: dict[Drive, int] = {advice: rank for rank, advice in enumerate(Drive)}
LONG_RUN_KM, SHORT_RUN_KM = 150_000, 60_000
"""From where a bearing, joint or gear has run a long way, and below which a short one.

Common practice, no source: what a distance is read back as, and no more than that.
"""
DANGER_FROM = 0.20
"""A danger at least this probable, and not ruled out, sets the advice by itself ..."""
RISE_FROM = 1.5
"""... if the findings have raised it at least this much over what it was before any of them."""
STOP_FROM = 0.40
"""A danger to stop for does so unfound from this probability on; below, the vehicle limps."""
AS_FOUND_FROM = 0.80
"""From here on it is as good as found."""
IN_QUESTION_FROM = 0.02
"""A danger is in question from here on, raised so much: nothing is OK while it is not acquitted."""
ACQUITTED_BELOW = 0.05
"""It is acquitted when it is ruled out, or below this after an answer that speaks against it."""
LIMP_LIMITS = (
    "only as far as the shop or a safe place, slowly and gently, no trailer and no motorway; "
    "stop at once if it gets louder, rough or hot, or smells"
)
"""How far a vehicle may go with a danger that nobody has found and nobody has ruled out."""
VERB_RANK: dict[Verb, int] = {verb: rank for rank, verb in enumerate(Verb)}

"""What a case comes to, in a sentence."""

from __future__ import annotations

from headwater.book.tables import Drive, Seat
from headwater.verdict.assess import Assessment
from headwater.verdict.ending import Ending
from headwater.verdict.reach import LookState

HEADLINES = {
    Ending.SETTLED: "Settled: every finding is explained by a named origin.",
    Ending.DISPUTED: "Open: findings disagree; look again.",
    Ending.NOT_WORTH_MORE: "Open: looks are left, but they cost more than they are likely to save.",
    Ending.OPEN: "Open: something is not explained yet, and there is more to check.",
    Ending.UNDETERMINED: "Undetermined: no look that is left would name where it began.",
    Ending.SOUND: "Nothing abnormal was found.",
}

NOT_CLEARED = "Asking alone found nothing; somebody has to see or hear it before it is cleared."
DANGER_TOLD = "A sign of danger was told: what to do now comes first."
TROUBLE_TOLD = "What was told is no trouble of the driveline; somebody else should look at it."
WISH_TOLD = "A wish was told, and no trouble."
WISH_AND_MORE = "A wish was told, and something that could not be placed."
NOTHING_TOLD = "Open: nothing was looked at yet."
NAMED_IN_PART = (
    "Named in part: the plan corrects what is named; no look that is left would explain the rest."
)
CANNOT_BE_TOLD = "Undetermined: it cannot be told any more; what would show its origin is gone."
NOTHING_YET = "Open: nothing is found amiss yet, and there is more to check."


def headline(verdict: Assessment) -> str:
    """Return what a case comes to, in a sentence."""
    if verdict.stand.outside and not verdict.accounts:
        return _of_what_is_outside(verdict)
    if verdict.ending is Ending.UNDETERMINED and verdict.origins:
        return NAMED_IN_PART
    if verdict.ending is Ending.UNDETERMINED and _is_gone(verdict):
        return CANNOT_BE_TOLD
    mild = verdict.drive.advice is Drive.OK
    if verdict.ending is Ending.SOUND and verdict.stand.seat is Seat.CALL and not mild:
        return NOT_CLEARED
    if verdict.ending is not Ending.OPEN or verdict.accounts or verdict.loose:
        return HEADLINES[verdict.ending]
    told = any(look.told for look in verdict.evidence.weighed.looks.values())
    return NOTHING_YET if told else NOTHING_TOLD


def _is_gone(verdict: Assessment) -> bool:
    """Say whether a look at something that may be behind it cannot be made any more."""
    accounts, states = verdict.accounts, verdict.stand.states
    behind = {c.origin for cid in verdict.unexplained for c in accounts[cid].candidates}
    gone = (verdict.book.checks[c] for c, state in states.items() if state is LookState.GONE)
    return any(not accounts or behind & set(check.speaks_of()) for check in gone)


def _of_what_is_outside(verdict: Assessment) -> str:
    book, told = verdict.book, verdict.stand.outside
    if any(one in book.emergencies for one in told):
        return DANGER_TOLD
    if not all(book.elsewhere[one].wish for one in told):
        return TROUBLE_TOLD
    stand = verdict.stand
    return WISH_AND_MORE if stand.unplaced or stand.left_telling else WISH_TOLD

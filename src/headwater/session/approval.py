"""The customer's approval: what they agreed to pay, taken down once and never changed.

A later price list changes no quote that was approved: the case keeps which list it was quoted by
and what it came to, sum by sum. A later approval stands beside it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from headwater.book.things import NOWHERE
from headwater.case.model import Approval, ApprovedBy, LogEntry
from headwater.case.read import CaseError
from headwater.session.session import Session

LONGEST_NAME = 200
_MONEY = r"[^\W\d_]{1,4}|[€$£]"
_AMOUNT = re.compile(rf"(?:({_MONEY})\s*)?\d[\d ,.']{{0,14}}(?:\s*({_MONEY}))?")


@dataclass(frozen=True, slots=True)
class Approved:
    """An approval as it is typed: `how` a word of `ApprovedBy`, `on` a day as 2026-03-02.

    `quote` is one of the quotes of the day, word for word, or nothing.
    """

    amount: str
    by: str
    how: str
    on: str
    quote: str = ""


def approve(
    session: Session,
    typed: Approved,
    today: date,
    quotes: Mapping[str, Mapping[str, str]] | None = None,
    currency: str = "",
) -> Approval:
    """Take down that the customer approved an amount; return it as the case has it.

    `quotes` are those of the day, each with its sums, `currency` that of the price list, for an
    amount without one.
    The very same approval counts once. Raises CaseError with what to mend.
    """
    known = quotes or {}
    approval = Approval(
        amount=_amount(typed.amount, currency),
        by=_name(typed.by),
        how=_how(typed.how),
        on=_day(typed.on, today),
        quote=typed.quote,
        sums=dict(known.get(typed.quote, {})),
    )
    if typed.quote and typed.quote not in known:
        text = "this quote is none of the day any more; look at the page again, then approve one"
        raise CaseError(text)
    if approval not in approvals(session):
        seat, now = session.stand.seat, session.clock()
        session.log(LogEntry(approved=approval, seat=seat, at=now))
    return approval


def approvals(session: Session) -> tuple[Approval, ...]:
    """Return what was approved, in the order in which it was taken down; the last one counts."""
    given = (entry.approved for entry in session.case.findings if entry.approved)
    return tuple(replace(one, place=NOWHERE) for one in given)


def _amount(typed: str, currency: str) -> str:
    amount = " ".join(typed.split())
    found = _AMOUNT.fullmatch(amount)
    if found is None:
        raise CaseError(f"'{amount}' is no amount; write a number with its currency: 640.00 EUR")
    return amount if any(found.groups()) or not currency else f"{amount} {currency}"


def _name(typed: str) -> str:
    if name := " ".join(typed.split())[:LONGEST_NAME]:
        return name
    raise CaseError("say who approved it, by name")


def _how(typed: str) -> ApprovedBy:
    if typed in set(ApprovedBy):
        return ApprovedBy(typed)
    raise CaseError(f"say how it was approved: {', '.join(ApprovedBy)}")


def _day(typed: str, today: date) -> str:
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        raise CaseError(f"'{typed}' is no day; write it as {today}") from None
    if day > today:
        raise CaseError(f"{day} has not come yet; write the day on which it was approved")
    return str(day)

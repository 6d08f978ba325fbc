"""What frames a report: the shop and whose vehicle it is, what it stands for, lines to sign on."""

from __future__ import annotations

from collections.abc import Iterator

from headwater.case.model import Case
from headwater.session.approval import approvals
from headwater.session.letterhead import Letterhead
from headwater.session.session import Session
from headwater.view.options import Pricing
from headwater.view.paper import Blanks, Block, Section, Tone, Words, say
from headwater.view.quote import priced_options

SIGNED = ("Name", "Day", "Signature")
READ = "I have read this report."
APPROVED = "Approved as it stands above."
TO_APPROVE = "Of the ways that are named here I approve:"


def head_blocks(head: Letterhead | None, case: Case) -> Iterator[Block]:
    """Yield who writes, and whose vehicle it is, as far as either is known."""
    if head:
        name = f"{head.letterhead}{',' if head.address or head.phone else ''}"
        where = ", ".join(filter(None, (*head.address, head.phone)))
        yield say(Words(name, Tone.STRONG), *([where] if where else []))
    rows = (
        ("Customer", case.customer),
        ("Vehicle", case.vehicle),
        ("Distance", case.distance),
        ("Number of the unit", case.unit.number),
    )
    if known := [f"{name}: {text}." for name, text in rows if text]:
        yield say(*known)


def warranty_sections(head: Letterhead | None) -> Iterator[Section]:
    """Yield what the shop stands for, in its own words."""
    if head and head.warranty:
        yield Section("Warranty", (say(head.warranty),))


def signature_section(session: Session, pricing: Pricing | None) -> Section:
    """Return the lines to sign on, and to approve on where there is a price to approve."""
    if approvals(session):
        return Section("Signature", (Blanks((Words(APPROVED),), SIGNED),))
    prices = pricing.prices if pricing else None
    if pricing and prices and any(sums for _, sums in priced_options(pricing, None)):
        asked = ("Which way, by its number", f"Amount, in {prices.currency}", *SIGNED)
        return Section("Approval", (Blanks((Words(TO_APPROVE),), asked),))
    return Section("Signature", (Blanks((Words(READ),), SIGNED),))

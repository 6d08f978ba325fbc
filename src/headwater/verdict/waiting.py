"""Which parts wait for others: a chain is not corrected while a part that it passes is held."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from headwater.verdict.account import Account, NamedChain
from headwater.verdict.known import Known

MendedOn = Callable[[NamedChain], list[str]]
"""Gives the parts on which both ends of a chain are mended."""


def spread_holds(
    known: Known,
    accounts: Mapping[str, Account],
    damage: Mapping[str, list[str]],
    held: dict[str, str],
    mended_on: MendedOn,
) -> None:
    """Hold what waits for a held part (an origin's, or a damaged middle), until stable."""
    part_of = {cid: part for part, cids in damage.items() for cid in cids}
    changed = True
    while changed:
        changed = False
        for part, cids in damage.items():
            if part in held:
                continue
            blockers = (_blocker(accounts, cid, part_of, held, mended_on) for cid in cids)
            blocker = next((part for part in blockers if part), None)
            if blocker:
                held[part] = f"waits for the {known.book.parts[blocker].title}, which is held"
                changed = True


def _blocker(
    accounts: Mapping[str, Account],
    condition: str,
    part_of: Mapping[str, str],
    held: Mapping[str, str],
    mended_on: MendedOn,
) -> str | None:
    """Return a held part on the way of a condition's chains: it would be left uncorrected."""
    part = part_of[condition]
    for chain in accounts[condition].chains:
        on_way = (part_of[cid] for cid in chain.path if cid in part_of)
        for other in (*mended_on(chain), *on_way):
            if other in held and other != part:
                return other
    return None

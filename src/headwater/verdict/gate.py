"""The gate: the one place that decides whether anything may be recommended for a damaged part.

A damaged part is released only if every confirmed damage on it lies on a chain whose origin is
named, proven or probable (`verdict.naming`). Whatever prints an action gets it from
`Decision.action`; it is None while held.

A part also waits for the parts that its chain passes: where the origin's own part, or a damaged
middle, is held, the end of the chain is held too. What would be done to other parts for the damage
of a held one waits with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from headwater.book.model import Action, Condition
from headwater.book.tables import VERB_RANK, Nature, Verb
from headwater.rules.status import Status
from headwater.verdict.naming import Account, Known, NamedChain, Naming, named_origins


@dataclass(frozen=True, slots=True)
class Decision:
    """Released or held, for one part. `action` is None on a held part, always."""

    part: str
    conditions: tuple[str, ...]
    released: bool
    because: str
    waits_for: tuple[str, ...] = ()
    actions: tuple[Action, ...] = ()

    @property
    def action(self) -> Verb | None:
        """The strongest action on the part; None while it is held."""
        if not self.released or not self.actions:
            return None
        return max((a.action for a in self.actions), key=VERB_RANK.__getitem__)


def decide(known: Known, accounts: Mapping[str, Account]) -> dict[str, Decision]:
    """Return the decision for every part that is damaged or that a named correction acts on."""
    conditions = known.book.conditions
    damage: dict[str, list[str]] = {}
    for cid, record in conditions.items():
        bad = known.status(cid) in (Status.CONFIRMED, Status.DISPUTED)
        if bad and record.part and record.kind is Nature.DAMAGE:
            damage.setdefault(str(record.part), []).append(cid)
    actions = _actions(known, accounts)
    held: dict[str, tuple[str, tuple[str, ...]]] = {}
    for part, cids in damage.items():
        reason = _own_reason(known, accounts, cids)
        if reason:
            held[part] = reason
    _spread_holds(known, accounts, damage, held)
    actions = [item for item in actions if not _belongs_to_held(known, item[2], held)]
    decisions = {}
    for part in dict.fromkeys([*damage, *(part for part, _, _ in actions)]):
        told = tuple(damage.get(part, ()))
        if part in held:
            text, waits = held[part]
            decisions[part] = Decision(part, told, False, text, waits)
        else:
            on_part = tuple(action for p, action, _ in actions if p == part)
            because = _released_because(known, accounts, part, told, actions)
            decisions[part] = Decision(part, told, True, because, (), on_part)
    return decisions


def offered(known: Known, condition: Condition) -> list[Action]:
    """Return the actions that the book offers for a condition, best first, `unless` respected."""
    own = condition.origin.corrections if condition.origin else condition.dispositions
    return [
        action
        for action in own
        if not any(known.status(str(c)) is Status.CONFIRMED for c in action.unless)
    ]


def _belongs_to_held(known: Known, condition: str, held: Mapping[str, Any]) -> bool:
    """Say whether the actions on a damage wait because its part is held, wherever they work."""
    record = known.book.conditions[condition]
    return record.origin is None and str(record.part) in held


def acts_on(condition: Condition, action: Action) -> str:
    """Return the part that an action works on."""
    return str(action.on or condition.part)


def _actions(known: Known, accounts: Mapping[str, Account]) -> list[tuple[str, Action, str]]:
    """Return (part, action, condition) for named origins and for confirmed damage on the way."""
    found: list[tuple[str, Action, str]] = []
    for cid in dict.fromkeys(
        [*named_origins(accounts), *(c for c, account in accounts.items() if account.named)]
    ):
        record = known.book.conditions[cid]
        choices = offered(known, record)
        if not choices:
            continue
        first = choices[0]
        found.append((acts_on(record, first), first, cid))
        # Further dispositions on other parts belong to the same condition (flush the screen too).
        if not record.origin:
            found += [
                (acts_on(record, a), a, cid)
                for a in choices[1:]
                if acts_on(record, a) != acts_on(record, first)
            ]
    return found


def _own_reason(
    known: Known, accounts: Mapping[str, Account], conditions: Iterable[str]
) -> tuple[str, tuple[str, ...]] | None:
    """Return why a part is held for its own damage, or None."""
    for cid in conditions:
        title = known.book.conditions[cid].title
        if known.status(cid) is Status.DISPUTED:
            return f"findings disagree on '{title}': look again", ()
        account = accounts[cid]
        if account.named:
            stuck = [c.origin for c in account.chains if not _mended_on(known, accounts, c.origin)]
            if stuck:
                origin = known.book.conditions[stuck[0]].title
                return f"nothing in the book corrects '{origin}' as things stand", ()
            continue
        if not account.in_book:
            return f"the cause of '{title}' is not in the book", ()
        if account.at_hand:
            return f"no origin of '{title}' is named yet", ()
        return f"no origin of '{title}' can be named: nothing is left to check", ()
    return None


def _mended_on(known: Known, accounts: Mapping[str, Account], condition: str) -> list[str]:
    """Return the parts on which a condition is mended; none where nothing is left that does it.

    What withdrew its own actions (`unless`) takes over, once its own origin is named.
    """
    record = known.book.conditions[condition]
    own = offered(known, record)
    if own:
        return [acts_on(record, own[0])]
    all_own = record.origin.corrections if record.origin else record.dispositions
    withdrawn_by = dict.fromkeys(str(c) for action in all_own for c in action.unless)
    worse = [
        known.book.conditions[cid]
        for cid in withdrawn_by
        if cid != condition and cid in accounts and accounts[cid].named
    ]
    return [acts_on(other, action) for other in worse for action in offered(known, other)[:1]]


def _spread_holds(
    known: Known,
    accounts: Mapping[str, Account],
    damage: Mapping[str, list[str]],
    held: dict[str, tuple[str, tuple[str, ...]]],
) -> None:
    """Hold what waits for a held part (an origin's, or a damaged middle), until stable."""
    part_of = {cid: part for part, cids in damage.items() for cid in cids}
    changed = True
    while changed:
        changed = False
        for part, cids in damage.items():
            if part in held:
                continue
            for cid in cids:
                blocker = _blocker(known, accounts, cid, part_of, held)
                if blocker:
                    title = known.book.parts[blocker].title
                    held[part] = (f"waits for the {title}, which is held", (blocker,))
                    changed = True
                    break


def _blocker(
    known: Known,
    accounts: Mapping[str, Account],
    condition: str,
    part_of: Mapping[str, str],
    held: Mapping[str, Any],
) -> str | None:
    """Return a held part on the way of a condition's chains: it would be left uncorrected."""
    part = part_of[condition]
    for chain in accounts[condition].chains:
        for other in _parts_on_way(known, accounts, chain, part_of):
            if other in held and other != part:
                return other
    return None


def _parts_on_way(
    known: Known,
    accounts: Mapping[str, Account],
    chain: NamedChain,
    part_of: Mapping[str, str],
) -> list[str]:
    mended = [p for end in (chain.origin, chain.found) for p in _mended_on(known, accounts, end)]
    return mended + [part_of[cid] for cid in chain.path if cid in part_of]


def _released_because(
    known: Known,
    accounts: Mapping[str, Account],
    part: str,
    conditions: tuple[str, ...],
    actions: list[tuple[str, Action, str]],
) -> str:
    names: dict[str, Naming] = {}
    for cid in conditions or tuple(c for p, _, c in actions if p == part):
        account = accounts.get(cid)
        for chain in account.chains if account else ():
            names.setdefault(chain.origin, chain.naming)
    told = [f"{known.book.conditions[o].title} ({naming})" for o, naming in names.items()]
    return "origin named: " + "; ".join(told) if told else "its origin is named"

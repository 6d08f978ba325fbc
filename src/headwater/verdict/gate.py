"""The gate: the one place that decides whether anything may be recommended for a damaged part.

A damaged part is released only if every confirmed damage on it lies on a chain whose origin is
named, proven or probable (`verdict.naming`). Whatever prints an action gets it from
`Decision.action` or from a step of the plan; it is None while the part is held.

A part also waits for the parts that its chain passes: where the origin's own part, or a damaged
middle, is held, the end of the chain is held too. What would be done to other parts for the damage
of a held one waits with it.

What mends a condition is sealed in the book, and this module alone opens it. To all others it gives
work on released parts, the names of parts, yes and no, and sums of minutes and money.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from headwater.book.model import Action, Condition
from headwater.book.records import Book
from headwater.book.seal import unseal
from headwater.book.tables import RENEWED, VERB_RANK, Nature, Verb
from headwater.graph.causal import causes_of, effects_of
from headwater.rules.status import Status
from headwater.verdict.account import Account, Candidate, NamedChain, Naming, named_origins
from headwater.verdict.decision import Cost, Decision, Deed, Mending, no_look_left
from headwater.verdict.known import Known
from headwater.verdict.naming import RIVAL_FROM
from headwater.verdict.prices import Prices
from headwater.verdict.sound import sound_parts
from headwater.verdict.waiting import spread_holds

Statuses = Mapping[str, Status]
WHY_NOT_UNDERSTOOD = "part of what was told is not understood yet, and may tell of another cause"
WHY_RENEWED = "renewed with the job, whatever its state; where its damage began is open"


def decide(known: Known, accounts: Mapping[str, Account]) -> dict[str, Decision]:
    """Return the decision for every part that is damaged or that a named correction acts on."""
    damage: dict[str, list[str]] = {}
    for cid, record in known.book.conditions.items():
        bad = known.status(cid) in (Status.CONFIRMED, Status.DISPUTED)
        if bad and record.part and record.kind is Nature.DAMAGE:
            damage.setdefault(str(record.part), []).append(cid)
    held = {part: why for part, cids in damage.items() if (why := _why_held(known, accounts, cids))}
    renewed = dict.fromkeys((part for part in held if is_consumed(known, part)), WHY_RENEWED)
    held = {part: why for part, why in held.items() if part not in renewed}
    waiting = {part: cids for part, cids in damage.items() if part not in renewed}
    spread_holds(known, accounts, waiting, held, lambda chain: _mended_on(known, accounts, chain))
    work = [*_work(known, accounts, held), *_renewals(known, damage, renewed)]
    decisions = {}
    for part in dict.fromkeys([*damage, *(one.part for one in work)]):
        told = tuple(damage.get(part, ()))
        own = tuple(one for one in work if one.part == part)
        why = held.get(part) or renewed.get(part) or _released_because(known, accounts, told, own)
        released = part not in held and part not in renewed
        decisions[part] = Decision(part, told, released, why, own, part in renewed)
    return decisions


def is_consumed(known: Known, part: str) -> bool:
    """Say whether a part is renewed because something that is off has used it up."""
    record = known.book.parts.get(part)
    return (
        record is not None
        and record.renewed is not None
        and any(
            part in known.book.removals[rid].consumes
            for rid in known.stand.removed
            if rid in known.book.removals
        )
    )


def _renewals(
    known: Known, damage: Mapping[str, list[str]], renewed: Iterable[str]
) -> list[Mending]:
    """Return the renewal of parts that the job uses up, whatever their state."""
    found = []
    for part in sorted(renewed):
        renewal = Action(action=Verb.REPLACE, text="It is never fitted twice.", minutes=0.0)
        for cid in damage[part][:1]:
            offered = (a for p, a in _offered(known.book, known.statuses, cid) if p == part)
            action = next((a for a in offered if a.action in RENEWED), None)
            found.append(Mending(part, cid, action or renewal))
    return found


def candidate_mendings(
    known: Known, origins: Iterable[str], decisions: Mapping[str, Decision]
) -> list[Mending]:
    """Return what would correct origins that cannot be told apart, on parts that are not held.

    For the covering plan of an undetermined case, and for nothing else.
    """
    return [
        Mending(part, cid, action)
        for cid in sorted(origins)
        for part, action in _offered(known.book, known.statuses, cid)
        if part in known.book.parts and (part not in decisions or decisions[part].released)
    ]


def covered_damage_mendings(
    known: Known,
    open_accounts: Iterable[Account],
    chosen: Iterable[Mending],
    decisions: Mapping[str, Decision],
) -> list[Mending]:
    """Return what mends the held parts whose damage no live candidate can bring back.

    For the covering plan of an undetermined case, behind its `chosen` corrections, and for nothing
    else: the decisions stay. A part qualifies where each of its damages, and each damage on the way
    to them, is explained or has every live candidate corrected; a cause that the book does not know
    may be no rival.
    """
    corrected = {work.condition for work in chosen if work.action}
    unexplained = {account.condition: account for account in open_accounts}
    covered = {
        cid
        for cid, account in unexplained.items()
        if account.in_book
        and all(c.origin in corrected or _no_rival(c) for c in account.candidates)
    }
    parts = {
        part: decision.conditions
        for part, decision in decisions.items()
        if not decision.released
        and unexplained.keys() & causes_of(known.live, *decision.conditions) <= covered
        and not any(known.status(c) is Status.DISPUTED for c in decision.conditions)
    }
    return [
        Mending(on, cid, action)
        for part, conditions in parts.items()
        for cid in conditions
        if known.book.conditions[cid].origin is None  # what corrects an origin is chosen already
        for on, action in _one_a_part(_offered(known.book, known.statuses, cid)).items()
        if on in known.book.parts and (on in parts or on not in decisions or decisions[on].released)
    ]


def _no_rival(candidate: Candidate) -> bool:
    """Say whether a candidate is a cause not in the book, and too unlikely to be reckoned with."""
    return candidate.origin is None and candidate.share < RIVAL_FROM


def mending_parts(book: Book, statuses: Statuses, condition: str) -> list[str]:
    """Return the parts on which a condition is mended, best first."""
    return list(dict.fromkeys(part for part, _, _ in _mending(book, statuses, condition)))


def corrected_by(book: Book, statuses: Statuses, deeds: Iterable[Deed], condition: str) -> bool:
    """Say whether one of the deeds corrects a condition."""
    known = list(deeds)
    return any(
        _does(deed, part, action, condition)
        for part, action, _ in _mending(book, statuses, condition)
        for deed in known
    )


def corrected_by_exchange(book: Book, statuses: Statuses, condition: str) -> bool:
    """Say whether another unit corrects a condition: all that mends it is done inside the unit."""
    found = mending_parts(book, statuses, condition)
    return bool(found) and not any(p in book.parts and book.parts[p].outside for p in found)


def cost_to_mend(
    book: Book, statuses: Statuses, condition: str, prices: Prices | None
) -> Cost | None:
    """Return what the usual way to mend a condition costs; None where the book has none."""
    for part, action, _ in _mending(book, statuses, condition)[:1]:
        material = prices.material(action.action, part) if prices else None
        money = (
            None if prices is None or material is None else material + prices.work(action.minutes)
        )
        return Cost(part, action.minutes, money)
    return None


FINAL = frozenset({Verb.MACHINE, Verb.SCRAP})
"""Actions that cannot be taken back."""
NEEDS_NO_ORIGIN = frozenset({Verb.REUSE, Verb.ADVISE, Verb.INSPECT, Verb.CLEAN})
"""Actions that cost nothing if the origin is elsewhere."""


def cheap_to_mend(book: Book) -> frozenset[str]:
    """Return what nothing costly or final mends. To put in what is missing is not costly."""

    def dear(record: Condition, action: Action) -> bool:
        part = book.parts.get(_acts_on(record, action))
        cheap = part is not None and part.renewed is not None
        cheap |= record.origin is not None and record.origin.at_fitting
        return action.action in FINAL or (action.action is Verb.REPLACE and not cheap)

    return frozenset(
        cid
        for cid, record in book.conditions.items()
        if not any(dear(record, action) for action in _own(record))
    )


def nothing_to_mend(book: Book) -> frozenset[str]:
    """Return the origins that are no damage and that only advice answers: how it was built."""
    return frozenset(
        cid
        for cid, record in book.origins.items()
        if record.kind is not Nature.DAMAGE
        and {action.action for action in _own(record)} in ({Verb.ADVISE}, {Verb.REUSE})
    )


def minutes_to_mend(book: Book, statuses: Statuses, condition: str) -> float:
    """Return the minutes of the usual way to mend a condition; 0 where the book has none."""
    cost = cost_to_mend(book, statuses, condition, None)
    return cost.minutes if cost else 0.0


def renewal_minutes(book: Book, part: str) -> float:
    """Return the minutes that the book gives for renewing a part; 0 where it says nothing."""
    for record in book.conditions.values():
        for action in _own(record):
            if _acts_on(record, action) == part and action.action in RENEWED:
                return action.minutes
    return 0.0


def _own(condition: Condition) -> tuple[Action, ...]:
    """Return what the book says of mending a condition, whatever was found."""
    return unseal(condition.origin.corrections if condition.origin else condition.dispositions)


def _acts_on(condition: Condition, action: Action) -> str:
    return str(action.on or condition.part)


def _offered(book: Book, statuses: Statuses, condition: str) -> list[tuple[str, Action]]:
    """Return (part, action) of what the book offers for a condition, `unless` respected."""
    record = book.conditions[condition]
    return [
        (_acts_on(record, action), action)
        for action in _own(record)
        if not any(statuses.get(str(c)) is Status.CONFIRMED for c in action.unless)
    ]


def _mending(book: Book, statuses: Statuses, condition: str) -> list[tuple[str, Action, str]]:
    """Return (part, action, condition it is offered for) of all that mends a condition, best first.

    Where everything is withdrawn because something worse was found (`unless`), what mends the worse
    thing mends this as well.
    """
    own = [(part, action, condition) for part, action in _offered(book, statuses, condition)]
    if own:
        return own
    withdrawn_by = {str(c) for action in _own(book.conditions[condition]) for c in action.unless}
    return [
        (part, action, cid)
        for cid in book.conditions
        if cid in withdrawn_by - {condition} and statuses.get(cid) is Status.CONFIRMED
        for part, action in _offered(book, statuses, cid)[:1]
    ]


def _does(deed: Deed, part: str, action: Action, condition: str) -> bool:
    """Say whether a deed is an action of the book, or a stronger one that is said to include it."""
    if deed.part != part:
        return False
    if deed.action is action.action or {deed.action, action.action} <= RENEWED:
        return True
    stronger = VERB_RANK[deed.action] >= VERB_RANK[action.action]
    return stronger and condition in deed.claims


def _named_mending(
    known: Known, accounts: Mapping[str, Account], condition: str
) -> list[tuple[str, Action, str]]:
    """Return what mends a condition; where something worse does, only once that is named."""
    return [
        (part, action, cid)
        for part, action, cid in _mending(known.book, known.statuses, condition)
        if cid == condition or (cid in accounts and accounts[cid].named)
    ]


def _work(known: Known, accounts: Mapping[str, Account], held: Mapping[str, str]) -> list[Mending]:
    """Return the work for named origins and for confirmed damage on the way, held parts' sealed."""
    found = []
    named = [cid for cid, account in accounts.items() if account.named]
    origins = named_origins(accounts)
    sound = sound_parts(known.book, known.statuses, effects_of(known.graph, *origins))
    free = [cid for cid in accounts if _is_free(known, cid)]
    for cid in dict.fromkeys([*origins, *named, *free]):
        record = known.book.conditions[cid]
        waits = record.origin is None and str(record.part) in held
        for choice, (part, action) in enumerate(_picked(known, accounts, cid)):
            if part in sound and part != record.part and record.origin is None:
                continue  # damage often takes a neighbour along; this one was found sound
            if part in held:
                found.append(Mending(part, cid, None, choice))
            elif not waits:
                found.append(Mending(part, cid, action, choice))
    return [*found, *_advice(known, accounts, held)]


def _is_free(known: Known, condition: str) -> bool:
    """Say whether a damage only wants what needs no named origin: reuse, a look, cleaning."""
    offered = _offered(known.book, known.statuses, condition)
    return bool(offered) and all(action.action in NEEDS_NO_ORIGIN for _, action in offered)


def _advice(
    known: Known, accounts: Mapping[str, Account], held: Mapping[str, str]
) -> list[Mending]:
    """Return the advice on usages that were told and are not named: it blocks nothing."""
    named = named_origins(accounts)
    return [
        Mending(part, cid, action)
        for cid in known.book.origins
        if cid not in named and known.is_usage(cid) and known.status(cid) is Status.CONFIRMED
        for part, action in _offered(known.book, known.statuses, cid)
        if action.action is Verb.ADVISE and part not in held
    ]


def _picked(
    known: Known, accounts: Mapping[str, Account], condition: str
) -> list[tuple[str, Action]]:
    """Return the best way to mend a condition; damage may need work on further parts as well.

    Dispositions on other parts belong to the same damage (flush the screen too), one a part.
    """
    ways = _named_mending(known, accounts, condition)
    if known.book.conditions[condition].origin and ways and ways[0][2] == condition:
        ways = ways[:1]
    return list(_one_a_part((part, action) for part, action, _ in ways).items())


def _one_a_part(ways: Iterable[tuple[str, Action]]) -> dict[str, Action]:
    """Return the best action on each part, of ways given best first."""
    picked: dict[str, Action] = {}
    for part, action in ways:
        picked.setdefault(part, action)
    return picked


def _why_held(
    known: Known, accounts: Mapping[str, Account], conditions: Iterable[str]
) -> str | None:
    """Return why a part is held for its own damage, or None."""
    for cid in conditions:
        title = known.book.conditions[cid].title
        if known.status(cid) is Status.DISPUTED:
            return f"findings disagree on '{title}': look again"
        account = accounts[cid]
        if _is_free(known, cid):
            continue
        if account.named and known.stand.not_understood:
            return WHY_NOT_UNDERSTOOD
        if account.named:
            stuck = [c for c in account.chains if not _named_mending(known, accounts, c.origin)]
            if stuck:
                origin = known.book.conditions[stuck[0].origin].title
                return f"nothing in the book corrects '{origin}' as things stand"
            continue
        if not account.in_book:
            return f"the cause of '{title}' is not in the book"
        if account.hangs_on:
            return f"what names the origin of '{title}' hangs on one act alone"
        if account.at_hand:
            return f"no origin of '{title}' is named yet"
        return no_look_left(known.book, account, RIVAL_FROM)
    return None


def _mended_on(known: Known, accounts: Mapping[str, Account], chain: NamedChain) -> list[str]:
    """Return the parts on which both ends of a chain are mended."""
    mended = []
    for end in (chain.origin, chain.found):
        ways = _named_mending(known, accounts, end)
        own = [part for part, _, cid in ways if cid == end]
        mended += own[:1] or [part for part, _, _ in ways]
    return mended


def _released_because(
    known: Known,
    accounts: Mapping[str, Account],
    conditions: tuple[str, ...],
    work: tuple[Mending, ...],
) -> str:
    names: dict[str, Naming] = {}
    for cid in conditions or tuple(one.condition for one in work):
        account = accounts.get(cid)
        for chain in account.chains if account else ():
            names.setdefault(chain.origin, chain.naming)
    told = [f"{known.book.conditions[o].title} ({naming})" for o, naming in names.items()]
    if told:
        return "origin named: " + "; ".join(told)
    return "this needs no named origin"

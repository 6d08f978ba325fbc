"""The plan: origins first, then the middle of the chain, then the part; each part once.

Every action here comes from the gate, so a held part has none.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from headwater.book.records import Book
from headwater.book.tables import RENEWED, VERB_RANK, Nature, Verb
from headwater.graph.causal import causal_order, chance_of, likeliest_chains
from headwater.graph.cover import Offer, cheapest_cover
from headwater.rules.status import Status
from headwater.verdict.gate import Decision, Mending, candidate_mendings
from headwater.verdict.naming import LIVE_FROM, Account, Known, named_origins

LOOK_FROM = 0.3
LOOK_AT_MOST = 6
HELD_STEP = "held: no action yet"


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the plan. `action` is None where the part is held; `corrects` are conditions."""

    action: Verb | None
    on: str
    corrects: tuple[str, ...]
    text: str = ""
    minutes: float = 0.0
    fitting: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def make_plan(
    known: Known, accounts: Mapping[str, Account], decisions: Mapping[str, Decision]
) -> list[Step]:
    """Return the steps in working order."""
    named = named_origins(accounts)
    on_chains = {
        cid for account in accounts.values() for chain in account.chains for cid in chain.path
    }
    origins = causal_order(known.graph, named)
    rest = [cid for cid in causal_order(known.graph, on_chains) if cid not in named]
    steps: list[Step] = []
    for cid in [*origins, *rest]:
        account = accounts.get(cid)
        if cid in named or (account and account.named):
            steps += _corrections(cid, decisions)
        else:  # a chain passes nothing that is ruled out, so it may be there
            steps += _look(known, cid, decisions)
    told = {one.condition for d in decisions.values() for one in d.mendings}
    for cid in causal_order(known.graph, told - set(named) - on_chains):
        steps += _corrections(cid, decisions)
    steps += _collateral(known, named, on_chains, decisions)
    return merge(known.book, steps)


def _corrections(cid: str, decisions: Mapping[str, Decision]) -> list[Step]:
    """Return what the gate gives to mend a condition, best way first; nothing to do where held."""
    given = (one for decision in decisions.values() for one in decision.mendings)
    return [_step(one) for one in sorted(given, key=lambda w: w.choice) if one.condition == cid]


def _step(work: Mending) -> Step:
    action = work.action
    if action is None:
        return Step(None, work.part, (work.condition,), text=HELD_STEP)
    return Step(
        action.action,
        work.part,
        (work.condition,),
        action.text,
        action.minutes,
        action.fitting,
        tuple(str(c) for c in action.cautions),
    )


def _look(known: Known, cid: str, decisions: Mapping[str, Decision]) -> list[Step]:
    """Return the step that looks at an unconfirmed condition; none on a held part."""
    record = known.book.conditions[cid]
    decision = decisions.get(str(record.part))
    if not record.part or (decision is not None and not decision.released):
        return []
    return [Step(Verb.INSPECT, str(record.part), (cid,), f"Look for: {record.title}.", 3.0)]


def _collateral(
    known: Known,
    named: Iterable[str],
    on_chains: set[str],
    decisions: Mapping[str, Decision],
) -> list[Step]:
    """Return looks at what the named origins probably damaged as well, likeliest first."""
    chances: dict[str, float] = {}
    for cid, record in known.book.conditions.items():
        expected = known.status(cid) is Status.EXPECTED and record.kind is Nature.DAMAGE
        paths = likeliest_chains(known.live, cid) if expected and cid not in on_chains else {}
        for path in (paths[origin] for origin in named if origin in paths):
            chances[cid] = max(chances.get(cid, 0.0), chance_of(known.graph, path))
    likely = [cid for cid, chance in chances.items() if chance >= LOOK_FROM]
    likely.sort(key=lambda cid: -chances[cid])
    return [step for cid in likely[:LOOK_AT_MOST] for step in _look(known, cid, decisions)]


def merge(book: Book, steps: Iterable[Step]) -> list[Step]:
    """Return the steps with each part once, at its first place, under its strongest action."""
    merged: dict[str, Step] = {}
    for step in steps:
        before = merged.get(step.on)
        merged[step.on] = step if before is None else _joined(book, before, step)
    return [step for step in merged.values() if step.on in book.parts]


def _joined(book: Book, one: Step, other: Step) -> Step:
    if one.action is None or other.action is None:
        held = one if one.action is None else other
        return replace(held, corrects=tuple(dict.fromkeys((*one.corrects, *other.corrects))))
    first, second = sorted((one, other), key=lambda s: -VERB_RANK[s.action or Verb.REUSE])
    same = first.text == second.text or _within(book, second, first)
    text = first.text if same else f"{first.text} {second.text}"
    return Step(
        first.action,
        one.on,
        tuple(dict.fromkeys((*one.corrects, *other.corrects))),
        text,
        first.minutes if same else first.minutes + second.minutes,
        tuple(dict.fromkeys((*first.fitting, *second.fitting))),
        tuple(dict.fromkeys((*first.cautions, *second.cautions))),
    )


def _within(book: Book, lesser: Step, greater: Step) -> bool:
    """Say whether a part renewed whole makes another step on it needless.

    What mends the part's own damage goes out with it. What a sound part would do as well (let go of
    its ring when hot, stand unflushed) must still be seen to.
    """
    if greater.action not in RENEWED:
        return False
    own = all(book.conditions[c].kind is Nature.DAMAGE for c in lesser.corrects)
    return lesser.action in RENEWED or own


def covering_plan(
    known: Known, open_accounts: Iterable[Account], decisions: Mapping[str, Decision]
) -> list[Step] | None:
    """Return the cheapest set of corrections that covers every live candidate; None if none does.

    An offer on a held part is left out: the gate lets nobody act on it. What no correction covers
    can only be met with an exchange unit, and so can a cause that the book does not know.
    """
    wanted = {
        c.origin
        for account in open_accounts
        for c in account.candidates
        if c.origin and c.share >= LIVE_FROM
    }
    steps: dict[tuple[Verb | None, str, str], Step] = {}
    for work in candidate_mendings(known, wanted, decisions):
        step = _step(work)
        # A part renewed is renewed for every origin on it; of other work each text is its own.
        key = (step.action, step.on, "" if step.action in RENEWED else step.text)
        steps[key] = _joined(known.book, steps[key], step) if key in steps else step
    offers = [Offer(key, frozenset(step.corrects), step.minutes) for key, step in steps.items()]
    chosen = cheapest_cover(frozenset(wanted), offers)
    return merge(known.book, [steps[offer.key] for offer in chosen]) if chosen else None

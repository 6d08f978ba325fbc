"""The plan: what corrects origins, the middle of their chains and the parts, as a bench does it.

Every action here comes from the gate, so a held part has none. What a plan is *for* runs from the
origin down; the order of work is another one, and both are told (`verdict.jobsheet`). Work is
sorted by one key (`working_order`): its stage, then how deep within the unit it lies, for what lies
deepest goes back first, then the way from the origin down.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from headwater.book.records import Book
from headwater.book.tables import RENEWED, VERB_RANK, Nature, Verb
from headwater.graph.causal import causal_order, chance_of, likeliest_chains
from headwater.graph.cover import Offer, cheapest_cover
from headwater.rules.status import Status
from headwater.verdict.account import Account, named_origins
from headwater.verdict.decision import Decision, Mending
from headwater.verdict.gate import candidate_mendings, covered_damage_mendings
from headwater.verdict.known import Known
from headwater.verdict.naming import LIVE_FROM
from headwater.verdict.opening import Deciders, depth, looks_at, way_in

LOOK_FROM = 0.3
LOOK_AT_MOST = 6
THERE_FROM = 0.9
"""Chance from which damage is looked for by what was found, however seldom its cause does it."""
HELD_STEP = "held: no action yet"
OLD_OIL_OUT = "Let the old oil out, and wash away what it carried, before a new part goes in."


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


class Stage(StrEnum):
    """The stages of a job, in their order: each says why a step stands where it does."""

    CLEAR = "dirt and old oil out, before anything goes in"
    LOOK = "look before more is fitted"
    FIT = "mend and fit, innermost first, as it goes back together"
    VEHICLE = "on the vehicle, once the unit is in its place"
    FILL = "fill, last and once; only then is it driven"
    HAND_OVER = "as it is handed over"
    WAIT = "waits: no action yet"


STAGE_RANK: dict[Stage, int] = {stage: rank for rank, stage in enumerate(Stage)}
_STAGES = {
    None: Stage.WAIT,
    Verb.ADVISE: Stage.HAND_OVER,
    Verb.INSPECT: Stage.LOOK,
    Verb.REFILL: Stage.FILL,
}
BARE = frozenset({Verb.MACHINE, Verb.SCRAP})
"""What is done to a part that lies bare, before anything goes into it."""


def stage_of(book: Book, step: Step) -> Stage:
    """Return the stage of a job to which a step belongs."""
    if step.action in _STAGES:
        return _STAGES[step.action]
    if step.on in book.parts and book.parts[step.on].outside:
        return Stage.VEHICLE
    return Stage.CLEAR if step.action is Verb.CLEAN else Stage.FIT


def working_order(book: Book, deciders: Deciders, steps: Iterable[Step]) -> list[Step]:
    """Return steps as a bench does them, each part once; a refill is two: old oil out, new oil in.

    What is done to bare parts comes before all that goes into them, and what closes the unit (a
    part that is always renewed) after it. Steps that neither stage nor depth tells apart keep their
    order, which runs from the origin down.
    """

    def place(step: Step) -> tuple[int, bool, bool, int]:
        deepest = (removal for way in looks_at(book, deciders, step.on) for removal in way)
        closes = book.parts[step.on].renewed is not None and step.action in RENEWED
        rank = STAGE_RANK[stage_of(book, step)]
        return rank, step.action not in BARE, closes, -depth(book, deepest)

    return sorted(_emptied(book, merge(book, steps)), key=place)


def way_to(book: Book, deciders: Deciders, step: Step) -> tuple[str, ...]:
    """Return the removals from a closed unit that a step needs, in their order.

    What is machined, or put in place of a scrapped part, must lie bare.
    """
    return way_in(book, deciders, step.on, step.corrects, bare=step.action in BARE)


def _emptied(book: Book, steps: list[Step]) -> list[Step]:
    """Return the steps with the old oil let out on its own, where new parts go in before oil."""
    stages = [stage_of(book, step) for step in steps]
    if Stage.FIT not in stages:
        return steps
    worked = (Stage.CLEAR, Stage.FIT)
    seen = {step.on for step, stage in zip(steps, stages, strict=True) if stage in worked}
    return steps + [
        Step(Verb.CLEAN, step.on, step.corrects, OLD_OIL_OUT)
        for step in steps
        if step.action is Verb.REFILL and step.on not in seen and not book.parts[step.on].outside
    ]


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
    told = {one.condition for d in decisions.values() for one in d.mendings}
    steps: list[Step] = []
    for cid in [*origins, *rest]:
        steps += _corrections(cid, decisions)
        # A chain passes nothing that is ruled out: what is not found there may be there.
        if cid not in told and cid not in accounts:
            steps += _look(known, cid, decisions)
    for cid in causal_order(known.graph, told - set(named) - on_chains):
        steps += _corrections(cid, decisions)
    reached = {rid for step in steps if step.action for rid in _way(known, step)}
    reached |= known.stand.removed
    steps += (
        look
        for look in _collateral(known, named, on_chains, decisions)
        if reached.issuperset(_way(known, look))
    )
    return working_order(known.book, known.deciders, steps)


def _way(known: Known, step: Step) -> tuple[str, ...]:
    return way_to(known.book, known.deciders, step)


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
    """Return the step that looks at an unconfirmed condition; none where nothing can be seen of it.

    A held part waits for its origin.
    """
    record = known.book.conditions[cid]
    decision = decisions.get(str(record.part))
    hidden = record.unobservable or not record.part
    if hidden or (decision is not None and not decision.released):
        return []
    return [Step(Verb.INSPECT, str(record.part), (cid,), f"Look for: {record.title}.", 3.0)]


def _collateral(
    known: Known,
    named: Iterable[str],
    on_chains: set[str],
    decisions: Mapping[str, Decision],
) -> list[Step]:
    """Return looks at what the named origins probably damaged as well, likeliest first.

    The caller leaves out those that nothing else opens the unit for.
    """
    chances: dict[str, float] = {}
    for cid, record in known.book.conditions.items():
        # What is on a circle is upstream and downstream at once.
        below = known.status(cid) in (Status.EXPECTED, Status.SUSPECTED)
        expected = below and record.kind is Nature.DAMAGE
        paths = likeliest_chains(known.live, cid) if expected and cid not in on_chains else {}
        for path in (paths[origin] for origin in named if origin in paths):
            chances[cid] = max(chances.get(cid, 0.0), chance_of(known.graph, path))
            there = known.figures.posterior.conditions.get(cid, 0.0)
            chances[cid] = max(chances[cid], there if there >= THERE_FROM else 0.0)
    likely = [cid for cid, chance in chances.items() if chance >= LOOK_FROM]
    likely.sort(key=lambda cid: -chances[cid])
    return [step for cid in likely[:LOOK_AT_MOST] for step in _look(known, cid, decisions)]


def merge(book: Book, steps: Iterable[Step]) -> list[Step]:
    """Return the steps with each part once, at its first place, under its strongest action.

    Oil is filled for itself: what else is done where it stands comes long before.
    """
    merged: dict[tuple[str, bool], Step] = {}
    for step in steps:
        key = (step.on, step.action is Verb.REFILL)
        before = merged.get(key)
        merged[key] = step if before is None else _joined(book, before, step)
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


def live_shares(accounts: Iterable[Account]) -> dict[str, float]:
    """Return the live origins of what is not explained by largest share, likeliest first."""
    shares: dict[str, float] = {}
    for candidate in (c for account in accounts for c in account.candidates):
        if candidate.origin and candidate.share >= LIVE_FROM:
            shares[candidate.origin] = max(shares.get(candidate.origin, 0.0), candidate.share)
    return dict(sorted(shares.items(), key=lambda item: (-item[1], item[0])))


def covering_plan(
    known: Known, open_accounts: Iterable[Account], decisions: Mapping[str, Decision]
) -> list[Step] | None:
    """Return the cheapest set of corrections that covers every live candidate; None if none does.

    The corrections come first, those of the likeliest candidates before the others; then the
    damaged parts themselves, which the gate gives once nothing can bring their damage back. A
    correction on a held part is left out: the gate lets nobody act on it. What no correction covers
    can only be met with an exchange unit.
    """
    accounts = list(open_accounts)
    shares = live_shares(accounts)
    works = candidate_mendings(known, shares, decisions)
    chosen = _cheapest(known.book, frozenset(shares), works)
    if not chosen:
        return None
    damage = covered_damage_mendings(known, accounts, works, decisions)
    mended = working_order(known.book, known.deciders, map(_step, damage))
    corrections = sorted(
        merge(known.book, chosen), key=lambda step: -max(shares[c] for c in step.corrects)
    )
    return merge(known.book, [*corrections, *mended])


def _cheapest(book: Book, wanted: frozenset[str], works: Iterable[Mending]) -> list[Step] | None:
    """Return the cheapest steps that correct all that is wanted; None where something is left."""
    steps: dict[tuple[Verb | None, str, str], Step] = {}
    for step in map(_step, works):
        # A part renewed is renewed for every origin on it; of other work each text is its own.
        key = (step.action, step.on, "" if step.action in RENEWED else step.text)
        steps[key] = _joined(book, steps[key], step) if key in steps else step
    offers = [Offer(key, frozenset(step.corrects), step.minutes) for key, step in steps.items()]
    chosen = cheapest_cover(wanted, offers)
    return None if chosen is None else [steps[offer.key] for offer in chosen]

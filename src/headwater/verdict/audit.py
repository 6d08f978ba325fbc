"""What a proposed repair would leave uncorrected, and by which chain its new parts fail again.

The audit advises nothing of its own: what is missing comes from `Assessment.plan`, and what touches
a held part is refused without saying what else to do to it. It passes only if the case is settled,
every named origin is corrected, every damaged part of its chain is dealt with, and nothing is held.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from headwater.book.tables import RENEWED, VERB_RANK, Nature, Verb
from headwater.graph.causal import chains_between, likeliest_chains
from headwater.rules.status import Status
from headwater.verdict.account import NamedChain, Naming
from headwater.verdict.assess import Assessment
from headwater.verdict.decision import Deed
from headwater.verdict.ending import Ending
from headwater.verdict.gate import corrected_by, corrected_by_exchange, mending_parts
from headwater.verdict.plan import Step


@dataclass(frozen=True, slots=True)
class ProposedPart:
    """One thing that is proposed. `part` is None where the book knows no such part."""

    words: str
    part: str | None
    action: Verb = Verb.REPLACE
    claims: frozenset[str] = frozenset()
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A repair that somebody proposes: by a plan file, on the phone, in a forum."""

    name: str
    items: tuple[ProposedPart, ...] = ()
    exchange: bool = False

    @property
    def deeds(self) -> list[Deed]:
        """Return what it would do to parts that the book knows."""
        return [Deed(i.action, i.part, i.claims) for i in self.items if i.part]


@dataclass(frozen=True, slots=True)
class Left:
    """A named origin that stays in place, and the chains by which proposed parts fail again."""

    origin: str
    naming: Naming
    again: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class Refused:
    """A proposed part that is held: why, and which checks would tell. Never with an action."""

    part: str
    because: str
    checks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Other:
    """A proposed part for which the plan has another action."""

    item: ProposedPart
    planned: Verb


@dataclass(frozen=True, slots=True)
class Audit:
    """What was found in a proposal. `sentence` says in one sentence how it comes out."""

    proposal: Proposal
    passed: bool
    sentence: str
    left: tuple[Left, ...] = ()
    refused: tuple[Refused, ...] = ()
    held: tuple[Refused, ...] = ()
    idle: tuple[ProposedPart, ...] = ()
    unknown: tuple[ProposedPart, ...] = ()
    other: tuple[Other, ...] = ()
    missing: tuple[Step, ...] = ()


def audit(assessment: Assessment, proposal: Proposal) -> Audit:
    """Return what a proposal leaves in place, repeats, and misses."""
    known = [item for item in proposal.items if item.part]
    on_chain = parts_on_chains(assessment)
    left = tuple(_left(assessment, proposal, on_chain))
    held = tuple(_held(assessment, part) for part in assessment.held)
    wanted = {item.part for item in known}
    missing = tuple(_missing(assessment, proposal))
    found = Audit(
        proposal=proposal,
        passed=False,
        sentence="",
        left=left,
        refused=tuple(one for one in held if one.part in wanted),
        held=tuple(one for one in held if one.part not in wanted),
        idle=tuple(item for item in known if item.part not in on_chain),
        unknown=tuple(item for item in proposal.items if not item.part),
        other=tuple(_other(assessment, known)),
        missing=missing,
    )
    return _judged(assessment, found)


def _judged(assessment: Assessment, found: Audit) -> Audit:
    trouble = _trouble(assessment, found)
    if trouble:
        return replace(found, sentence=f"Refused: {trouble}.")
    return replace(
        found,
        passed=True,
        sentence="Passed: it corrects every named origin and leaves nothing of their chains.",
    )


def _trouble(assessment: Assessment, found: Audit) -> str:
    """Return the gravest reason to refuse, or nothing."""
    book = assessment.book
    if not assessment.stand.answered:
        return "nothing was found yet, so nothing can be said for any repair"
    if found.refused:
        first = found.refused[0]
        return f"the {book.parts[first.part].title} is held, {first.because}"
    if assessment.ending is Ending.SOUND:
        return "nothing abnormal was found, so no proposed part lies on a chain"
    if found.left:
        first_left = found.left[0]
        origin = f"'{book.conditions[first_left.origin].title}'"
        more = f" (and {len(found.left) - 1} more)" if len(found.left) > 1 else ""
        again = [book.parts[part].title for part, _ in first_left.again]
        tail = f", and by its chain the {again[0]} fails again" if again else ""
        return f"it leaves the origin {origin} in place{more}{tail}"
    if found.proposal.exchange and assessment.ending is Ending.UNDETERMINED:
        return (
            "no origin is named; an exchange unit is one of the two ways left, but an origin "
            "outside the unit would stay in place"
        )
    if found.held:
        first = found.held[0]
        return f"the {book.parts[first.part].title} is held, {first.because}"
    if not assessment.settled:
        return "not every finding is explained by a named origin"
    undone = [s for s in found.missing if s.action is not Verb.INSPECT]
    if undone:
        title = book.parts[undone[0].on].title
        return f"it corrects every origin, but leaves the {title} as its chain left it"
    return ""


def _left(assessment: Assessment, proposal: Proposal, on_chain: set[str]) -> list[Left]:
    book, statuses = assessment.book, assessment.statuses
    found = []
    for cid, naming in assessment.origins.items():
        done = corrected_by(book, statuses, proposal.deeds, cid) or (
            proposal.exchange and corrected_by_exchange(book, statuses, cid)
        )
        if not done:
            parts = [i.part for i in proposal.items if i.part and i.part in on_chain]
            if proposal.exchange:
                parts += [p for p, d in assessment.decisions.items() if d.conditions]
            found.append(Left(cid, naming, tuple(_fails_again(assessment, parts, cid))))
    return found


def _fails_again(
    assessment: Assessment, parts: Sequence[str], origin: str
) -> list[tuple[str, tuple[str, ...]]]:
    """Return for each proposed part the chain by which the origin damages it again.

    A chain that was named in this case comes first; otherwise the likeliest one in the book. Held
    parts are left out: they are not to be had in the first place.
    """
    book = assessment.book
    own = mending_parts(book, assessment.statuses, origin)
    live = assessment.live
    found: dict[str, tuple[str, ...]] = {}
    for part in parts:
        if part in own or part in found or part in assessment.held:
            continue
        ends = [c for c, r in book.conditions.items() if r.part == part and _damage(r.kind)]
        ends.sort(key=lambda c: assessment.statuses[c] is not Status.CONFIRMED)
        for end in ends:
            path = _named_path(assessment, origin, end) or likeliest_chains(live, end).get(origin)
            if path and len(path) > 1:
                found[part] = path
                break
    return list(found.items())


def _damage(kind: Nature) -> bool:
    return kind is Nature.DAMAGE


def _named_path(assessment: Assessment, origin: str, end: str) -> tuple[str, ...] | None:
    account = assessment.accounts.get(end)
    chains: Sequence[NamedChain] = account.chains if account else ()
    return next((chain.path for chain in chains if chain.origin == origin), None)


def parts_on_chains(assessment: Assessment) -> set[str]:
    """Return the parts that the chains of this case touch: named ones, or live ones while open."""
    book = assessment.book
    conditions: set[str] = set()
    for account in assessment.accounts.values():
        conditions.add(account.condition)
        for chain in account.chains:
            conditions.update(chain.path)
        if account.named:
            continue
        for candidate in account.candidates:
            for path in chains_between(
                assessment.reasoner.graph, candidate.origin or "", account.condition, 3
            ):
                conditions.update(path)
    parts = {str(book.conditions[c].part) for c in conditions if book.conditions[c].part}
    for cid in conditions:
        parts.update(mending_parts(book, assessment.statuses, cid))
    return parts | {step.on for step in assessment.plan} | set(assessment.decisions)


def _held(assessment: Assessment, part: str) -> Refused:
    decision = assessment.decisions[part]
    checks = {
        check: None
        for cid in decision.conditions
        if cid in assessment.accounts
        for check in assessment.accounts[cid].at_hand
    }
    return Refused(part, decision.because, tuple(checks))


def _missing(assessment: Assessment, proposal: Proposal) -> list[Step]:
    """Return the steps of the plan that the proposal does not do, held ones left out."""
    found = []
    by_part: dict[str, list[Verb]] = {}
    for deed in proposal.deeds:
        by_part.setdefault(deed.part, []).append(deed.action)
    for step in assessment.plan:
        if step.action is None:
            continue
        if proposal.exchange and not assessment.book.parts[step.on].outside:
            continue
        verbs = by_part.get(step.on, [])
        if not any(
            VERB_RANK[verb] >= VERB_RANK[step.action] or _same(verb, step) for verb in verbs
        ):
            found.append(step)
    return found


def _same(verb: Verb, step: Step) -> bool:
    return {verb, step.action} <= RENEWED


def _other(assessment: Assessment, known: Sequence[ProposedPart]) -> list[Other]:
    """Return the proposed parts that the gate releases to something other than what is proposed."""
    found = []
    for item in known:
        step = next((s for s in assessment.plan if s.on == item.part and s.action), None)
        if step and step.action and step.action is not item.action and not _same(item.action, step):
            found.append(Other(item, step.action))
    return found

"""What a case comes to, as one record: for people, for pages and for other programs.

It is made once from a session. Every field carries the id that a program wants; what people read of
it stands beside, in words. The JSON of `diagnose --json` is this record and nothing else (design,
section 9). An action is None on a held part.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any, ClassVar

from headwater.book.tables import Seat, Verb
from headwater.graph.causal import entrances, loops
from headwater.rules.status import Status, why
from headwater.session.ask import NextCheck, Purpose
from headwater.session.session import Session
from headwater.verdict.account import NamedChain, Naming
from headwater.verdict.assess import Assessment
from headwater.verdict.decision import Decision
from headwater.verdict.ending import Ending
from headwater.verdict.plan import HELD_STEP, Step
from headwater.view.advice import AdviceView, advice_view
from headwater.view.answers import FindingView, finding_views
from headwater.view.headline import headline
from headwater.view.left import LOOKS_TOLD, LooseView, look_words, loose_view
from headwater.view.tree import shown_chains
from headwater.view.words import minutes_words, part_title, title, why_lines

STANDING_CAUTION = "The maker's manual, local rules and licensed practice come first."


@dataclass(frozen=True, slots=True)
class BookView:
    """Which book judged the case, and whether it has changed since the case was made."""

    name: str
    version: str
    digest: str
    changed_since_case: bool


@dataclass(frozen=True, slots=True)
class ConditionView:
    """The status of a condition, and why."""

    id: str
    status: Status
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EvidenceView:
    """What is known of the two ends of a link."""

    cause: Status
    effect: Status


@dataclass(frozen=True, slots=True)
class LinkView:
    """One link of a chain."""

    cause: str
    effect: str
    how: str
    often: str
    evidence: EvidenceView


@dataclass(frozen=True, slots=True)
class ChainView:
    """A chain from an origin to what was found, and how surely it is named."""

    id: str
    origin: str
    path: tuple[str, ...]
    status: Naming
    links: tuple[LinkView, ...]


@dataclass(frozen=True, slots=True)
class OriginView:
    """An origin that is named, or still live."""

    id: str
    title: str
    status: Naming
    probability: float


@dataclass(frozen=True, slots=True)
class PartView:
    """Whether a part is released or held. `action` is None on a held part, always."""

    RULE: ClassVar[dict[str, Any]] = {
        "if": {"properties": {"disposition": {"const": "held"}}},
        "then": {"properties": {"action": {"type": "null"}}},
        "else": {"properties": {"disposition": {"enum": ["released", "renewed"]}}},
    }

    part: str
    title: str
    conditions: tuple[str, ...]
    found: tuple[str, ...]
    disposition: str
    action: Verb | None
    because: str
    next_checks: tuple[str, ...]
    looks: tuple[str, ...]

    @property
    def held(self) -> bool:
        """True when no action on it is recommended yet."""
        return self.disposition == "held"


@dataclass(frozen=True, slots=True)
class StepView:
    """One step of a plan; `action` is None where the part is held, and nothing else is told."""

    RULE: ClassVar[dict[str, Any]] = {
        "if": {"properties": {"action": {"type": "null"}}},
        "then": {
            "properties": {
                "step": {"const": HELD_STEP},
                "minutes": {"const": 0},
                "fitting": {"maxItems": 0},
                "cautions": {"maxItems": 0},
            }
        },
    }

    step: str
    action: Verb | None
    on: str
    title: str
    corrects: tuple[str, ...]
    minutes: float
    fitting: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CandidateView:
    """A live origin of something found, with its share; origin None is a cause not in the book."""

    origin: str | None
    title: str
    share: float


@dataclass(frozen=True, slots=True)
class UnexplainedView:
    """Something found that no named origin explains."""

    condition: str
    title: str
    in_book: bool
    candidates: tuple[CandidateView, ...]

    @property
    def other(self) -> float:
        """The share of causes that the book does not know."""
        return next((c.share for c in self.candidates if c.origin is None), 0.0)


@dataclass(frozen=True, slots=True)
class EntryView:
    """A cause that enters a loop."""

    cause: str
    member: str
    status: Status


@dataclass(frozen=True, slots=True)
class LoopView:
    """A loop that the findings touch, and what enters it."""

    members: tuple[str, ...]
    confirmed: tuple[str, ...]
    entered_by: tuple[EntryView, ...]


@dataclass(frozen=True, slots=True)
class NextView:
    """A check worth making: its minutes with what must be opened first, its gain in bits."""

    check: str
    ask: str
    seat: Seat
    minutes: float
    opens: tuple[str, ...]
    gain: float
    purpose: Purpose

    @property
    def words(self) -> str:
        """The check with its id and minutes."""
        return f"{self.ask} ({self.check}, {minutes_words(self.minutes)})"


@dataclass(frozen=True, slots=True)
class CaseView:
    """Everything that a case comes to. `told` is what was said, sentence by sentence.

    `next_checks` has what can be made at this seat first (`here` of them), then what a later one
    would settle.
    """

    case: str
    told: tuple[str, ...]
    not_placed: tuple[str, ...]
    verdict: Ending
    headline: str
    book: BookView
    findings: tuple[FindingView, ...]
    conditions: tuple[ConditionView, ...]
    chains: tuple[ChainView, ...]
    origins: tuple[OriginView, ...]
    parts: tuple[PartView, ...]
    plan: tuple[StepView, ...]
    cover: tuple[StepView, ...]
    unexplained: tuple[UnexplainedView, ...]
    loose: tuple[LooseView, ...]
    disputed: tuple[str, ...]
    loops: tuple[LoopView, ...]
    next_checks: tuple[NextView, ...]
    here: int
    drive: AdviceView
    cautions: tuple[str, ...]
    overrides: tuple[str, ...]

    @property
    def now(self) -> tuple[NextView, ...]:
        """The checks worth making at this seat."""
        return self.next_checks[: self.here]

    @property
    def later(self) -> tuple[NextView, ...]:
        """The checks that a later seat would settle; none once the case is settled."""
        return () if self.verdict is Ending.SETTLED else self.next_checks[self.here :]


def case_view(session: Session) -> CaseView:
    """Return what a case comes to."""
    verdict = session.verdict
    book = verdict.book
    asked, later = session.next(), session.later()
    ranked = [*asked, *later]
    return CaseView(
        case=session.case.case,
        told=session.case.told,
        not_placed=session.case.not_placed,
        verdict=verdict.ending,
        headline=headline(verdict),
        book=BookView(book.name, book.version, book.digest, session.stale),
        findings=finding_views(session),
        conditions=_conditions(verdict),
        chains=tuple(_chain(verdict, chain) for chain in shown_chains(verdict)),
        origins=_origins(verdict),
        parts=tuple(part_view(verdict, d, ranked) for d in verdict.decisions.values()),
        plan=tuple(step_view(verdict, step) for step in verdict.plan),
        cover=tuple(step_view(verdict, step) for step in verdict.cover or ()),
        unexplained=tuple(unexplained_view(verdict, cid) for cid in verdict.unexplained),
        loose=tuple(loose_view(verdict, one) for one in verdict.loose),
        disputed=tuple(verdict.disputed),
        loops=tuple(_loops(verdict)),
        next_checks=tuple(next_view(verdict, item) for item in ranked),
        here=len(asked),
        drive=advice_view(verdict),
        cautions=cautions(verdict, asked),
        overrides=tuple(f"{o.kind} {o.id} from pack {o.pack}" for o in book.overrides),
    )


def _conditions(verdict: Assessment) -> tuple[ConditionView, ...]:
    return tuple(
        ConditionView(cid, status, tuple(why_lines(verdict, why(verdict.derivation, cid))))
        for cid, status in verdict.statuses.items()
        if status is not Status.UNKNOWN
    )


def _chain(verdict: Assessment, chain: NamedChain) -> ChainView:
    links = []
    for cause, effect in pairwise(chain.path):
        link = verdict.book.links[cause, effect]
        known = EvidenceView(verdict.statuses[cause], verdict.statuses[effect])
        links.append(LinkView(cause, effect, link.how, link.often.word, known))
    name = next((c.id for c in verdict.book.chains.values() if c.path() == chain.path), None)
    told = name or " > ".join(chain.path)
    return ChainView(told, chain.origin, chain.path, chain.naming, tuple(links))


def _origins(verdict: Assessment) -> tuple[OriginView, ...]:
    named = verdict.origins
    live = [c.origin for a in verdict.accounts.values() for c in a.candidates if c.origin]
    rows = [
        OriginView(
            cid,
            title(verdict.book, cid),
            named.get(cid, Naming.OPEN),
            round(verdict.posterior.probability(cid), 4),
        )
        for cid in dict.fromkeys([*named, *live])
    ]
    order = list(Naming)
    return tuple(sorted(rows, key=lambda r: (order.index(r.status), -r.probability, r.id)))


def part_view(verdict: Assessment, decision: Decision, ranked: list[NextCheck]) -> PartView:
    """Return whether a part is released or held, with what would tell."""
    accounts = [verdict.accounts[c] for c in decision.conditions if c in verdict.accounts]
    hand = {check for account in accounts for check in account.at_hand}
    again = [item.check for item in ranked if item.purpose is Purpose.SETTLE]
    checks = [item.check for item in ranked if item.check in hand]
    known = verdict.book.checks
    checks += sorted(hand - set(checks), key=lambda c: (known[c].minutes, c))
    checks = checks or again
    told = LOOKS_TOLD if decision.held else 0
    return PartView(
        part=decision.part,
        title=part_title(verdict.book, decision.part),
        conditions=decision.conditions,
        found=tuple(title(verdict.book, cid) for cid in decision.conditions),
        disposition=decision.disposition,
        action=decision.action,
        because=decision.because,
        next_checks=tuple(checks) if decision.held else (),
        looks=tuple(look_words(verdict, check) for check in checks[:told]),
    )


def step_view(verdict: Assessment, step: Step) -> StepView:
    """Return a step of the plan."""
    return StepView(
        step.text,
        step.action,
        step.on,
        part_title(verdict.book, step.on),
        step.corrects,
        step.minutes,
        step.fitting,
        step.cautions,
    )


def unexplained_view(verdict: Assessment, cid: str) -> UnexplainedView:
    """Return something found that no named origin explains, with its live origins."""
    account = verdict.accounts[cid]
    candidates = tuple(
        CandidateView(
            c.origin,
            title(verdict.book, c.origin) if c.origin else "a cause not in the book",
            round(c.share, 4),
        )
        for c in account.candidates
    )
    return UnexplainedView(cid, title(verdict.book, cid), account.in_book, candidates)


def _loops(verdict: Assessment) -> list[LoopView]:
    """Return the loops that the findings touch, and what enters each."""
    statuses, graph = verdict.statuses, verdict.reasoner.graph
    found = []
    for loop in loops(graph):
        members = tuple(c for c in loop if statuses[c] is Status.CONFIRMED)
        if len(members) < 2:
            continue
        enters = tuple(
            EntryView(cause, member, statuses[cause])
            for cause, member in entrances(graph, loop)
            if statuses[cause] in (Status.CONFIRMED, Status.PROBABLE, Status.SUSPECTED)
        )
        found.append(LoopView(loop, members, enters))
    return found


def next_view(verdict: Assessment, item: NextCheck) -> NextView:
    """Return a check worth making."""
    ask = verdict.book.checks[item.check].ask
    gain = round(item.gain, 4)
    return NextView(item.check, ask, item.seat, item.minutes, item.opens, gain, item.purpose)


def cautions(verdict: Assessment, asked: list[NextCheck]) -> tuple[str, ...]:
    """Return the cautions of plan, cover and the checks to come, each once."""
    book = verdict.book
    ids: dict[str, None] = {}
    for step in (*verdict.plan, *(verdict.cover or ())):
        ids |= dict.fromkeys(step.cautions)
    for item in asked[:5]:
        ids |= dict.fromkeys(str(c) for c in book.checks[item.check].cautions)
        for removal in item.opens:
            ids |= dict.fromkeys(str(c) for c in book.removals[removal].cautions)
    return (*(book.cautions[c].text for c in ids if c in book.cautions), STANDING_CAUTION)

"""The audit of a proposed repair, and the comparison of a comeback with the earlier case."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headwater.book.records import Book
from headwater.book.tables import Verb
from headwater.case.model import Case, EarlierWork
from headwater.errors import HeadwaterError
from headwater.session.comeback import Comeback, Return, Returned, compare
from headwater.session.earlier import earlier_chances, earlier_proposal
from headwater.session.session import Session
from headwater.verdict.account import Naming
from headwater.verdict.audit import Audit, Proposal, ProposedPart, Refused, audit
from headwater.view.case import StepView, step_view
from headwater.view.paper import Block, Entries, Entry, Paper, Section, Tone, Words, listed, say
from headwater.view.words import chain_words, part_title, title

CHECKS_AT_MOST = 3
WARRANTY = "Whether it falls under warranty is for the shop to decide."
FITTING_AT_MOST = 6
FITTING_FIRST = "Likelier than in other units, for only a fitting hand does it"


@dataclass(frozen=True, slots=True)
class Auditing:
    """A case with what was found in a proposal, and how it stands to an earlier case, if any."""

    session: Session
    audit: Audit | None = None
    comeback: Comeback | None = None

    @classmethod
    def of(
        cls, session: Session, proposal: Proposal | None, comeback: Comeback | None = None
    ) -> Auditing:
        """Return what a proposal comes to in a case, and the comparison beside it."""
        found = audit(session.verdict, proposal) if proposal else None
        return cls(session, found, comeback)


@dataclass(frozen=True, slots=True)
class FailsAgainView:
    """A part that fails again, and by which chain."""

    part: str
    path: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LeftView:
    """A named origin that stays in place."""

    origin: str
    status: Naming
    fails_again: tuple[FailsAgainView, ...]


@dataclass(frozen=True, slots=True)
class RefusedView:
    """A part that is held; its action is always None."""

    part: str
    action: None
    because: str
    next_checks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ProposedView:
    """A proposed part; `part` is None where the book knows no such part."""

    words: str
    part: str | None


@dataclass(frozen=True, slots=True)
class OtherView:
    """A proposed part for which the plan has another action."""

    part: str | None
    planned: Verb
    proposed: Verb


@dataclass(frozen=True, slots=True)
class AuditView:
    """What was found in a proposal."""

    proposal: str
    passed: bool
    sentence: str
    left: tuple[LeftView, ...]
    refused: tuple[RefusedView, ...]
    held: tuple[RefusedView, ...]
    on_no_chain: tuple[ProposedView, ...]
    other_action: tuple[OtherView, ...]
    missing: tuple[StepView, ...]


@dataclass(frozen=True, slots=True)
class DoneView:
    """Something that was done in the earlier case."""

    part: str | None
    words: str
    action: Verb


@dataclass(frozen=True, slots=True)
class ReturnedView:
    """One present origin, its kind of return and the evidence."""

    origin: str | None
    status: Naming
    kind: Return
    evidence: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ComebackView:
    """How a comeback stands to the earlier case."""

    earlier: str
    done: tuple[DoneView, ...]
    found_again: tuple[str, ...]
    returned: tuple[ReturnedView, ...]


@dataclass(frozen=True, slots=True)
class AuditingView:
    """An audit, a comparison, or both."""

    case: str
    audit: AuditView | None
    comeback: ComebackView | None


def auditing_view(told: Auditing) -> AuditingView:
    """Return an audit as a record."""
    audit = _audit(told.session, told.audit) if told.audit else None
    back = _comeback(told.comeback) if told.comeback else None
    return AuditingView(told.session.case.case, audit, back)


def _audit(session: Session, found: Audit) -> AuditView:
    def held(some: tuple[Refused, ...]) -> tuple[RefusedView, ...]:
        return tuple(RefusedView(one.part, None, one.because, one.checks) for one in some)

    return AuditView(
        proposal=found.proposal.name,
        passed=found.passed,
        sentence=found.sentence,
        left=tuple(
            LeftView(one.origin, one.naming, tuple(FailsAgainView(*again) for again in one.again))
            for one in found.left
        ),
        refused=held(found.refused),
        held=held(found.held),
        on_no_chain=tuple(ProposedView(i.words, i.part) for i in (*found.idle, *found.unknown)),
        other_action=tuple(OtherView(o.item.part, o.planned, o.item.action) for o in found.other),
        missing=tuple(step_view(session.verdict, step) for step in found.missing),
    )


def _likelier(book: Book, case: Case) -> tuple[str, ...]:
    """Return the origins that earlier work makes likelier, by how much."""
    return tuple(cid for cid, factor in earlier_chances(book, case).items() if factor > 1.0)


def _comeback(found: Comeback) -> ComebackView:
    return ComebackView(
        found.earlier.case.case,
        tuple(DoneView(i.part, i.words, i.action) for i in found.done.items),
        found.again,
        tuple(ReturnedView(r.origin, r.naming, r.kind, r.evidence) for r in found.returned),
    )


def auditing_paper(told: Auditing) -> Paper:
    """Return the comparison first, then the audit, the sentence before all else."""
    sections: list[Section] = []
    if told.comeback:
        sections += _comeback_sections(told.session, told.comeback)
    if told.audit:
        sections += _audit_sections(told.session, told.audit)
    return Paper("", (), tuple(sections))


@dataclass(frozen=True, slots=True)
class EarlierView:
    """What is known of work that was done before, and what came of it in this case.

    `comeback` stands where the case names an earlier one, `audit` where the work was told and
    something is found by now; `fitting` are the origins that it makes likelier.
    """

    told: str
    ago: str
    done: tuple[DoneView, ...]
    fitting: tuple[str, ...]
    audit: AuditView | None
    comeback: ComebackView | None
    unread: str


def earlier_view(session: Session) -> EarlierView:
    """Return what is known of earlier work as a record; empty where nothing is."""
    work, found = session.case.before, audit_of_earlier(session)
    comeback, unread = earlier_compared(session)
    done = earlier_proposal(session.book, session.case).items if work else ()
    return EarlierView(
        told=work.told if work else "",
        ago=work.ago if work else "",
        done=tuple(DoneView(i.part, i.words, i.action) for i in done),
        fitting=_likelier(session.book, session.case),
        audit=_audit(session, found) if found else None,
        comeback=_comeback(comeback) if comeback else None,
        unread=unread,
    )


def audit_of_earlier(session: Session) -> Audit | None:
    """Return what the work that is told left in place; None before anything was found."""
    proposal = earlier_proposal(session.book, session.case) if session.case.before else None
    if proposal is None or not proposal.items or not session.verdict.accounts:
        return None
    return audit(session.verdict, proposal)


def earlier_compared(session: Session) -> tuple[Comeback | None, str]:
    """Return the comparison with the earlier case, or why its file cannot be read."""
    try:
        return compare(session), ""
    except HeadwaterError as error:
        return None, str(error)


def earlier_paper(session: Session) -> Paper:
    """Return what is known of earlier work."""
    return Paper("", (), tuple(earlier_sections(session)))


def earlier_sections(session: Session) -> Iterator[Section]:
    """Yield what was done before and what came of it; nothing where nobody told of any."""
    if session.case.before:
        rows = _told_rows(session, session.case.before)
        yield Section("Worked on before", (listed(rows),))
    found = audit_of_earlier(session)
    if found:
        head, *rest = _audit_sections(session, found)
        yield Section("What that work comes to now", head.blocks)
        yield from rest
    comeback, unread = earlier_compared(session)
    if comeback:
        yield from _comeback_sections(session, comeback)
    elif unread:
        yield Section("The earlier case cannot be read", (say(Words(unread, Tone.HELD)),))


def work_words(work: EarlierWork) -> str:
    """Return what was told of earlier work, in the words in which it was told."""
    return f'"{work.told}"' + (f" ({work.ago})" if work.ago else "")


def _told_rows(session: Session, work: EarlierWork) -> Iterator[str]:
    book = session.book
    yield work_words(work)
    items = earlier_proposal(book, session.case).items
    done = [f"{part_title(book, i.part or i.words)}: {i.action.value}" for i in items]
    if done:
        yield f"Done then: {', '.join(done)}"
    fitting = _likelier(book, session.case)
    names = [title(book, cid) for cid in fitting[:FITTING_AT_MOST]]
    more = len(fitting) - len(names)
    if names:
        tail = f" and {more} more" if more > 0 else ""
        yield f"{FITTING_FIRST}: {'; '.join(names)}{tail}"


def _audit_sections(session: Session, found: Audit) -> Iterator[Section]:
    book = session.book
    tone = Tone.RELEASED if found.passed else Tone.HELD
    yield Section(f"Audit: {found.proposal.name}", (say(Words(found.sentence, tone)),))
    left = [
        Entry(
            (Words(f"{title(book, one.origin)} ({one.naming.value})", Tone.HELD),),
            tuple(
                f"so the {part_title(book, part)} fails again: {chain_words(book, path)}"
                for part, path in one.again
            ),
        )
        for one in found.left
    ]
    none = [_named(session, item) for item in found.idle]
    none += [f"{i.words}: the book knows no such part{i.hint}" for i in found.unknown]
    other = [
        f"{_named(session, o.item)}: {o.planned.value}, not {o.item.action.value}"
        for o in found.other
    ]
    missing = [step_view(session.verdict, step) for step in found.missing]
    rows = [f"{s.title}: {s.action.value if s.action else 'held'}. {s.step}" for s in missing]
    groups: list[tuple[str, Block]] = [
        ("Origins left in place", Entries(tuple(left))),
        ("Proposed, but held", _held(session, found.refused)),
        ("Held as well", _held(session, found.held)),
        ("On no chain of this case", listed(none)),
        ("The plan asks something else of", listed(other)),
        ("Missing from it", listed(rows)),
    ]
    for heading, block in groups:
        if isinstance(block, Entries) and block.entries:
            yield Section(heading, (block,))


def _held(session: Session, held: tuple[Refused, ...]) -> Entries:
    checks = session.book.checks
    return Entries(
        tuple(
            Entry(
                (Words(f"{part_title(session.book, one.part)}: {one.because}", Tone.HELD),),
                tuple(f"check: {checks[c].ask} ({c})" for c in one.checks[:CHECKS_AT_MOST]),
            )
            for one in held
        )
    )


def _named(session: Session, item: ProposedPart) -> str:
    name = part_title(session.book, item.part or "")
    return name if item.words in (name, item.part) else f"{name} ('{item.words}')"


def _comeback_sections(session: Session, found: Comeback) -> Iterator[Section]:
    book = session.book
    items = [i for i in found.done.items if i.part]
    done = ", ".join(f"{_named(session, i)}: {i.action.value}" for i in items)
    told = [say(f"Done then: {done or 'nothing is written down'}")]
    strange = [i for i in found.done.items if not i.part]
    told += [say(f"{i.words}, done then: the book knows no such part{i.hint}") for i in strange]
    if found.again:
        again = "; ".join(title(book, cid) for cid in found.again)
        told.append(say(f"Found then and again now: {again}"))
    yield Section(f"It came back: earlier case {found.earlier.case.case}", tuple(told))
    for returned in found.returned:
        yield Section(_kind(session, returned), (listed(returned.evidence),))
    yield Section("", (say(WARRANTY),))


def _kind(session: Session, returned: Returned) -> str:
    kind = returned.kind.value
    words = kind[:1].upper() + kind[1:]
    if not returned.origin:
        return words
    return f"{words}: {title(session.book, returned.origin)} ({returned.naming.value})"

"""An audit, and the comparison of a comeback with the earlier case, as lines of plain text."""

from __future__ import annotations

from collections.abc import Iterator

from headwater.report.job_text import chain_words
from headwater.report.text import Line
from headwater.session.comeback import Comeback, Returned
from headwater.verdict.assess import Assessment
from headwater.verdict.audit import Audit, ProposedPart, Refused
from headwater.view.words import part_title, title

Lines = Iterator[Line]
CHECKS_AT_MOST = 3
WARRANTY = "Whether it falls under warranty is for the shop to decide."


def audit_lines(assessment: Assessment, found: Audit) -> Lines:
    """Yield an audit, the sentence first."""
    book = assessment.book
    yield Line(f"Audit: {found.proposal.name}", "head")
    yield Line(found.sentence, "good" if found.passed else "bad")
    if found.left:
        yield Line()
        yield Line("Origins left in place", "head")
    for left in found.left:
        yield Line(f"- {title(book, left.origin)} ({left.naming.value})", "bad", indent=2)
        for part, path in left.again:
            words = chain_words(book, path)
            yield Line(f"so the {part_title(book, part)} fails again: {words}", indent=6)
    yield from _held_lines(assessment, "Proposed, but held", found.refused)
    yield from _held_lines(assessment, "Held as well", found.held)
    if found.idle or found.unknown:
        yield Line()
        yield Line("On no chain of this case", "head")
    for item in found.idle:
        yield Line(f"- {_named(assessment, item)}", indent=2)
    for item in found.unknown:
        yield Line(f"- {item.words}: the book knows no such part{item.hint}", indent=2)
    if found.other:
        yield Line()
        yield Line("The plan asks something else of", "head")
    for other in found.other:
        name = _named(assessment, other.item)
        yield Line(f"- {name}: {other.planned.value}, not {other.item.action.value}", indent=2)
    if found.missing:
        yield Line()
        yield Line("Missing from it", "head")
    for step in found.missing:
        assert step.action is not None
        name = part_title(book, step.on)
        yield Line(f"- {name}: {step.action.value}. {step.text}", indent=2)


def _held_lines(assessment: Assessment, heading: str, held: tuple[Refused, ...]) -> Lines:
    if held:
        yield Line()
        yield Line(heading, "head")
    for one in held:
        yield Line(f"- {part_title(assessment.book, one.part)}: {one.because}", "bad", indent=2)
        for check in one.checks[:CHECKS_AT_MOST]:
            yield Line(f"check: {assessment.book.checks[check].ask} ({check})", indent=6)


def _named(assessment: Assessment, item: ProposedPart) -> str:
    name = part_title(assessment.book, item.part or "")
    return name if item.words in (name, item.part) else f"{name} ('{item.words}')"


def comeback_lines(assessment: Assessment, found: Comeback) -> Lines:
    """Yield how a comeback stands to the earlier case."""
    book = assessment.book
    yield Line(f"It came back: earlier case {found.earlier.case.case}", "head")
    items = found.done.items
    done = ", ".join(f"{_named(assessment, i)}: {i.action.value}" for i in items if i.part)
    yield Line(f"Done then: {done or 'nothing is written down'}", indent=2)
    if found.again:
        again = "; ".join(title(book, cid) for cid in found.again)
        yield Line(f"Found then and again now: {again}", indent=2)
    for returned in found.returned:
        yield from _returned_lines(assessment, returned)
    yield Line()
    yield Line(WARRANTY)


def _returned_lines(assessment: Assessment, returned: Returned) -> Lines:
    kind = returned.kind.value
    words = kind[:1].upper() + kind[1:]
    yield Line()
    if returned.origin:
        told = f"{title(assessment.book, returned.origin)} ({returned.naming.value})"
        yield Line(f"{words}: {told}", "head")
    else:
        yield Line(words, "head")
    for text in returned.evidence:
        yield Line(f"- {text}", indent=2)

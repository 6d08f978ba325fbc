"""A verdict as lines of plain text. No colour is needed to read it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from headwater.measure.answer import say_given
from headwater.render.line import Line as Line
from headwater.render.treetext import tree_lines
from headwater.report.contract import STANDING_CAUTION, cautions
from headwater.session.ask import NextCheck, Purpose, later_checks, next_checks
from headwater.session.session import Session
from headwater.verdict.assess import Assessment, Ending
from headwater.verdict.drive import DriveAdvice
from headwater.verdict.plan import Step
from headwater.view.tree import Wording, named_trees
from headwater.view.words import minutes_words, part_title, percent, title, why_lines, why_not_lines

Lines = Iterator[Line]

HEADLINES = {
    Ending.SETTLED: "Settled: every finding is explained by a named origin.",
    Ending.OPEN: "Open: something is not explained yet, and there is more to check.",
    Ending.UNDETERMINED: "Undetermined: something is not explained, and nothing is left to check.",
    Ending.HEALTHY: "Nothing abnormal was found.",
}


def verdict_lines(session: Session) -> Lines:
    """Yield the whole verdict of a case."""
    assessment = session.verdict
    book = assessment.book
    yield Line(f"Case {session.case.case}", "head")
    yield Line(f"Book {book.name} {book.version}, digest {book.digest}", "quiet")
    if session.stale:
        yield Line("The case was made with another state of the book; it was judged anew.", "bad")
    for override in book.overrides:
        where = f"{override.kind.rstrip('s')} '{override.id}'"
        yield Line(f"From the shop's own pack '{override.pack}': {where}", "quiet")
    yield Line()
    yield from finding_lines(session)
    yield Line()
    yield Line(HEADLINES[assessment.ending], "head")
    yield from drive_lines(assessment.drive())
    yield from standing_lines(assessment)
    yield Line()
    yield from next_lines(assessment)
    yield Line()
    yield from caution_lines(assessment)


def standing_lines(assessment: Assessment) -> Lines:
    """Yield chains, what is not explained, parts and plan: the state of the reasoning."""
    yield from chain_lines(assessment)
    yield from unexplained_lines(assessment)
    yield from part_lines(assessment)
    yield from plan_lines(assessment)


def account_of(session: Session, condition: str) -> dict[str, Any]:
    """Return the status of a condition, why, and what keeps it from being confirmed."""
    told = session.why(condition)
    return {
        "condition": condition,
        "status": told.status.value,
        "why": why_lines(session.verdict, told.reason),
        "why_not_confirmed": why_not_lines(session.book, told.obstacles),
    }


def why_status_lines(session: Session, condition: str) -> Lines:
    """Yield why a condition has its status, and why it is not confirmed, from the record."""
    told = account_of(session, condition)
    unknown = [f"{title(session.book, condition)}: unknown, no finding bears on it"]
    yield Line(f"Why it is {told['status']}", "head")
    for text in told["why"] or unknown:
        indent = len(text) - len(text.lstrip())
        yield Line(text.strip(), indent=2 + indent)
    if told["why_not_confirmed"]:
        yield Line("Why it is not confirmed", "head")
        for text in told["why_not_confirmed"]:
            yield Line(f"- {text}", indent=2)
        asked = session.why(condition).deciders
        reason = session.book.conditions[condition].unobservable
        if reason:
            yield Line(f"- it cannot be seen: {reason}", indent=2)
        if asked:
            yield Line("What decides it", "head")
        for check in asked:
            yield Line(f"- {check.ask} ({check.id})", indent=2)


def finding_lines(session: Session) -> Lines:
    """Yield what was found, in order."""
    yield Line("Found", "head")
    if not session.answers:
        yield Line("nothing yet", indent=2)
    for judged in session.answers.values():
        check = session.verdict.book.checks[judged.check]
        limit = session.verdict.book.limits[check.reading.limit] if check.reading else None
        said = judged.special or say_given(judged, limit)
        answer = check.answers.get(said)  # type: ignore[call-overload]
        words = answer.says if answer and answer.says and not judged.quantity else said
        yield Line(f"{check.ask} {words.replace('-', ' ') if judged.special else words}", indent=2)
        for text in judged.working:
            yield Line(text, "quiet", indent=6)


def drive_lines(advice: DriveAdvice) -> Lines:
    """Yield whether the vehicle may be driven, and why."""
    yield Line(drive_words(advice), "good" if advice.advice == "ok" else "bad")


def drive_words(advice: DriveAdvice) -> str:
    """Return whether the vehicle may be driven, and why, in a sentence or two."""
    words = {
        "stop": "Do not drive.",
        "limp": "Drive only with care.",
        "ok": "No reason is known not to drive.",
    }
    sure = "" if advice.sure else " (not ruled out)"
    limits = f" {advice.limits}" if advice.limits else ""
    reason = advice.because[:1].upper() + advice.because[1:]
    stop = "" if reason.endswith(".") else "."
    return f"{words[advice.advice.value]} {reason}{stop}{limits}{sure}"


def chain_lines(assessment: Assessment) -> Lines:
    """Yield the tree of each named origin, with what is known of each link."""
    for tree in named_trees(assessment, Wording(assessment.book)):
        yield Line()
        yield Line(tree.heading, "head")
        yield from tree_lines(tree)


def unexplained_lines(assessment: Assessment) -> Lines:
    """Yield what no named origin explains, with the live candidates."""
    for cid in assessment.disputed:
        yield Line()
        yield Line(f"Disputed: {title(assessment.book, cid)}. Decisive findings disagree.", "bad")
    for cid in assessment.unexplained:
        account = assessment.accounts[cid]
        yield Line()
        yield Line(f"Not explained: {title(assessment.book, cid)}", "bad")
        if not account.in_book:
            yield Line("The cause is not in the book. Tell the author what you found.", indent=2)
            continue
        shown = [c for c in account.candidates if c.origin][:6]
        for candidate in shown:
            assert candidate.origin is not None
            words = title(assessment.book, candidate.origin)
            yield Line(f"- {words}: {percent(candidate.share)}", indent=2)
        other = next((c.share for c in account.candidates if c.origin is None), 0.0)
        yield Line(f"- a cause not in the book, or a mistaken look: {percent(other)}", indent=2)


def part_lines(assessment: Assessment) -> Lines:
    """Yield for every part whether it is released, and to what, or held, and why."""
    if assessment.decisions:
        yield Line()
        yield Line("Parts", "head")
    for part, decision in assessment.decisions.items():
        name = part_title(assessment.book, part)
        if decision.released:
            verb = decision.action.value if decision.action else "no action"
            yield Line(f"RELEASED {name}: {verb}. {decision.because}.", "good", indent=2, hang=4)
        else:
            yield Line(f"HELD     {name}: {decision.because}.", "bad", indent=2, hang=4)


def plan_lines(assessment: Assessment) -> Lines:
    """Yield the plan in working order, and the covering plan where nothing can be settled."""
    if assessment.plan:
        yield Line()
        yield Line("Plan, in this order", "head")
        yield from step_lines(assessment, assessment.plan)
    if assessment.ending is Ending.UNDETERMINED:
        yield Line()
        yield Line(
            "Nothing more can be checked. Two ways are left, and neither is the bare part:", "head"
        )
        if assessment.cover:
            yield Line("Correct every live candidate, cheapest set:", indent=2)
            yield from step_lines(assessment, assessment.cover)
        else:
            yield Line("No set of corrections covers every live candidate.", indent=2)
        yield Line("Or fit an exchange unit.", indent=2)


def step_lines(assessment: Assessment, steps: Iterable[Step]) -> Lines:
    """Yield numbered steps."""
    for number, step in enumerate(steps, 1):
        name = part_title(assessment.book, step.on)
        verb = step.action.value if step.action else "held"
        yield Line(f"{number:2}. {name}: {verb}. {step.text}", indent=2, hang=4)
        for point in step.fitting:
            yield Line(f"- see to it: {point}", "quiet", indent=6)


def next_lines(assessment: Assessment, most: int = 5) -> Lines:
    """Yield what to check next at this seat, and what a later seat would settle."""
    asked = next_checks(assessment)
    sweep = bool(asked) and asked[0].purpose is Purpose.SWEEP
    if asked:
        words = "While it is apart, look at likely fellow origins" if sweep else "Check next"
        yield Line(words, "head")
        for item in asked[:most]:
            yield Line(check_words(assessment, item), indent=2)
    elif assessment.ending is not Ending.SETTLED:
        yield Line("Nothing more to check at this seat.", "head")
    later = [] if assessment.ending is Ending.SETTLED else later_checks(assessment)
    if later and not asked:
        yield Line("A later seat would settle more:")
        for item in later[:3]:
            yield Line(f"{check_words(assessment, item)} [{item.seat.value}]", indent=2)


def check_words(assessment: Assessment, item: NextCheck) -> str:
    """Return a check with its id and minutes."""
    check = assessment.book.checks[item.check]
    return f"- {check.ask} ({item.check}, {minutes_words(item.minutes)})"


def caution_lines(assessment: Assessment) -> Lines:
    """Yield the cautions of what is to be done next."""
    yield Line("Cautions", "head")
    for text in cautions(assessment, next_checks(assessment)) or [STANDING_CAUTION]:
        yield Line(f"! {text}", indent=2)

"""The report for the shop: everything, in full. Actions come from the gate's decisions alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from headwater import __version__
from headwater.book.tables import Seat
from headwater.case.model import Case
from headwater.report.contract import cautions
from headwater.report.found import SEAT_WORDS, Found, found_rows
from headwater.report.text import HEADLINES, drive_words
from headwater.session.ask import NextCheck, later_checks, next_checks
from headwater.session.session import Session
from headwater.verdict.assess import Assessment, Ending
from headwater.verdict.naming import Naming
from headwater.verdict.plan import Step
from headwater.view.paper import (
    Block,
    Drawing,
    Entries,
    Entry,
    Facts,
    Grid,
    Paper,
    Section,
    Tone,
    Words,
    cell,
    listed,
    say,
)
from headwater.view.tree import MOST_CANDIDATES, Seen, Wording, case_trees, seen_words, shown_chains
from headwater.view.words import minutes_words, part_title, percent, title

STANDS = {
    Seat.CALL: "with its driver, on the phone",
    Seat.HOIST: "in its vehicle on the hoist",
    Seat.BENCH: "on the bench",
}


def shop_paper(session: Session, on: date, options: Sequence[Section] = ()) -> Paper:
    """Return the report for the shop. `options` are priced ways to go, made elsewhere."""
    assessment = session.verdict
    rows = found_rows(session)
    asked = next_checks(assessment)
    sections = [
        Section("Unit and complaint", (unit_facts(session),)),
        Section("Findings", (_findings(rows),)),
        Section("The chain", tuple(_chain(session, rows))),
        Section("Parts", (_parts(assessment),)),
        Section("Plan", tuple(plan_blocks(assessment))),
        *options,
        Section("Cautions", (listed(cautions(assessment, asked)),)),
        Section("Not checked", tuple(_not_checked(assessment, rows, asked))),
        Section("Book", (_book_facts(session, on),)),
    ]
    verdict = say(Words(HEADLINES[assessment.ending], Tone.STRONG))
    drive = say(drive_words(assessment.drive()), boxed=True)
    return Paper(
        f"Case {session.case.case}",
        (verdict, drive),
        tuple(section for section in sections if section.blocks),
        _foot(session, on),
    )


def _foot(session: Session, on: date) -> str:
    book = session.verdict.book
    return (
        f"Case {session.case.case}, written {on}, book {book.name} {book.version} ({book.digest})"
    )


def unit_facts(session: Session) -> Facts:
    """Return what the unit is, what its owner said and what became of it."""
    case, book = session.case, session.verdict.book
    rows = [("Complaint", case.complaint)]
    for name, value in session.family.items():
        attribute = book.attributes[name]
        rows.append((attribute.ask, attribute.values[value]))
    rows += [("History", case.unit.history), ("Stands", STANDS[case.seat])]
    if case.unit.removed is not None:
        names = [book.removals[r].title for r in sorted(session.verdict.stand.removed)]
        rows.append(("Taken off", "; ".join(names) or "nothing"))
    return Facts(
        tuple((name, text) for name, text in [*rows, *_life(case, book_parts(session))] if text)
    )


def book_parts(session: Session) -> dict[str, str]:
    """Return the titles of all parts of the book."""
    return {pid: part.title for pid, part in session.verdict.book.parts.items()}


def _life(case: Case, parts: dict[str, str]) -> list[tuple[str, str]]:
    rows = [("Comeback of", case.earlier)]
    for done in case.done:
        note = f" ({done.note})" if done.note else ""
        rows.append(("Done", f"{parts.get(str(done.on), str(done.on))}: {done.action}{note}"))
    if case.outcome:
        back = "it came back" if case.outcome.comeback else "it did not come back"
        after = f" after {case.outcome.after}" if case.outcome.after else ""
        note = f" ({case.outcome.note})" if case.outcome.note else ""
        rows.append(("Outcome", f"{back}{after}{note}"))
    return rows


def _findings(rows: Sequence[Found]) -> Block:
    if not rows:
        return say("Nothing was found yet.")
    return Grid(
        ("No.", "Check", "Answer", "Limit", "What it decides"),
        tuple(_finding(row) for row in rows),
    )


def _finding(row: Found) -> tuple[tuple[Words, ...], ...]:
    where = " ".join(word for word in (row.seat, row.at) if word)
    source = f"Source: {row.source}" if row.source else ""
    note = f"Note: {row.note}" if row.note else ""
    working = [Words(text, Tone.QUIET) for text in row.working]
    return (
        cell(str(row.number)),
        cell(row.ask, Words(where, Tone.QUIET)),
        cell(Words(row.answer, Tone.STRONG), *working, note),
        cell(row.limit or "not measured", Words(source, Tone.QUIET)),
        cell(*(row.shows or ("nothing for certain",))),
    )


def _chain(session: Session, rows: Sequence[Found]) -> Iterable[Block]:
    """Yield the drawings, and beneath them what proves each link."""
    assessment = session.verdict
    words = Wording(assessment.book, numbers={row.check: row.number for row in rows})
    for condition in assessment.disputed:
        name = title(assessment.book, condition)
        yield say(Words(f"Disputed: {name}. Decisive findings disagree: look again.", Tone.HELD))
    for tree in case_trees(assessment, words):
        yield Drawing(tree)
    yield from _unexplained(assessment)
    links = _links(assessment, words)
    if links.rows:
        yield say(Words("Link by link", Tone.STRONG))
        yield links
    if not assessment.accounts and not assessment.disputed:
        yield say("There is no chain to draw: no condition is confirmed.")


def _unexplained(assessment: Assessment) -> Iterable[Block]:
    for cid in assessment.unexplained:
        account = assessment.accounts[cid]
        name = title(assessment.book, cid)
        if not account.in_book:
            yield say(f"The cause of '{name}' is not in the book. Tell its author what you found.")
            continue
        other = next((c.share for c in account.candidates if c.origin is None), 0.0)
        others = sum(1 for c in account.candidates if c.origin) - MOST_CANDIDATES
        more = f"{others} less likely origins are not drawn. " if others > 0 else ""
        more += f"A cause of '{name}' not in the book, or a mistaken look: {percent(other)}."
        yield say(Words(more, Tone.QUIET))


def _links(assessment: Assessment, words: Wording) -> Grid:
    """Return every link of the named chains once, with what is known of its effect."""
    rows: dict[tuple[str, str], tuple[tuple[Words, ...], ...]] = {}
    for chain in shown_chains(assessment):
        if chain.naming is Naming.OPEN:
            continue
        for cause, effect in zip(chain.path, chain.path[1:], strict=False):
            link = assessment.book.links[cause, effect]
            seen, mark = seen_words(assessment, effect)
            reason = assessment.book.conditions[effect].unobservable
            why = Words(reason if seen is Seen.HIDDEN else "", Tone.QUIET)
            rows[cause, effect] = (
                cell(words.condition(cause)),
                cell(words.condition(effect), Words(link.how, Tone.QUIET)),
                cell(f"{link.often.word}"),
                cell(mark, why),
            )
    return Grid(("Cause", "Effect, and how", "How often", "Known by"), tuple(rows.values()))


def _parts(assessment: Assessment) -> Block:
    if not assessment.decisions:
        return say("No part is damaged by what was found.")
    book = assessment.book
    rows = []
    for part, decision in assessment.decisions.items():
        if decision.released:
            stands = Words("RELEASED", Tone.RELEASED)
            action = decision.action.value if decision.action else "no action"
        else:
            stands, action = Words("HELD", Tone.HELD), "none yet"
        found = [Words(title(book, cid), Tone.QUIET) for cid in decision.conditions]
        rows.append(
            (
                cell(part_title(book, part), *found),
                cell(stands),
                cell(action),
                cell(f"{decision.because}."),
            )
        )
    return Grid(("Part, and what was found on it", "Stands", "Action", "Because"), tuple(rows))


def plan_blocks(assessment: Assessment) -> Iterable[Block]:
    """Yield the plan in working order, and the two ways left where nothing can be settled."""
    if assessment.plan:
        yield _steps(assessment, assessment.plan)
    elif assessment.ending is not Ending.UNDETERMINED:
        yield say("There is no plan yet.")
    if assessment.ending is not Ending.UNDETERMINED:
        return
    yield say(
        Words(
            "Nothing more can be checked. Two ways are left, and neither is the bare part.",
            Tone.STRONG,
        )
    )
    if assessment.cover:
        yield say("Correct every live candidate, cheapest set:")
        yield _steps(assessment, assessment.cover)
    else:
        yield say("No set of corrections covers every live candidate.")
    yield say("Or fit an exchange unit.")


def _steps(assessment: Assessment, steps: Iterable[Step]) -> Entries:
    return Entries(tuple(_step(assessment, step) for step in steps), numbered=True)


def _step(assessment: Assessment, step: Step) -> Entry:
    name = part_title(assessment.book, step.on)
    if step.action is None:
        return Entry((Words(name, Tone.STRONG), Words("HELD", Tone.HELD), Words("No action yet.")))
    time = f"About {minutes_words(step.minutes)}." if step.minutes else ""
    pieces = (Words(f"{name}: {step.action.value}.", Tone.STRONG), Words(step.text))
    quiet = (Words(time, Tone.QUIET),) if time else ()
    return Entry(pieces + quiet, tuple(f"see to it: {point}" for point in step.fitting))


def _not_checked(
    assessment: Assessment, rows: Sequence[Found], asked: list[NextCheck]
) -> Iterable[Block]:
    """Yield what stays open: answers that told nothing, unseen middles, checks worth making."""
    gaps = [f"Finding {n}: {text}" for n, text in _empty_answers(assessment, rows)]
    gaps += [f"In the chain: {title(assessment.book, c)}, {how}" for c, how in _unseen(assessment)]
    if gaps:
        yield listed(gaps)
    later = [] if assessment.ending is Ending.SETTLED else later_checks(assessment)
    worth = [*asked, *later][:8]
    if worth:
        yield say("Still worth checking, the best first:")
        yield listed([_worth(assessment, item) for item in worth])
    total = len(assessment.book.checks)
    yield say(Words(f"{len(rows)} of the {total} checks for this unit were asked.", Tone.QUIET))


def _empty_answers(assessment: Assessment, rows: Sequence[Found]) -> Iterable[tuple[int, str]]:
    for row in rows:
        judged = assessment.stand.answered[row.check]
        if judged.special:
            yield row.number, f"{row.ask} {row.answer}"
        elif judged.too_close:
            yield row.number, f"{row.ask} Too close to the limit to decide anything."


def _unseen(assessment: Assessment) -> Iterable[tuple[str, str]]:
    told: set[str] = set()
    for chain in shown_chains(assessment):
        for cid in chain.path if chain.naming is not Naming.OPEN else ():
            seen, mark = seen_words(assessment, cid)
            if seen is not Seen.FOUND and cid not in told:
                told.add(cid)
                yield cid, mark


def _worth(assessment: Assessment, item: NextCheck) -> str:
    book = assessment.book
    opens = [book.removals[r].title for r in item.opens]
    first = f", first: {', '.join(opens)}" if opens else ""
    ask = book.checks[item.check].ask
    return f"{ask} ({minutes_words(item.minutes)}, {SEAT_WORDS[item.seat]}{first})"


def _book_facts(session: Session, on: date) -> Facts:
    book = session.verdict.book
    rows = [
        ("Book", f"{book.name}, version {book.version}"),
        ("Digest", book.digest),
        ("Headwater", __version__),
        ("Written", str(on)),
    ]
    if session.stale and session.case.book:
        made = session.case.book
        rows.append(
            ("Judged anew", f"the case was made with {made.name} {made.version} ({made.digest})")
        )
    for o in book.overrides:
        rows.append(
            ("From the shop's own pack", f"{o.kind.rstrip('s')} '{o.id}' of pack '{o.pack}'")
        )
    return Facts(tuple(rows))

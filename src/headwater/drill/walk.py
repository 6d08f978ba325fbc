"""The walk-through: a chain as a row of stops, from what is found back to the origin.

At each stop the class is asked first and told after. Evidence, and how the links work, come from
the book; what is done about it comes from the gate alone, on the case or on findings that prove the
chain.
A case is told without its name, its history or anybody's words.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from headwater.book.model import Chain, Check, Tempting
from headwater.book.records import Book
from headwater.drill.exercise import DrillError
from headwater.drill.truth import plainest, shows
from headwater.measure.answer import Judged, say_given, understand
from headwater.report.text import Line, Lines, part_lines, step_lines, unexplained_lines
from headwater.session.search import words_of
from headwater.session.session import Session
from headwater.verdict.assess import Assessment, Ending, Reasoner
from headwater.verdict.naming import Naming
from headwater.verdict.reach import Stand, torn_down
from headwater.view.words import minutes_words, title

EVIDENCE_AT_MOST = 3


@dataclass(frozen=True, slots=True)
class Stop:
    """One stop: what stands on the screen, what to ask the class, and what is told after."""

    shown: tuple[Line, ...]
    ask: str
    told: tuple[Line, ...]


def find_chain(book: Book, text: str) -> Chain:
    """Return the chain that an id or plain words mean. Raises DrillError that names the nearest."""
    known = book.aliases.get(text, text)
    if known in book.chains:
        return book.chains[known]
    asked = set(words_of(text))
    scored = []
    for cid, chain in book.chains.items():
        ends = f"{chain.title} {cid} {title(book, chain.found)} {title(book, chain.verdict)}"
        scored.append((-len(asked & set(words_of(ends.replace("-", " ")))), cid))
    best = sorted(scored)[:6]
    if not best or not best[0][0]:
        raise DrillError(f"no chain fits '{text}'; try words for what is found or where it began")
    if len(best) > 1 and best[1][0] == best[0][0]:
        names = ", ".join(cid for score, cid in best if score == best[0][0])
        raise DrillError(f"'{text}' may mean {names}; name one")
    return book.chains[best[0][1]]


def proving(reasoner: Reasoner, path: Sequence[str]) -> Assessment:
    """Return the verdict on findings that show every condition of a path, on a torn-down unit."""
    book = reasoner.book
    judged: dict[str, Judged] = {}
    for cid in path:
        for check in reasoner.deciders[cid]:
            word = plainest(check, path)
            if shows(check, word, cid):
                judged[check.id] = understand(book, check, word)
    return reasoner.assess(judged.values(), Stand(removed=torn_down(book)))


def chain_stops(reasoner: Reasoner, chain: Chain) -> list[Stop]:
    """Return the stops of a chain of the book."""
    path = chain.path()
    assessment = proving(reasoner, path)
    stops = list(_path_stops(assessment, path, chain.tempting, None))
    return [*stops, _last(assessment, path)]


def case_stops(session: Session) -> list[Stop]:
    """Return the stops of a stored case: its named chains, and what it holds."""
    assessment = session.verdict
    chains = [
        chain
        for account in assessment.accounts.values()
        for chain in account.chains
        if chain.naming is not Naming.OPEN
    ]
    paths = list(dict.fromkeys(chain.path for chain in chains))
    longest = [
        path
        for path in paths
        if not any(other != path and other[: len(path)] == path for other in paths)
    ]
    stops: list[Stop] = [_opening(session)]
    for path in longest:
        stops += _path_stops(assessment, path, _tempting(assessment.book, path), session)
    told = [*part_lines(assessment), *unexplained_lines(assessment)]
    if assessment.plan and assessment.ending is Ending.SETTLED:
        told += [Line(), Line("The plan, origin first", "head")]
        told += step_lines(assessment, assessment.plan)
    told = told or [Line("Nothing abnormal was found.")]
    question = "Which parts may be acted on now, which are held, and why?"
    return [*stops, Stop((Line("What comes of it", "head"),), question, tuple(told))]


def _opening(session: Session) -> Stop:
    book = session.verdict.book
    shown = [Line("A case from the store, names removed", "head")]
    family = ", ".join(f"{name} {value}" for name, value in session.family.items())
    shown += [Line(f"Unit: {family}", "quiet")] if family else []
    told = [Line("Found, in order", "head")]
    told += [Line(f"- {_finding(book, judged)}", indent=2) for judged in session.answers.values()]
    first = next(iter(session.answers.values()), None)
    shown += [Line(f"First finding: {_finding(book, first)}")] if first else []
    return Stop(tuple(shown), "What would you look at next, and what would it tell?", tuple(told))


def _finding(book: Book, judged: Judged) -> str:
    check = book.checks[judged.check]
    limit = book.limits[check.reading.limit] if check.reading else None
    said = judged.special or say_given(judged, limit)
    answer = check.answers.get(said)  # type: ignore[call-overload]
    return f"{check.ask} {answer.says if answer and answer.says else said.replace('-', ' ')}"


def _tempting(book: Book, path: tuple[str, ...]) -> Tempting | None:
    """Return the tempting repair of a chain of the book that ends and begins as this path does."""
    for chain in book.chains.values():
        if chain.tempting and (chain.path()[0], chain.path()[-1]) == (path[0], path[-1]):
            return chain.tempting
    return None


def _path_stops(
    assessment: Assessment, path: Sequence[str], tempting: Tempting | None, case: Session | None
) -> Iterator[Stop]:
    book = assessment.book
    found = book.conditions[path[-1]]
    shown = [Line(f"Found: {found.title}", "head")]
    shown += [Line(found.looks, indent=2)] if found.looks else []
    told: list[Line] = []
    if tempting:
        told.append(Line(f"The tempting repair, and a wrong one: {tempting.repair}.", "bad"))
        told.append(Line(f"What comes of it: {tempting.leads_to}."))
    told += evidence_lines(assessment, path[-1], case)
    yield Stop(tuple(shown), "What would most people do with it? What comes of that?", tuple(told))
    for cause, effect in reversed(list(pairwise(path))):
        yield _link_stop(assessment, cause, effect, case)


def _link_stop(assessment: Assessment, cause: str, effect: str, case: Session | None) -> Stop:
    book = assessment.book
    link = book.links[cause, effect]
    told = [Line(title(book, cause), "head")]
    looks = book.conditions[cause].looks
    told += [Line(looks, indent=2)] if looks else []
    told.append(Line(f"How it works ({link.often.word}): {link.how}.", indent=2))
    told += evidence_lines(assessment, cause, case)
    rivals = [c for c, e in book.links if e == effect and c != cause]
    if rivals:
        names = "; ".join(title(book, c) for c in rivals[:4])
        more = f"; and {len(rivals) - 4} more" if len(rivals) > 4 else ""
        told.append(Line(f"The same can come from: {names}{more}.", "quiet", indent=2))
    shown = (Line(f"Why: {title(book, effect)}?", "head"),)
    return Stop(shown, "What can do this, how, and what would show it?", tuple(told))


def evidence_lines(assessment: Assessment, condition: str, case: Session | None) -> Lines:
    """Yield the checks that would show a condition; in a case, what was found first."""
    book = assessment.book
    record = book.conditions[condition]
    deciding = [c for c in assessment.reasoner.deciders[condition] if _shown_by(c, condition)]
    answered = case.answers if case else {}
    for check in deciding:
        if check.id in answered:
            yield Line(f"Evidence here: {_finding(book, answered[check.id])}", "good", indent=2)
    for check in [c for c in deciding if c.id not in answered][:EVIDENCE_AT_MOST]:
        word = _shown_by(check, condition)
        says = check.answers[word].says or word  # type: ignore[index]
        yield Line(
            f"It would show: {check.ask} {says} ({minutes_words(check.minutes)}, {check.seats[0]})",
            indent=2,
            hang=4,
        )
    if not deciding:
        why = record.unobservable or "no check settles it"
        yield Line(f"It cannot be seen: {why}.", indent=2)


def _shown_by(check: Check, condition: str) -> str:
    """Return the answer that shows a condition decisively; empty if none does."""
    return next((str(w) for w in check.answers if shows(check, str(w), condition)), "")


def _last(assessment: Assessment, path: Sequence[str]) -> Stop:
    book = assessment.book
    named = path[0] in assessment.origins
    shown = (Line(f"The origin: {title(book, path[0])}", "head"),)
    told: list[Line] = []
    if named and assessment.ending is Ending.SETTLED:
        told.append(Line("The plan on a unit where all of this was found, origin first", "head"))
        told += step_lines(assessment, assessment.plan)
    else:
        told.append(Line("On these findings alone the gate still holds:", "head"))
        told += [*part_lines(assessment), *unexplained_lines(assessment)]
    return Stop(
        shown, "What is corrected first, and what would come back if it is not?", tuple(told)
    )


def stops_data(stops: Sequence[Stop]) -> list[dict[str, Any]]:
    """Return the stops as plain data, ready for `json.dumps`."""
    return [
        {
            "shown": [line.text for line in stop.shown if line.text],
            "ask": stop.ask,
            "told": [line.text for line in stop.told if line.text],
        }
        for stop in stops
    ]

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
from pathlib import Path

from headwater.book.model import Chain, Check, Tempting
from headwater.book.records import Book
from headwater.book.tables import Nature
from headwater.case.model import Case
from headwater.drill.drawing import circle
from headwater.drill.run import DrillError
from headwater.drill.truth import plainest, shown_by
from headwater.errors import Place
from headwater.hearing.reading import telling
from headwater.measure.answer import Judged
from headwater.session.findings import Finding, find_out
from headwater.session.openbook import OpenBook
from headwater.session.session import Session
from headwater.verdict.account import Naming
from headwater.verdict.assess import Assessment, Reasoner
from headwater.verdict.reach import Stand, torn_down
from headwater.view.answers import answer_words, word_words
from headwater.view.case import case_view
from headwater.view.paper import Block, Paper, Section, Tone, Words, say, texts_of
from headwater.view.verdict import part_entries, step_entries, unexplained_sections
from headwater.view.words import minutes_words, title

EVIDENCE_AT_MOST = 3


@dataclass(frozen=True, slots=True)
class Stop:
    """One stop: what stands on the screen, what to ask the class, and what is told after."""

    shown: tuple[Block, ...]
    ask: str
    told: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Walk:
    """A chain or a case as a row of stops."""

    stops: tuple[Stop, ...]


NEAREST = 6
"""Chains that are offered, at most, where words fit several."""


def chains_fitting(book: Book, text: str) -> list[Chain]:
    """Return the chain that an id or a title means, or those that words fit equally well.

    Raises DrillError where none fits.
    """
    known = book.aliases.get(text, text)
    if known in book.chains:
        return [book.chains[known]]
    asked = set(telling(text))
    scored = []
    for cid, chain in book.chains.items():
        if chain.title.lower() == text.lower():
            return [chain]
        ends = f"{chain.title} {cid} {title(book, chain.found)} {title(book, chain.verdict)}"
        scored.append((-len(asked & set(telling(ends))), cid))
    best = sorted(scored)[:NEAREST]
    if not best or not best[0][0]:
        raise DrillError(f"no chain fits '{text}'; try words for what is found or where it began")
    return [book.chains[cid] for score, cid in best if score == best[0][0]]


def find_chain(book: Book, text: str) -> Chain:
    """Return the chain that an id or plain words mean. Raises DrillError that names the nearest."""
    found = chains_fitting(book, text)
    if len(found) > 1:
        names = "; ".join(f"'{chain_title(book, chain)}'" for chain in found)
        raise DrillError(f"'{text}' may mean {names}; name one")
    return found[0]


def chain_title(book: Book, chain: Chain) -> str:
    """Return what a chain is called: its title, or its two ends."""
    return chain.title or f"{title(book, chain.verdict)}, {title(book, chain.found)}"


def chain_of_case(session: Session, path: Path) -> str:
    """Return the chain of the book by which a case names its origin. Raises DrillError.

    The exercise is on a unit of its own: nothing that somebody told or measured goes into it.
    """
    ways = [way for account in session.verdict.accounts.values() for way in account.chains]
    for way in ways:
        for chain in session.book.chains.values():
            if chain.verdict == way.origin and chain.found in way.path:
                return str(chain.chain)
    raise DrillError("names no chain of the book; assign one with --chain", Place(str(path)))


def proving(reasoner: Reasoner, path: Sequence[str]) -> Session:
    """Return a session with findings that show every condition of a path, on a torn-down unit."""
    book = reasoner.book
    found: dict[str, Finding] = {}
    for cid in path:
        for check in reasoner.deciders[cid]:
            word = plainest(check, path)
            if check.shows(word, cid):
                found[check.id] = find_out(book, check.id, word)
    stand = Stand(removed=torn_down(book))
    findings = list(found.values())
    return Session(OpenBook(book), Case(case="walk"), {}, reasoner, stand, findings)


def chain_stops(reasoner: Reasoner, chain: Chain) -> list[Stop]:
    """Return the stops of a chain of the book."""
    path = chain.path()
    proven = proving(reasoner, path)
    stops = list(_path_stops(proven.verdict, path, chain.tempting, None))
    return [*stops, *_closing(reasoner, chain), _last(proven, path)]


def _closing(reasoner: Reasoner, chain: Chain) -> Iterator[Stop]:
    """Yield the stop at which a circle closes that the chain enters, if it enters one."""
    book, loop = reasoner.book, circle(reasoner, chain)
    if not loop:
        return
    shown = say(Words(f"And what does this do in turn: {title(book, loop[1])}?", Tone.STRONG))
    told: list[Block] = []
    for cause, effect in pairwise((*loop[1:], *loop[:2])):
        told.append(say(f"{title(book, cause)} → {title(book, effect)}"))
        told.append(say(Words(f"{book.links[cause, effect].how}", Tone.QUIET)))
    told.append(say("The circle closes. It cannot start itself: the origin has entered it."))
    yield Stop((shown,), "Where does that lead, and what would start it anew?", tuple(told))


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
    first = _symptom(session, [path[-1] for path in longest])
    on_chain, book = {cid for path in longest for cid in path}, assessment.book
    beside = [one for one in session.answers.values() if not _speaks_for(book, one) & on_chain]
    aside = [judged for judged in beside if judged is not first]
    stops: list[Stop] = [_opening(session, first, aside)]
    for path in longest:
        stops += _path_stops(assessment, path, _tempting(assessment.book, path), session)
    told = list(_standing(session))
    if assessment.plan and assessment.settled:
        told += [say(Words("The plan, origin first", Tone.STRONG)), _plan(session)]
    told = told or [say("Nothing abnormal was found.")]
    question = "Which parts may be acted on now, which are held, and why?"
    return [*stops, Stop((say(Words("What comes of it", Tone.STRONG)),), question, tuple(told))]


def _symptom(session: Session, ends: Sequence[str]) -> Judged | None:
    """Return what a case began with: a complaint, else what a chain ends in, else what came first.

    A complaint that a chain ends in comes before another.
    """
    book, given = session.verdict.book, list(session.answers.values())
    complaints = {c for c, one in book.conditions.items() if one.kind is Nature.COMPLAINT}
    for wanted in (complaints & set(ends), complaints, set(ends)):
        for judged in given:
            check, word = book.checks[judged.check], judged.settled
            if word and any(check.shows(word, cid) for cid in wanted):
                return judged
    return given[0] if given else None


def _opening(session: Session, first: Judged | None, aside: Sequence[Judged]) -> Stop:
    """Return the first stop: the symptom, then what else was looked at and is on no named chain."""
    book = session.verdict.book
    shown = [say(Words("A case from the store, names removed", Tone.STRONG))]
    family = ", ".join(f"{name} {value}" for name, value in session.family.items())
    shown += [say(Words(f"Unit: {family}", Tone.QUIET))] if family else []
    shown += [say(f"It began with: {_finding(book, first)}")] if first else []
    told = [say(Words("Looked at as well, beside the chain", Tone.STRONG))] if aside else []
    told += [say(f"- {_finding(book, judged)}") for judged in aside]
    told = told or [say("Nothing was looked at that is not on the chain.")]
    return Stop(tuple(shown), "What would you look at next, and what would it tell?", tuple(told))


def _standing(session: Session) -> Iterator[Block]:
    """Yield what the gate says of each part, and what is not explained."""
    view = case_view(session)
    if view.parts:
        yield part_entries(view)
    for section in unexplained_sections(view):
        yield say(Words(section.heading, Tone.HELD))
        yield from section.blocks


def _plan(session: Session) -> Block:
    return step_entries(case_view(session).plan)


def _finding(book: Book, judged: Judged) -> str:
    return f"{book.checks[judged.check].ask} {answer_words(book, judged)}"


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
    shown = [say(Words(f"Found: {found.title}", Tone.STRONG))]
    shown += [say(found.looks)] if found.looks else []
    told: list[Block] = []
    if tempting:
        wrong = f"The tempting repair, and a wrong one: {tempting.repair}."
        told += [say(Words(wrong, Tone.HELD)), say(f"What comes of it: {tempting.leads_to}.")]
    told += evidence_lines(assessment, path[-1], case)
    yield Stop(tuple(shown), "What would most people do with it? What comes of that?", tuple(told))
    for cause, effect in reversed(list(pairwise(path))):
        yield _link_stop(assessment, cause, effect, case)


def _link_stop(assessment: Assessment, cause: str, effect: str, case: Session | None) -> Stop:
    book = assessment.book
    link = book.links[cause, effect]
    told: list[Block] = [say(Words(title(book, cause), Tone.STRONG))]
    looks = book.conditions[cause].looks
    told += [say(looks)] if looks else []
    told.append(say(f"How it works ({link.often.word}): {link.how}."))
    rivals = [c for c, e in book.links if e == effect and c != cause]
    if rivals:
        names = "; ".join(title(book, c) for c in rivals[:4])
        more = f"; and {len(rivals) - 4} more" if len(rivals) > 4 else ""
        told.append(say(Words(f"The same can come from: {names}{more}.", Tone.QUIET)))
    told += evidence_lines(assessment, cause, case)
    shown = (say(Words(f"Why: {title(book, effect)}?", Tone.STRONG)),)
    return Stop(shown, "What can do this, how, and what would show it?", tuple(told))


def evidence_lines(assessment: Assessment, condition: str, case: Session | None) -> Iterator[Block]:
    """Yield the checks that would show a condition; in a case, what was found first."""
    book = assessment.book
    record = book.conditions[condition]
    deciding = _deciding(assessment, condition)
    answered = case.answers if case else {}
    decisive = {check.id for check in deciding}
    for judged in answered.values():
        if judged.check not in decisive and condition in _speaks_for(book, judged):
            yield say(f"It speaks for it: {_finding(book, judged)}")
    for check in deciding:
        if check.id in answered:
            yield say(Words(f"Evidence here: {_finding(book, answered[check.id])}", Tone.RELEASED))
    for check in [c for c in deciding if c.id not in answered][:EVIDENCE_AT_MOST]:
        says = word_words(book, check.id, shown_by(check, condition))
        cost = f"({minutes_words(check.minutes)}, {check.seats[0]})"
        yield say(f"It would show: {check.ask} {says} {cost}")
    if not deciding:
        why = record.unobservable or "no check settles it"
        yield say(f"It cannot be seen: {why}.")


def _speaks_for(book: Book, judged: Judged) -> frozenset[str]:
    """Return the conditions that an answer speaks for, surely or not."""
    given = book.checks[judged.check].answer(judged.settled or "")
    return frozenset(map(str, given.shows)) if given else frozenset()


def _deciding(assessment: Assessment, condition: str) -> list[Check]:
    """Return the checks of which an answer shows a condition."""
    return [c for c in assessment.reasoner.deciders[condition] if shown_by(c, condition)]


def _last(proven: Session, path: Sequence[str]) -> Stop:
    verdict = proven.verdict
    shown = (say(Words(f"The origin: {title(verdict.book, path[0])}", Tone.STRONG)),)
    told: list[Block] = []
    if path[0] in verdict.origins and verdict.settled:
        text = "The plan on a unit where all of this was found, origin first"
        told += [say(Words(text, Tone.STRONG)), _plan(proven)]
    else:
        text = "On these findings alone the gate still holds:"
        told += [say(Words(text, Tone.STRONG)), *_standing(proven)]
    ask = "What is corrected first, and what would come back if it is not?"
    return Stop(shown, ask, tuple(told))


@dataclass(frozen=True, slots=True)
class StopView:
    """A stop as plain text, paragraph by paragraph."""

    shown: tuple[str, ...]
    ask: str
    told: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WalkView:
    """All stops of a walk."""

    stops: tuple[StopView, ...]


def walk_view(walk: Walk) -> WalkView:
    """Return a walk as a record."""
    return WalkView(
        tuple(StopView(texts_of(one.shown), one.ask, texts_of(one.told)) for one in walk.stops)
    )


def shown_paper(stop: Stop) -> Paper:
    """Return what stands on the screen while the class is asked."""
    return Paper("", (*stop.shown, say(Words(f"Ask the class: {stop.ask}", Tone.STRONG))), ())


def told_paper(stop: Stop) -> Paper:
    """Return what is told after."""
    return Paper("", stop.told, ())


def steps_paper(walk: Walk) -> Paper:
    """Return a walk to be projected: the class is asked on one screen, and told on the next."""
    sections: list[Section] = []
    for number, stop in enumerate(walk.stops, 1):
        of = f"Stop {number} of {len(walk.stops)}"
        ask = say(Words(f"Ask the class: {stop.ask}", Tone.STRONG))
        sections += [Section(of, (*stop.shown, ask)), Section(f"{of}, told", stop.told)]
    return Paper("A walk along a chain", (), tuple(sections))


def walk_paper(walk: Walk) -> Paper:
    """Return a whole walk as a paper, for print and for whoever reads it at one go."""
    sections: list[Section] = []
    for number, stop in enumerate(walk.stops, 1):
        ask = say(Words(f"Ask the class: {stop.ask}", Tone.STRONG))
        sections.append(Section(f"Stop {number}", (*stop.shown, ask, *stop.told)))
    return Paper("", (), tuple(sections))

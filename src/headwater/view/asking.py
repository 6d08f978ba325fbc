"""A question as it is put, why it is put, and what its answer did."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headwater.belief.gain import outlooks
from headwater.measure.answer import asked_inputs
from headwater.session.session import Session
from headwater.verdict.reach import minutes_to_open, still_to_open
from headwater.view.left import answer_words, withdrawn_words
from headwater.view.paper import Block, Entries, Entry, Paper, Section, Tone, Words, listed, say
from headwater.view.words import (
    minutes_words,
    part_title,
    percent,
    title,
    why_lines,
    why_not_lines,
)

LIVE_AT_MOST = 4
UNEXPLAINED_AT_MOST = 3


@dataclass(frozen=True, slots=True)
class Asking:
    """A check that is put at a seat, or was answered; with the parts held and released before."""

    session: Session
    check: str
    held_before: frozenset[str] = frozenset()
    released_before: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Doubt:
    """A condition of a case that somebody asks about."""

    session: Session
    condition: str


def question_paper(asking: Asking) -> Paper:
    """Return one question with how to look, the tool, the cautions and the answers."""
    check = asking.session.book.checks[asking.check]
    told = [*look_blocks(asking), *(_reading(asking) if check.reading else [_answers(asking)])]
    return Paper(check.ask, tuple(told), ())


def look_blocks(asking: Asking) -> list[Block]:
    """Return how to look: what comes off first, minutes and tool, good and bad, cautions."""
    session = asking.session
    book, check = session.book, session.book.checks[asking.check]
    opens = still_to_open(book, check, session.stand.removed)
    minutes = check.minutes + minutes_to_open(book, opens)
    tool = f", with {check.tool}" if check.tool else ""
    told: list[Block] = [say(f"first: {book.removals[rid].title}") for rid in opens]
    told.append(say(Words(f"{minutes_words(minutes)}{tool}", Tone.QUIET)))
    texts = (("How", check.how), ("Good", check.good), ("Bad", check.bad))
    told += [say(f"{label}: {text}") for label, text in texts if text]
    cautions = [*check.cautions, *(c for rid in opens for c in book.removals[rid].cautions)]
    told += [
        say(Words(f"! {book.cautions[c].text}", Tone.HELD))
        for c in dict.fromkeys(cautions)
        if c in book.cautions
    ]
    return told


def _answers(asking: Asking) -> Entries:
    answers = asking.session.book.checks[asking.check].answers.items()
    texts = [f"{word}: {answer.says}" if answer.says else str(word) for word, answer in answers]
    return Entries(tuple(Entry((Words(text),)) for text in texts), numbered=True)


def _reading(asking: Asking) -> list[Block]:
    book, check = asking.session.book, asking.session.book.checks[asking.check]
    assert check.reading is not None
    limit = book.limits[check.reading.limit]
    bands = ", ".join(f"{b.name} up to {b.upto}" if b.upto else str(b.name) for b in limit.bands)
    inputs = asked_inputs(check)
    how = f"A reading with its unit ({limit.unit}), or one of the words."
    if len(inputs) > 1:
        how = f"Type 'measure' to give {', '.join(inputs)}; or the result, or a word."
    return [say(f"Limit: {bands} ({book.sources[limit.source].title})"), say(how)]


def purpose_paper(asking: Asking) -> Paper:
    """Return why a check is asked: what it separates, and what each answer would leave."""
    session = asking.session
    check = session.book.checks[asking.check]
    rows = []
    for outlook in outlooks(session.verdict.particles, check):
        likely = sorted(outlook.origins.items(), key=lambda item: (-item[1], item[0]))[:3]
        left = [f"{title(session.book, cid)} {percent(p)}" for cid, p in likely if p >= 0.05]
        words = ", ".join(left) or "none of them likely"
        rows.append(f"{outlook.answer} ({percent(outlook.probability)}): {words}")
    means = [say(check.means)] if check.means else []
    what = say("What each answer would leave of the origins now in question:")
    return Paper("", (*means, what, listed(rows)), ())


def effect_paper(asking: Asking) -> Paper:
    """Return what an answer did: a reading judged, chains still live, parts held and released."""
    verdict = asking.session.verdict
    live = [_live(asking, cid) for cid in verdict.unexplained[:UNEXPLAINED_AT_MOST]]
    told = live if asking.check in verdict.stand.answered else []
    judged, parts = _judged(asking), _parts(asking)
    return Paper("", (*judged, *map(say, told), *parts), ())


def change_blocks(asking: Asking) -> Iterator[Block]:
    """Yield the same without the live chains, where these stand beside it."""
    yield from _judged(asking)
    yield from _parts(asking)


def _judged(asking: Asking) -> Iterator[Block]:
    """Yield how an answer was taken, what it disagrees with, and the origins that are named."""
    verdict = asking.session.verdict
    book, judged = verdict.book, verdict.stand.answered.get(asking.check)
    if judged is None:
        return
    yield from (say(Words(text, Tone.QUIET)) for text in judged.working)
    if judged.quantity and judged.settled:
        yield say(f"That is {judged.settled}.")
    if judged.too_close:
        shares = ", ".join(f"{word} {percent(share)}" for word, share in judged.shares)
        text = f"Too close to call with this gauge: {shares}. It decides nothing."
        yield say(Words(text, Tone.HELD))
    for cid in verdict.disputed:
        text = f"Findings disagree on: {title(book, cid)}. Look again."
        yield say(Words(text, Tone.HELD))
    for one in verdict.evidence.disputed if not verdict.disputed else ():
        yield say(
            Words(f"It disagrees with another answer: {answer_words(verdict, one)}", Tone.HELD)
        )
    if any(asking.check in checks for checks in verdict.evidence.surprising.values()):
        yield say(
            Words("By what is known, one look is not enough for that. Look once more.", Tone.HELD)
        )
    for origin, naming in verdict.origins.items():
        text = f"Origin named, {naming.value}: {title(book, origin)}"
        yield say(Words(text, Tone.RELEASED))


def _parts(asking: Asking) -> Iterator[Block]:
    """Yield the parts that are held or released since an answer."""
    verdict = asking.session.verdict
    if asking.check not in verdict.stand.answered:
        return
    book = verdict.book
    for part in verdict.held:
        if part in asking.released_before:
            words = "; ".join(withdrawn_words(verdict, part, asking.check))
            text = f"NO LONGER RELEASED: {part_title(book, part)}, {words}."
            yield say(Words(text, Tone.HELD))
        elif part not in asking.held_before:
            why = verdict.decisions[part].because
            yield say(Words(f"HELD: {part_title(book, part)}, {why}.", Tone.HELD))
    for part in sorted(asking.held_before - set(verdict.held)):
        if part in verdict.decisions:
            yield say(Words(f"RELEASED: {part_title(book, part)}", Tone.RELEASED))


def _live(asking: Asking, cid: str) -> str:
    verdict = asking.session.verdict
    book = verdict.book
    live = [(c.origin, c.share) for c in verdict.accounts[cid].candidates if c.origin]
    if not live:
        return f"{title(book, cid)}: its cause is not in the book"
    names = "; ".join(f"{title(book, o)} {percent(share)}" for o, share in live[:LIVE_AT_MOST])
    more = f"; and {len(live) - LIVE_AT_MOST} more" if len(live) > LIVE_AT_MOST else ""
    return f"{title(book, cid)} may come from: {names}{more}"


@dataclass(frozen=True, slots=True)
class WhyView:
    """The status of a condition, why, and what keeps it from being confirmed."""

    condition: str
    status: str
    why: tuple[str, ...]
    why_not_confirmed: tuple[str, ...]


def why_view(doubt: Doubt) -> WhyView:
    """Return why a condition stands as it does, from the record of what was derived."""
    session = doubt.session
    told = session.why(doubt.condition)
    return WhyView(
        doubt.condition,
        told.status.value,
        tuple(why_lines(session.verdict, told.reason)),
        tuple(why_not_lines(session.book, told.obstacles)),
    )


def why_paper(doubt: Doubt) -> Paper:
    """Return the same as a paper, with what would decide it."""
    session, view = doubt.session, why_view(doubt)
    record = session.book.conditions[doubt.condition]
    unknown = (f"{record.title}: unknown, no finding bears on it",)
    told = tuple(
        say(text.strip(), depth=(len(text) - len(text.lstrip())) // 2)
        for text in view.why or unknown
    )
    sections = [Section(f"Why it is {view.status}", told)]
    if view.why_not_confirmed:
        kept = list(view.why_not_confirmed)
        if record.unobservable:
            kept.append(f"it cannot be seen: {record.unobservable}")
        sections.append(Section("Why it is not confirmed", (listed(kept),)))
        asked = [f"{c.ask} ({c.id})" for c in session.why(doubt.condition).deciders]
        if asked:
            sections.append(Section("What decides it", (listed(asked),)))
    return Paper("", (), tuple(sections))

"""What a seat shows on a page: one question with its answers, and beside it where the case stands.

The same page serves the telephone, the hoist and the bench; what is asked and said of it is worded
where the terminal's screens are, and made into what can be pressed here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headwater.book.model import Check
from headwater.book.tables import TAKEN_BACK, Seat
from headwater.session.again import has_heard
from headwater.session.atseat import AtSeat
from headwater.session.findings import numbered, standing
from headwater.session.sent import places_of
from headwater.session.triage import wants_told
from headwater.session.turn import Turn
from headwater.verdict.prices import Prices
from headwater.view.advice import advice_block, advice_view
from headwater.view.answers import answer_words
from headwater.view.asking import Asking, change_blocks
from headwater.view.call import (
    Ringing,
    advice_paper,
    comeback_paper,
    sheet_paper,
    standing_paper,
    wants_paper,
)
from headwater.view.choice import Choice
from headwater.view.intake import rest_blocks, row_words, trouble_blocks
from headwater.view.kept import KeptRow, kept_rows
from headwater.view.left import end_blocks
from headwater.view.paper import Block, Facts, Paper, Section, say
from headwater.view.question import QuestionPage, pages_ahead, question_page
from headwater.view.scale import Scale, scale_of
from headwater.view.spoken import ReadBack, Wanted, follow_up_paper, read_back_paper
from headwater.view.standing import standing_view
from headwater.view.told import told_blocks
from headwater.view.verdict import live_sections

SOMEBODY = "Somebody else"
BOTH = "You answered it, too: both stand, each as a look of its own."
BACK = "the answer was taken back"
CAME = "The photograph is kept with this finding."
UNIT_LEFT = "Kept as told only, for a unit that is built as was said cannot have it: {}."


@dataclass(frozen=True, slots=True)
class Seated:
    """A person at a seat, and the shop's price list where one is named."""

    at: AtSeat
    prices: Prices | None = None


@dataclass(frozen=True, slots=True)
class TickRow:
    """Something that was understood; it is taken as said where it is ticked."""

    number: int
    words: str
    ticked: bool


@dataclass(frozen=True, slots=True)
class SignRow:
    """A sign of danger, and what to do now where it was told."""

    id: str
    words: str
    now: tuple[str, ...]
    ticked: bool


@dataclass(frozen=True, slots=True)
class TicksPage:
    """What was said, and what was understood of it."""

    said: tuple[str, ...]
    signs: tuple[SignRow, ...]
    rows: tuple[TickRow, ...]
    before: tuple[Block, ...]
    after: tuple[Block, ...]
    nothing: bool


@dataclass(frozen=True, slots=True)
class UnitPage:
    """One attribute of the unit, and what it may be."""

    attribute: str
    ask: str
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class PhotographPage:
    """An answer of which a photograph may be taken now, and whether one just came."""

    number: int
    ask: str
    came: str


@dataclass(frozen=True, slots=True)
class FoundRow:
    """An answer that stands, by its number; `scale` where it was measured."""

    number: int
    ask: str
    words: str
    note: str
    scale: Scale | None


@dataclass(frozen=True, slots=True)
class SeatPage:
    """A seat of a case. Of `question`, `ticks`, `unit` and `end` one is there, as `turn` says.

    `ahead` are questions that may be answered while the network is gone.
    """

    case: str
    seat: str
    turn: str
    seen: int
    fault: str
    typed: str
    news: tuple[str, ...]
    advice: tuple[Block, ...]
    aloud: tuple[Block, ...]
    effect: tuple[Block, ...]
    scale: Scale | None
    photograph: PhotographPage | None
    question: QuestionPage | None
    ahead: tuple[QuestionPage, ...]
    ticks: TicksPage | None
    unit: UnitPage | None
    unclear: tuple[str, ...]
    heard_amiss: bool
    told: tuple[Block, ...]
    kept: tuple[KeptRow, ...]
    standing: tuple[Section, ...]
    found: tuple[FoundRow, ...]
    end: tuple[Block, ...]
    sheet: Paper | None
    may_accept: bool
    may_look_on: bool
    may_resume: bool


def seat_page(seated: Seated) -> SeatPage:
    """Return what a seat shows now."""
    at = seated.at
    session, turn, check = at.session, at.turn, at.check
    asked = turn is Turn.QUESTION and check is not None
    ended = turn is Turn.END
    scale = _scale(at)
    return SeatPage(
        case=session.case.case,
        seat=session.stand.seat.value,
        turn=turn.value,
        seen=len(session.case.findings),
        fault=_fault(at),
        typed=at.typed,
        news=tuple(_news(at)),
        advice=_advice(at, turn),
        aloud=tuple(_aloud(at, check if asked else None)),
        effect=tuple(_effect(at)),
        scale=scale,
        photograph=_photograph(at),
        question=question_page(at, check) if asked and check else None,
        ahead=tuple(pages_ahead(at, check)) if asked and check else (),
        ticks=_ticks(at) if turn is Turn.TICKS else None,
        unit=_unit(at) if turn is Turn.UNIT else None,
        unclear=session.case.not_placed if turn is Turn.UNCLEAR else (),
        heard_amiss=turn is Turn.UNCLEAR and has_heard(session),
        told=tuple(told_blocks(session)),
        kept=tuple(kept_rows(session)),
        standing=tuple(_standing(at, check if asked else None)),
        found=tuple(_found(at)),
        end=tuple(end_blocks(session)) if ended and not at.call else (),
        sheet=_sheet(seated) if ended and at.call else None,
        may_accept=ended and bool(session.acceptable) and not at.call,
        may_look_on=ended and not at.call and bool(session.not_worth_asking()),
        may_resume=at.ended,
    )


def _fault(at: AtSeat) -> str:
    return UNIT_LEFT.format(at.misfits) if at.misfits else at.fault


def _news(at: AtSeat) -> Iterator[str]:
    """Yield what others answered since this person sent something last."""
    entries = at.session.case.findings
    mine = {entries[place].check for place in at.own if place < len(entries)}
    answers = zip(places_of(at.session), numbered(at.session.findings), strict=True)
    of_place = {place: found for place, (_, found) in answers}
    for place in at.news:
        if found := of_place.get(place):
            ask = at.session.book.checks[found.check].ask
            who = at.hands.get(place) or SOMEBODY
            back = found.judged.special == TAKEN_BACK
            told = BACK if back else answer_words(at.session.book, found.judged)
            both = f" {BOTH}" if found.check in mine else ""
            yield f"{who}: {ask} {told}.{both}"


def _advice(at: AtSeat, turn: Turn) -> tuple[Block, ...]:
    """Return whether it may be driven: to a caller, in a caller's words.

    Of a unit on the bench that is told at the end: nobody drives it meanwhile.
    """
    verdict = at.session.verdict
    if at.session.stand.seat is Seat.BENCH and turn is not Turn.END:
        return ()
    if not at.call:
        return (advice_block(advice_view(verdict)),)
    row = advice_paper(Wanted(at.call)).blocks[0]
    assert isinstance(row, Facts)
    frame = verdict.drive.advice.value
    return tuple(say(words, boxed=True, frame=frame) for _, words in row.rows)


def _aloud(at: AtSeat, check: Check | None) -> Iterator[Block]:
    """Yield what is read to somebody beside the question."""
    waits = at.waiting(check.id) if check else None
    if check and waits and waits.read_back:
        yield say(read_back_paper(ReadBack(check, waits)).heading)
    if not at.call:
        return
    if waits and not waits.read_back:
        yield say(follow_up_paper(Wanted(at.call, current=check)).heading)
    yield from comeback_paper(Wanted(at.call)).blocks
    for words in wants_told(at.session.case):
        yield from wants_paper(Wanted(at.call, words)).blocks


def _effect(at: AtSeat) -> Iterator[Block]:
    if at.done and not at.call:
        done = at.done
        yield from change_blocks(Asking(at.session, done.check, done.held, done.released))


def _scale(at: AtSeat) -> Scale | None:
    judged = at.session.answers.get(at.done.check) if at.done else None
    return scale_of(at.session.book, judged) if judged else None


def _ticks(at: AtSeat) -> TicksPage:
    intake = at.intake
    assert intake is not None
    book = at.session.open_book.book
    asks = at.session.stand.seat is Seat.CALL
    signs = tuple(
        SignRow(str(oid), sign.title, sign.now if oid in intake.signs else (), oid in intake.signs)
        for oid, sign in book.emergencies.items()
        if asks or oid in intake.signs
    )
    rows = tuple(
        TickRow(number, row_words(book, row), row.ticked)
        for number, row in enumerate(intake.rows, 1)
    )
    before, after = tuple(trouble_blocks(intake)), tuple(rest_blocks(intake))
    return TicksPage(tuple(intake.said), signs, rows, before, after, intake.empty)


def _unit(at: AtSeat) -> UnitPage:
    attribute = at.session.book.attributes[at.attribute]
    choices = (Choice(str(value), text) for value, text in attribute.values.items())
    return UnitPage(at.attribute, attribute.ask, tuple(choices))


def _photograph(at: AtSeat) -> PhotographPage | None:
    """Return the answer just given, or looked at again; a caller sends no picture."""
    every = dict(numbered(at.session.findings))
    just = [n for n, one in every.items() if at.done and one.check == at.done.check]
    number = at.pictured or (just[-1] if just else at.again[1] if at.again else None)
    if at.call or number not in every:
        return None
    came = CAME if at.pictured and not at.fault else ""
    return PhotographPage(number, at.session.book.checks[every[number].check].ask, came)


def _standing(at: AtSeat, check: Check | None) -> Iterator[Section]:
    """Yield the live chains; at hoist and bench also the parts that are held and released."""
    if not at.call:
        yield from live_sections(at.session, standing_view(at.session))
        return
    facts = standing_paper(Wanted(at.call, current=check)).blocks[1:]
    yield Section("", tuple(_shown_rows(block) for block in facts if isinstance(block, Facts)))


def _shown_rows(facts: Facts) -> Facts:
    """Return rows without the one that says what to type."""
    return Facts(tuple(row for row in facts.rows if row[0] != "Unclear"), facts.tone)


def _found(at: AtSeat) -> Iterator[FoundRow]:
    """Yield the answers that stand, the latest first."""
    book, stand = at.session.book, {id(one) for one in standing(at.session.findings)}
    for number, found in reversed(numbered(at.session.findings)):
        if id(found) in stand:
            words, check = answer_words(book, found.judged), book.checks[found.check]
            ask = check.say or check.ask if at.call else check.ask
            yield FoundRow(number, ask, words, found.note, scale_of(book, found.judged))


def _sheet(seated: Seated) -> Paper:
    assert seated.at.call is not None
    return sheet_paper(Ringing(seated.at.call, seated.at.over, seated.prices))

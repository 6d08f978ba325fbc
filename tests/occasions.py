"""What every output is made from, drawn out of one verdict: the attacks walk the table with it.

A new output is attacked by its place in the table alone; one that is made from something new needs
a maker here, and a test says so.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from typing import Any

from sessions import LETTERHEAD, as_session

from headwater import outputs
from headwater.book.shape import Ref
from headwater.book.tables import Seat, Verb
from headwater.case.model import Case, LogEntry
from headwater.drill.classhour import ClassHour, ClassRoom, Phase
from headwater.drill.classlist import Assigned, ClassList
from headwater.drill.desk import Sitting
from headwater.drill.exercise import Exercise, Wish
from headwater.drill.hourpages import Opening, Playing
from headwater.drill.mistakes import Mistake
from headwater.drill.order import Explained, Puzzle
from headwater.drill.progress import Apprentice, Lesson, Task
from headwater.drill.pupil import NAMING, Doing, Pupil
from headwater.drill.result import Debriefing
from headwater.drill.run import Order, Run
from headwater.drill.score import PartMark, Score, Statement
from headwater.drill.truth import HiddenUnit
from headwater.drill.walk import Stop, Walk, case_stops
from headwater.errors import HeadwaterError
from headwater.hearing.answers import Heard
from headwater.ledger.conclude import as_planned, conclusion_of
from headwater.ledger.learned import FigureRow, Learning, Passed
from headwater.ledger.records import (
    CalibrationGroup,
    CalibrationReport,
    CaseCard,
    CaseList,
    CaseRow,
    CaseState,
    CountRow,
    Finished,
    FleetReport,
    HappenedRow,
    IdleQuestions,
    Interval,
    LifeFit,
    LifeStep,
    LifeTable,
    Noted,
    PictureRow,
    ReliabilityRow,
    Returning,
    ReturnsReport,
    ShareRow,
    StatisticRow,
    TrendGroup,
    TrendsReport,
)
from headwater.measure.answer import Judged
from headwater.outputs import OUTPUTS, Output
from headwater.render.data import as_json
from headwater.session.atseat import AtSeat
from headwater.session.call import Call
from headwater.session.intake import Intake
from headwater.session.session import Session
from headwater.session.turn import Answered
from headwater.verdict.assess import Assessment
from headwater.verdict.audit import Proposal, ProposedPart, audit
from headwater.verdict.prices import Prices
from headwater.view.asking import Asking, Doubt
from headwater.view.audit import Auditing
from headwater.view.book import Changed, Checked, Kept, Shown
from headwater.view.call import Ringing
from headwater.view.heard import Overheard
from headwater.view.label import Labelled
from headwater.view.leaf import KINDS, Leafing
from headwater.view.options import Pricing
from headwater.view.pricesheet import PriceSheet
from headwater.view.refusal import TurnedAway
from headwater.view.seat import Seated
from headwater.view.shop import Reporting
from headwater.view.spoken import ReadBack, Wanted
from headwater.view.staff import Staff
from headwater.view.told import Leftovers
from headwater.view.trace import Tracing

ON = date(2031, 4, 9)
BOOK_ALONE = frozenset({"book-show", "book-check", "book-cover", "book-diff", "book-read", "work"})
"""Outputs of the book without any case. `book-show` prints a record with its actions, as its
author wrote it: nothing is held there, for nothing was found."""

Maker = Callable[[Session, Prices | None], Iterator[Any]]


def _askings(session: Session, _: Prices | None) -> Iterator[Asking]:
    for check in session.book.checks:
        yield Asking(session, check, frozenset(session.verdict.decisions))


def _doubts(session: Session, _: Prices | None) -> Iterator[Doubt]:
    yield from (Doubt(session, cid) for cid in session.book.conditions)


def _pricings(session: Session, prices: Prices | None) -> Iterator[Pricing]:
    yield Pricing(session, None)
    yield Pricing(session, prices, tuple(session.book.parts))
    yield from (Pricing(session, prices, (part,)) for part in session.verdict.held)


def _auditings(session: Session, _: Prices | None) -> Iterator[Auditing]:
    verdict = session.verdict
    parts = [ProposedPart(part, part, Verb.REPLACE) for part in session.book.parts]
    for proposal in (Proposal("all", tuple(parts)), Proposal("unit", (), exchange=True)):
        yield Auditing(session, audit(verdict, proposal))
    yield from (Auditing(session, audit(verdict, Proposal("bare", (part,)))) for part in parts)


def _reportings(session: Session, prices: Prices | None) -> Iterator[Reporting]:
    yield Reporting(session, ON)
    yield Reporting(session, ON, Pricing(session, prices), letterhead=LETTERHEAD)


def _wanted(session: Session, _: Prices | None) -> Iterator[Wanted]:
    call = Call(session, lambda: 0.0)
    first = next(iter(session.book.checks.values()))
    yield from (Wanted(call, record.title, first) for record in session.book.parts.values())


def _read_backs(session: Session, _: Prices | None) -> Iterator[ReadBack]:
    for check in session.book.checks.values():
        for answer in check.answers:
            yield ReadBack(check, Heard(None, check.ask, nearest=str(answer)))


def _ringings(session: Session, prices: Prices | None) -> Iterator[Ringing]:
    yield Ringing(Call(session, lambda: 0.0), "Ended.", prices)


def _seated(session: Session, prices: Prices | None) -> Iterator[Seated]:
    """Yield a person on the telephone and at the bench: at a look, at its end, at words."""
    told = tuple(LogEntry(check=Ref(found.check)) for found in session.findings)
    case = Case(case="c", findings=told)
    for seat in (Seat.CALL, Seat.BENCH):
        moved = replace(session, stand=replace(session.stand, seat=seat), case=case)
        check = next(iter(session.book.checks))
        at = AtSeat(moved, lambda: 0.0, asks_words=False)
        at.again, at.done = (check, None), Answered(check, frozenset(), session.held)
        yield Seated(at, prices)
    at.finish()
    yield Seated(at, prices)
    at.intake = next(_intakes(moved, prices))
    yield Seated(at, prices)


def _tracings(session: Session, _: Prices | None) -> Iterator[Tracing]:
    yield from (Tracing(session.book, cid) for cid in session.book.conditions)


def _leaves(session: Session, _: Prices | None) -> Iterator[Leafing]:
    book = session.book
    yield Leafing(book)
    yield Leafing(book, found=tuple(("conditions", cid) for cid in book.conditions))
    for kind in KINDS[1:]:
        yield from (Leafing(book, kind, name) for name in book.table(kind))


def _walks(session: Session, _: Prices | None) -> Iterator[Walk]:
    yield Walk(tuple(case_stops(session)))


def _debriefings(session: Session, _: Prices | None) -> Iterator[Debriefing]:
    unit = HiddenUnit("seed", (), frozenset(), frozenset())
    run = Run(unit, session)
    exercise = Exercise(1, 1, {}, session.reasoner, unit, run)
    parts = tuple(PartMark(part, 6, bare=True) for part in session.book.parts)
    yield Debriefing(exercise, run, Statement(), Score())
    yield Debriefing(exercise, run, Statement(), Score(missing_parts=parts, needless_parts=parts))


def _class_lists(session: Session, _: Prices | None) -> Iterator[ClassList]:
    chains = (*session.book.chains,)
    done = Lesson(at="", level=1, points=1, chains=chains, mistakes=(*map(str, Mistake),))
    yield ClassList(session.book, {_said(session): Apprentice(done=1, history=(done,))})


def _hours(session: Session, prices: Prices | None) -> Iterator[ClassHour]:
    told = next(_debriefings(session, prices))
    pupil = Pupil("ana", told.run, told=told)
    for phase in Phase:
        hour = ClassHour("CODE", session.open_book, Wish(1, 1), Task(level=1), phase, told.exercise)
        hour.joined, hour.pupils, hour.fault = {"a": "ana"}, {"a": pupil}, _said(session)
        yield hour


def _openings(session: Session, prices: Prices | None) -> Iterator[Opening]:
    yield Opening(ClassRoom(hours={hour.code: hour for hour in _hours(session, prices)}))


def _playings(session: Session, prices: Prices | None) -> Iterator[Playing]:
    """Yield every question with everything that can be found and picked."""
    hour = next(_hours(session, prices))
    pupil = hour.pupils["a"]
    pupil.run.orders.extend(one.made for one in _sittings(session, prices) if one.made)
    pupil.made = pupil.run.orders[-1]
    for doing in Doing:
        pupil.doing = doing
        if doing in NAMING:
            pupil.named[doing] = tuple(pupil.options())
        yield Playing(hour, pupil, _said(session))
        yield Playing(hour, pupil, every=True)


def _stops(session: Session, _: Prices | None) -> Iterator[Stop]:
    yield from case_stops(session)


def _sittings(session: Session, prices: Prices | None) -> Iterator[Sitting]:
    told = next(_debriefings(session, prices))
    yield Sitting(told.exercise, told.run)
    yield Sitting(told.exercise, told.run, tuple(session.book.checks))
    for check in session.book.checks.values():
        word = str(next(iter(check.answers)))
        judged = Judged(check.id, word, ((word, 1.0),), settled=word)
        order = Order(check.id, judged, 5.0, (), True, {}, {})
        yield Sitting(told.exercise, told.run, made=order)


def _explained(session: Session, _: Prices | None) -> Iterator[Explained]:
    path = tuple(session.book.conditions)[:1]
    yield Explained(session.book, "chain", Puzzle(path, path, ()), path, ())


def _said(session: Session) -> str:
    """Return a sentence in which everything is said that a book knows."""
    return ", ".join(record.title for record in session.book.conditions.values())


def _intakes(session: Session, _: Prices | None) -> Iterator[Intake]:
    intake = Intake(session)
    intake.hear(_said(session))
    yield intake


def _overheard(session: Session, _: Prices | None) -> Iterator[Overheard]:
    yield Overheard(session.book, _said(session), session.understand(_said(session)))


def _case_row(session: Session) -> CaseRow:
    said = session.case.complaint or _said(session)
    return CaseRow("c", CaseState.WAITING, said, said, said, said, said, 1, "", "")


def _case_lists(session: Session, _: Prices | None) -> Iterator[CaseList]:
    yield CaseList((_case_row(session),), 1, _said(session))


def _case_cards(session: Session, _: Prices | None) -> Iterator[CaseCard]:
    told = session.case.told or (_said(session),)
    log = (HappenedRow("", "w", "d", _said(session)),)
    yield CaseCard(_case_row(session), "", "", "", (), told, (), (PictureRow("p", "", 0),), (), log)


def _finished(session: Session, _: Prices | None) -> Iterator[Finished]:
    made = conclusion_of(session)
    yield Finished("c", "2031-04-09", made.sentence, made.origins, "")
    case = replace(session.case, done=tuple(as_planned(session)))
    made = conclusion_of(replace(session, case=case))
    yield Finished("c", "2031-04-09", made.sentence, made.origins, "")


def _returning(session: Session, _: Prices | None) -> Iterator[Returning]:
    said = _said(session)
    yield Returning("c", said, 1, None, None, said, False)


def _share_rows(session: Session) -> tuple[ShareRow, ...]:
    """Return what the ledger would count of a case: its origins and its damaged parts, by id."""
    made = conclusion_of(session)
    names = [*(one.origin for one in made.origins), *(part for _, part in made.damages)]
    return tuple(ShareRow(name, 1, 2, 0.5, 0.0, 1.0) for name in ("none", *names))


def _returns(session: Session, _: Prices | None) -> Iterator[ReturnsReport]:
    rows = _share_rows(session)
    fit = LifeFit(1.0, Interval(0.5, 2.0), 9.0, Interval(1.0, 20.0), 1.0, -1.0)
    table = LifeTable("days", "as exact", 1, 1, (LifeStep(30.0, 0.5, 0.1, 0.9, 2),), fit)
    test = (StatisticRow(_said(session), "Fisher", 1.0, 0.5),)
    yield ReturnsReport(rows[0], "", "", 1, 1, rows, rows, rows, table, table, (), test)


def _trends(session: Session, _: Prices | None) -> Iterator[TrendsReport]:
    rows = _share_rows(session)
    yield TrendsReport(2, "", "", "", (TrendGroup("", 2, rows, rows, rows[0]),), ())


def _calibrations(session: Session, _: Prices | None) -> Iterator[CalibrationReport]:
    rows = _share_rows(session)
    group = CalibrationGroup(rows[-1].name, 1, 0.1, 0.1, (ReliabilityRow(0.5, rows[-1]),))
    counted = tuple(CountRow(row.name, 1) for row in rows)
    yield CalibrationReport(1, (group,), counted, counted, IdleQuestions(1, 1, counted))


def _learnings(session: Session, _: Prices | None) -> Iterator[Learning]:
    for name in (row.name for row in _share_rows(session)):
        row = FigureRow(name, "", name, "rare", 0.1, 0.2, 0.1, 0.3, 9.0, 3.0, 9.0, True)
        yield Learning(9, "2031-04-09", Passed(1, 1, 1, 1), 8.0, 100.0, (row,), ("pack.yaml",))


MAKERS: dict[type, Maker] = {
    Session: lambda session, _: iter([session]),
    Asking: _askings,
    Doubt: _doubts,
    Pricing: _pricings,
    Auditing: _auditings,
    Reporting: _reportings,
    Wanted: _wanted,
    ReadBack: _read_backs,
    Ringing: _ringings,
    Seated: _seated,
    Tracing: _tracings,
    Walk: _walks,
    Debriefing: _debriefings,
    ClassList: _class_lists,
    Assigned: lambda _session, _: iter([Assigned(Task(level=1, chain="chain"), ("ana",))]),
    Exercise: lambda session, prices: iter([next(_debriefings(session, prices)).exercise]),
    ClassHour: _hours,
    Opening: _openings,
    Playing: _playings,
    Stop: _stops,
    Sitting: _sittings,
    Explained: _explained,
    Intake: _intakes,
    Overheard: _overheard,
    Staff: lambda _session, _: iter([Staff("people.json", (("Ada", "foreman"),))]),
    Leafing: _leaves,
    PriceSheet: lambda session, prices: iter([PriceSheet(prices, session.book)]),
    Labelled: lambda session, _: iter([Labelled(session), Labelled(session, "http://x/case/y")]),
    Leftovers: lambda session, _: iter([Leftovers((session.case,))]),
    Checked: lambda session, _: iter([Checked(session.book, ())]),
    Changed: lambda _session, _: iter([Changed(())]),
    Shown: lambda _session, _: iter([Shown("none", ())]),
    TurnedAway: lambda session, _: iter([TurnedAway(2, (HeadwaterError(_said(session)),))]),
    CaseList: _case_lists,
    CaseCard: _case_cards,
    Finished: _finished,
    Returning: _returning,
    ReturnsReport: _returns,
    CalibrationReport: _calibrations,
    TrendsReport: _trends,
    Learning: _learnings,
    FleetReport: lambda _session, _: iter([FleetReport("", 1, 1, 1.0, 1.0)]),
    Noted: lambda session, _: iter([Noted("ledger", (_said(session),))]),
    Kept: lambda _session, _: iter([Kept("parts", {})]),
}


def forms(output: Output, told: Any) -> Iterator[str]:
    """Yield an output in every form that it has."""
    if output.paper:
        yield "\n".join(line.text for line in outputs.lines(output.name, told))
        yield outputs.markdown_text(output.name, told)
        yield outputs.html_text(output.name, told)
    if output.record:
        yield outputs.json_text(output.name, told)
    if output.table:
        yield outputs.csv_text(output.name, told)
    if output.page:
        yield as_json(outputs.page_of(output.name, told))
    if output.tree:
        yield outputs.svg_text(output.name, told)


def every_form(verdict: Assessment, prices: Prices | None = None) -> Iterator[tuple[str, str]]:
    """Yield (name, text) of every output of a case in every form, from a verdict."""
    session = as_session(verdict)
    for output in OUTPUTS:
        if output.name in BOOK_ALONE:
            continue
        for told in MAKERS[output.takes](session, prices):
            yield from ((output.name, text) for text in forms(output, told))


def actions_on(data: Any, parts: frozenset[str]) -> Iterator[dict[str, Any]]:
    """Yield every row of JSON that names an action on one of some parts."""
    if isinstance(data, list):
        for item in data:
            yield from actions_on(item, parts)
    elif isinstance(data, dict):
        if {data.get("on"), data.get("part")} & parts and data.get("action"):
            yield data
        for item in data.values():
            yield from actions_on(item, parts)


def records(verdict: Assessment, prices: Prices | None = None) -> Iterator[tuple[str, Any]]:
    """Yield (name, data) of every output of a case that programs read."""
    session = as_session(verdict)
    for output in OUTPUTS:
        if output.record and output.name not in BOOK_ALONE:
            for told in MAKERS[output.takes](session, prices):
                yield output.name, json.loads(outputs.json_text(output.name, told))
        if output.page:
            for told in MAKERS[output.takes](session, prices):
                yield output.name, json.loads(as_json(outputs.page_of(output.name, told)))

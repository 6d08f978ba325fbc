"""The seats: the telephone at the counter, the hoist and the bench. One question at a time."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from headwater import outputs
from headwater.book.tables import Seat
from headwater.case.photograph import PictureError
from headwater.measure.answer import with_unit
from headwater.session.aside import leave_aside, take_back_danger
from headwater.session.atseat import AtSeat
from headwater.session.sent import Sent
from headwater.view.seat import Seated
from headwater.web.asked import PageAsked, RefusedError, Reply
from headwater.web.house import NewCase

LONGEST_WORDS = 4_000
ABOUT = ("customer", "phone", "vehicle", "distance")
"""What is taken down of a new case beside what is wrong."""


def show_new(asked: PageAsked) -> Reply:
    """Ask for the first words of a new case."""
    return asked.show("new.html", seat=_seat(asked).value, about=ABOUT)


def begin(asked: PageAsked) -> Reply:
    """Make a new case and go to its seat."""
    seat = _seat(asked)
    closed = () if seat is Seat.BENCH and asked.word("closed") else None
    about = {key: _line(asked, key) for key in ABOUT}
    told = NewCase(asked.word("words", LONGEST_WORDS), _line(asked, "name"), closed, about)
    name = asked.house.begin(told, seat, asked.visit.who if asked.visit else "")
    return asked.go(f"/case/{{}}/at/{seat.value}", name)


def show_seat(asked: PageAsked) -> Reply:
    """Show what comes now at a seat of a case, and where the case stands."""
    house, seat, visit = asked.house, _seat(asked), asked.visit
    assert visit is not None
    with house.seated(asked.case, seat, visit) as at:
        page = outputs.page_of("seat", Seated(at, house.price_lists.on(house.today())))
    return asked.show("seat.html", page=page, case=asked.case, hands_over=bool(house.shelf.ledger))


def send(asked: PageAsked) -> Reply:
    """Take what was sent at a seat, and show what comes next."""
    seat, visit, deed = _seat(asked), asked.visit, DEEDS.get(asked.path["deed"])
    if deed is None or visit is None:
        raise RefusedError(404)
    with asked.house.seated(asked.case, seat, visit, sends=True) as at:
        deed(at, asked)
        fault = at.fault
    if asked.word("id"):  # the script of the page sent it, which shows what comes next by itself
        return asked.tell(fault)
    return asked.go(f"/case/{{}}/at/{seat.value}", asked.case)


def take_photograph(asked: PageAsked) -> Reply:
    """Take a photograph of an answer, and show the same page again."""
    seat, visit, file = _seat(asked), asked.visit, asked.file("picture")
    assert visit is not None
    name, fault = "", ""
    try:
        name = asked.house.keep_picture(asked.case, file.file.read() if file else b"")
    except PictureError as error:
        fault = error.message
    with asked.house.seated(asked.case, seat, visit, sends=True) as at:
        at.take_photograph(name, _number(asked, "number") or 0, asked.word("caption"), fault)
    return asked.go(f"/case/{{}}/at/{seat.value}", asked.case)


def hand_over(asked: PageAsked) -> Reply:
    """Say what a case waits for, and show the list."""
    asked.house.shelf.wait(
        asked.case, _line(asked, "waits"), asked.visit.who if asked.visit else ""
    )
    return asked.go("/cases")


def _seat(asked: PageAsked) -> Seat:
    """Return the seat in the path. Raises RefusedError where there is none such."""
    if asked.path["seat"] not in {seat.value for seat in Seat}:
        raise RefusedError(404)
    return Seat(asked.path["seat"])


def _line(asked: PageAsked, name: str) -> str:
    """Return a field of one line."""
    return " ".join(asked.word(name, 200).split())


def _number(asked: PageAsked, name: str) -> int | None:
    given = asked.word(name, 9)
    return int(given) if given.isascii() and given.isdecimal() else None


def _answer(at: AtSeat, asked: PageAsked) -> None:
    at.answer(
        Sent(
            asked.word("check", 200),
            asked.word("answer", 200),
            asked.word("words", LONGEST_WORDS),
            _with_unit(asked, "reading"),
            _inputs(asked),
            _number(asked, "number"),
            _number(asked, "seen") or 0,
            asked.word("id", 40),
        )
    )


def _inputs(asked: PageAsked) -> Mapping[str, str]:
    """Return the inputs of bench arithmetic, where any was filled in."""
    names = [name.removeprefix("in-") for name in asked.form if name.startswith("in-")]
    given = {name: _with_unit(asked, f"in-{name}") for name in names}
    return {name: text for name, text in given.items() if text} if any(given.values()) else {}


def _with_unit(asked: PageAsked, name: str) -> str:
    return with_unit(asked.word(name, 200), asked.word(f"unit-{name}", 20))


def _confirm(at: AtSeat, asked: PageAsked) -> None:
    rows = {int(one) for one in asked.words("row") if one.isascii() and one.isdecimal()}
    at.confirm(rows, asked.words("sign"), asked.word("words", LONGEST_WORDS))


DEEDS: Mapping[str, Callable[[AtSeat, PageAsked], None]] = {
    "answer": _answer,
    "tell": lambda at, asked: at.tell(asked.word("words", LONGEST_WORDS)),
    "confirm": _confirm,
    "forget": lambda at, _: at.forget(),
    "go-on": lambda at, _: at.go_on(),
    "later": lambda at, asked: at.later(asked.word("check", 200)),
    "back": lambda at, _: at.back(),
    "again": lambda at, asked: at.look_again(_number(asked, "number") or 0),
    "take-back": lambda at, asked: at.take_back(_number(asked, "number") or 0),
    "leave-it": lambda at, _: at.leave_it(),
    "rest-gone": lambda at, _: at.rest_is_gone(),
    "unit": lambda at, asked: at.describe(asked.word("attribute", 200), asked.word("value", 200)),
    "earlier": lambda at, asked: at.tell_earlier(asked.word("words", LONGEST_WORDS)),
    "clear-up": lambda at, asked: at.clear_up(asked.word("how", 20), asked.word("words")),
    "strike": lambda at, asked: leave_aside(
        at, asked.word("words", LONGEST_WORDS), _line(asked, "reason")
    ),
    "not-so": lambda at, asked: take_back_danger(at, asked.word("words", LONGEST_WORDS)),
    "want": lambda at, asked: at.want(_line(asked, "words")),
    "more": lambda at, _: at.more(),
    "accept": lambda at, _: at.session.accept(),
    "finish": lambda at, _: at.finish(),
}
"""What can be sent at a seat, by the last part of its address."""

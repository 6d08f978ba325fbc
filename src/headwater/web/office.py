"""The office: all cases, what came of them, prices, and the book to browse."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from headwater import outputs
from headwater.ledger.records import CaseState
from headwater.session.search import find_in_book
from headwater.view.leaf import Leafing
from headwater.view.pricesheet import PriceSheet
from headwater.view.trace import Tracing
from headwater.web.asked import PageAsked, RefusedError, Reply
from headwater.web.visits import WorkPlace

LONGEST_SEARCH = 200
FIGURES = {
    "returns": "figures_returns",
    "trends": "figures_trends",
    "calibration": "figures_calibration",
}
"""What the ledger reckons, and the labels of it."""
OUTPUTS_OF = {
    "returns": "ledger-returns",
    "trends": "ledger-trends",
    "calibration": "ledger-calibrate",
}
GROUPS = ("", "season", "distance", "family")
"""By what trends are parted; '' is not at all."""

SEATS_OF = {WorkPlace.COUNTER: ("call",), WorkPlace.BENCH: ("hoist", "bench")}
"""The seats of a case at which each desk works."""


def list_cases(asked: PageAsked) -> Reply:
    """List the cases, those in one state, or those that have some words."""
    words, state = _words(asked), asked.query.get("state", "")
    known = {one.value for one in CaseState}
    found = asked.house.shelf.cases(words, [CaseState(state)] if state in known else ())
    cases = outputs.page_of("case-list", found)
    desk = asked.visit.desk if asked.visit else None
    seats = SEATS_OF.get(desk, ()) if desk else ()
    return asked.show("cases.html", cases=cases, words=words, state=state, seats=seats)


def show_figures(asked: PageAsked) -> Reply:
    """Show what the ledger reckons: returns, trends, how right the book was."""
    kind, by = asked.path.get("kind", "returns"), asked.query.get("by", "")
    ledger = asked.house.shelf.ledger
    if kind not in FIGURES or by not in GROUPS:
        raise RefusedError(404)
    report = _reports()[kind](ledger, by) if ledger else None
    paper = outputs.paper(OUTPUTS_OF[kind], report) if report else None
    tabs = tuple((f"/{name}", label) for name, label in FIGURES.items())
    return asked.show("figures.html", paper=paper, kind=kind, by=by, groups=GROUPS, tabs=tabs)


def _reports() -> Mapping[str, Callable[[Any, str], Any]]:
    from headwater.ledger.extra import needs_extra

    with needs_extra():
        from headwater.ledger.calibrate import calibration_report
        from headwater.ledger.returns import returns_report
        from headwater.ledger.trends import TrendsAsked, trends_report
    return {
        "returns": lambda ledger, _: returns_report(ledger),
        "trends": lambda ledger, by: trends_report(ledger, TrendsAsked(by)),
        "calibration": lambda ledger, _: calibration_report(ledger),
    }


def show_prices(asked: PageAsked) -> Reply:
    """Show the price list of the day."""
    sheet = PriceSheet(asked.house.price_lists.on(asked.house.today()), asked.house.book.book)
    return asked.show("sheet.html", paper=outputs.paper("prices", sheet))


def browse(asked: PageAsked) -> Reply:
    """Show the areas of the book, or what in it has some words."""
    words, book = _words(asked), asked.house.book
    found = find_in_book(book, words) if words else None
    leaf = outputs.page_of("book-leaf", Leafing(book.book, found=found))
    return asked.show("book.html", leaf=leaf, words=words, trace=None)


def show_leaf(asked: PageAsked) -> Reply:
    """Show a condition, a check or a chain, and where it leads."""
    book, kind, name = asked.house.book.book, asked.path["kind"], asked.path["id"]
    leafing = Leafing(book, kind, name)
    if not leafing.is_there:
        raise RefusedError(404)
    leaf = outputs.page_of("book-leaf", leafing)
    trace = outputs.paper("trace", Tracing(book, name)) if kind == "conditions" else None
    return asked.show("book.html", leaf=leaf, words="", trace=trace)


def _words(asked: PageAsked) -> str:
    return asked.query.get("words", "")[:LONGEST_SEARCH].strip()

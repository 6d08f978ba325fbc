"""One case: what it comes to, what is to be done, what it costs, and its papers."""

from __future__ import annotations

from functools import partial
from typing import Any

from starlette.responses import Response

from headwater import outputs
from headwater.case.picture import is_picture
from headwater.render.site import paged_style
from headwater.session.approval import Approved, approve
from headwater.session.comeback import compare
from headwater.session.proposal import parts_asked, proposal_of_words
from headwater.session.session import Session
from headwater.view.audit import Auditing
from headwater.view.label import Labelled
from headwater.view.options import Pricing
from headwater.view.shop import Reporting
from headwater.web.asked import PageAsked, RefusedError, Reply

PAPERS = {
    "": "case_verdict",
    "/sheet": "case_sheet",
    "/options": "case_options",
    "/audit": "case_audit",
    "/report/shop": "case_report_shop",
    "/report/customer": "case_report_customer",
    "/label": "case_label",
}
"""The pages of a case, by what stands behind its address, and their labels."""
LONGEST_LIST = 500
NOTHING_MORE: dict[str, Any] = {"kind": "", "parts": None, "approval": None}
"""What a page of a case shows beside its paper, where it shows nothing."""
KEPT_PRIVATELY = "private, max-age=86400, immutable"
"""For photographs, whose name changes with what they hold."""


def show_case(asked: PageAsked) -> Reply:
    """Show a case on one page, its verdict first."""
    with asked.house.reading(asked.case) as session:
        paper = outputs.paper("summary", session)
        form = outputs.page_of("approval", _reporting(asked, session))
    return asked.show(
        "paper.html", paper=paper, **NOTHING_MORE | {"approval": form}, **_tabs(asked)
    )


def approve_it(asked: PageAsked) -> Reply:
    """Take down that the customer approved something, and show the case."""
    house, form = asked.house, asked.word
    typed = Approved(*(form(name, LONGEST_LIST) for name in ("amount", "by", "how", "on", "quote")))
    with house.writing(asked.case, who=asked.visit.who if asked.visit else "") as session:
        page = outputs.page_of("approval", _reporting(asked, session))
        approve(session, typed, asked.house.today(), page.quotes, page.currency)
    return asked.go("/case/{}", asked.case)


def show_sheet(asked: PageAsked) -> Reply:
    """Show the job sheet, with boxes to tick."""
    return _paper(asked, "/sheet", "plan", lambda session: session, kind="jobsheet")


def show_options(asked: PageAsked) -> Reply:
    """Show the ways to put the unit right, by the price list of the day."""
    parts = _parts(asked)
    return _paper(asked, "/options", "options", lambda s: _pricing(asked, s, parts), parts=parts)


def show_audit(asked: PageAsked) -> Reply:
    """Say what a proposed repair leaves in place, once one is proposed."""
    parts = _parts(asked)

    def auditing(session: Session) -> Auditing:
        proposal = proposal_of_words(parts, session.book) if parts else None
        return Auditing.of(session, proposal, compare(session))

    return _paper(asked, "/audit", "audit", auditing, parts=parts)


def show_report(asked: PageAsked) -> Reply:
    """Show the report for the shop or for the customer."""
    reader = "customer" if asked.path["reader"] == "customer" else "shop"
    made_of = partial(_reporting, asked)
    return _paper(asked, f"/report/{reader}", f"{reader}-report", made_of)


def show_label(asked: PageAsked) -> Reply:
    """Show the labels for unit and tray."""
    with asked.house.reading(asked.case) as session:
        label = outputs.page_of("label", Labelled(session, asked.house.address_of(asked.case)))
    return asked.show("label.html", label=label, **_tabs(asked, "/label"))


def show_photograph(asked: PageAsked) -> Reply:
    """Hand out a photograph of a case: one that its findings tell of, and no other file."""
    name = asked.path["name"]
    with asked.house.reading(asked.case) as session:
        told = is_picture(name) and name in session.case.pictures
    data = asked.house.shelf.place(asked.case).picture(name) if told else None
    if data is None:
        raise RefusedError(404)
    return Response(data, media_type="image/jpeg", headers={"cache-control": KEPT_PRIVATELY})


def paper_style(asked: PageAsked) -> Reply:
    """Return what stands at the foot of every printed page: the case and the page's number."""
    return Response(paged_style(asked.case), media_type="text/css")


def _paper(asked: PageAsked, tab: str, output: str, made_of: Any, **more: Any) -> Reply:
    with asked.house.reading(asked.case) as session:
        paper = outputs.paper(output, made_of(session))
    values = NOTHING_MORE | more
    return asked.show("paper.html", paper=paper, **values, **_tabs(asked, tab))


def _reporting(asked: PageAsked, session: Session) -> Reporting:
    pricing = _pricing(asked, session) if asked.house.prices else None
    house = asked.house
    return Reporting(session, house.today(), pricing, letterhead=house.letterhead)


def _tabs(asked: PageAsked, tab: str = "") -> dict[str, Any]:
    return {"case": asked.case, "tab": tab, "tabs": tuple(PAPERS.items())}


def _parts(asked: PageAsked) -> str:
    return asked.query.get("parts", "")[:LONGEST_LIST].strip()


def _pricing(asked: PageAsked, session: Session, parts: str = "") -> Pricing:
    prices = asked.house.price_lists.on(asked.house.today())
    return Pricing(session, prices, parts_asked(parts, session.book) if parts else ())

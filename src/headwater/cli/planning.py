"""Commands on what to do: the job sheet (`plan`), priced `options`, the `audit` of a repair."""

from __future__ import annotations

import argparse
from datetime import date

from headwater.case.read import CaseError
from headwater.cli.chosen import book_of, case_of
from headwater.cli.main import DONE, HELD, Terminal
from headwater.cli.show import show, status_of
from headwater.errors import Place
from headwater.session.comeback import compare
from headwater.session.pricelist import prices_on
from headwater.session.proposal import parts_asked, proposal_of_words, read_proposal
from headwater.session.session import open_session
from headwater.view.audit import Auditing
from headwater.view.options import Pricing


def run_plan(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show the job sheet of a case."""

    session = open_session(book_of(args), case_of(args.case, terminal))
    show(terminal, args, "plan", session)
    return status_of(session)


def run_options(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show the ways to put a unit right, priced from the shop's file."""

    whole = book_of(args)
    session = open_session(whole, case_of(args.case, terminal))
    prices = prices_on(args.prices, whole.book, date.today()) if args.prices else None
    asked = parts_asked(args.parts, session.book) if args.parts else ()
    show(terminal, args, "options", Pricing(session, prices, asked))
    return status_of(session)


def run_audit(args: argparse.Namespace, terminal: Terminal) -> int:
    """Say what a proposed repair leaves in place, and how a comeback stands to the earlier case."""

    session = open_session(book_of(args), case_of(args.case, terminal))
    comeback = compare(session)
    proposal = None
    if args.plan:
        proposal = read_proposal(args.plan, session.book)
    elif args.parts:
        proposal = proposal_of_words(args.parts, session.book)
    elif comeback is None:
        place = Place(str(args.case))
        raise CaseError("name a proposed repair: --plan FILE or --parts LIST", place)
    auditing = Auditing.of(session, proposal, comeback)
    show(terminal, args, "audit", auditing)
    if auditing.audit:
        return DONE if auditing.audit.passed else HELD
    return status_of(session)

"""Commands on what to do: the job sheet (`plan`), priced `options`, the `audit` of a repair."""

from __future__ import annotations

import argparse

from headwater.case.read import CaseError, read_case
from headwater.cli.books import book_of
from headwater.cli.case import status_of_case
from headwater.cli.main import DONE, HELD, Terminal, show_json
from headwater.errors import Place
from headwater.session.session import open_session


def run_plan(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show the job sheet of a case."""
    from headwater.report.job_text import sheet_lines
    from headwater.report.planning_json import sheet_data
    from headwater.report.text import Line, caution_lines, next_lines
    from headwater.verdict.assess import Ending
    from headwater.verdict.jobsheet import job_sheet

    found = open_session(book_of(args), read_case(args.case))
    sheet = job_sheet(found.verdict)
    if args.json:
        show_json(terminal, {"case": found.case.case} | sheet_data(found.verdict, sheet))
    else:
        terminal.screen.line(Line(f"Job sheet, case {found.case.case}", "head"))
        terminal.screen.show(sheet_lines(found.verdict, sheet))
        if found.verdict.ending is Ending.OPEN:
            terminal.screen.say()
            terminal.screen.say("Leave it open: more can be told.", "head")
            terminal.screen.show(next_lines(found.verdict, most=3))
        terminal.screen.say()
        terminal.screen.show(caution_lines(found.verdict))
    return status_of_case(found)


def run_options(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show the ways to put a unit right, priced from the shop's file."""
    from headwater.report.job_text import option_lines
    from headwater.report.planning_json import options_data
    from headwater.session.proposal import ProposalError, proposal_of_words
    from headwater.verdict.options import make_options
    from headwater.verdict.prices import read_prices

    whole = book_of(args)
    found = open_session(whole, read_case(args.case))
    book = found.book
    prices = read_prices(args.prices, whole.book) if args.prices else None
    asked: list[str] = []
    for item in proposal_of_words(args.parts, book).items if args.parts else ():
        if item.part is None:
            raise ProposalError(f"the book knows no part '{item.words}'{item.hint}")
        asked.append(item.part)
    options = make_options(found.verdict, prices, asked)
    if args.json:
        show_json(terminal, {"case": found.case.case} | options_data(options, prices))
    else:
        terminal.screen.show(option_lines(found.verdict, options, prices))
    return status_of_case(found)


def run_audit(args: argparse.Namespace, terminal: Terminal) -> int:
    """Say what a proposed repair leaves in place, and how a comeback stands to the earlier case."""
    from headwater.report.audit_text import audit_lines, comeback_lines
    from headwater.report.planning_json import audit_data, comeback_data
    from headwater.session.comeback import compare
    from headwater.session.proposal import proposal_of_words, read_proposal
    from headwater.verdict.audit import audit

    book = book_of(args)
    found = open_session(book, read_case(args.case))
    narrowed = found.book
    comeback = compare(found)
    if args.plan and args.parts:
        raise CaseError("name the plan file or the parts, not both")
    proposal = None
    if args.plan:
        proposal = read_proposal(args.plan, narrowed)
    elif args.parts:
        proposal = proposal_of_words(args.parts, narrowed)
    elif comeback is None:
        raise CaseError(
            "name a proposed repair: --plan FILE or --parts LIST", Place(str(args.case))
        )
    judged = audit(found.verdict, proposal) if proposal else None
    if args.json:
        show_json(
            terminal,
            {
                "case": found.case.case,
                "audit": audit_data(judged) if judged else None,
                "comeback": comeback_data(comeback) if comeback else None,
            },
        )
    else:
        if comeback:
            terminal.screen.show(comeback_lines(found.verdict, comeback))
        if comeback and judged:
            terminal.screen.say()
        if judged:
            terminal.screen.show(audit_lines(found.verdict, judged))
    if judged:
        return DONE if judged.passed else HELD
    return status_of_case(found)

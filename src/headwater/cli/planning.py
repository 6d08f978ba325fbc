"""Commands on what to do: the job sheet (`plan`), priced `options`, the `audit` of a repair."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from headwater.cli.books import book_of
from headwater.cli.options import add_book_options, add_json
from headwater.cli.show import show, status_of
from headwater.errors import Place

if TYPE_CHECKING:
    from headwater.cli.main import Terminal


def add_commands(commands: Any) -> None:
    """Add the commands of this module."""
    plan = commands.add_parser("plan", help="the job sheet of a case")
    form = _add_case(plan)
    form.add_argument("--csv", action="store_true", help="print the plan as a CSV table")
    plan.set_defaults(run=run_plan)

    options = commands.add_parser("options", help="ways to put a unit right, priced")
    _add_case(options)
    options.add_argument("--prices", type=Path, metavar="FILE", help="the shop's price file")
    options.add_argument(
        "--parts", metavar="LIST", help="what the customer asks for: 'range fork, chain'"
    )
    options.set_defaults(run=run_options)

    audit = commands.add_parser(
        "audit",
        help="what a proposed repair leaves uncorrected",
        epilog="A case that names an earlier one is compared with it as well.",
    )
    _add_case(audit)
    proposed = audit.add_mutually_exclusive_group()
    proposed.add_argument("--plan", type=Path, metavar="PLAN", help="the repair, as a file")
    proposed.add_argument("--parts", metavar="LIST", help="a bare list: 'range fork, chain'")
    audit.set_defaults(run=run_audit)


def _add_case(parser: argparse.ArgumentParser) -> Any:
    """Add the case and the packs; return the group of forms, of which one may be chosen."""
    parser.add_argument("case", type=Path, metavar="CASE", help="the case file")
    form = parser.add_mutually_exclusive_group()
    add_json(form)
    add_book_options(parser)
    return form


def run_plan(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show the job sheet of a case."""
    from headwater import outputs
    from headwater.case.read import read_case
    from headwater.session.session import open_session

    session = open_session(book_of(args), read_case(args.case))
    if args.csv:
        terminal.screen.raw(outputs.csv_text("steps", session))
    else:
        show(terminal, args, "plan", session)
    return status_of(session)


def run_options(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show the ways to put a unit right, priced from the shop's file."""
    from headwater.case.read import read_case
    from headwater.session.proposal import parts_asked
    from headwater.session.session import open_session
    from headwater.verdict.prices import read_prices
    from headwater.view.options import Pricing

    whole = book_of(args)
    session = open_session(whole, read_case(args.case))
    prices = read_prices(args.prices, whole.book) if args.prices else None
    asked = parts_asked(args.parts, session.book) if args.parts else ()
    show(terminal, args, "options", Pricing(session, prices, asked))
    return status_of(session)


def run_audit(args: argparse.Namespace, terminal: Terminal) -> int:
    """Say what a proposed repair leaves in place, and how a comeback stands to the earlier case."""
    from headwater.case.read import CaseError, read_case
    from headwater.cli.main import DONE, HELD
    from headwater.session.comeback import compare
    from headwater.session.proposal import proposal_of_words, read_proposal
    from headwater.session.session import open_session
    from headwater.verdict.audit import audit
    from headwater.view.audit import Auditing

    session = open_session(book_of(args), read_case(args.case))
    comeback = compare(session)
    proposal = None
    if args.plan:
        proposal = read_proposal(args.plan, session.book)
    elif args.parts:
        proposal = proposal_of_words(args.parts, session.book)
    elif comeback is None:
        place = Place(str(args.case))
        raise CaseError("name a proposed repair: --plan FILE or --parts LIST", place)
    judged = audit(session.verdict, proposal) if proposal else None
    show(terminal, args, "audit", Auditing(session, judged, comeback))
    if judged:
        return DONE if judged.passed else HELD
    return status_of(session)

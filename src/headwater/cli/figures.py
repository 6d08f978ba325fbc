"""Runs the commands of the ledger that count: trends, returns, calibrate."""

from __future__ import annotations

import argparse
import os
from dataclasses import replace
from pathlib import Path

from headwater import outputs
from headwater.cli.chosen import book_of, form_of
from headwater.cli.ledger import opened
from headwater.cli.main import DONE, Terminal
from headwater.cli.show import show
from headwater.files import Destination
from headwater.ledger.extra import needs_extra
from headwater.ledger.place import is_address, wanted_address
from headwater.ledger.records import LedgerError
from headwater.render.look import MARK

with needs_extra():
    from headwater.ledger.calibrate import calibration_report
    from headwater.ledger.idle import idle_questions
    from headwater.ledger.returns import returns_report
    from headwater.ledger.times import read_day
    from headwater.ledger.trends import TrendsAsked, fleet_report, trends_report


def _day(text: str, option: str) -> str:
    return read_day(text, option) if text else ""


def _tell(args: argparse.Namespace, terminal: Terminal, name: str, told: object) -> int:
    """Show figures, or write them with their charts into the file that is asked for."""
    if args.out:
        form, target = form_of(args), _target(args)
        target.write(outputs.paper_file(f"{name}-sheet", told, form))
        terminal.screen.raw(f"Written: {args.out}")
    else:
        show(terminal, args, name, told)
    return DONE


def _target(args: argparse.Namespace) -> Destination:
    """Return the file that is written, which is not the ledger itself."""
    address = wanted_address(os.environ, args.ledger)
    inputs = () if is_address(address) else (Path(address),)
    return Destination(args.out, MARK, args.force, inputs).check()


def _check(args: argparse.Namespace) -> None:
    """Say what is wrong with the file before the figures are worked out."""
    if args.out:
        form_of(args)
        _target(args)


def run_trends(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show what fails, or how a fleet's repairs come."""
    since, until = _day(args.since, "--since"), _day(args.until, "--until")
    asked = TrendsAsked(args.by, since, until, _day(args.split, "--split"))
    _check(args)
    with opened(args) as ledger:
        if args.fleet:
            if args.out:
                raise LedgerError("--fleet has no chart; leave '-o' out")
            show(terminal, args, "ledger-fleet", fleet_report(ledger, args.customer))
            return DONE
        return _tell(args, terminal, "ledger-trends", trends_report(ledger, asked))


def run_returns(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show what came back."""
    since, until = _day(args.since, "--since"), _day(args.until, "--until")
    _check(args)
    with opened(args) as ledger:
        return _tell(args, terminal, "ledger-returns", returns_report(ledger, since, until))


def run_calibrate(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show how right the book was."""
    _check(args)
    book = book_of(args)
    with opened(args) as ledger:
        told = calibration_report(ledger, book.book.owner)
        if args.questions:
            told = replace(told, idle=idle_questions(ledger, book, args.questions))
        return _tell(args, terminal, "ledger-calibrate", told)

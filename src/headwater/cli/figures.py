"""Runs the commands of the ledger that count: trends, returns, calibrate."""

from __future__ import annotations

import argparse

from headwater.cli.ledger import opened
from headwater.cli.main import DONE, Terminal
from headwater.cli.show import show
from headwater.ledger.extra import needs_extra

with needs_extra():
    from headwater.ledger.calibrate import calibration_report
    from headwater.ledger.returns import returns_report
    from headwater.ledger.times import read_day
    from headwater.ledger.trends import TrendsAsked, fleet_report, trends_report


def _day(text: str, option: str) -> str:
    return read_day(text, option) if text else ""


def run_trends(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show what fails, or how a fleet's repairs come."""
    since, until = _day(args.since, "--since"), _day(args.until, "--until")
    asked = TrendsAsked(args.by, since, until, _day(args.split, "--split"))
    with opened(args) as ledger:
        if args.fleet:
            show(terminal, args, "ledger-fleet", fleet_report(ledger, args.customer))
        else:
            show(terminal, args, "ledger-trends", trends_report(ledger, asked))
    return DONE


def run_returns(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show what came back."""
    since, until = _day(args.since, "--since"), _day(args.until, "--until")
    with opened(args) as ledger:
        show(terminal, args, "ledger-returns", returns_report(ledger, since, until))
    return DONE


def run_calibrate(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show how right the book was."""
    with opened(args) as ledger:
        show(terminal, args, "ledger-calibrate", calibration_report(ledger))
    return DONE

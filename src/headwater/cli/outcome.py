"""Runs the commands of the ledger on what became of a case: mark, done, returned, seen."""

from __future__ import annotations

import argparse

from headwater.cli.chosen import book_of
from headwater.cli.ledger import note, opened
from headwater.cli.main import DONE, HELD, Terminal
from headwater.cli.show import show
from headwater.ledger.extra import needs_extra
from headwater.ledger.records import CaseState, LedgerError
from headwater.session.session import open_session

with needs_extra():
    from headwater.ledger.conclude import as_planned, conclusion_of
    from headwater.ledger.hand import this_hand
    from headwater.ledger.kept import LedgerCase
    from headwater.ledger.outcome import (
        CameBack,
        Handed,
        finish,
        mark_case,
        read_deed,
        returned,
        seen_running,
        with_deeds,
    )
    from headwater.ledger.times import read_day


def _day(args: argparse.Namespace) -> str:
    return read_day(args.on, "--on") if args.on else ""


def run_mark(args: argparse.Namespace, terminal: Terminal) -> int:
    """Say how far a case is."""
    with opened(args) as ledger:
        state = CaseState(args.state)
        what = mark_case(ledger, args.case, state, args.waits_for, this_hand(args.who))
        return note(terminal, args, ledger, f"{args.case}: {what}")


def run_done(args: argparse.Namespace, terminal: Terminal) -> int:
    """Say that a case is done, and hold what was done against the plan."""
    handed = Handed(_day(args), args.distance, args.warranty)
    book = book_of(args)
    with opened(args) as ledger:
        kept = LedgerCase(ledger, args.case, this_hand(args.who))
        session = open_session(book, kept.case())
        deeds = [read_deed(text) for text in args.did or ()]
        planned = as_planned(session) if args.as_planned else ()
        done = with_deeds(session.case, [*planned, *deeds])
        found = conclusion_of(open_session(book, kept.with_done(done)))
        told = finish(ledger, kept, done, found, handed)
        show(terminal, args, "ledger-done", told)
    return HELD if told.left else DONE


def run_returned(args: argparse.Namespace, terminal: Terminal) -> int:
    """Open a case for a unit that came back."""
    same = True if args.same else False if args.other else None
    told = CameBack(_day(args), args.distance, args.complaint, same)
    with opened(args) as ledger:
        back = returned(ledger, args.earlier, args.case, told, this_hand(args.who))
        show(terminal, args, "ledger-returned", back)
    return DONE


def run_seen(args: argparse.Namespace, terminal: Terminal) -> int:
    """Note that a repaired unit is known to run, or has gone."""
    with opened(args) as ledger:
        on = _day(args)
        if not on:
            raise LedgerError("say on which day: --on 2031-04-09")
        hand = this_hand(args.who)
        seen_running(ledger, args.case, on, args.distance, args.gone, hand)
        what = f"gone, {args.gone}" if args.gone else "known to run"
        return note(terminal, args, ledger, f"{args.case}: {what} on {on}")

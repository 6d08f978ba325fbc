"""Golden screens: job sheets, options, audits. Refresh with HEADWATER_REFRESH=1, then read them."""

from __future__ import annotations

from io import StringIO

import pytest
from planning.conftest import EXAMPLES, Compare, Judge, Play

from headwater.book.records import Book
from headwater.cli.console import Screen
from headwater.report.audit_text import audit_lines, comeback_lines
from headwater.report.job_text import option_lines, sheet_lines
from headwater.session.comeback import compare
from headwater.session.proposal import proposal_of_words, read_proposal
from headwater.verdict.audit import audit
from headwater.verdict.jobsheet import job_sheet
from headwater.verdict.options import make_options
from headwater.verdict.prices import Prices, read_prices

SHEETS = (
    "float-under",
    "float-at",
    "float-over",
    "fit-hot",
    "shared-housing",
    "loop",
    "undetermined",
    "tyres",
    "dowels-before",
    "dowels-back",
)
OPTIONS = {
    "bare-fork": ("plan-float-over", "range-fork"),
    "undetermined": ("plan-undetermined", "input-bearing"),
    "tyres-outside-the-unit": ("plan-tyres", "chain"),
    "open": ("plan-float-at", "range-fork"),
}
LISTS = {
    "phone-list": ("ridge-07", "range fork, chain and flux gate"),
    "undetermined-exchange": ("plan-undetermined", "exchange unit"),
    "exchange-on-unlike-tyres": ("plan-tyres", "exchange unit"),
}
PLANS = {
    "bare-fork": ("ridge-07", "bare-fork"),
    "whole-repair": ("ridge-07", "whole-repair"),
    "two-bores": ("plan-shared-housing", "two-bores"),
    "held": ("plan-float-at", "bare-fork"),
}


def drawn() -> tuple[Screen, StringIO]:
    out = StringIO()
    return Screen(out, width=80), out


@pytest.mark.parametrize("name", SHEETS)
def test_job_sheet(name: str, judge: Judge, golden: Compare) -> None:
    assessment = judge(f"plan-{name}").verdict
    screen, out = drawn()
    screen.show(sheet_lines(assessment, job_sheet(assessment)))
    golden(f"sheet-{name}", out.getvalue())


@pytest.mark.parametrize("name", OPTIONS)
def test_options(name: str, judge: Judge, prices: Prices, golden: Compare) -> None:
    case, part = OPTIONS[name]
    assessment = judge(case).verdict
    screen, out = drawn()
    screen.show(option_lines(assessment, make_options(assessment, prices, [part]), prices))
    golden(f"options-{name}", out.getvalue())


def test_options_from_a_short_list(judge: Judge, book: Book, golden: Compare) -> None:
    assessment = judge("ridge-07").verdict
    few = read_prices(EXAMPLES / "prices" / "short-list.yaml", book)
    screen, out = drawn()
    screen.show(option_lines(assessment, make_options(assessment, few), few))
    golden("options-short-list", out.getvalue())


@pytest.mark.parametrize("name", LISTS)
def test_audit_of_a_list(name: str, judge: Judge, golden: Compare) -> None:
    case, words = LISTS[name]
    assessment = judge(case).verdict
    screen, out = drawn()
    screen.show(
        audit_lines(assessment, audit(assessment, proposal_of_words(words, assessment.book)))
    )
    golden(f"audit-{name}", out.getvalue())


@pytest.mark.parametrize("name", PLANS)
def test_audit_of_a_plan(name: str, judge: Judge, golden: Compare) -> None:
    case, plan = PLANS[name]
    assessment = judge(case).verdict
    proposal = read_proposal(EXAMPLES / "plans" / f"{plan}.yaml", assessment.book)
    screen, out = drawn()
    screen.show(audit_lines(assessment, audit(assessment, proposal)))
    golden(f"audit-{name}", out.getvalue())


def test_comeback_with_the_dowels_left_out(judge: Judge, golden: Compare) -> None:
    present = judge("plan-dowels-back")
    found = compare(present)
    assert found is not None
    screen, out = drawn()
    screen.show(comeback_lines(present.verdict, found))
    golden("comeback-dowels-left-out", out.getvalue())


def test_plan_command_of_an_open_case(play: Play, golden: Compare) -> None:
    status, screen, fault = play("plan", "examples/plan-float-at.yaml")
    assert (status, fault) == (1, "")
    golden("command-plan-open", screen)


def test_options_command_without_prices(play: Play, golden: Compare) -> None:
    status, screen, fault = play("options", "examples/ridge-07.yaml")
    assert (status, fault) == (0, "")
    golden("command-options-no-prices", screen)

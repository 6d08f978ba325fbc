"""Job sheet, options, audit and comeback as plain data, ready for `json.dumps`.

An action is null on a held part here as everywhere.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from headwater.session.comeback import Comeback
from headwater.verdict.assess import Assessment
from headwater.verdict.audit import Audit, ProposedPart, Refused
from headwater.verdict.comingback import AgainLine, ComingBack
from headwater.verdict.jobsheet import Job, JobSheet
from headwater.verdict.options import Option
from headwater.verdict.plan import Step
from headwater.verdict.prices import Prices


def sheet_data(assessment: Assessment, sheet: JobSheet) -> dict[str, Any]:
    """Return a job sheet."""
    return {
        "verdict": assessment.ending.value,
        "origins": _jobs(sheet.origins),
        "damage": _jobs(sheet.damage),
        "covering": _jobs(sheet.covering),
        "looks": _jobs(sheet.looks),
        "sound": _jobs(sheet.sound),
        "held": _jobs(sheet.held),
        "opens": list(sheet.opens),
        "closing": [{"after": c.after, "points": list(c.points)} for c in sheet.closing],
    }


def _jobs(jobs: Iterable[Job]) -> list[dict[str, Any]]:
    return [
        step_data(job.step)
        | {"because": job.because, "chains": [list(chain.path) for chain in job.chains]}
        for job in jobs
    ]


def step_data(step: Step) -> dict[str, Any]:
    """Return a step of the plan."""
    return {
        "action": step.action.value if step.action else None,
        "on": step.on,
        "corrects": list(step.corrects),
        "step": step.text,
        "minutes": step.minutes,
        "fitting": list(step.fitting),
        "cautions": list(step.cautions),
    }


def options_data(options: Iterable[Option], prices: Prices | None) -> dict[str, Any]:
    """Return the priced options; every figure of money is null without a price file."""
    return {
        "prices": prices_data(prices) if prices else None,
        "options": [_option(option) for option in options],
    }


def prices_data(prices: Prices) -> dict[str, Any]:
    """Return which price list was used."""
    return {"name": prices.prices, "currency": prices.currency, "labour": prices.labour}


def _option(option: Option) -> dict[str, Any]:
    return {
        "way": option.way.value,
        "refused": option.refused or None,
        "charges": [
            {"on": c.on, "what": c.what, "minutes": c.minutes, "material": c.material}
            for c in option.charges
        ],
        "minutes": option.minutes,
        "material": option.material,
        "labour": option.labour,
        "total": option.total,
        "unpriced": list(option.unpriced),
        "leaves": list(option.leaves),
        "coming_back": _again(option.again) if option.again else None,
        "together": option.with_comeback,
    }


def _again(again: ComingBack) -> dict[str, Any]:
    return {
        "probability": again.chance,
        "expected_cost": again.cost,
        "parts": [_again_line(line) for line in again.lines],
        "opening": [_again_line(line) for line in again.opening],
        "unpriced": list(again.unpriced),
    }


def _again_line(line: AgainLine) -> dict[str, Any]:
    return {
        "on": line.on,
        "probability": line.chance,
        "minutes": line.minutes,
        "cost": line.cost,
        "expected": line.expected,
    }


def audit_data(found: Audit) -> dict[str, Any]:
    """Return an audit."""
    return {
        "proposal": found.proposal.name,
        "passed": found.passed,
        "sentence": found.sentence,
        "left": [
            {
                "origin": left.origin,
                "status": left.naming.value,
                "fails_again": [{"part": p, "path": list(path)} for p, path in left.again],
            }
            for left in found.left
        ],
        "refused": [_refused(one) for one in found.refused],
        "held": [_refused(one) for one in found.held],
        "on_no_chain": [_item(item) for item in (*found.idle, *found.unknown)],
        "other_action": [
            {"part": o.item.part, "planned": o.planned.value, "proposed": o.item.action.value}
            for o in found.other
        ],
        "missing": [step_data(step) for step in found.missing],
    }


def _refused(one: Refused) -> dict[str, Any]:
    return {
        "part": one.part,
        "action": None,
        "because": one.because,
        "next_checks": list(one.checks),
    }


def _item(item: ProposedPart) -> dict[str, Any]:
    return {"words": item.words, "part": item.part}


def comeback_data(found: Comeback) -> dict[str, Any]:
    """Return the comparison of a comeback with the earlier case."""
    return {
        "earlier": found.earlier.case.case,
        "done": [
            {"part": i.part, "words": i.words, "action": i.action.value} for i in found.done.items
        ],
        "found_again": list(found.again),
        "returned": [
            {
                "origin": one.origin,
                "status": one.naming.value,
                "kind": one.kind.value,
                "evidence": list(one.evidence),
            }
            for one in found.returned
        ],
    }

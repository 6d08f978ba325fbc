"""The JSON of `diagnose --json`: the contract other programs may rely on (design, section 7)."""

from __future__ import annotations

from typing import Any

from headwater.book.tables import Seat
from headwater.graph.causal import entrances, loops
from headwater.measure.answer import Judged
from headwater.rules.status import Status, why
from headwater.session.ask import NextCheck, later_checks, next_checks
from headwater.session.session import Session
from headwater.verdict.assess import Assessment
from headwater.verdict.naming import NamedChain, Naming
from headwater.verdict.plan import Step
from headwater.view.tree import shown_chains
from headwater.view.words import why_lines


def contract(session: Session) -> dict[str, Any]:
    """Return the verdict of a case as plain data, ready for `json.dumps`."""
    assessment = session.verdict
    asked = next_checks(assessment)
    ranked = [*asked, *later_checks(assessment)]
    return {
        "case": session.case.case,
        "verdict": assessment.ending.value,
        "book": book_stamp(assessment, session.stale),
        "findings": [_finding(judged) for judged in session.answers.values()],
        "conditions": _conditions(assessment),
        "chains": [_chain(assessment, chain) for chain in shown_chains(assessment)],
        "origins": _origins(assessment),
        "parts": _parts(assessment, ranked),
        "plan": [_step(step) for step in assessment.plan],
        "cover": [_step(step) for step in assessment.cover or ()],
        "unexplained": _unexplained(assessment),
        "disputed": assessment.disputed,
        "loops": _loops(assessment),
        "next_checks": [_next(item) for item in ranked],
        "drive": _drive(assessment),
        "cautions": cautions(assessment, asked),
        "overrides": [f"{o.kind} {o.id} from pack {o.pack}" for o in assessment.book.overrides],
    }


def book_stamp(assessment: Assessment, stale: bool) -> dict[str, Any]:
    """Return which book judged the case, and whether it has changed since the case was made."""
    book = assessment.book
    return {
        "name": book.name,
        "version": book.version,
        "digest": book.digest,
        "changed_since_case": stale,
    }


def _finding(judged: Judged) -> dict[str, Any]:
    given = judged.given
    plain = (
        given
        if isinstance(given, str)
        else (list(given) if isinstance(given, tuple) else dict(given))
    )
    return {
        "check": judged.check,
        "answer": plain,
        "settled": judged.settled,
        "shares": dict(judged.shares),
        "working": list(judged.working),
    }


def _conditions(assessment: Assessment) -> list[dict[str, Any]]:
    return [
        {
            "id": cid,
            "status": status.value,
            "why": why_lines(assessment, why(assessment.derivation, cid)),
        }
        for cid, status in assessment.statuses.items()
        if status is not Status.UNKNOWN
    ]


def chain_id(assessment: Assessment, path: tuple[str, ...]) -> str:
    """Return the id of the book's chain with this path, or the path itself joined by arrows."""
    for chain in assessment.book.chains.values():
        if chain.path() == path:
            return chain.id
    return " > ".join(path)


def _chain(assessment: Assessment, chain: NamedChain) -> dict[str, Any]:
    links = []
    for cause, effect in zip(chain.path, chain.path[1:], strict=False):
        link = assessment.book.links[cause, effect]
        links.append(
            {
                "cause": cause,
                "effect": effect,
                "how": link.how,
                "evidence": {
                    "cause": assessment.statuses[cause].value,
                    "effect": assessment.statuses[effect].value,
                },
            }
        )
    return {
        "id": chain_id(assessment, chain.path),
        "origin": chain.origin,
        "path": list(chain.path),
        "status": chain.naming.value,
        "links": links,
    }


def _origins(assessment: Assessment) -> list[dict[str, Any]]:
    named = assessment.origins
    live = {
        c.origin: c.share
        for account in assessment.accounts.values()
        for c in account.candidates
        if c.origin
    }
    listed = {cid: named.get(cid, Naming.OPEN) for cid in [*named, *live]}
    rows = [
        {
            "id": cid,
            "status": naming.value,
            "probability": round(assessment.posterior.probability(cid), 4),
        }
        for cid, naming in listed.items()
    ]
    order = {Naming.PROVEN.value: 0, Naming.PROBABLE.value: 1, Naming.OPEN.value: 2}
    return sorted(rows, key=lambda r: (order[r["status"]], -r["probability"], r["id"]))


def _parts(assessment: Assessment, ranked: list[NextCheck]) -> list[dict[str, Any]]:
    rows = []
    for part, decision in assessment.decisions.items():
        hand = {
            check
            for cid in decision.conditions
            if cid in assessment.accounts
            for check in assessment.accounts[cid].at_hand
        }
        again = [item.check for item in ranked if item.purpose.value == "settle"]
        checks = [item.check for item in ranked if item.check in hand]
        rows.append(
            {
                "part": part,
                "conditions": list(decision.conditions),
                "disposition": "released" if decision.released else "held",
                "action": decision.action.value if decision.action else None,
                "because": decision.because,
                "next_checks": [] if decision.released else (checks or again),
            }
        )
    return rows


def _step(step: Step) -> dict[str, Any]:
    return {
        "step": step.text,
        "action": step.action.value if step.action else None,
        "on": step.on,
        "corrects": list(step.corrects),
        "minutes": step.minutes,
        "fitting": list(step.fitting),
        "cautions": list(step.cautions),
    }


def _unexplained(assessment: Assessment) -> list[dict[str, Any]]:
    return [
        {
            "condition": cid,
            "in_book": assessment.accounts[cid].in_book,
            "candidates": [
                {"origin": c.origin, "share": round(c.share, 4)}
                for c in assessment.accounts[cid].candidates
            ],
        }
        for cid in assessment.unexplained
    ]


def _loops(assessment: Assessment) -> list[dict[str, Any]]:
    """Return the loops that the findings touch, and what enters each."""
    statuses = assessment.statuses
    found = []
    for loop in loops(assessment.reasoner.graph):
        members = [c for c in loop if statuses[c] is Status.CONFIRMED]
        if len(members) < 2:
            continue
        enters = [
            {"cause": cause, "member": member, "status": statuses[cause].value}
            for cause, member in entrances(assessment.reasoner.graph, loop)
            if statuses[cause] in (Status.CONFIRMED, Status.PROBABLE, Status.SUSPECTED)
        ]
        found.append({"members": list(loop), "confirmed": members, "entered_by": enters})
    return found


def _next(item: NextCheck) -> dict[str, Any]:
    return {
        "check": item.check,
        "seat": item.seat.value if isinstance(item.seat, Seat) else item.seat,
        "minutes": item.minutes,
        "opens": list(item.opens),
        "gain": round(item.gain, 4),
        "purpose": item.purpose.value,
    }


def _drive(assessment: Assessment) -> dict[str, Any]:
    advice = assessment.drive()
    return {
        "advice": advice.advice.value,
        "because": advice.because,
        "limits": advice.limits,
        "condition": advice.condition,
        "sure": advice.sure,
    }


def cautions(assessment: Assessment, asked: list[NextCheck]) -> list[str]:
    """Return the cautions of plan, cover and the checks to come, each once."""
    book = assessment.book
    ids: dict[str, None] = {}
    for step in (*assessment.plan, *(assessment.cover or ())):
        ids |= dict.fromkeys(step.cautions)
    for item in asked[:5]:
        ids |= dict.fromkeys(str(c) for c in book.checks[item.check].cautions)
        for removal in item.opens:
            ids |= dict.fromkeys(str(c) for c in book.removals[removal].cautions)
    texts = [book.cautions[cid].text for cid in ids if cid in book.cautions]
    return [*texts, STANDING_CAUTION]


STANDING_CAUTION = "The maker's manual, local rules and licensed practice come first."

"""What a case came to when it was done, as the ledger keeps it for its statistics.

It is worked out by the book of that day and kept, so that what the book said then can later be
held against what turned out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, delete, insert

from headwater.book.shape import Named
from headwater.case.model import Done
from headwater.ledger.forecast import Foretold, forecasts_of, keep_forecasts
from headwater.ledger.records import OriginDone
from headwater.ledger.tables import damages, origins
from headwater.session.proposal import deeds_done
from headwater.session.session import Session
from headwater.verdict.account import Naming
from headwater.verdict.audit import audit


@dataclass(frozen=True, slots=True)
class Conclusion:
    """How a case ended, what was behind it, what was damaged, and how what was done stands to it.

    `sentence` says how what was done comes out against the plan; empty where nothing was done.
    """

    ending: str
    family: str
    origins: tuple[OriginDone, ...]
    damages: tuple[tuple[str, str], ...]
    sentence: str
    forecasts: tuple[Foretold, ...] = ()


def conclusion_of(session: Session) -> Conclusion:
    """Return what a case comes to, with what was done in it."""
    verdict, book = session.verdict, session.book
    judged = audit(verdict, deeds_done(session.case, book)) if session.case.done else None
    left = {one.origin for one in judged.left} if judged else set(verdict.origins)
    named = verdict.origins
    live = (c.origin for a in verdict.accounts.values() for c in a.candidates if c.origin)
    behind = tuple(
        OriginDone(
            origin,
            book.conditions[origin].title,
            named.get(origin, Naming.OPEN).value,
            round(verdict.posterior.probability(origin), 6),
            origin in named and origin not in left,
        )
        for origin in dict.fromkeys([*named, *live])
    )
    found = [(c, d.part) for d in verdict.decisions.values() for c in d.conditions]
    family = "; ".join(f"{name}={value}" for name, value in sorted(session.family.items()))
    sentence = judged.sentence if judged else ""
    hurt = tuple(dict.fromkeys(found))
    said = forecasts_of(session)
    return Conclusion(verdict.ending.value, family, behind, hurt, sentence, said)


def as_planned(session: Session) -> Iterator[Done]:
    """Yield the work of the plan as what was done; what is held is not in it."""
    for step in session.verdict.plan:
        if step.action is not None:
            yield Done(action=step.action.value, on=Named(step.on))


def keep_conclusion(connection: Connection, case: int, found: Conclusion) -> None:
    """Put what a case came to in place of what was kept of it."""
    keep_forecasts(connection, case, found.forecasts)
    for table in (origins, damages):
        connection.execute(delete(table).where(table.c.case == case))
    rows = [
        {
            "case": case,
            "origin": one.origin,
            "naming": one.naming,
            "chance": one.chance,
            "corrected": one.corrected,
        }
        for one in found.origins
    ]
    if rows:
        connection.execute(insert(origins), rows)
    if found.damages:
        hurt = [{"case": case, "condition": c, "part": p} for c, p in found.damages]
        connection.execute(insert(damages), hurt)

"""Where a case stands between two questions: what it has of a whole view, without the dear rest.

Advice and plan are worked out anew for every answer; at the bench they are asked for at the end.
"""

from __future__ import annotations

from dataclasses import dataclass

from headwater.session.session import Session
from headwater.view.case import PartView, UnexplainedView, part_view, unexplained_view
from headwater.view.left import LooseView, loose_view


@dataclass(frozen=True, slots=True)
class StandingView:
    """The parts that are held and released, and what no named origin explains."""

    parts: tuple[PartView, ...]
    unexplained: tuple[UnexplainedView, ...]
    loose: tuple[LooseView, ...]
    disputed: tuple[str, ...]


def standing_view(session: Session) -> StandingView:
    """Return where a case stands."""
    verdict, asked = session.verdict, session.next()
    return StandingView(
        tuple(part_view(verdict, one, asked) for one in verdict.decisions.values()),
        tuple(unexplained_view(verdict, cid) for cid in verdict.unexplained),
        tuple(loose_view(verdict, one) for one in verdict.loose),
        tuple(verdict.disputed),
    )

"""One case: what it comes to, and what is to be done."""

from __future__ import annotations

from headwater import outputs
from headwater.web.asked import PageAsked, Reply


def show_case(asked: PageAsked) -> Reply:
    """Show a case, its verdict first."""
    with asked.house.reading(asked.case) as session:
        return asked.show("case.html", name=asked.case, verdict=outputs.paper("verdict", session))

"""The office: all cases."""

from __future__ import annotations

from headwater import outputs
from headwater.web.asked import PageAsked, Reply

LONGEST_SEARCH = 200


def list_cases(asked: PageAsked) -> Reply:
    """List the cases, or those that have some words."""
    words = asked.query.get("words", "")[:LONGEST_SEARCH].strip()
    found = asked.house.shelf.cases(words)
    return asked.show("cases.html", cases=outputs.page_of("case-list", found), words=words)

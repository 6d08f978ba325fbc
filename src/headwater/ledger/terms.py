"""The words by which a case is found: of what was told, and of whose, which and what it is."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from headwater.case.model import Case, LogEntry

LONGEST = 64
FEWEST = 2
"""Signs of a word that is kept: of one letter nobody looks for anything."""
_WORD = re.compile(r"[^\W_]+")


def key_of(text: str) -> str:
    """Return a name, plate or number as it is compared: signs and cases do not count.

    >>> key_of("T-1041"), key_of("Mountain rescue,  north valley")
    ('t1041', 'mountainrescuenorthvalley')
    """
    return "".join(_WORD.findall(_folded(text)))


def terms_of(*texts: str) -> set[str]:
    """Return the words of some texts."""
    return {word[:LONGEST] for t in texts for word in _WORD.findall(_folded(t)) if _counts(word)}


def _folded(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(sign for sign in plain if not unicodedata.combining(sign))


def _counts(word: str) -> bool:
    return len(word) >= FEWEST or word.isdecimal()


def terms_of_case(case: Case) -> set[str]:
    """Return every word by which a case is found."""
    named = (case.phone, case.vehicle, case.unit.number)
    whole = {key[:LONGEST] for key in map(key_of, named) if key}
    texts = (case.case, case.complaint, case.customer, *named, case.unit.history)
    return whole | terms_of(*texts) | terms_of_entries(case.findings)


def terms_of_entries(entries: Iterable[LogEntry]) -> set[str]:
    """Return the words of findings: what was said, and remarks."""
    return terms_of(*(text for entry in entries for text in (entry.told, entry.note)))

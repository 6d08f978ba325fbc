"""What somebody spoke of, and nobody at that seat could look at."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import SURENESS
from headwater.measure.answer import Judged


def looks_at(book: Book, condition: str) -> list[Check]:
    """Return the checks that decide a condition; where none does, those that speak of it."""
    deciding = [check for check in book.checks.values() if condition in check.decides()]
    return deciding or [c for c in book.checks.values() if condition in c.speaks_of()]


def still_to_see(
    book: Book, meant: Iterable[str], answers: Mapping[str, Judged]
) -> tuple[str, ...]:
    """Return the conditions spoken of that no answer looks at, and none shows strongly.

    Who told of a torn boot and then answers that it is torn has said what was to be looked at: it
    is evidence from there on. That it is whole has to be seen.
    """
    told = {name for name, judged in answers.items() if judged.shares}
    shown = {cid for name in told for cid in _shown(book, name, answers[name])}
    known = (one for one in meant if one in book.conditions and one not in shown)
    return tuple(one for one in known if not any(c.id in told for c in looks_at(book, one)))


def _shown(book: Book, check: str, judged: Judged) -> Iterable[str]:
    """Yield what an answer shows strongly."""
    answer = book.checks[check].answer(judged.settled or "")
    present, absent = SURENESS["strong"]
    for cid, sure in answer.shows.items() if answer else ():
        if sure.present >= present and sure.absent <= absent:
            yield str(cid)

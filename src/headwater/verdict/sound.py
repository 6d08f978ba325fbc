"""Parts that were looked at and found sound: a neighbour's repair does not take them along."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from headwater.book.records import Book
from headwater.book.tables import Nature
from headwater.rules.status import Status


def sound_parts(
    book: Book, statuses: Mapping[str, Status], downstream: Iterable[str]
) -> dict[str, list[str]]:
    """Return the parts found without any damage that could have come about, with what is ruled out.

    `downstream` is what the named origins may have damaged.
    """
    seen: dict[str, list[str]] = {}
    doubtful: set[str] = set()
    reached = set(downstream)
    for cid, record in book.conditions.items():
        if record.kind is not Nature.DAMAGE or not record.part:
            continue
        if statuses[cid] in (Status.CONFIRMED, Status.DISPUTED):
            doubtful.add(str(record.part))
        elif cid in reached and statuses[cid] is Status.RULED_OUT:
            seen.setdefault(str(record.part), []).append(cid)
        elif cid in reached:
            doubtful.add(str(record.part))
    return {part: cids for part, cids in seen.items() if part not in doubtful}

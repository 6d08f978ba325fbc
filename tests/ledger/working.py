"""What a second process does to a ledger, for tests of what happens when several do."""

from __future__ import annotations

import sys
import time
from itertools import count
from pathlib import Path

from process import ROOT, environment
from sqlalchemy import Engine, create_engine, insert, select, update

from headwater.case.read import CaseError
from headwater.ledger.door import open_ledger
from headwater.ledger.kept import LedgerCase
from headwater.ledger.records import Hand
from headwater.ledger.tables import about

KEY = about.c.key == "counted"


def counting(engine: Engine, times: int) -> None:
    """Read a number, think, write the next; so often."""
    for _ in range(times):
        with engine.begin() as connection:
            seen = connection.scalar(select(about.c.value).where(KEY))
            time.sleep(0.001)
            connection.execute(update(about).where(KEY).values(value=str(int(str(seen)) + 1)))


def command(what: str, address: str, *more: str) -> list[str]:
    """Return the command line of a process that does something to a ledger."""
    return [sys.executable, str(Path(__file__).resolve()), what, address, *more]


def surroundings() -> dict[str, str]:
    """Return the environment of such a process."""
    return environment() | {"PYTHONPATH": f"{ROOT / 'src'}:{ROOT / 'tests'}"}


def main(what: str, address: str, *more: str) -> None:
    """Do it."""
    if what == "count-plain":  # as the library comes
        counting(create_engine(f"sqlite:///{address}"), int(more[0]))
    elif what == "count":
        counting(open_ledger(address).engine, int(more[0]))
    elif what == "share":  # look again, and say it again, until it is taken
        ledger = open_ledger(address)
        for number in range(int(more[1])):
            told = f'  - {{told: "{more[0]} says {number}"}}\n'
            while True:
                try:
                    LedgerCase(ledger, "a", Hand(more[0])).append(told)
                except CaseError:
                    continue
                break
    elif what == "find":
        case = LedgerCase(open_ledger(address), "a", Hand("a process"))
        for number in count(len(case.case().findings) + 1):
            case.append(f'  - {{told: "finding {number}"}}\n')
            print(number, flush=True)


def begin_counting(engine: Engine) -> None:
    """Put the number there that is counted."""
    with engine.begin() as connection:
        connection.execute(insert(about), {"key": "counted", "value": "0"})


def counted(engine: Engine) -> int:
    """Return how far it was counted."""
    with engine.begin() as connection:
        return int(str(connection.scalar(select(about.c.value).where(KEY))))


if __name__ == "__main__":
    main(*sys.argv[1:])

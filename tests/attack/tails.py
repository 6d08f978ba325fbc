"""Tails that a power cut leaves: cut at each byte, or zeros in place of what was written."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

from attack.registry import Attack, Outcome
from sessions import raw_findings

from headwater.book.shape import Ref
from headwater.book.tables import Seat
from headwater.case.model import LogEntry
from headwater.case.read import parse_case, read_case
from headwater.case.store import CaseWriter, entry_line, value_of
from headwater.errors import HeadwaterError

HEAD = "case: a-case\nunit:\n  family: {drive: chain}\nfindings:\n"
SIGNS = "aZ09 .,:;#{}[]'\"\\-?!&*%@\u00e4\u00b5\u2013\u65e5\U0001f529\t\n\x07\u202e"


def line(dice: Random, number: int) -> str:
    """Return a finding with a note in which any sign may stand."""
    note = "".join(dice.choice(SIGNS) for _ in range(dice.randrange(20)))
    given = LogEntry(check=Ref("bore-float"), answer=value_of(f"0.{number:03} mm"), note=note)
    return entry_line(given)


def torn(dice: Random, whole: bytes, last: bytes) -> Iterator[bytes]:
    """Yield what may be left of a file when its last line was being written."""
    for at in range(len(last)):
        part, rest = whole + last[:at], len(last) - at
        yield part
        yield part + b"\0" * rest
        yield part + b"\0" * dice.randrange(1, 5000)


def fault_of(path: Path, left: bytes, whole: bytes) -> str:
    """Say what is wrong with how a file with such a tail is met, if anything is."""
    path.write_bytes(left)
    known = raw_findings(parse_case(whole.decode(), "whole"))
    said: list[str] = []
    try:
        read = raw_findings(read_case(path, said.append))
        with CaseWriter(path, said.append) as writer:
            writer.append(entry_line(LogEntry(removed=Ref("cover"), seat=Seat.BENCH)))
        after = read_case(path)
    except HeadwaterError as error:
        return f"refused: {error}"
    if read[: len(known)] != known or raw_findings(after)[: len(known)] != known:
        return "a whole finding is gone"
    if len(read) > len(known) + 1 or str(after.findings[-1].removed) != "cover":
        return "not the findings that were written"
    tail = left[len(whole) :]
    torn_off = len(read) == len(known) and tail.strip(b" ")  # blanks are no part of anything
    if len(said) != (2 if torn_off or b"\0" in tail else 0):
        return f"said {said}"
    return next((f"a line of {len(one)} signs" for one in said if len(one) > 300), "")


def strike_tails(dice: Random, runs: int, folder: Path) -> Outcome:
    """Tear the last of a few findings at each byte, in as many files as are wanted."""
    done, failures = 0, []
    while done < runs:
        lines = [line(dice, number) for number in range(dice.randrange(1, 4))]
        whole, last = (HEAD + "".join(lines[:-1])).encode(), lines[-1].encode()
        for left in torn(dice, whole, last):
            done += 1
            if fault := fault_of(folder / "a.yaml", left, whole):
                failures.append(f"tail {left[len(whole) :][:80]!r}: {fault}")
    return Outcome(done, tuple(failures))


ATTACKS = (Attack("torn and zero-filled tails at each byte", strike_tails, 300, 20_000),)

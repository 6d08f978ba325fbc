"""What a stored case must come to, kept beside it in `NAME.expect.yaml`."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from headwater.book.files import Expect
from headwater.book.shape import Reader
from headwater.book.things import NOWHERE
from headwater.case.read import CaseError
from headwater.errors import Place
from headwater.yamltext import parse, read_file

SUFFIX = ".expect.yaml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """The expectation of a stored case, and why it must come out so."""

    expect: Expect
    why: str
    place: Place = field(metadata={"given": True}, default=NOWHERE)


def stored_cases(folder: Path) -> list[Path]:
    """Return the case files of a folder that have an expectation beside them."""
    beside = sorted(folder.rglob(f"*{SUFFIX}"))
    return [path.with_name(path.name.removesuffix(SUFFIX) + ".yaml") for path in beside]


def read_expected(case: Path) -> Expected:
    """Return the expectation beside a case file; raises CaseError with the place of a fault."""
    path = case.with_name(case.stem + SUFFIX)
    reader = Reader()
    found = reader.record(Expected, parse(read_file(path), str(path)))
    if reader.problems:
        first = sorted(reader.problems)[0]
        raise CaseError(first.message, first.place)
    assert isinstance(found, Expected)
    return found

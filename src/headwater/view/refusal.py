"""What a program gets that asked for JSON when a command could not be carried out."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.errors import HeadwaterError


@dataclass(frozen=True, slots=True)
class TurnedAway:
    """A command that was refused: its exit status, and every fault."""

    status: int
    faults: tuple[HeadwaterError, ...]


@dataclass(frozen=True, slots=True)
class FaultView:
    """One fault: what is wrong with the mend, and where, as far as that is known."""

    message: str
    file: str | None
    line: int | None
    column: int | None


@dataclass(frozen=True, slots=True)
class RefusalView:
    """Status 2 is a fault of what was given, 3 one of the program."""

    status: int
    faults: tuple[FaultView, ...]


def refusal_view(refused: TurnedAway) -> RefusalView:
    """Return a refusal as a record."""
    return RefusalView(refused.status, tuple(map(_fault, refused.faults)))


def _fault(fault: HeadwaterError) -> FaultView:
    place = fault.place
    if place is None:
        return FaultView(fault.message, None, None, None)
    return FaultView(fault.message, place.file, place.line or None, place.column or None)

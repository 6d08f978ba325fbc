"""What mends a condition is sealed: it is read where the gate can hold it back, and nowhere else.

A condition carries its remedies in a `Sealed`, which has no items to see: not by an attribute, not
by iteration, not by writing it out field by field. `unseal` opens it. Outside this room only the
gate's module may import `unseal` (a test of the architecture says so), so whatever prints an action
has it from the gate.
"""

from __future__ import annotations

from typing import Any, Generic, TypeVar

T = TypeVar("T")


class Sealed(Generic[T]):
    """A tuple that only `unseal` opens; empty or not is all that it tells."""

    __slots__ = ("_items",)
    _items: tuple[T, ...]

    def __init__(self, items: tuple[T, ...] = ()) -> None:
        """Seal some items."""
        object.__setattr__(self, "_items", items)

    def __setattr__(self, name: str, value: Any) -> None:
        """Refuse: what is sealed stays as it is."""
        raise AttributeError("a sealed record cannot be changed")

    def __bool__(self) -> bool:
        """Say whether there is anything inside."""
        return bool(self._items)

    def __eq__(self, other: object) -> bool:
        """Say whether the same is inside."""
        return isinstance(other, Sealed) and self._items == other._items

    def __hash__(self) -> int:
        """Return a hash that goes with equality."""
        return hash(self._items)

    def __repr__(self) -> str:
        """Return words that tell nothing of what is inside."""
        return "<sealed>"


def unseal(sealed: Sealed[T]) -> tuple[T, ...]:
    """Return what is inside. For the book's own room and the gate's module only."""
    return sealed._items

"""What the gate decides, as records. Only `gate` makes them."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.book.model import Action
from headwater.book.records import Book
from headwater.book.tables import VERB_RANK, Verb
from headwater.verdict.account import Account


@dataclass(frozen=True, slots=True)
class Mending:
    """One thing to do to a part, and the condition it mends; `action` is None on a held part."""

    part: str
    condition: str
    action: Action | None
    choice: int = 0


@dataclass(frozen=True, slots=True)
class Decision:
    """Released or held, for one part. `action` is None on a held part, always."""

    part: str
    conditions: tuple[str, ...]
    released: bool
    because: str
    mendings: tuple[Mending, ...] = ()
    renewed: bool = False

    @property
    def held(self) -> bool:
        """True while no action is recommended: neither released, nor renewed with the job."""
        return not (self.released or self.renewed)

    @property
    def disposition(self) -> str:
        """Released, held or renewed."""
        return "renewed" if self.renewed else "released" if self.released else "held"

    @property
    def action(self) -> Verb | None:
        """The strongest action on the part; None while it is held."""
        verbs = [one.action.action for one in self.mendings if one.action]
        return max(verbs, key=VERB_RANK.__getitem__) if not self.held and verbs else None


def no_look_left(book: Book, account: Account, from_share: float) -> str:
    """Return why no origin of a finding is named although every look is used up."""
    rivals = [c.origin for c in account.candidates if c.origin and c.share >= from_share]
    title = book.conditions[account.condition].title
    if len(rivals) < 2:
        return f"no origin of '{title}' can be named: nothing is left to check"
    told = [f"'{book.conditions[one].title}'" for one in rivals]
    apart = f"{', '.join(told[:-1])} and {told[-1]}"
    return f"no look is left that tells {apart} apart behind '{title}'"


@dataclass(frozen=True, slots=True)
class Deed:
    """Something done to a part, or proposed; `claims` are the conditions it is said to correct."""

    action: Verb
    part: str
    claims: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Cost:
    """What mending a condition costs on a part: minutes, and money where a price list says so."""

    part: str
    minutes: float
    money: float | None

"""How well phrases were understood, as shares with their counts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from words.phrases import Guess, Phrase

Recognise = Callable[[str], Guess]


@dataclass(slots=True)
class Share:
    """So many of so many."""

    hit: int = 0
    of: int = 0

    def add(self, hit: bool) -> None:
        """Count one more."""
        self.hit, self.of = self.hit + hit, self.of + 1

    @property
    def value(self) -> float:
        """The share; 1 where there was nothing to hit."""
        return self.hit / self.of if self.of else 1.0

    def __str__(self) -> str:
        """Return the share with its counts."""
        return f"{100 * self.value:5.1f} % {self.hit:>4}/{self.of:<4}" if self.of else "      -"


MEASURES = {
    "understood": "everything meant is among what was understood, ticked or not",
    "all ticked": "everything meant is ticked",
    "none wrong": "nothing is ticked that was not meant",
    "danger": "a sign of danger is noticed",
    "no alarm": "no danger is seen where there is none",
    "elsewhere": "trouble outside the driveline is said to be so",
    "own": "trouble of the driveline is not sent elsewhere",
    "denied": "what was denied is not understood as said",
}


@dataclass(slots=True)
class Score:
    """The measures of some phrases, and what went wrong with each."""

    shares: dict[str, Share] = field(default_factory=lambda: {name: Share() for name in MEASURES})
    missed: list[str] = field(default_factory=list)

    def add(self, phrase: Phrase, guess: Guess) -> None:
        """Judge what was understood of one phrase."""
        every = (*guess.ticked, *guess.offered, guess.elsewhere, frozenset({guess.danger or ""}))
        wanted = [set(entry) for entry in phrase.means]
        lost = [entry for entry in phrase.means if not _named(set(entry), every)]
        wrong = [one for one in guess.ticked if not any(one & entry for entry in wanted)]
        denied = [d for d in phrase.deny if any(d in one for one in guess.ticked)]
        if phrase.means:
            self.shares["understood"].add(not lost)
            sure = (*guess.ticked, guess.elsewhere, frozenset({guess.danger or ""}))
            self.shares["all ticked"].add(all(_named(entry, sure) for entry in wanted))
        self.shares["none wrong"].add(not wrong)
        self.shares["danger" if phrase.danger else "no alarm"].add(
            bool(phrase.danger) is bool(guess.danger)
        )
        self.shares["elsewhere" if phrase.elsewhere else "own"].add(
            phrase.elsewhere is bool(guess.elsewhere) or (phrase.elsewhere and bool(guess.danger))
        )
        if phrase.deny:
            self.shares["denied"].add(not denied)
        faults = {
            "lost": lost,
            "wrong": [sorted(one)[0] for one in wrong],
            "denied": denied,
            "danger": [f"{phrase.danger} {guess.danger}"]
            * (bool(phrase.danger) is not bool(guess.danger)),
            "elsewhere": sorted(guess.elsewhere) or ["none"]
            if phrase.elsewhere is not bool(guess.elsewhere)
            else [],
        }
        told = "; ".join(f"{name}: {what}" for name, what in faults.items() if what)
        if told:
            self.missed.append(f"{phrase.file}: {phrase.said}\n      {told}")


def _named(entry: set[str], things: Iterable[frozenset[str]]) -> bool:
    return any(entry & thing for thing in things)


def score(phrases: Sequence[Phrase], recognise: Recognise) -> dict[str, Score]:
    """Return the score of all phrases, of each file and of each seat."""
    found: dict[str, Score] = {"all": Score()}
    for phrase in phrases:
        guess = recognise(phrase.said)
        for kind in ("all", f"file {phrase.file}", f"seat {phrase.seat}"):
            found.setdefault(kind, Score()).add(phrase, guess)
    return found


def table(scores: dict[str, dict[str, Score]]) -> Iterable[str]:
    """Yield a row for each measure, a column for each recogniser; a block for each kind."""
    kinds = next(iter(scores.values()))
    for kind in kinds:
        yield f"{kind:<24}" + "".join(f"{name:>22}" for name in scores)
        for measure, means in MEASURES.items():
            cells = "".join(f"{scores[name][kind].shares[measure]!s:>22}" for name in scores)
            yield f"  {measure:<22}{cells}   {means if kind == 'all' else ''}".rstrip()
        yield ""

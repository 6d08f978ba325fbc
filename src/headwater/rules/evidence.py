"""Turns answers into evidence: likelihoods for belief, and what decisive answers claim.

The order of reckoning is fixed: belief comes first, from the raw likelihoods of all answers, honest
slips in them (`weigh`); then surprise: a decisive answer that belief makes less likely than 0.90 is
no fact yet; then facts for the rules (`settle`). Nothing feeds back.

Every answer, settled or too close to call, moves belief: for each condition it speaks of, the
likelihoods of the possible answers are mixed in proportion to their shares. Answers of one look
that one person repeats weigh together three times at most, a repeat less than the first, since who
was mistaken may be so again; a fact of history weighs once. Where two answers disagree both weigh,
until a third look does not settle it: then neither does.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from headwater.book.model import Answer, Check
from headwater.book.records import Book
from headwater.book.tables import Nature, Sense
from headwater.measure.answer import Judged
from headwater.rules.compile import Fact, Mark

NEUTRAL = 0.5
"""Likelihood of an answer for a condition that it says nothing about, present or absent."""
SURPRISING_BELOW = 0.90
"""A decisive answer gives a fact when what it says is at least so probable."""
REPEATS = 3
"""Times that one look may weigh, however often it is repeated."""

SAID_AGAIN = 0.05
"""How often a mistaken look is mistaken in the same way when it is repeated: by the same eyes, in
the same light. A fact of history is only retold. *Common practice, no source.*"""

Pair = tuple[float, float]


def likelihoods(answer: Answer, condition: str) -> Pair:
    """Return P(answer | condition present) and P(answer | absent)."""
    shown = answer.shows.get(condition)  # type: ignore[call-overload]
    if shown:
        return shown.present, shown.absent
    denied = answer.rules_out.get(condition)  # type: ignore[call-overload]
    return denied.against if denied else (NEUTRAL, NEUTRAL)


@dataclass(frozen=True, slots=True)
class Look:
    """A check with what it came to: all its answers that tell something, and the one that stands.

    `stands` is None while they disagree, or where none tells anything. `neutral` once a further
    look left them disagreeing.
    """

    check: str
    told: tuple[Judged, ...]
    stands: Judged | None
    neutral: bool = False

    @property
    def disputed(self) -> bool:
        """True while its answers disagree and one more look may settle it."""
        return bool(self.told) and self.stands is None and not self.neutral


@dataclass(frozen=True, slots=True)
class Weighed:
    """What the answers say before belief is asked.

    `looks` by check; `pairs` the likelihoods that each look puts on conditions; `claims` the
    decisive claims of the answers that stand, with the checks that make them; `clashes` the
    checks whose answers cannot all be true; `final` the checks that nobody can look at again.
    """

    looks: Mapping[str, Look]
    pairs: Mapping[str, Mapping[str, Pair]]
    claims: Mapping[Fact, tuple[str, ...]]
    clashes: tuple[tuple[str, ...], ...] = ()
    final: frozenset[str] = frozenset()

    @property
    def at_odds(self) -> bool:
        """Say whether some answers are at odds: one look less, and the others may weigh anew."""
        against = (Fact(fact.condition, _CONTRARY[fact.mark]) for fact in self.claims)
        neutral = any(look.neutral for look in self.looks.values())
        return neutral or bool(self.clashes) or any(fact in self.claims for fact in against)

    @property
    def factors(self) -> dict[str, Pair]:
        """Return condition -> (likelihood if present, if absent), multiplied over the looks."""
        return self.without(())

    def without(self, checks: Iterable[str], kept: str | None = None) -> dict[str, Pair]:
        """Return the same without what some checks say, but for what they say of one condition.

        What the other checks say stays as it is: see `weigh_without` where answers are at odds.
        """
        away = frozenset(checks)
        factors: dict[str, Pair] = {}
        for check, pairs in self.pairs.items():
            for condition, pair in pairs.items():
                if check in away and condition != kept:
                    continue
                before = factors.get(condition, (1.0, 1.0))
                factors[condition] = (before[0] * pair[0], before[1] * pair[1])
        return factors


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the findings of a case say, together.

    `facts` for the rules; `basis` the checks behind each; `surprising` are claims that are no facts
    yet, `overruled` those that other looks outweigh; `disputed` are the checks whose answers
    disagree, `neutral` those that a further look left so.
    """

    weighed: Weighed
    facts: frozenset[Fact]
    basis: Mapping[Fact, tuple[str, ...]]
    surprising: Mapping[Fact, tuple[str, ...]]
    overruled: Mapping[Fact, tuple[str, ...]]
    disputed: tuple[str, ...]
    neutral: tuple[str, ...]

    @property
    def factors(self) -> Mapping[str, Pair]:
        """The likelihoods that belief starts from."""
        return self.weighed.factors


def look_at(check: Check, given: Sequence[Judged]) -> Look:
    """Return what the answers to one check come to, in the order given.

    A reading too close to call goes along with whatever the others settle on.
    """
    told = tuple(one for one in given if one.special is None and one.shares)
    settled = [one for one in told if one.settled is not None]
    words = [one.settled for one in settled]
    if len(set(words)) <= 1:
        return Look(check.id, told, settled[-1] if settled else (told or (None,))[-1])
    most = max(set(words), key=lambda word: (words.count(word), words[::-1].index(word) * -1))
    if words.count(most) * 2 > len(words):
        return Look(check.id, told, next(one for one in settled[::-1] if one.settled == most))
    return Look(check.id, told, None, neutral=len(words) > 2)


def weigh(book: Book, findings: Iterable[Judged], final: Collection[str] = ()) -> Weighed:
    """Return what the findings say before belief is asked; repeats of a check keep their order.

    `final` are checks that nobody can look at again: what they are at odds about stays so.
    """
    given: dict[str, list[Judged]] = {}
    for judged in sorted(findings, key=lambda j: j.check):
        if judged.check in book.checks:
            given.setdefault(judged.check, []).append(judged)
    looks = {name: look_at(book.checks[name], answers) for name, answers in given.items()}
    return _weighed(book, looks, frozenset(final))


def weigh_without(book: Book, weighed: Weighed, checks: Collection[str]) -> Weighed:
    """Return what answers say as if some checks had never been made: no look is at odds with them.

    What was neutral only because of them weighs again.
    """
    rest = {name: look for name, look in weighed.looks.items() if name not in checks}
    looks = {name: look_at(book.checks[name], look.told) for name, look in rest.items()}
    return _weighed(book, looks, weighed.final)


def _weighed(book: Book, looks: dict[str, Look], final: frozenset[str]) -> Weighed:
    """Weigh looks: those that stay at odds become neutral."""
    _set_aside(looks, (name for name, look in looks.items() if look.disputed and name in final))
    clashes = _clashes(book, looks)
    _set_aside(looks, _outlived(looks, clashes, final))
    _set_aside(looks, _tied(looks, _all_claims(book, looks, clashes), final))
    weighing = {name: look for name, look in looks.items() if look.told and not look.neutral}
    pairs = {name: _pairs(book.checks[name], look) for name, look in weighing.items()}
    return Weighed(looks, pairs, _all_claims(book, weighing, clashes), clashes, final)


def _set_aside(looks: dict[str, Look], checks: Iterable[str]) -> None:
    """Make some looks neutral: they neither weigh nor claim any more."""
    for name in list(checks):
        looks[name] = replace(looks[name], stands=None, neutral=True)


def _all_claims(
    book: Book, looks: Mapping[str, Look], clashes: Iterable[Sequence[str]]
) -> dict[Fact, tuple[str, ...]]:
    """Return the decisive claims of the answers that stand, with the checks that make them."""
    clashing = {name for clash in clashes for name in clash}
    claims: dict[Fact, list[str]] = {}
    for name, look in looks.items():
        if look.stands and look.stands.settled and name not in clashing:
            for fact in _claims(book.checks[name].answers[look.stands.settled]):  # type: ignore[index]
                claims.setdefault(fact, []).append(name)
    return {fact: tuple(checks) for fact, checks in claims.items()}


def _tied(
    looks: Mapping[str, Look], claims: Mapping[Fact, tuple[str, ...]], final: Collection[str]
) -> set[str]:
    """Return the checks that claim the contrary of each other, repeats not having settled it."""
    return {
        name
        for fact, checks in claims.items()
        if (against := claims.get(Fact(fact.condition, _CONTRARY[fact.mark])))
        and _looks(looks, checks) == _looks(looks, against)
        and _stays(looks, (*checks, *against), final)
        for name in checks
    }


def _clashes(book: Book, looks: Mapping[str, Look]) -> tuple[tuple[str, ...], ...]:
    """Return the declared conflicts of which every answer was given."""
    stand = {name: look.stands.settled for name, look in looks.items() if look.stands}
    return tuple(
        tuple(sorted(map(str, conflict.answers)))
        for conflict in book.conflicts.values()
        if all(stand.get(str(check)) == word for check, word in conflict.answers.items())
    )


def _outlived(
    looks: Mapping[str, Look], clashes: Iterable[Sequence[str]], final: Collection[str]
) -> set[str]:
    """Return the checks of conflicts that have outlived one repeat of any of their answers."""
    return {name for clash in clashes if _stays(looks, clash, final) for name in clash}


def _stays(looks: Mapping[str, Look], checks: Sequence[str], final: Collection[str]) -> bool:
    """Say whether what checks are at odds about stays so: one was repeated, or none can be."""
    repeated = sum(len(looks[name].told) for name in checks) > len(checks)
    return repeated or all(name in final for name in checks)


def _pairs(check: Check, look: Look) -> dict[str, Pair]:
    """Return the likelihoods that a look puts on conditions, its last answers multiplied."""
    pairs: dict[str, Pair] = {}
    said: set[str] = set()
    for judged in look.told[-REPEATS:]:
        answers = [(check.answers[word], share) for word, share in judged.shares]  # type: ignore[index]
        alike = _alike(check, judged.settled) if judged.settled in said else 0.0
        said.update([judged.settled] if judged.settled else [])
        for condition in _spoken(answer for answer, _ in answers):
            present = absent = 0.0
            for answer, share in answers:
                there, not_there = likelihoods(answer, condition)
                present, absent = present + share * there, absent + share * not_there
            before = pairs.get(condition, (1.0, 1.0))
            pairs[condition] = (
                before[0] * (alike + (1.0 - alike) * present),
                before[1] * (alike + (1.0 - alike) * absent),
            )
    return pairs


def _alike(check: Check, word: str) -> float:
    """Return how often whoever gave an answer gives it once more, whatever is true."""
    return 1.0 if check.answers[word].sense is Sense.PLAIN else SAID_AGAIN  # type: ignore[index]


def settle(book: Book, weighed: Weighed, chance_of: Callable[[Fact], float]) -> Evidence:
    """Return the facts that claims give, now that belief has been asked.

    `chance_of` is the least that a claim may be probable, given all answers.
    """
    basis: dict[Fact, tuple[str, ...]] = {}
    surprising: dict[Fact, tuple[str, ...]] = {}
    overruled: dict[Fact, tuple[str, ...]] = {}
    disputed = {name for name, look in weighed.looks.items() if look.disputed}
    disputed |= {n for clash in weighed.clashes for n in clash if not weighed.looks[n].neutral}
    neutral = {name for name, look in weighed.looks.items() if look.neutral}
    for fact, checks in weighed.claims.items():
        against = weighed.claims.get(Fact(fact.condition, _CONTRARY[fact.mark]), ())
        chance = chance_of(fact)
        if against and _looks(weighed.looks, checks) == _looks(weighed.looks, against):
            basis[fact] = checks  # both are facts: the rules say that they disagree
            disputed |= {*checks, *against}
        elif against and chance < SURPRISING_BELOW:
            overruled[fact] = checks
        elif chance < SURPRISING_BELOW and not _complains(book, fact):
            surprising[fact] = checks
        else:
            basis[fact] = checks
    return Evidence(
        weighed,
        frozenset(basis),
        basis,
        surprising,
        overruled,
        tuple(sorted(disputed)),
        tuple(sorted(neutral)),
    )


_CONTRARY = {Mark.SHOWN: Mark.DENIED, Mark.DENIED: Mark.SHOWN}


def _looks(looks: Mapping[str, Look], checks: Iterable[str]) -> int:
    """Return how many looks some checks have had, each weighing so often at most."""
    return sum(min(len(looks[check].told), REPEATS) for check in checks)


def _complains(book: Book, fact: Fact) -> bool:
    """Say whether a claim is a complaint: it is what the vehicle was brought for."""
    record = book.conditions.get(fact.condition)
    return fact.mark is Mark.SHOWN and record is not None and record.kind is Nature.COMPLAINT


def _claims(answer: Answer) -> Iterable[Fact]:
    for condition, sureness in answer.shows.items():
        if sureness.decisive:
            yield Fact(str(condition), Mark.SHOWN)
    for condition, sureness in answer.rules_out.items():
        if sureness.decisive:
            yield Fact(str(condition), Mark.DENIED)


def _spoken(answers: Iterable[Answer]) -> list[str]:
    return list(dict.fromkeys(str(c) for a in answers for c in (*a.shows, *a.rules_out)))

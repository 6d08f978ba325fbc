"""Where something is said to be, on the vehicle, in which unit or drive, and where it is not."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from headwater.hearing import english
from headwater.hearing.cover import Fit
from headwater.hearing.reading import Token
from headwater.hearing.targets import Topic
from headwater.hearing.unitwords import UnitWords, units_named

ENDS = (("front", "rear"), ("rear", "front"))
"""Of these ends one excludes the other, where only one of them is named."""


def is_of_the_other_end(tokens: Sequence[Token], fit: Fit) -> bool:
    """Say whether front is said beside what is of the rear alone, or the other way round."""
    clauses = {tokens[place].clause for place in fit.laid}
    said = {
        token.stem
        for place, token in enumerate(tokens)
        if token.clause in clauses and place not in fit.laid
    }
    name = fit.target.about if fit.target.check else fit.target.phrases[0]
    own = set(name.lower().replace("-", " ").split())
    return any(
        one in said and other in own and one not in own and other not in said for one, other in ENDS
    )


def is_of_another_unit(units: Sequence[UnitWords], tokens: Sequence[Token], fit: Fit) -> bool:
    """Say whether what was found is of another unit than the one named beside it, or last before.

    A complaint may be put down to any unit: who says 'the axle hops' has only heard it there.
    """
    if fit.target.kind is not Topic.FINDING:
        return False
    clauses = {tokens[place].clause for place in fit.laid}
    named = units_named(units, [token for token in tokens if token.clause in clauses])
    for before in range(min(clauses) - 1, -1, -1):
        named = named or units_named(units, [t for t in tokens if t.clause == before])
    name = fit.target.check or fit.target.id
    return bool(named) and all(name in unit.not_its for unit in named)


def without_calm(tokens: Sequence[Token], fits: Sequence[Fit]) -> list[Fit]:
    """Return the fits that take no word from where nothing is the matter: 'whines, gone in low'.

    Only a drive, or a symptom that is gone, may be named there: a thing that is gone is missing.
    """
    where: dict[tuple[int, int], list[Token]] = {}
    for token in tokens:
        if token.calm:
            where.setdefault((token.clause, token.part), []).append(token)
    calm = {here for here, said in where.items() if _is_calm(said)}
    return [f for f in fits if not _borrows(tokens, f, calm)] if calm else list(fits)


def _is_calm(said: Sequence[Token]) -> bool:
    named = [t for t in said if t.stem in english.DRIVES or t.word in english.SYMPTOMS]
    idle = english.NOTHING_HERE | english.GENERAL
    return bool(named) and all(t.small or t.word in idle or t in named for t in said)


def _borrows(tokens: Sequence[Token], fit: Fit, calm: Collection[tuple[int, int]]) -> bool:
    """Say whether a fit takes words from a calm piece, and does not say itself that it is calm."""
    told = [tokens[place] for place, weight in fit.laid.items() if weight > 0]
    quiet = [t for t in told if (t.clause, t.part) in calm]
    return bool(quiet) and not any(t.word in english.NOTHING_HERE for t in quiet)

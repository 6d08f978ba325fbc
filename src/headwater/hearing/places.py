"""Where on the vehicle something is said to be."""

from __future__ import annotations

from collections.abc import Sequence

from headwater.hearing.cover import Fit
from headwater.hearing.reading import Token

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

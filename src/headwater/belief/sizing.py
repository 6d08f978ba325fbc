"""Which model is summed: that of the whole question, a simpler one, or one without rare links."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from itertools import product
from math import inf

from headwater.belief.elimination import Schedule, schedule
from headwater.belief.orders import order_of_tables
from headwater.belief.question import Question
from headwater.belief.steps import Model, make_model

CELLS_TO_BE_QUICK = 6_000_000
"""Cells from which on decisive denials are taken at their word."""
CELLS_WITH_TURNS = 12_000_000
"""Cells from which on turns are counted in pairs alone."""
CELLS = 32_000_000
"""Cells of all tables together, above which a model is too large."""
MOST_THRESHOLDS = 8
"""Models that are tried at most, each with fewer links, where the whole one is too large."""
TIDIED = 32
"""Orders of its own variables that are tried of each model, where none is small enough."""
SEARCHED = 256
"""Such orders that are kept: what is asked of a case next is often summed over the same tables."""
ALL_LINKS = 2.0  # a chance that no link has: below it lie all

Summable = tuple[Model, Schedule]
"""A model, and how to sum it."""


def build_model(question: Question) -> Summable:
    """Return the model of what is asked, and how to sum it.

    A model that is too large even so (`whole_model`) loses its rarest links.
    """
    question, made = _simplified(question)
    if made is not None and made[1].cells <= CELLS:
        return made
    for least in _thresholds(p for _, _, p in question.worlds.network.links):
        made = built(question, least)
        if made is not None and made[1].cells <= CELLS:
            break
    assert made is not None, "without any link there is an order"
    return made


def whole_model(question: Question) -> Summable | None:
    """Return the model of what is asked with all its links; None where that is too large.

    In a model too large to be quick, decisive denials are first taken at their word: what they
    speak of drops out, with the slip of one in fifty. Where turns make it too large, it counts them
    in pairs alone, and what holds itself up is left to be sorted out later.
    """
    _, made = _simplified(question)
    return made if made is not None and made[1].cells <= CELLS else None


def _simplified(question: Question) -> tuple[Question, Summable | None]:
    """Return the smallest model: a simpler question may have the dearer order of summing.

    More orders are tried only where that is too large, too: it takes as long as a sum.
    """
    made = [(question, built(question))]
    if _cells(made[0][1]) > CELLS_TO_BE_QUICK and not question.takes_denials:
        made.append(((simpler := question.at_its_word()), built(simpler)))
    question, best = min(made, key=lambda one: _cells(one[1]))
    if _cells(best) > CELLS_WITH_TURNS and question.longest > 2:
        made.append(((simpler := question.in_pairs()), built(simpler)))
    question, best = min(made, key=lambda one: _cells(one[1]))
    if _cells(best) <= CELLS:
        return question, best
    made += [(asked, built(asked, at_length=True)) for asked, _ in made[1:] or made]
    for seed, (asked, model) in product(range(TIDIED), _apart(made)):
        order, plan = _tidied(tuple(model.sizes), tuple(t.scope for t in model.tables), seed)
        if plan.cells <= CELLS:
            return asked, (replace(model, order=order), plan)
    return min(made, key=lambda one: _cells(one[1]))


def _apart(made: Iterable[tuple[Question, Summable | None]]) -> list[tuple[Question, Model]]:
    """Return the models that were made, the smallest first, and none of them twice."""
    found: dict[int, tuple[Question, Model]] = {}
    for asked, one in sorted(made, key=lambda one: _cells(one[1])):
        if one is not None:
            found.setdefault(one[1].cells, (asked, one[0]))
    return list(found.values())


@lru_cache(maxsize=SEARCHED)
def _tidied(
    sizes: tuple[int, ...], scopes: tuple[tuple[int, ...], ...], seed: int
) -> tuple[list[int], Schedule]:
    """Return an order of the variables' own, and what summing in it would meet.

    The first order is one of conditions; what these come to on the way follows as it happens.
    """
    order = order_of_tables(sizes, scopes, seed)
    return order, schedule(sizes, scopes, order)


def _cells(made: Summable | None) -> float:
    return inf if made is None else made[1].cells


def _thresholds(chances: Iterable[float]) -> list[float]:
    """Return the chances below which links are left out, one after the other; then all are."""
    every = sorted(set(chances))[1:]
    step = max(1, -(-len(every) // MOST_THRESHOLDS))
    return [*every[::step], ALL_LINKS]


def built(question: Question, least: float = 0.0, *, at_length: bool = False) -> Summable | None:
    """Return the model without the links that fire less often than `least`.

    None where no order of summing comes near to being small enough.
    """
    order = question.order(least, at_length=at_length)
    if order is None:
        return None
    model = make_model(question, order, least)
    return model, schedule(model.sizes, [t.scope for t in model.tables], model.order)

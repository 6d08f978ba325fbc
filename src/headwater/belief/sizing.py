"""Which model is summed: that of the whole question, a simpler one, or one without rare links."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
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
TIDIED_FROM = 2_000_000
"""Cells from which on a model gets an order of its own variables: it costs less than it saves."""
TIDIED_TO = 4 * CELLS_TO_BE_QUICK
"""Cells from which on it does not where a simpler question is left: that saves more."""
ORDERS_TRIED = 32
"""Such orders that are tried where no model is small enough."""
SEARCHED = 64
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
    for asked, one in _apart(made):
        again = tidied(one, ORDERS_TRIED, CELLS)
        if again[1].cells <= CELLS:
            return asked, again
    return question, best


def _apart(made: Iterable[tuple[Question, Summable | None]]) -> list[tuple[Question, Summable]]:
    """Return the models that were made, the smallest first, and none of them twice."""
    found: dict[int, tuple[Question, Summable]] = {}
    for asked, one in sorted(made, key=lambda one: _cells(one[1])):
        if one is not None:
            found.setdefault(one[1].cells, (asked, one))
    return list(found.values())


def tidied(made: Summable, tries: int = 3, enough: float = CELLS_TO_BE_QUICK) -> Summable:
    """Return a model in an order of its own variables, where one of some tries is less dear.

    The first order is one of conditions; what these come to on the way follows as it happens.
    No more are made once one has no more than `enough` cells.
    """
    model, plan = made
    sizes, scopes = tuple(model.sizes), tuple(table.scope for table in model.tables)
    cells, order = _order(sizes, scopes, tries, enough)
    if cells >= plan.cells:
        return made
    return replace(model, order=order), schedule(sizes, scopes, order)


_order = lru_cache(maxsize=SEARCHED)(order_of_tables)


def _cells(made: Summable | None) -> float:
    return inf if made is None else made[1].cells


def _thresholds(chances: Iterable[float]) -> list[float]:
    """Return the chances below which links are left out, one after the other; then all are."""
    every = sorted(set(chances))[1:]
    step = max(1, -(-len(every) // MOST_THRESHOLDS))
    return [*every[::step], ALL_LINKS]


def built(question: Question, least: float = 0.0) -> Summable | None:
    """Return the model without the links that fire less often than `least`.

    None where no order of summing comes near to being small enough.
    """
    order = question.order(least)
    if order is None:
        return None
    model = make_model(question, order, least)
    plan = schedule(model.sizes, [t.scope for t in model.tables], model.order)
    simplest = question.takes_denials and question.longest <= 2
    worth_it = plan.cells > TIDIED_FROM and (simplest or plan.cells <= TIDIED_TO)
    return tidied((model, plan)) if worth_it else (model, plan)

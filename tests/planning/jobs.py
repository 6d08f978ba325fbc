"""A small book of a unit with a housing, a shaft, a seal and oil, for tests of the plan.

Removals: oil drained (uses up the oil), cover off (uses up the gasket), shaft out.
"""

from __future__ import annotations

from dataclasses import replace

from strategies import PLACE, answered, condition, look, make_book

from headwater.book.model import Action, Check, Condition
from headwater.book.records import Book
from headwater.book.shape import Ref
from headwater.book.tables import Nature, Renewed, Verb
from headwater.book.things import Part, Removal
from headwater.verdict.assess import Assessment, build_reasoner
from headwater.verdict.prices import Exchange, Prices
from headwater.verdict.reach import Stand

PRICES = Prices(
    prices="test",
    currency="EUR",
    labour=60.0,
    parts={Ref(p): 100.0 for p in ("shaft", "bearing", "sprocket", "seal", "housing")}
    | {Ref("oil"): 30.0, Ref("gasket"): 7.0, Ref("vent"): 9.0},
    exchange=Exchange(price=900.0, minutes=120.0),
)


def act(verb: Verb, text: str, on: str | None = None, minutes: float = 10.0) -> tuple[Action, ...]:
    """Return one action, as the only one for a condition."""
    return (Action(action=verb, text=text, on=Ref(on) if on else None, minutes=minutes),)


def after(check: Check, *removals: str) -> Check:
    """Return a look that needs removals."""
    return replace(check, after=tuple(Ref(r) for r in removals))


def book_of(
    conditions: list[Condition], links: dict[tuple[str, str], str], deep: dict[str, str]
) -> Book:
    """Return a book; `deep` gives for conditions the removal that opens them to view."""
    checks = [after(look(c.id), deep[c.id]) if c.id in deep else look(c.id) for c in conditions]
    removals = (
        Removal(id="drained", title="oil drained", minutes=5.0, consumes=(Ref("oil"),)),
        Removal(
            id="cover",
            title="cover off",
            minutes=10.0,
            closing=15.0,
            after=(Ref("drained"),),
            consumes=(Ref("gasket"),),
        ),
        Removal(id="shaft-out", title="shaft out", minutes=20.0, after=(Ref("cover"),)),
    )
    book = make_book(conditions, links, checks, removals)
    for part in ("oil", "gasket"):
        renewed = Part(id=part, title=f"piece {part}", renewed=Renewed.WHEN_REMOVED, place=PLACE)
        book.parts[part] = renewed
    if "vent" in book.parts:
        book.parts["vent"] = replace(book.parts["vent"], outside=True)
    return book


def judge(book: Book, stand: Stand | None = None, /, **given: str) -> Assessment:
    """Judge answers to the looks of a book, `look_` left out: `worn='yes'`."""
    told = {f"look_{name}": word for name, word in given.items()}
    return build_reasoner(book, {}).assess(answered(book, **told), stand)


def wet_unit() -> Book:
    """Return a unit in which water got in by the vent and pitted bearing and shaft."""
    return book_of(
        [
            condition(
                "vent-low", part="vent", origin=True, actions=act(Verb.ADJUST, "Lead it up.")
            ),
            condition(
                "oil-milky",
                part="oil",
                kind=Nature.STATE,
                actions=act(Verb.REFILL, "Flush twice, a short drive between, then fill."),
            ),
            condition("bearing-pitted", part="bearing"),
            condition("shaft-rusted", part="shaft"),
        ],
        {
            ("vent-low", "oil-milky"): "usually",
            ("oil-milky", "bearing-pitted"): "usually",
            ("oil-milky", "shaft-rusted"): "usually",
        },
        {"bearing-pitted": "cover", "shaft-rusted": "shaft-out"},
    )

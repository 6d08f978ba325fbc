"""Small units drawn from a seed: two or three origins, usages with traces, loops, shared acts.

Five conditions and six links at most, so that every world of the book can be added up.
"""

from __future__ import annotations

from random import Random

from hypothesis import strategies as st
from strategies import (
    Situation,
    answer_of,
    check,
    condition,
    look,
    make_book,
    remedy,
    true_answer,
)

from headwater.book.model import Action, Check, Condition
from headwater.book.records import Book
from headwater.book.shape import Ref
from headwater.book.tables import OFTEN, Nature, Seat, Verb
from headwater.book.things import Removal
from headwater.measure.answer import Judged
from headwater.verdict.reach import Stand


def _small_condition(random: Random, index: int, below: list[str], fault: bool) -> Condition:
    cid = f"c{index}"
    common = random.choice(["common", "common", "occasional", "rare"])
    if index < 2 and not fault:
        traces = tuple(c for c in below if random.random() < 0.6)
        advice = (Action(action=Verb.ADVISE, on=Ref("p0"), text=remedy(cid)),)
        return condition(
            cid, kind=Nature.STATE, usage=True, traces=traces, actions=advice, common=common
        )
    part = random.choice([f"p{index}", f"p{index}", "p0", None])
    kind = Nature.DAMAGE if part else Nature.STATE
    if fault and not part:
        mend = (Action(action=Verb.CLEAN, on=Ref("p0"), text=remedy(cid)),)
        return condition(cid, kind=kind, origin=True, actions=mend, common=common)
    return condition(cid, kind=kind, part=part, origin=fault, common=common)


def _small_looks(random: Random, record: Condition) -> list[Check]:
    """Draw the looks at one condition: mostly a decisive one, often a second, at times in one act.

    What was done to the vehicle is mostly told by its owner.
    """
    cid = record.id
    seat = Seat.CALL if record.origin and record.origin.usage else Seat.BENCH
    after = ("lid",) if seat is Seat.BENCH and random.random() < 0.3 else ()
    act = f"act-{cid}" if random.random() < 0.3 else ""
    found = []
    if random.random() < 0.85:
        found.append(look(cid, seats=(seat,), act=act, after=after))
    if random.random() < 0.5:
        word = random.choice(["decisive", "strong", "strong", "weak"])
        found.append(look(cid, word, seats=(Seat.BENCH,), name="again", act=act))
    if random.random() < 0.2:
        answers: dict[str, tuple[dict[str, str], dict[str, str]]] = {
            "much": ({cid: "strong"}, {}),
            "some": ({cid: "weak"}, {}),
            "none": ({}, {cid: "strong"}),
        }
        found.append(check(f"scale-{cid}", answers, before=("lid",)))
    return found


def draw_unit(random: Random, looks: int = 8) -> Situation:
    """Draw a small book and what was found: two or three origins, usages with traces, loops, acts.

    Five conditions and six links at most, so that every world of it can be added up.
    """
    ids = [f"c{i}" for i in range(random.choice([3, 4, 4, 5]))]
    tree = [(ids[0], ids[2]), (ids[1], random.choice(ids[2:]))]
    tree += [(random.choice(ids[:i]), ids[i]) for i in range(3, len(ids))]
    pairs = [(a, b) for a in ids for b in ids if a != b and (a, b) not in tree]
    links = tree + random.sample(pairs, random.choice([0, 1, 1, 2]))
    links = list(dict.fromkeys(links))[:6]
    conditions = []
    for index, cid in enumerate(ids):
        below = [effect for cause, effect in links if cause == cid]
        fault = random.random() < (0.6 if index < 2 else 0.15)
        conditions.append(_small_condition(random, index, below, fault))
    checks = [one for record in conditions for one in _small_looks(random, record)]
    checks = random.sample(checks, min(looks, len(checks)))
    often_words = {ends: random.choice(list(OFTEN)) for ends in links}
    lid = Removal(id="lid", title="lid off", minutes=4.0)
    book = make_book(conditions, often_words, checks, (lid,))
    return Situation(book, _small_findings(random, book), Stand())


def _small_findings(random: Random, book: Book) -> list[Judged]:
    """Draw answers, mostly true of a unit in which one or two of the origins did it."""
    origins = list(book.origins)
    present = set(random.sample(origins, min(len(origins), random.choice([1, 1, 2]))))
    fired = [ends for ends in book.links if random.random() < 0.8]
    while more := {e for c, e in fired if c in present} - present:
        present |= more
    found = []
    for one in book.checks.values():
        how = random.choice(["true"] * 6 + ["skip"] * 3 + ["any"])
        if how != "skip":
            word = random.choice(list(one.answers)) if how == "any" else true_answer(one, present)
            found.append(answer_of(one, str(word)))
    return found


def units() -> st.SearchStrategy[Situation]:
    """Draw small books with what was found on a unit (`draw_unit`)."""
    return st.randoms(use_true_random=False).map(draw_unit)

"""Hypothesis strategies: random books with loops, random findings, random places to stand.

The books are built in memory, not written as YAML. Every text that names a remedy carries a mark
of its own (`REMEDY-...`), so that a test can tell at once where one has leaked.
"""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st

from headwater.book.chances import Common, Often, Sureness
from headwater.book.model import Action, Answer, Check, Condition, Danger, Origin, Remedies
from headwater.book.records import Book, Link
from headwater.book.seal import unseal
from headwater.book.shape import Ref
from headwater.book.tables import COMMON, OFTEN, SPECIAL, SURENESS, Drive, Nature, Seat, Sense, Verb
from headwater.book.things import Caution, Part, Removal
from headwater.errors import Place
from headwater.measure.answer import Judged
from headwater.rules.status import Status
from headwater.verdict.assess import Assessment
from headwater.verdict.prices import Exchange, Prices
from headwater.verdict.reach import Stand

PLACE = Place("(test)")


def often(word: str) -> Often:
    """Return a word of the table as a book holds it."""
    return Often(OFTEN[word], word)


def sure(word: str) -> Sureness:
    """Return a word of the table as a book holds it."""
    return Sureness(*SURENESS[word], word)


def remedy(condition: str, number: int = 0) -> str:
    """Return the text of a remedy, recognisable wherever it turns up."""
    return f"REMEDY-{condition}-{number}."


def condition(
    cid: str,
    *,
    part: str | None = None,
    origin: bool = False,
    kind: Nature = Nature.DAMAGE,
    actions: tuple[Action, ...] | None = None,
    danger: Danger | None = None,
    common: str = "occasional",
    usage: bool = False,
    traces: tuple[str, ...] = (),
    alone: str = "",
) -> Condition:
    """Return a condition; its remedies act on its own part unless others are given."""
    told = actions
    if told is None:
        told = (Action(action=Verb.REPLACE, text=remedy(cid)),) if part else ()
    return Condition(
        id=cid,
        title=f"state {cid}",
        kind=kind,
        part=Ref(part) if part else None,
        origin=Origin(
            common=Common(COMMON[common], common),
            corrections=Remedies(told),
            usage=usage,
            traces=tuple(map(Ref, traces)),
            alone=alone,
        )
        if origin or usage
        else None,
        dispositions=Remedies(() if origin or usage else told),
        danger=danger,
    )


def check(
    cid: str,
    answers: dict[str, tuple[dict[str, str], dict[str, str]]],
    *,
    seats: tuple[Seat, ...] = (Seat.BENCH,),
    after: tuple[str, ...] = (),
    before: tuple[str, ...] = (),
    act: str = "",
    minutes: float = 5.0,
    senses: dict[str, Sense] | None = None,
) -> Check:
    """Return a check; each answer is (shows, rules out), condition -> word of sureness.

    `senses` says of an answer that it is sound, bad or plain, where that is not read off.
    """
    return Check(
        id=cid,
        ask=f"how is {cid}?",
        seats=seats,
        minutes=minutes,
        act=act,
        after=tuple(Ref(r) for r in after),
        before=tuple(Ref(r) for r in before),
        answers={
            Ref(word): Answer(
                says=word,
                is_=(senses or {}).get(word),
                shows={Ref(c): sure(w) for c, w in shows.items()},
                rules_out={Ref(c): sure(w) for c, w in against.items()},
            )
            for word, (shows, against) in answers.items()
        },
    )


def look(
    cid: str,
    sureness: str = "decisive",
    seats: tuple[Seat, ...] = (Seat.BENCH,),
    name: str = "look",
    act: str = "",
    after: tuple[str, ...] = (),
) -> Check:
    """Return the plain check of one condition: `look-<condition>`, yes or no."""
    answers: dict[str, tuple[dict[str, str], dict[str, str]]] = {
        "yes": ({cid: sureness}, {}),
        "no": ({}, {cid: sureness}),
    }
    return check(f"{name}-{cid}", answers, seats=seats, act=act, after=after)


def make_book(
    conditions: list[Condition],
    links: dict[tuple[str, str], str],
    checks: list[Check],
    removals: tuple[Removal, ...] = (),
) -> Book:
    """Return a book of the given records; its parts are those that the conditions name."""
    named = [str(c.part) for c in conditions if c.part]
    for record in conditions:
        own = record.origin.corrections if record.origin else record.dispositions
        named += [str(action.on) for action in unseal(own) if action.on]
    return Book(
        digest="0" * 16,
        parts={p: Part(id=p, title=f"piece {p}") for p in dict.fromkeys(named)},
        cautions={"care": Caution(id="care", text="take care")},
        removals={r.id: r for r in removals},
        conditions={c.id: c for c in conditions},
        checks={c.id: c for c in checks},
        links={
            (cause, effect): Link(
                cause=cause,
                effect=effect,
                how=f"{cause} makes {effect}",
                often=often(word),
                when={},
                place=PLACE,
            )
            for (cause, effect), word in links.items()
        },
    )


def answer_of(check: Check, word: str) -> Judged:
    """Return an answer to a check as the measuring room would hand it over."""
    if word in SPECIAL:
        return Judged(check.id, word, special=word)
    return Judged(check.id, word, ((word, 1.0),), settled=word)


def answered(book: Book, **given: str) -> list[Judged]:
    """Return answers by check id, `_` standing for `-`."""
    return [answer_of(book.checks[k.replace("_", "-")], word) for k, word in given.items()]


@dataclass(frozen=True, slots=True)
class Situation:
    """A book, what was found and where the person stands."""

    book: Book
    findings: list[Judged]
    stand: Stand


_VERBS = st.sampled_from(list(Verb))


@st.composite
def _actions(
    draw: st.DrawFn, cid: str, ids: list[str], parts: list[str], own: str | None
) -> tuple[Action, ...]:
    count = draw(st.integers(1, 2))
    return tuple(
        Action(
            action=draw(_VERBS),
            on=Ref(draw(st.sampled_from(parts))) if own is None or draw(st.booleans()) else None,
            text=remedy(cid, number),
            minutes=float(draw(st.integers(1, 60))),
            unless=(Ref(draw(st.sampled_from(ids))),) if draw(st.integers(0, 5)) == 0 else (),
            fitting=(f"see-to-{remedy(cid, number)}",),
            cautions=(Ref("care"),),
        )
        for number in range(count)
    )


@st.composite
def _condition(draw: st.DrawFn, index: int, ids: list[str], parts: list[str]) -> Condition:
    cid = ids[index]
    origin = index == 0 or draw(st.integers(0, 4)) == 0
    own = draw(st.sampled_from([None, *parts, *parts]))
    kind = draw(st.sampled_from([Nature.DAMAGE, Nature.DAMAGE, Nature.DAMAGE, Nature.STATE]))
    danger = None
    if draw(st.integers(0, 3)) == 0:
        advice = draw(st.sampled_from([Drive.STOP, Drive.LIMP]))
        danger = Danger(advice=advice, because=f"danger of {cid}")
    return condition(
        cid,
        part=own,
        origin=origin,
        kind=kind if own else Nature.STATE,
        actions=draw(_actions(cid, ids, parts, own)) if origin or own else (),
        danger=danger,
        common=draw(st.sampled_from(list(COMMON))),
    )


@st.composite
def _check(draw: st.DrawFn, number: int, ids: list[str], removals: list[str]) -> Check:
    # The first checks are plain looks at one condition each; the rest speak of any one or two.
    about = ids[number : number + 1]
    if not about or draw(st.integers(0, 7)) == 0:
        about = draw(st.lists(st.sampled_from(ids), min_size=1, max_size=2, unique=True))
    words = st.sampled_from(["decisive"] * 6 + ["strong", "weak"])
    answers: dict[str, tuple[dict[str, str], dict[str, str]]] = {
        "yes": ({c: draw(words) for c in about}, {}),
        "no": ({}, {c: draw(words) for c in about}),
    }
    if len(about) == 2:
        answers["split"] = ({about[0]: draw(words)}, {about[1]: draw(words)})
    some = st.sampled_from(removals)
    return check(
        f"k{number}",
        answers,
        seats=(draw(st.sampled_from([Seat.BENCH, Seat.BENCH, Seat.HOIST, Seat.CALL])),),
        after=(draw(some),) if draw(st.integers(0, 2)) == 0 else (),
        before=(draw(some),) if draw(st.integers(0, 4)) == 0 else (),
    )


@st.composite
def books(draw: st.DrawFn, most: int = 7) -> Book:
    """Draw a book of a few conditions whose links may run in circles."""
    ids = [f"c{i}" for i in range(draw(st.integers(2, most)))]
    parts = [f"p{i}" for i in range(draw(st.integers(1, 4)))]
    removals = (
        Removal(id="lid", title="lid off", minutes=4.0),
        Removal(id="core", title="core out", minutes=9.0, after=(Ref("lid"),)),
    )
    # A tree hangs everything on the first origin; more links, in any direction, close loops.
    tree = [(ids[draw(st.integers(max(0, i - 2), i - 1))], ids[i]) for i in range(1, len(ids))]
    pairs = [(a, b) for a in ids for b in ids if a != b and (a, b) not in tree]
    chosen = tree + draw(st.lists(st.sampled_from(pairs), max_size=11 - len(tree), unique=True))
    word = st.sampled_from(list(OFTEN))
    return make_book(
        [draw(_condition(i, ids, parts)) for i in range(len(ids))],
        {pair: draw(word) for pair in chosen},
        [draw(_check(n, ids, ["lid", "core"])) for n in range(len(ids) + draw(st.integers(-1, 3)))],
        removals,
    )


@st.composite
def _truth(draw: st.DrawFn, book: Book) -> set[str]:
    """Draw what is really the matter: some origins, and what they reach over links that fired."""
    present = draw(st.sets(st.sampled_from(list(book.origins)), min_size=1, max_size=2))
    fired = draw(st.sets(st.sampled_from(list(book.links)), min_size=len(book.links) // 2))
    while more := {e for c, e in fired if c in present} - present:
        present |= more
    return present


def true_answer(check: Check, present: set[str]) -> str:
    """Return the answer that shows most of what is present and denies most of what is not."""
    return max(
        check.answers,
        key=lambda word: (
            sum(c in present for c in check.answers[word].shows)
            + sum(c not in present for c in check.answers[word].rules_out)
            - sum(c not in present for c in check.answers[word].shows)
            - sum(c in present for c in check.answers[word].rules_out)
        ),
    )


@st.composite
def findings_of(draw: st.DrawFn, book: Book) -> list[Judged]:
    """Draw answers to the checks of a book: mostly true ones, so that chains come together."""
    present = draw(_truth(book))
    found = []
    for check in book.checks.values():
        words = [str(w) for w in check.answers]
        how = draw(st.sampled_from(["true"] * 8 + ["skip"] * 3 + ["any", "special", "close"]))
        if how == "true":
            found.append(answer_of(check, true_answer(check, present)))
        elif how == "any":
            found.append(answer_of(check, draw(st.sampled_from(words))))
        elif how == "special":
            found.append(answer_of(check, draw(st.sampled_from(SPECIAL))))
        elif how == "close":
            share = 1.0 / len(words)
            found.append(Judged(check.id, "close", tuple((w, share) for w in words)))
    return found


@st.composite
def situations(draw: st.DrawFn, most: int = 7) -> Situation:
    """Draw a book, findings and a place to stand."""
    book = draw(books(most))
    stand = Stand(
        draw(st.sampled_from([Seat.BENCH, Seat.BENCH, Seat.BENCH, Seat.HOIST, Seat.CALL])),
        frozenset(draw(st.lists(st.sampled_from(["lid", "core"]), unique=True))),
    )
    return Situation(book, draw(findings_of(book)), stand)


def held_back(assessment: Assessment) -> list[str]:
    """Return every remedy text that no output may show: it acts on a held part, or mends one.

    Worked out from the book and the set of held parts alone, not from the actions of the gate.
    """
    every = set(assessment.held)
    held = every - covered_parts(assessment)
    texts = []
    for record in assessment.book.conditions.values():
        corrections = unseal(record.origin.corrections) if record.origin else ()
        texts += [a.text for a in corrections if str(a.on or record.part) in every]
        for action in unseal(record.dispositions):
            if held & {str(record.part), str(action.on or record.part)}:
                texts.append(action.text)
    return texts


def covered_parts(assessment: Assessment) -> frozenset[str]:
    """Return the held parts that a covering plan mends: nothing that is live brings it back.

    Worked out from the accounts and what the plan corrects, not from the gate: each damage on the
    part, and all that leads to it and is not explained, must have every live origin corrected, and
    a cause that the book does not know must be no rival.
    """
    corrected = {cid for step in assessment.cover or () for cid in step.corrects}

    def met(cid: str) -> bool:
        account = assessment.accounts[cid]
        listed = [c for c in account.candidates if c.origin]
        other = sum(c.share for c in account.candidates if not c.origin)
        every = all(c.origin in corrected for c in listed)
        return account.named or (bool(listed) and every and other < 0.10)

    return frozenset(
        part
        for part in assessment.held
        if corrected
        and all(
            met(up)
            for cid in assessment.decisions[part].conditions
            for up in assessment.accounts
            if up in _upstream(assessment, cid)
        )
    )


def _upstream(assessment: Assessment, condition: str) -> set[str]:
    """Return what may lead to a condition, itself included, by walking the links."""
    found = {condition}
    while (
        more := {
            cause
            for cause, effect in assessment.book.links
            if effect in found and assessment.statuses[cause] is not Status.RULED_OUT
        }
        - found
    ):
        found |= more
    return found


def price_list(data: st.DataObject, book: Book, *, exchange: bool = True) -> Prices:
    """Draw a price list that knows some of the parts, and an exchange unit if it is to."""
    money = st.floats(0, 900)
    return Prices(
        prices="drawn",
        currency="EUR",
        labour=data.draw(money),
        parts={Ref(p): data.draw(money) for p in book.parts if data.draw(st.booleans())},
        sundries={verb.value: data.draw(money) for verb in (Verb.SHIM, Verb.CLEAN)},
        exchange=Exchange(price=data.draw(money), minutes=100.0) if exchange else None,
    )

"""May it be driven: the four answers, and what makes the advice milder.

The shipped book is asked at random, from fixed seeds; small drawn books by hypothesis.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from draws import draws
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from once import ROOT, build_once, load_once
from strategies import Situation, answer_of, answered, condition, look, make_book, situations

from headwater.book.model import Danger
from headwater.book.records import Book
from headwater.book.spoken import Elsewhere, Emergency
from headwater.book.tables import DRIVE_RANK, LIMP_LIMITS, Drive, Nature, Seat
from headwater.measure.answer import Judged
from headwater.rules.status import Status
from headwater.verdict.assess import Assessment, Reasoner, build_reasoner
from headwater.verdict.drive import is_explained
from headwater.verdict.reach import Stand

PACKS = tuple(ROOT / "knowledge" / name for name in ("damage-modes", "transfer-case"))
FIRE = Emergency(id="fire", title="Fire", now=("Get out.", "Stay away."))
RADIO = Elsewhere(id="radio", title="Radio", tell="That is the radio.", advice=Drive.OK)
ENGINE = Elsewhere(
    id="engine",
    title="Engine",
    tell="That is the engine.",
    advice=Drive.STOP,
    caution="Let it cool.",
)
SERVICE = Elsewhere(id="service", title="Service", tell="Gladly.", advice=Drive.OK, wish=True)

QUICK = (Phase.explicit, Phase.reuse, Phase.generate)
"""Shrinking a drawn book takes minutes: a failure is shown as it was drawn."""


def rank(verdict: Assessment) -> int:
    """Return how strict the advice is."""
    return DRIVE_RANK[verdict.drive.advice]


def with_complaints(drawn: Situation) -> Situation:
    """Return a drawn case in which what is neither origin nor damage is complained of."""
    book = drawn.book
    told = {
        cid: replace(record, kind=Nature.COMPLAINT)
        if record.kind is Nature.STATE and not record.origin
        else record
        for cid, record in book.conditions.items()
    }
    return replace(drawn, book=replace(book, conditions=told))


CASES = situations(5).map(with_complaints)


def is_showing(book: Book, answer: Judged) -> bool:
    """Say whether an answer shows something and speaks against nothing."""
    if answer.special or not answer.settled:
        return False
    meaning = book.checks[answer.check].answers[answer.settled]  # type: ignore[index]
    return bool(meaning.shows) and not meaning.rules_out


def one_by_one(case: Situation) -> list[tuple[Judged, Assessment, Assessment]]:
    """Return each finding with the verdict without it and the one with it."""
    reasoner = build_reasoner(case.book, {})
    found = []
    for answer in case.findings:
        rest = [one for one in case.findings if one is not answer]
        found.append(
            (answer, reasoner.assess(rest, case.stand), reasoner.assess(case.findings, case.stand))
        )
    return found


@given(case=CASES)
@settings(max_examples=draws(60), deadline=None, phases=QUICK)
def test_milder_only_by_an_answer_that_acquits(case: Situation) -> None:
    """Bad news never eases the advice, unless proven origins now explain all that was found.

    The first thing placed does ease *parked because nothing is known*: then something is.
    """
    for answer, before, after in one_by_one(case):
        if is_showing(case.book, answer) and rank(after) < rank(before):
            nothing_placed = not before.accounts
            assert is_explained(after.accounts) or nothing_placed


@given(case=CASES)
@settings(max_examples=draws(60), deadline=None, phases=QUICK)
def test_words_not_understood_never_ease(case: Situation) -> None:
    """With something told that nobody could place it is parked at least, and never milder."""
    reasoner = build_reasoner(case.book, {})
    plain = reasoner.assess(case.findings, case.stand)
    open_words = reasoner.assess(case.findings, replace(case.stand, unplaced=True))
    assert rank(open_words) >= max(rank(plain), DRIVE_RANK[Drive.PARKED])


@given(case=CASES)
@settings(max_examples=60, deadline=None, phases=QUICK)
def test_words_left_aside_hold_milder_advice_back(case: Situation) -> None:
    """With words struck, whatever is answered, it is parked at least till all is explained."""
    reasoner = build_reasoner(case.book, {})
    struck = replace(case.stand, left_aside=True)
    for answers in ([*case.findings[:n]] for n in range(1, len(case.findings) + 1)):
        plain, left = (reasoner.assess(answers, stand) for stand in (case.stand, struck))
        assert rank(left) >= rank(plain)
        if left.accounts and not is_explained(left.accounts):
            assert rank(left) >= DRIVE_RANK[Drive.PARKED]


@given(case=CASES, data=st.data())
@settings(max_examples=draws(40), deadline=None, phases=QUICK)
def test_order_does_not_matter(case: Situation, data: st.DataObject) -> None:
    """Whatever is told first, the advice is the same, word for word."""
    book = replace(case.book, emergencies={"fire": FIRE}, elsewhere={"radio": RADIO})
    reasoner = build_reasoner(book, {})
    shuffled = data.draw(st.permutations(case.findings))
    one = reasoner.assess(case.findings, replace(case.stand, outside=("fire", "radio")))
    other = reasoner.assess(shuffled, replace(case.stand, outside=("radio", "fire")))
    assert one.drive == other.drive
    plain = reasoner.assess(case.findings, case.stand)
    assert plain.drive == reasoner.assess(shuffled, case.stand).drive


@given(case=CASES)
@settings(max_examples=draws(60), deadline=None, phases=QUICK)
def test_ok_is_earned(case: Situation) -> None:
    """OK: something was found, and each danger that is likely now is found away or comes of none.

    The oracle is the plain posterior; that complaints alone make more of a danger is not in it.
    """
    verdict = build_reasoner(case.book, {}).assess(case.findings, case.stand)
    if verdict.drive.advice is not Drive.OK:
        return
    assert verdict.accounts
    if is_explained(verdict.accounts):
        return
    nothing = build_reasoner(case.book, {}).assess([], case.stand).present
    for cid, record in case.book.conditions.items():
        if record.danger and verdict.statuses[cid] is not Status.RULED_OUT:
            chance = verdict.present[cid]
            assert chance < 0.05 or chance < 1.51 * nothing[cid] or record.kind is Nature.COMPLAINT


@given(case=situations(5))
@settings(max_examples=draws(30), deadline=None, phases=QUICK)
def test_nothing_answered_is_parked(case: Situation) -> None:
    """Neither nobody asked nor 'don't know' to everything is a reason to drive."""
    reasoner = build_reasoner(case.book, {})
    unsure = [answer_of(check, "dont-know") for check in case.book.checks.values()]
    for told in ([], unsure):
        assert reasoner.assess(told, case.stand).drive.advice is Drive.PARKED


@pytest.fixture(scope="module")
def shipped() -> Reasoner:
    """The shipped book for a transfer case of which nothing else is known."""
    book = load_once(PACKS)
    return build_once(book, dict(book.assumed))


def drawn_answers(book: Book, seed: int) -> list[Judged]:
    """Return a complaint and up to three other answers of the call, drawn from a seed."""
    random = Random(seed)
    asked = [c for c in book.checks.values() if Seat.CALL in c.seats and not c.reading]
    complaints = [
        answer_of(check, str(word))
        for check in asked
        for word, answer in check.answers.items()
        for cid, sureness in answer.shows.items()
        if sureness.decisive and book.conditions[cid].kind is Nature.COMPLAINT
    ]
    first = random.choice(complaints)
    others = random.sample([c for c in asked if c.id != first.check], random.randint(0, 3))
    return [first, *(answer_of(c, random.choice([str(w) for w in c.answers])) for c in others)]


@pytest.mark.parametrize("seed", range(12))
def test_the_shipped_book_errs_on_the_safe_side(shipped: Reasoner, seed: int) -> None:
    """The same on the shipped book: words left over, the order, and bad news."""
    told = drawn_answers(shipped.book, seed)
    stand = Stand(Seat.CALL)
    verdict = shipped.assess(told, stand)
    open_words = shipped.assess(told, replace(stand, unplaced=True))
    assert rank(open_words) >= max(rank(verdict), DRIVE_RANK[Drive.PARKED])
    assert shipped.assess(told[::-1], stand).drive == verdict.drive
    for number, answer in enumerate(told):
        if is_showing(shipped.book, answer):
            rest = shipped.assess(told[:number] + told[number + 1 :], stand)
            assert rank(verdict) >= rank(rest) or not rest.accounts, answer
    assert verdict.drive.advice is not Drive.OK or len(told) > 1


def danger(advice: Drive, **more: str) -> Danger:
    """Return a danger."""
    return Danger(advice=advice, because="it may seize", **more)  # type: ignore[arg-type]


@pytest.fixture
def small() -> Book:
    """Two origins of a complaint, one of them dangerous; a check for each."""
    book = make_book(
        [
            condition("worn", origin=True, common="common"),
            replace(condition("dry", origin=True, common="common"), danger=danger(Drive.STOP)),
            condition("noise", kind=Nature.COMPLAINT),
        ],
        {("worn", "noise"): "usually", ("dry", "noise"): "usually"},
        [look(c, seats=(Seat.CALL,)) for c in ("worn", "dry", "noise")],
    )
    outside = {trouble.id: trouble for trouble in (RADIO, ENGINE, SERVICE)}
    return replace(book, emergencies={"fire": FIRE}, elsewhere=outside)


def advised(book: Book, *outside: str, unplaced: bool = False, **answers: str) -> Assessment:
    """Return what answers and words come to, on the phone."""
    stand = Stand(Seat.CALL, outside=outside, unplaced=unplaced)
    return build_reasoner(book, {}).assess(answered(book, **answers), stand)


def test_the_four_answers(small: Book) -> None:
    """Nothing known, a danger found, one that is likely, one that an answer acquits."""
    assert advised(small).drive.advice is Drive.PARKED
    assert advised(small, look_noise="no").drive.advice is Drive.PARKED
    assert advised(small, look_dry="yes", look_noise="yes").drive.advice is Drive.STOP
    assert advised(small, look_noise="yes").drive.advice is Drive.STOP
    assert advised(small, look_noise="yes", look_dry="no").drive.advice is Drive.OK


def test_one_trouble_does_not_talk_another_away(small: Book) -> None:
    """The worn part explains the noise, told by one person: it may be dry all the same."""
    both = advised(small, look_noise="yes", look_worn="yes")
    assert not is_explained(both.accounts) or both.drive.advice is Drive.OK
    weak = make_book(
        list(small.conditions.values()),
        dict.fromkeys(small.links, "usually"),
        [look("worn", "strong", (Seat.CALL,)), look("noise", seats=(Seat.CALL,))],
    )
    alone, more = advised(weak, look_noise="yes"), advised(weak, look_noise="yes", look_worn="yes")
    assert more.present["dry"] < alone.present["dry"], "belief does explain it away"
    assert rank(more) == rank(alone)


def test_limits_are_those_of_the_danger(small: Book) -> None:
    """While it is only possible, a danger's own limits are told; else those of all."""
    rarer = dict(small.conditions)
    for limits, expected in (("", LIMP_LIMITS), ("to the gate", "to the gate")):
        dry = replace(small.conditions["dry"], danger=danger(Drive.STOP, limits=limits))
        rarer["dry"] = replace(dry, origin=condition("x", origin=True, common="occasional").origin)
        told = advised(replace(small, conditions=rarer), look_noise="yes").drive
        assert (told.advice, told.limits, told.sure) == (Drive.LIMP, expected, False)


def test_what_is_outside_the_driveline_keeps_its_caution(small: Book) -> None:
    """The radio may be driven, the engine stops, a fire comes first, a wish is something told."""
    assert advised(small, "radio").drive.because == RADIO.tell
    assert advised(small, "radio").drive.advice is Drive.OK
    assert advised(small, "service").drive.advice is Drive.OK
    engine = advised(small, "radio", "engine", look_noise="yes", look_dry="no").drive
    assert (engine.advice, engine.now) == (Drive.STOP, (ENGINE.caution,))
    fire = advised(small, "engine", "fire").drive
    assert (fire.advice, fire.outside, fire.now) == (Drive.STOP, "fire", FIRE.now)
    assert advised(small, "service", unplaced=True).drive.advice is Drive.PARKED


def test_a_sign_of_danger_goes_once_its_cause_is_proven(small: Book) -> None:
    """'It may be a bearing' is no alarm beside a proven dowel; a danger found stays one."""
    noise = small.conditions["noise"]
    sign = replace(danger(Drive.STOP), until_explained=True)
    for told, left in ((sign, Drive.OK), (danger(Drive.STOP), Drive.STOP)):
        book = replace(small, conditions={**small.conditions, "noise": replace(noise, danger=told)})
        checks = {**book.checks, "again": replace(look("worn", name="again"), id="again")}
        book = replace(book, checks=checks)
        stand = Stand(Seat.BENCH)
        found = answered(book, look_noise="yes", look_worn="yes", again="yes", look_dry="no")
        verdict = build_reasoner(book, {}).assess(found, stand)
        assert is_explained(verdict.accounts)
        assert verdict.drive.advice is left


def test_unlikely_for_want_of_answers_is_not_ok(small: Book) -> None:
    """At 3 % a danger that the words have raised still wants an answer on it, a weak one too."""
    rare = condition("x", origin=True, common="rare").origin
    conditions = {**small.conditions, "dry": replace(small.conditions["dry"], origin=rare)}
    links = {("worn", "noise"): "always", ("dry", "noise"): "sometimes"}
    checks = [look("noise", seats=(Seat.CALL,)), look("dry", "weak", (Seat.CALL,))]
    book = make_book(list(conditions.values()), links, checks)
    told = advised(book, look_noise="yes")
    assert 0.02 < told.present["dry"] < 0.05
    assert (told.drive.advice, told.drive.condition) == (Drive.LIMP, "dry")
    assert advised(book, look_noise="yes", look_dry="no").drive.advice is Drive.OK

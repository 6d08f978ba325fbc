"""Attacks on the gate: random books with loops, random findings, random places to stand.

What a verdict owes is worked out here from statuses and book, by other means than the gate's own.
Each property is a function of a verdict; one drawn situation meets all properties of a group, and
each that breaks is reported with its own smallest situation.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from random import Random

from belief.brute import led_to
from hypothesis import given, settings
from hypothesis import strategies as st
from occasions import actions_on, every_form, records
from sessions import as_session, contract, screen
from strategies import (
    Situation,
    answer_of,
    answered,
    condition,
    covered_parts,
    held_back,
    look,
    make_book,
    situations,
)

from headwater.belief.gain import answers_of, gains
from headwater.belief.particles import draw_particles, split_by_cause
from headwater.belief.worlds import Root
from headwater.book.model import Check
from headwater.book.seal import unseal
from headwater.book.tables import (
    CANNOT_CHECK,
    DONT_KNOW,
    GONE,
    VERB_RANK,
    Drive,
    Nature,
    Seat,
    Verb,
)
from headwater.rules.status import Status
from headwater.session.ask import next_checks
from headwater.verdict.assess import Assessment, build_reasoner
from headwater.verdict.ending import Ending
from headwater.verdict.naming import TELLS_FROM, Naming
from headwater.verdict.plan import Step, stage_of
from headwater.verdict.reach import Stand
from headwater.view.case import STANDING_CAUTION

attack = settings(max_examples=250, print_blob=False)
twice = settings(max_examples=120, print_blob=False)  # judges each situation a second time
LATER_SEATS = {
    Seat.CALL: {Seat.CALL, Seat.HOIST, Seat.BENCH},
    Seat.HOIST: {Seat.CALL, Seat.HOIST, Seat.BENCH},
    Seat.BENCH: {Seat.CALL, Seat.BENCH},
}


def assess(case: Situation) -> Assessment:
    return build_reasoner(case.book, {}).assess(case.findings, case.stand)


def damage_on(a: Assessment, part: str, *statuses: Status) -> list[str]:
    return [
        cid
        for cid, record in a.book.conditions.items()
        if record.kind is Nature.DAMAGE and record.part == part and a.statuses[cid] in statuses
    ]


def can_still_be_made(a: Assessment, check: Check) -> bool:
    in_time = not set(check.before) & a.stand.removed
    return in_time and bool(set(check.seats) & LATER_SEATS[a.stand.seat])


def decides(check: Check, cid: str) -> bool:
    return any(
        word.decisive
        for answer in check.answers.values()
        for told in (answer.shows, answer.rules_out)
        for about, word in told.items()
        if about == cid
    )


def speaks_of(check: Check, cid: str) -> bool:
    return any(cid in {*answer.shows, *answer.rules_out} for answer in check.answers.values())


def out_of_sight(a: Assessment, cid: str) -> bool:
    """Every check that could decide it was answered 'gone', or cannot be made any more."""
    for check in a.book.checks.values():
        if not decides(check, cid):
            continue
        given = a.stand.answered.get(check.id)
        if given is not None and given.special == GONE:
            continue
        if given is not None and given.special is None:
            return False
        if can_still_be_made(a, check):
            return False
    return True


def walks(a: Assessment, origin: str, found: str) -> Iterator[tuple[str, ...]]:
    """Yield every path without a repeat over conditions that are not ruled out."""
    trail: list[tuple[str, ...]] = [(origin,)]
    while trail:
        path = trail.pop()
        if path[-1] == found:
            yield path
            continue
        for cause, effect in a.book.links:
            new = effect not in path and a.statuses[effect] is not Status.RULED_OUT
            if cause == path[-1] and new:
                trail.append((*path, effect))


def is_proof(a: Assessment, path: tuple[str, ...]) -> bool:
    if a.statuses[path[0]] is not Status.CONFIRMED:
        return False
    return all(
        a.statuses[cid] is Status.CONFIRMED
        or (a.statuses[cid] not in (Status.RULED_OUT, Status.DISPUTED) and out_of_sight(a, cid))
        for cid in path
    )


def upstream_origins(a: Assessment, cid: str) -> set[str]:
    return {
        o
        for o in a.book.origins
        if o != cid and a.statuses[o] is not Status.RULED_OUT and any(walks(a, o, cid))
    }


def is_probable(a: Assessment, origin: str, found: str) -> bool:
    """Say so from the shares, and from what each check left on the way would tell by itself.

    The program counts most shares in drawn worlds; here every world is added up.
    """
    network, factors = a.posterior.worlds.network, a.posterior.factors
    shares = {
        root.condition: led_to(network, factors, found, [root])
        for root in a.posterior.explains(found)
        if not root.unlisted and a.statuses[root.condition] is not Status.RULED_OUT
    }
    unlisted = 1.0 - led_to(network, factors, found)
    rivals = [share for cid, share in shares.items() if cid != origin] + [unlisted]
    if shares[origin] < 0.90 or any(share >= 0.10 for share in rivals):
        return False
    between = {
        cid
        for cause, share in shares.items()
        if share >= 0.01
        for path in walks(a, cause, found)
        for cid in path
    }
    open_ones = [c for c in between if a.statuses[c] not in (Status.CONFIRMED, Status.RULED_OUT)]
    causes = split_by_cause(draw_particles(a.posterior), [found])
    return not any(
        check.id not in a.stand.answered
        and can_still_be_made(a, check)
        and gains(causes, answers_of(causes, [check]))[check.id] >= TELLS_FROM
        for check in a.book.checks.values()
        if any(speaks_of(check, cid) for cid in open_ones)
    )


def nothing_is_released_without_a_named_origin_for_every_damage(a: Assessment) -> None:
    for part, decision in a.decisions.items():
        if not decision.released:
            assert decision.action is None
            assert decision.because
            continue
        assert not damage_on(a, part, Status.DISPUTED)
        for cid in damage_on(a, part, Status.CONFIRMED):
            named = [c for c in a.accounts[cid].chains if c.naming is not Naming.OPEN]
            assert named
            for chain in named:
                assert chain.origin in a.book.origins
                assert chain.found == cid


def every_damaged_part_is_decided_on(a: Assessment) -> None:
    for part in a.book.parts:
        if damage_on(a, part, Status.CONFIRMED, Status.DISPUTED):
            assert part in a.decisions


def proven_only_along_what_is_confirmed_or_out_of_sight(a: Assessment) -> None:
    for account in a.accounts.values():
        for chain in account.chains:
            links = list(itertools.pairwise(chain.path))
            assert all(ends in a.book.links for ends in links)
            if chain.naming is Naming.PROVEN:
                assert is_proof(a, chain.path)
                assert not upstream_origins(a, chain.origin)
            else:
                assert chain.naming is Naming.PROBABLE
                assert is_probable(a, chain.origin, account.condition)
                assert all(a.statuses[c] is not Status.DISPUTED for c in chain.path)


def whatever_can_be_proven_is(a: Assessment) -> None:
    """The other way round: the gate holds nothing back that the findings prove."""
    for cid, account in a.accounts.items():
        proving = {
            origin
            for origin in a.book.origins
            if a.statuses[origin] is Status.CONFIRMED
            and not upstream_origins(a, origin)
            and any(is_proof(a, path) for path in walks(a, origin, cid))
        }
        assert {c.origin for c in account.chains if c.naming is Naming.PROVEN} == proving


def a_part_waits_for_what_its_chain_passes(a: Assessment) -> None:
    held = set(a.held)
    for part, decision in a.decisions.items():
        for cid in damage_on(a, part, Status.CONFIRMED) if decision.released else ():
            for chain in a.accounts[cid].chains:
                record = a.book.conditions[chain.origin]
                assert record.origin is not None
                offered = [
                    c
                    for c in unseal(record.origin.corrections)
                    if all(a.statuses[u] is not Status.CONFIRMED for u in c.unless)
                ]
                if offered:
                    assert str(offered[0].on or record.part) not in held - {part}
                else:  # withdrawn: what was found instead is named, and mended elsewhere
                    worse = {str(u) for c in unseal(record.origin.corrections) for u in c.unless}
                    assert any(w in a.accounts and a.accounts[w].named for w in worse)
                for passed in chain.path:
                    spot = a.book.conditions[passed]
                    if passed in damage_on(a, str(spot.part), Status.CONFIRMED, Status.DISPUTED):
                        assert spot.part not in held - {part}


def no_output_tells_a_remedy_of_a_held_part(a: Assessment) -> None:
    """Walks the table of outputs: one that is added is attacked here without being named."""
    secret, held = held_back(a), frozenset(a.held) - covered_parts(a)
    for name, text in every_form(a) if secret else ():
        for words in secret:
            assert words not in text, name
    verbs = "|".join(verb.value for verb in Verb)
    parts = "|".join(re.escape(a.book.parts[part].title) for part in held)
    acts = re.compile(rf"\b({parts})\W+({verbs})\b")
    for name, text in every_form(a) if held else ():
        assert not acts.search(text), name
    for name, data in records(a) if held else ():
        assert list(actions_on(data, held)) == [], name


def no_plan_names_an_action_on_a_held_part(a: Assessment) -> None:
    held = set(a.held)
    data = contract(as_session(a))
    for step in [*a.plan, *(a.cover or ())]:
        within = step in (a.cover or ()) and step.on in covered_parts(a)
        assert step.on not in held or step.action is None or within
        assert step.action is not None or step.on in held
        assert step.action is not None or not (step.fitting or step.cautions or step.minutes)
    for row in data["parts"]:
        assert (row["disposition"] == "held") == (row["part"] in held)
        assert row["disposition"] == "released" or row["action"] is None
    for row in data["plan"]:
        assert row["on"] not in held or row["action"] is None
    for row in data["cover"]:
        assert row["on"] not in held - covered_parts(a)
    texts = screen("verdict", as_session(a)).splitlines()
    for part in held - covered_parts(a):
        title = a.book.parts[part].title
        about = [t for t in texts if f"{title}: " in t]
        assert about
        assert not any(f"{title}: {verb}." in t for t in about for verb in Verb)


def the_plan_works_from_origins_down_and_touches_each_part_once(a: Assessment) -> None:
    assert each_part_once(a, a.plan)
    acting = {part for part, d in a.decisions.items() if d.released and d.action is not None}
    strong: dict[str, Verb] = {}
    for step in a.plan:
        if step.action is not None:
            before = strong.get(step.on, Verb.REUSE)
            strong[step.on] = max(before, step.action, key=VERB_RANK.__getitem__)
    for part in acting:
        assert part in strong
        told = a.decisions[part].action
        done = strong[part]
        assert told is not None
        assert done is not None
        assert VERB_RANK[done] >= VERB_RANK[told]


def undetermined_ends_with_a_cover_of_every_live_candidate_or_none(a: Assessment) -> None:
    if a.ending is not Ending.UNDETERMINED:
        assert a.cover is None
        return
    live = {
        c.origin
        for cid in a.unexplained
        for c in a.accounts[cid].candidates
        if c.origin and c.share >= 0.01
    }
    if a.cover is None:
        return
    corrected = {cid for step in a.cover for cid in step.corrects}
    assert corrected >= live
    damage = corrected - live
    parts = {str(a.book.conditions[cid].part) for cid in damage}
    assert parts <= covered_parts(a), "a cover holds no part whose damage may come back"
    for step in a.cover:
        assert step.action is not None
        for cid in live.intersection(step.corrects):
            record = a.book.conditions[cid]
            assert record.origin is not None
            own = [
                c for c in unseal(record.origin.corrections) if str(c.on or record.part) == step.on
            ]
            renewed = {Verb.REPLACE, Verb.SCRAP}
            within = step.action in renewed and (
                record.kind is Nature.DAMAGE or any(c.action in renewed for c in own)
            )
            assert own
            assert within or any(c.text in step.text for c in own)
    assert each_part_once(a, a.cover)


def each_part_once(a: Assessment, steps: list[Step]) -> bool:
    """Say whether each part is worked on once, but for oil: let out, looked at, filled."""
    touched = [(step.on, stage_of(a.book, step)) for step in steps]
    return len(touched) == len(set(touched))


@twice
@given(situations(), st.randoms(use_true_random=False))
def test_the_order_of_findings_is_nothing(case: Situation, random: Random) -> None:
    reasoner = build_reasoner(case.book, {})
    shuffled = list(case.findings)
    random.shuffle(shuffled)
    one = contract(as_session(reasoner.assess(case.findings, case.stand)))
    two = contract(as_session(reasoner.assess(shuffled, case.stand)))
    for data in (one, two):
        data["findings"].sort(key=lambda row: row["check"])
        for row in data["findings"]:
            del row["number"]
    assert one == two


def not_knowing(case: Situation, asked: str, word: str) -> tuple[Assessment, Assessment]:
    """Check what not knowing one thing more may change, and return the verdicts round it."""
    reasoner, checks = build_reasoner(case.book, {}), case.book.checks
    before = reasoner.assess(case.findings, case.stand)
    after = reasoner.assess([*case.findings, answer_of(checks[asked], word)], case.stand)
    assert after.statuses == before.statuses
    assert after.derivation == before.derivation
    assert after.posterior.marginals == before.posterior.marginals
    assert after.disputed == before.disputed
    assert after.drive == before.drive
    assert asked not in {item.check for item in next_checks(after)}
    for cid, account in before.accounts.items():
        now = after.accounts[cid]
        proven = [c for c in account.chains if c.naming is Naming.PROVEN]
        assert [c for c in now.chains if c.naming is Naming.PROVEN] == proven
        assert now.candidates == account.candidates
        # A road that only the asked check could prove is closed, or leads another way.
        moved = {c for road in {*account.roads} ^ {*now.roads} for c in road.left}
        lost_or_new = ({*account.at_hand} - {asked}) ^ {*now.at_hand}
        assert all(any(c in checks[k].decides() for c in moved) for k in lost_or_new)
        left_to_see = {c for road in account.roads for c in road.left}
        assert not moved or any(c in checks[asked].decides() for c in left_to_see)
    if before.ending in (Ending.SETTLED, Ending.SOUND) or not before.accounts:
        assert after.ending is before.ending
    return before, after


@twice
@given(situations(), st.sampled_from([DONT_KNOW, CANNOT_CHECK]), st.data())
def test_not_knowing_changes_nothing_but_what_is_asked(
    case: Situation, word: str, data: st.DataObject
) -> None:
    done = {judged.check for judged in case.findings}
    left = [c for c in case.book.checks if c not in done]
    if left:
        not_knowing(case, data.draw(st.sampled_from(left)), word)


def test_not_knowing_closes_the_road_that_it_alone_could_prove() -> None:
    """c5 makes c0 by way of c3: with c3 not to be told, looking at c5 proves nothing any more."""
    ids = [f"c{i}" for i in range(7)]
    ends = [(0, 1), (0, 2), (1, 3), (3, 4), (3, 5), (4, 6), (0, 3), (4, 0), (5, 1)]
    book = make_book(
        [condition(c, origin=c != "c1", kind=Nature.STATE, common="common") for c in ids],
        {(f"c{a}", f"c{b}"): "always" for a, b in ends},
        [look(c) for c in ("c0", "c1", "c2", "c3", "c5")],
    )
    found = answered(book, look_c0="yes", look_c1="yes", look_c2="yes")
    before, after = not_knowing(Situation(book, found, Stand()), "look-c3", DONT_KNOW)
    assert "look-c5" in before.accounts["c0"].at_hand
    assert "look-c5" not in after.accounts["c0"].at_hand


def safety_advice_is_never_held_back(a: Assessment) -> None:
    advice = a.drive
    found = [
        record.danger.advice
        for cid, record in a.book.conditions.items()
        if record.danger and a.statuses[cid] in (Status.CONFIRMED, Status.DISPUTED)
    ]
    if Drive.STOP in found:
        assert advice.advice is Drive.STOP
        assert advice.sure
    if found:
        assert advice.advice is not Drive.OK
    data = contract(as_session(a))
    assert data["drive"]["advice"] == advice.advice.value
    assert data["drive"]["because"]
    assert data["cautions"][-1] == STANDING_CAUTION
    texts = screen("verdict", as_session(a))
    words = {"stop": "Do not drive.", "limp": "Drive only with care.", "ok": "No reason is known"}
    assert words[advice.advice.value] in texts
    acting = [s for s in [*a.plan, *(a.cover or ())] if s.cautions]
    assert not acting or "take care" in data["cautions"]


def the_outcome_says_what_the_decisions_say(a: Assessment) -> None:
    if a.ending is Ending.SETTLED:
        assert a.accounts
        assert not a.held
        assert not a.unexplained
        assert not a.disputed
    if a.ending is Ending.SOUND:
        assert not a.accounts
        assert not a.decisions
        told = [j for j in a.stand.answered.values() if not j.special]
        assert told, "nothing was found out, so nothing can be called sound"
        for judged in told:
            answers = a.book.checks[judged.check].answers
            for word in (w for w in answers if w in dict(judged.shares)):
                assert all(a.statuses[c] is Status.RULED_OUT for c in answers[word].shows)
    if a.ending is Ending.UNDETERMINED:
        assert not any(account.at_hand for account in a.accounts.values() if not account.named)
    if a.disputed:
        assert a.ending is Ending.OPEN


def a_source_is_credited_only_with_what_it_reaches(a: Assessment) -> None:
    for cid in a.accounts:
        for source, share in a.posterior.explains(cid).items():
            assert isinstance(source, Root)
            assert -1e-9 <= share <= 1.0 + 1e-9


DECIDED = (
    nothing_is_released_without_a_named_origin_for_every_damage,
    every_damaged_part_is_decided_on,
    proven_only_along_what_is_confirmed_or_out_of_sight,
    whatever_can_be_proven_is,
    a_part_waits_for_what_its_chain_passes,
    the_outcome_says_what_the_decisions_say,
    a_source_is_credited_only_with_what_it_reaches,
)
TOLD = (
    no_output_tells_a_remedy_of_a_held_part,
    no_plan_names_an_action_on_a_held_part,
    the_plan_works_from_origins_down_and_touches_each_part_once,
    undetermined_ends_with_a_cover_of_every_live_candidate_or_none,
    safety_advice_is_never_held_back,
)


@attack
@given(situations())
def test_what_is_named_and_decided(case: Situation) -> None:
    a = assess(case)
    for holds in DECIDED:
        holds(a)


@attack
@given(situations())
def test_what_is_planned_and_told(case: Situation) -> None:
    a = assess(case)
    for holds in TOLD:
        holds(a)

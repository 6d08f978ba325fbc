"""Attacks on the gate: random books with loops, random findings, random places to stand.

What a verdict owes is worked out here from statuses and book, by other means than the gate's own.
Each property is a function of a verdict; one drawn situation meets all properties of a group, and
each that breaks is reported with its own smallest situation.
"""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from random import Random

import pytest
from belief.brute import Doing, World
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
from headwater.book.model import Action, Check
from headwater.book.seal import unseal
from headwater.book.tables import (
    CANNOT_CHECK,
    DONT_KNOW,
    GONE,
    RENEWED,
    VERB_RANK,
    Drive,
    Nature,
    Seat,
    Verb,
)
from headwater.rules.evidence import weigh
from headwater.rules.status import Status
from headwater.session.ask import next_checks
from headwater.verdict.account import Naming
from headwater.verdict.assess import Assessment, build_reasoner
from headwater.verdict.ending import Ending
from headwater.verdict.naming import TELLS_FROM, TELLS_NAMED_FROM
from headwater.verdict.plan import Step, stage_of
from headwater.verdict.reach import Stand
from headwater.view.advice import BENCH, MARKS, SHOP
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


def is_used_up(a: Assessment, check: Check) -> bool:
    """It was told, or is gone: said so, or out of reach by now. Not knowing uses nothing up."""
    given = a.stand.answered.get(check.id)
    if given is not None and given.special in (None, GONE):
        return True
    return not can_still_be_made(a, check)


def cannot_be_repeated(a: Assessment) -> set[str]:
    """Return the checks that were put twice in vain, or cannot be made any more."""
    vain = Counter(judged.check for judged in a.findings if judged.special is not None)
    put = {judged.check for judged in a.findings}
    return {c for c in put if vain[c] > 1 or not can_still_be_made(a, a.book.checks[c])}


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
    """Everything on the way that any check of the book can see is confirmed, gone or not."""
    return a.statuses[path[0]] is Status.CONFIRMED and all(
        a.statuses[cid] is Status.CONFIRMED
        or (
            a.statuses[cid] not in (Status.RULED_OUT, Status.DISPUTED)
            and not any(decides(check, cid) for check in a.book.checks.values())
        )
        for cid in path
    )


NOISE = 0.01
"""What the program may be off: it counts most shares in drawn worlds, and takes them cautiously."""
CLEAR = 0.05
"""From how far off each line the program must come to the same as the worlds added up."""


class Causes:
    """Whose doing each finding of a case is, by every world added up, as found or one act less."""

    def __init__(self, a: Assessment) -> None:
        """Walk the worlds of a case once."""
        self.a = a
        self.factors = a.evidence.factors
        told = self.factors
        world = World(a.reasoner.worlds.network, [c for c in told if told[c][0] > told[c][1]])
        self.world, self.doing = world, world.given(told)

    def shares(self, condition: str) -> dict[str, float]:
        """Return the share of each origin that is not ruled out."""
        live = [o for o in self.a.book.origins if self.a.statuses[o] is not Status.RULED_OUT]
        return {origin: self.doing.share([origin], condition) for origin in live}

    def is_reached(self, named: set[str], condition: str, slack: float) -> bool:
        """Say whether a finding is reached from some origins, and no live one beside them stands.

        `slack` moves both lines in favour of the origins.
        """
        beside = {o: p for o, p in self.shares(condition).items() if o not in named}
        found = {o for o in beside if self.a.statuses[o] is Status.CONFIRMED}
        led_to = {o for o in found if self.doing.share(named, o) >= 0.90 - slack}
        rivals = [p for o, p in beside.items() if o not in led_to]
        together = self.doing.share(named, condition)
        return together >= 0.90 - slack and all(p < 0.10 + slack for p in rivals)

    def began_there(self, named: Sequence[str]) -> tuple[set[str], bool]:
        """Return origins without those that the others led to, and whether that is near a line."""
        kept, near = list(named), False
        for origin in named:
            others = {o for o in kept if o != origin}
            share = self.doing.share(others, origin) if others else 0.0
            near = near or abs(share - 0.90) < CLEAR
            if share >= 0.90:
                kept.remove(origin)
        return set(kept), near

    def without_any_act(self, named: set[str], condition: str) -> float:
        """Return the least share of some origins with one act taken away, whichever.

        What the act says of the finding itself stays, unless the finding is the origin.
        """
        least = 1.0
        for checks in acts_of(self.a).values():
            kept = [j for j in self.a.findings if j.check not in checks]
            rest = dict(weigh(self.a.book, kept, cannot_be_repeated(self.a)).factors)
            if condition not in named and condition in self.factors:
                rest[condition] = self.factors[condition]
            least = min(least, self.world_of(rest).share(named, condition))
        return least

    def world_of(self, factors: Mapping[str, tuple[float, float]]) -> Doing:
        """Return the same by other findings; what they newly speak for is walked anew."""
        known = {c for c, (there, absent) in self.factors.items() if there > absent}
        new = {c for c, (there, absent) in factors.items() if there > absent} - known
        if not new:
            return self.world.given(factors)
        return World(self.a.reasoner.worlds.network, sorted(known | new)).given(factors)


def acts_of(a: Assessment) -> dict[str, set[str]]:
    """Return the checks of each act: by itself, by its shared word, or the owner's word."""
    found: dict[str, set[str]] = {}
    for judged in a.findings:
        check = a.book.checks[judged.check]
        owner = judged.seat is Seat.CALL or set(check.seats) == {Seat.CALL}
        found.setdefault("owner" if owner else check.act or check.id, set()).add(check.id)
    return found


def looks_left(
    a: Assessment, condition: str, named: set[str], shares: dict[str, float]
) -> set[str]:
    """Return the checks left on the ways to a finding that would tell whose doing it is."""
    between = {
        cid
        for cause, share in shares.items()
        if share >= 0.01
        for path in walks(a, cause, condition)
        for cid in path
    }
    open_ones = [c for c in between if a.statuses[c] not in (Status.CONFIRMED, Status.RULED_OUT)]
    seen = all(a.statuses[origin] is Status.CONFIRMED for origin in named)
    line = TELLS_NAMED_FROM if seen else TELLS_FROM
    causes = split_by_cause(draw_particles(a.posterior), [condition])
    return {
        check.id
        for check in a.book.checks.values()
        if any(speaks_of(check, cid) for cid in open_ones)
        and not is_used_up(a, check)
        and gains(causes, answers_of(causes, [check]))[check.id] >= line
    }


FREE = {Verb.REUSE, Verb.ADVISE, Verb.INSPECT, Verb.CLEAN}
"""Actions that need no named origin."""


def nothing_is_released_without_a_named_origin_for_every_damage(a: Assessment) -> None:
    """But what is only put back, looked at, washed or told of; and what the job uses up anyway."""
    for part, decision in a.decisions.items():
        if decision.renewed:
            assert not decision.released
            assert is_used_up_by_the_job(a, part)
            assert {m.action.action for m in decision.mendings if m.action} <= set(RENEWED)
            continue
        if not decision.released:
            assert decision.action is None
            assert decision.because
            continue
        assert not damage_on(a, part, Status.DISPUTED)
        for cid in damage_on(a, part, Status.CONFIRMED):
            named = [c for c in a.accounts[cid].chains if c.naming is not Naming.OPEN]
            assert named or {action.action for action in offered(a, cid)} <= FREE
            for chain in named:
                assert chain.origin in a.book.origins
                assert chain.found == cid


def is_used_up_by_the_job(a: Assessment, part: str) -> bool:
    off = [a.book.removals[removal] for removal in a.stand.removed]
    return a.book.parts[part].renewed is not None and any(part in r.consumes for r in off)


def offered(a: Assessment, cid: str) -> list[Action]:
    """Return what the book says of mending a condition, `unless` respected."""
    record = a.book.conditions[cid]
    own = unseal(record.origin.corrections if record.origin else record.dispositions)
    return [
        action
        for action in own
        if all(a.statuses[str(c)] is not Status.CONFIRMED for c in action.unless)
    ]


def every_damaged_part_is_decided_on(a: Assessment) -> None:
    for part in a.book.parts:
        if damage_on(a, part, Status.CONFIRMED, Status.DISPUTED):
            assert part in a.decisions


def what_is_named_is_so_by_every_world(a: Assessment) -> None:
    """Reached from the named, no rival; proven: each way seen, and not by one act alone."""
    named_at_all = {cid: acc.chains for cid, acc in a.accounts.items() if acc.chains}
    causes = Causes(a) if named_at_all else None
    for cid, chains in named_at_all.items():
        assert causes is not None
        named = {chain.origin for chain in chains}
        assert len({chain.naming for chain in chains}) == 1, "all of them, or none"
        assert len(named) == len(chains)
        sign = a.book.conditions[cid].kind is not Nature.DAMAGE
        if sign and chains[0].naming is Naming.PROBABLE:  # it holds no part: what is named will do
            assert causes.doing.share(named, cid) >= 0.90 - NOISE
            continue
        assert causes.is_reached(named, cid, NOISE)
        for chain in chains:
            assert all(ends in a.book.links for ends in itertools.pairwise(chain.path))
            assert all(a.statuses[c] is not Status.DISPUTED for c in chain.path)
        if chains[0].naming is Naming.PROVEN:
            assert all(is_proof(a, chain.path) for chain in chains)
            assert causes.without_any_act(named, cid) >= 0.50 - NOISE
        else:
            assert chains[0].naming is Naming.PROBABLE
            assert causes.doing.share([None], cid) < 0.10 + NOISE
            assert not looks_left(a, cid, named, causes.shares(cid))


def whatever_is_clear_by_every_world_is_proven(a: Assessment) -> None:
    """The other way round: the gate holds nothing back that the findings prove beyond doubt."""
    seen = {o for o in a.book.origins if a.statuses[o] is Status.CONFIRMED}
    ways = {
        cid: {o for o in seen if any(is_proof(a, path) for path in walks(a, o, cid))}
        for cid in a.accounts
    }
    if not any(ways.values()):
        return
    causes = Causes(a)
    for cid, account in a.accounts.items():
        shares = causes.shares(cid)
        seen_here = sorted((o for o in seen if shares[o] >= 0.10), key=lambda o: (-shares[o], o))
        named, near = causes.began_there(seen_here)
        doubtful = near or any(0.10 - CLEAR < p < 0.10 + CLEAR for p in shares.values())
        if doubtful or not named or not named <= ways[cid]:
            continue
        if not causes.is_reached(named, cid, -CLEAR):
            continue
        if causes.without_any_act(named, cid) >= 0.50 + CLEAR:
            proven = {c.origin for c in account.chains if c.naming is Naming.PROVEN}
            assert proven == named


def a_part_waits_for_what_its_chain_passes(a: Assessment) -> None:
    held = set(a.held)
    for part, decision in a.decisions.items():
        for cid in damage_on(a, part, Status.CONFIRMED) if decision.released else ():
            if {action.action for action in offered(a, cid)} <= FREE:
                continue
            for chain in a.accounts[cid].chains:
                record = a.book.conditions[chain.origin]
                assert record.origin is not None
                usual = [
                    c
                    for c in unseal(record.origin.corrections)
                    if all(a.statuses[u] is not Status.CONFIRMED for u in c.unless)
                ]
                if usual:
                    assert str(usual[0].on or record.part) not in held - {part}
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
    if not a.ending.covers:
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


def one_more(case: Situation, asked: str, word: str) -> tuple[Assessment, Assessment]:
    """Check what an answer that tells nothing may not change, and return the verdicts round it."""
    reasoner, checks = build_reasoner(case.book, {}), case.book.checks
    before = reasoner.assess(case.findings, case.stand)
    after = reasoner.assess([*case.findings, answer_of(checks[asked], word)], case.stand)
    assert after.statuses == before.statuses
    assert after.derivation == before.derivation
    assert after.posterior.marginals == before.posterior.marginals
    assert after.disputed == before.disputed
    assert after.drive == before.drive
    for cid, account in before.accounts.items():
        assert after.accounts[cid].candidates == account.candidates
        assert after.accounts[cid].hangs_on == account.hangs_on
    return before, after


@twice
@given(situations(), st.sampled_from([DONT_KNOW, CANNOT_CHECK]), st.data())
def test_not_knowing_changes_nothing_but_what_is_asked(
    case: Situation, word: str, data: st.DataObject
) -> None:
    """No look is used up by it: whatever was named or held stays so, and so does the ending."""
    done = {judged.check for judged in case.findings}
    left = [c for c in case.book.checks if c not in done]
    if not left:
        return
    asked = data.draw(st.sampled_from(left))
    before, after = one_more(case, asked, word)
    assert after.accounts == before.accounts
    assert after.decisions == before.decisions
    assert after.plan == before.plan
    assert after.ending is before.ending
    twice_told = [*case.findings, *[answer_of(case.book.checks[asked], word)] * 2]
    again = before.reasoner.assess(twice_told, case.stand)
    assert again.accounts == before.accounts
    assert asked not in {item.check for item in next_checks(again)}, "nobody is asked three times"


@twice
@given(situations(), st.data())
def test_what_is_gone_proves_nothing(case: Situation, data: st.DataObject) -> None:
    """A look used up may make an origin probable, if no look is left; proven it never makes one."""
    done = {judged.check for judged in case.findings}
    left = [c for c in case.book.checks if c not in done]
    if not left:
        return
    asked = data.draw(st.sampled_from(left))
    before, after = one_more(case, asked, GONE)
    assert asked not in {item.check for item in next_checks(after)}
    for cid, account in before.accounts.items():
        now = after.accounts[cid]
        proven = [c for c in account.chains if c.naming is Naming.PROVEN]
        assert [c for c in now.chains if c.naming is Naming.PROVEN] == proven
        assert {*account.chains} <= {*now.chains}, "nor does it take a name away"
        assert asked not in now.at_hand


@pytest.mark.parametrize(("word", "closed"), [(DONT_KNOW, False), (GONE, True)])
def test_a_road_is_closed_by_what_is_gone_and_not_by_not_knowing(word: str, closed: bool) -> None:
    """c5 makes c0 by way of c3: with c3 gone, looking at c5 proves nothing any more."""
    ids = [f"c{i}" for i in range(7)]
    ends = [(0, 1), (0, 2), (1, 3), (3, 4), (3, 5), (4, 6), (0, 3), (4, 0), (5, 1)]
    book = make_book(
        [condition(c, origin=c != "c1", kind=Nature.STATE, common="common") for c in ids],
        {(f"c{a}", f"c{b}"): "always" for a, b in ends},
        [look(c) for c in ("c0", "c1", "c2", "c3", "c5")],
    )
    found = answered(book, look_c0="yes", look_c1="yes", look_c2="yes")
    before, after = one_more(Situation(book, found, Stand()), "look-c3", word)
    assert "look-c5" in before.accounts["c0"].at_hand
    assert ("look-c5" not in after.accounts["c0"].at_hand) is closed


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
    words = BENCH if a.stand.seat is Seat.BENCH else SHOP
    assert f"{MARKS[advice.advice]} {words[advice.advice]}" in texts
    acting = [s for s in [*a.plan, *(a.cover or ())] if s.cautions]
    assert not acting or "take care" in data["cautions"]


def the_outcome_says_what_the_decisions_say(a: Assessment) -> None:
    if a.disputed:
        assert a.ending is Ending.DISPUTED
    if a.ending is Ending.SETTLED:
        assert a.accounts
        assert not a.held
        assert not a.unexplained
    if a.ending is Ending.SOUND:
        assert not a.accounts
        assert not a.decisions
        told = [j for j in a.findings if not j.special]
        assert told, "nothing was found out, so nothing can be called sound"
        there = Causes(a).doing.present
        for judged in told:
            answers = a.book.checks[judged.check].answers
            for word in (w for w in answers if w in dict(judged.shares)):
                for cid in map(str, answers[word].shows):
                    cleared = judged.settled is not None and there(cid) < 0.05 + NOISE
                    assert a.statuses[cid] is Status.RULED_OUT or cleared
    if a.ending in (Ending.NOT_WORTH_MORE, Ending.UNDETERMINED):
        assert a.accounts or nobody_can_tell(a)
        assert not a.settled
    if a.ending is Ending.NOT_WORTH_MORE:
        assert a.accounts
        assert a.close.ways
        assert not any(way.saved > way.minutes for way in a.close.ways)


def nobody_can_tell(a: Assessment) -> bool:
    """Say whether something is gone, and all that is left is an owner's word that was asked for."""
    told = {judged.check for judged in a.findings if judged.special is None}
    gone = {judged.check for judged in a.findings if judged.special == GONE} - told
    put = {judged.check for judged in a.findings}
    left = [check for check in a.book.checks.values() if not is_used_up(a, check)]
    return bool(gone) and all(set(c.seats) == {Seat.CALL} and c.id in put for c in left)


def a_source_is_credited_only_with_what_it_reaches(a: Assessment) -> None:
    for cid in a.accounts:
        for source, share in a.posterior.explains(cid).items():
            assert isinstance(source, Root)
            assert -1e-9 <= share <= 1.0 + 1e-9


DECIDED = (
    nothing_is_released_without_a_named_origin_for_every_damage,
    every_damaged_part_is_decided_on,
    what_is_named_is_so_by_every_world,
    whatever_is_clear_by_every_world_is_proven,
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

"""The gate on small books made for one point each."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sessions import as_session, contract, screen
from strategies import answered, check, condition, look, make_book, often

from headwater.belief import sizing
from headwater.book.model import Action, Remedies
from headwater.book.records import Book
from headwater.book.seal import unseal
from headwater.book.shape import Ref
from headwater.book.tables import Nature, Renewed, Seat, Verb
from headwater.book.things import Removal
from headwater.measure.answer import Judged
from headwater.rules.status import Status
from headwater.verdict.account import Naming
from headwater.verdict.assess import Assessment, build_reasoner
from headwater.verdict.decision import Decision, Mending
from headwater.verdict.ending import Ending
from headwater.verdict.known import NAMED_FROM, passable
from headwater.verdict.naming import RIVAL_FROM
from headwater.verdict.reach import Stand

Answers = dict[str, tuple[dict[str, str], dict[str, str]]]


def judge(book: Book, stand: Stand | None = None, /, **given: str) -> Assessment:
    return build_reasoner(book, {}).assess(answered(book, **given), stand)


def act(verb: Verb, text: str, on: str | None = None, minutes: float = 15.0, **more: str) -> Action:
    unless = (Ref(more["unless"]),) if "unless" in more else ()
    return Action(
        action=verb, text=text, on=Ref(on) if on else None, minutes=minutes, unless=unless
    )


def shown(a: Assessment) -> str:
    return screen("verdict", as_session(a))


def steps(a: Assessment) -> list[tuple[str, Verb | None]]:
    return [(step.on, step.action) for step in a.plan]


@pytest.fixture
def row() -> Book:
    """worn (housing) -> moved (bearing) -> burnt (fork)."""
    return make_book(
        [
            condition("worn", part="housing", origin=True),
            condition("moved", part="bearing"),
            condition("burnt", part="fork"),
        ],
        {("worn", "moved"): "usually", ("moved", "burnt"): "usually"},
        [look("worn"), look("moved"), look("burnt")],
    )


def test_the_whole_chain_seen_is_proven_and_worked_from_the_origin_down(row: Book) -> None:
    a = judge(row, look_worn="yes", look_moved="yes", look_burnt="yes")
    assert a.ending is Ending.SETTLED
    assert a.origins == {"worn": Naming.PROVEN}
    assert steps(a) == [(p, Verb.REPLACE) for p in ("housing", "bearing", "fork")]


def namings(a: Assessment, found: str = "burnt") -> list[tuple[str, Naming]]:
    return [(chain.origin, chain.naming) for chain in a.accounts[found].chains]


def test_an_unseen_middle_breaks_the_proof_and_gone_makes_it_probable(row: Book) -> None:
    """What can no longer be seen never raises a naming to proven."""
    a = judge(row, look_worn="yes", look_burnt="yes")
    assert a.held == ["fork"]
    assert a.accounts["burnt"].at_hand == ("look-moved",)
    a = judge(row, look_worn="yes", look_moved="gone", look_burnt="yes")
    assert namings(a) == [("worn", Naming.PROBABLE)]
    assert a.held == []
    assert steps(a) == [
        ("bearing", Verb.INSPECT),
        ("housing", Verb.REPLACE),
        ("fork", Verb.REPLACE),
    ]


def test_what_is_out_of_reach_counts_as_gone_and_not_knowing_does_not_undo_that(row: Book) -> None:
    """A check made too late by a removal; asked all the same, nobody knows the answer."""
    late = replace(look("moved"), before=(Ref("lid"),))
    row.checks["look-moved"] = late
    row.removals["lid"] = Removal(id="lid", title="lid off", minutes=4.0)
    off = Stand(removed=frozenset({"lid"}))
    found = {"look_worn": "yes", "look_burnt": "yes"}
    assert namings(judge(row, off, **found)) == [("worn", Naming.PROBABLE)]
    for word in ("dont-know", "cannot-check"):
        a = judge(row, off, **found, look_moved=word)
        assert namings(a) == [("worn", Naming.PROBABLE)]
        assert a.held == []
    assert judge(row, None, **found).held == ["fork"]


@pytest.mark.parametrize("word", ["dont-know", "cannot-check"])
@pytest.mark.parametrize("times", [1, 2, 3])
def test_not_knowing_uses_no_look_up(row: Book, word: str, times: int) -> None:
    """However often nobody could say: the look is left, and probable waits for it."""
    found = answered(row, look_worn="yes", look_burnt="yes")
    unsure = answered(row, look_moved=word) * times
    a = build_reasoner(row, {}).assess([*found, *unsure])
    assert namings(a) == []
    assert a.held == ["fork"]
    assert a.accounts["burnt"].at_hand == ("look-moved",)


def test_an_answer_that_decides_nothing_leaves_the_middle_unproven(row: Book) -> None:
    row.checks["look-moved"] = check(
        "look-moved", {"yes": ({"moved": "decisive"}, {}), "perhaps": ({"moved": "weak"}, {})}
    )
    a = judge(row, look_worn="yes", look_burnt="yes", look_moved="perhaps")
    assert Naming.PROVEN not in {c.naming for c in a.accounts["burnt"].chains}


def test_a_later_seat_keeps_a_check_in_reach(row: Book) -> None:
    row.checks["look-moved"] = look("moved", seats=(Seat.HOIST,))
    found = {"look_worn": "yes", "look_burnt": "yes"}
    assert judge(row, Stand(Seat.CALL), **found).held == ["fork"]
    assert judge(row, Stand(Seat.BENCH), **found).held == []  # it has left its vehicle


def test_probable_when_nothing_is_left_to_check_and_no_rival_stands(row: Book) -> None:
    row.checks.pop("look-worn")
    row.conditions["worn"] = condition("worn", part="housing", origin=True, common="common")
    a = judge(row, look_moved="yes", look_burnt="yes")
    assert a.origins == {"worn": Naming.PROBABLE}
    assert a.ending is Ending.SETTLED
    assert "probable" in a.decisions["fork"].because
    assert "Origin, probable" in shown(a)


def test_sums_that_left_something_out_release_nothing(
    row: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    row.checks.pop("look-worn")
    row.conditions["worn"] = condition("worn", part="housing", origin=True, common="common")
    monkeypatch.setattr(sizing, "CELLS", 1)
    a = judge(row, look_moved="yes", look_burnt="yes")
    assert a.origins == {}
    assert not any(decision.released for decision in a.decisions.values())
    assert a.plan == []
    assert a.ending is Ending.OPEN


def test_less_than_nine_in_ten_names_nothing(row: Book) -> None:
    """An occasional origin comes to 0.89 here: what the book does not list keeps the rest."""
    row.checks.pop("look-worn")
    a = judge(row, look_moved="yes", look_burnt="yes")
    (best, *_) = a.accounts["burnt"].candidates
    assert best.origin == "worn"
    assert 0.85 < best.share < NAMED_FROM
    assert a.origins == {}
    assert a.held == ["bearing", "fork"]


@pytest.fixture
def forked() -> Book:
    """Two origins of one damage, each over a state that nobody sees for certain.

    a -always-> mid-a -always-> burnt; b -sometimes-> mid-b -sometimes-> burnt
    """
    middles = {"mid-a": "a", "mid-b": "b"}
    unsure: Answers = {"odd": ({"mid-a": "weak"}, {}), "clear": ({"mid-a": "decisive"}, {})}
    unsure_b: Answers = {"odd": ({"mid-b": "weak"}, {}), "clear": ({"mid-b": "decisive"}, {})}
    links = {("a", "mid-a"): "always", ("mid-a", "burnt"): "always"}
    rival = {("b", "mid-b"): "sometimes", ("mid-b", "burnt"): "sometimes"}
    checks = [look("a"), look("b"), look("burnt")]
    checks += [check("feel-a", unsure), check("feel-b", unsure_b)]
    checks += [check("hint-b", {"odd": ({"b": "strong"}, {}), "no": ({}, {"b": "strong"})})]
    return make_book(
        [condition(c, part=f"p-{c}", origin=True, common="common") for c in ("a", "b")]
        + [condition(c, kind=Nature.STATE) for c in middles]
        + [condition("burnt", part="fork")],
        links | rival,
        checks,
    )


BOTH_ODD = {"look_a": "yes", "look_burnt": "yes", "feel_a": "odd", "feel_b": "odd"}


def test_a_confirmed_origin_with_one_in_ten_is_named_beside_the_first(forked: Book) -> None:
    a = judge(forked, None, **BOTH_ODD, look_b="no", hint_b="no")
    assert namings(a) == [("a", Naming.PROBABLE)]
    a = judge(forked, None, **BOTH_ODD, look_b="yes", hint_b="odd")
    shares = {c.origin: c.share for c in a.accounts["burnt"].candidates}
    assert shares["a"] >= NAMED_FROM
    assert RIVAL_FROM <= shares["b"] < 0.3
    assert sorted(namings(a)) == [("a", Naming.PROBABLE), ("b", Naming.PROBABLE)]
    assert {step.on for step in a.plan} >= {"p-a", "p-b", "fork"}


def test_a_rival_of_one_in_ten_that_nobody_saw_names_nothing_however_sure_the_best_is(
    forked: Book,
) -> None:
    forked.links["b", "mid-b"] = replace(forked.links["b", "mid-b"], often=often("always"))
    a = judge(forked, None, **BOTH_ODD, look_b="gone", hint_b="odd")
    shares = {c.origin: c.share for c in a.accounts["burnt"].candidates}
    assert shares["a"] >= NAMED_FROM
    assert RIVAL_FROM <= shares["b"] < 0.5
    assert a.accounts["burnt"].chains == ()
    assert "fork" in a.held


def test_a_held_decision_has_no_action_whatever_it_was_given() -> None:
    given = (Mending("fork", "burnt", act(Verb.REPLACE, "Fit it.", "fork")),)
    assert Decision("fork", (), False, "waits", given).action is None
    assert Decision("fork", (), True, "named", given).action is Verb.REPLACE
    assert Decision("fork", (), True, "named").action is None


def test_nothing_passes_over_what_is_disputed_or_ruled_out() -> None:
    assert passable(Status.UNKNOWN, ())
    assert passable(Status.CONFIRMED, (look("a"),))
    assert not passable(Status.SUSPECTED, (look("a"),))
    assert not passable(Status.DISPUTED, ())
    assert not passable(Status.RULED_OUT, ())


def test_no_probable_chain_through_findings_that_disagree(row: Book) -> None:
    row.checks.pop("look-worn")
    row.conditions["worn"] = condition("worn", part="housing", origin=True, common="common")
    row.conditions["moved"] = condition("moved", kind=Nature.STATE)
    row.checks["again-moved"] = check("again-moved", {"no": ({}, {"moved": "decisive"})})
    a = judge(row, look_moved="yes", again_moved="no", look_burnt="yes")
    assert a.disputed == ["moved"]
    assert a.held == ["fork"]
    assert a.origins == {}


def test_a_rival_keeps_the_part_held_and_the_cover_mends_both() -> None:
    book = make_book(
        [
            condition("a", part="p", origin=True),
            condition("b", part="q", origin=True),
            condition("burnt", part="fork"),
        ],
        {("a", "burnt"): "usually", ("b", "burnt"): "usually"},
        [look("burnt")],
    )
    a = judge(book, look_burnt="yes")
    assert a.ending is Ending.UNDETERMINED
    assert a.held == ["fork"]
    assert a.plan == []
    assert a.cover is not None
    assert [(s.on, s.action, s.corrects) for s in a.cover] == [
        ("p", Verb.REPLACE, ("a",)),
        ("q", Verb.REPLACE, ("b",)),
        ("fork", Verb.REPLACE, ("burnt",)),
    ]
    assert a.decisions["fork"].action is None


def test_different_work_on_one_part_is_told_whole_in_a_cover() -> None:
    """Both are 'adjust the linkage', but not the same work: neither mends the other's fault."""

    def linkage(*stop: Action) -> Book:
        rod = act(Verb.ADJUST, "Set the rod.", "linkage")
        return make_book(
            [
                condition("rod", origin=True, actions=(rod,)),
                condition("stop", origin=True, actions=stop),
                condition("burnt", part="fork"),
            ],
            {("rod", "burnt"): "usually", ("stop", "burnt"): "usually"},
            [look("burnt")],
        )

    dear = act(Verb.ADJUST, "Set the stop.", "linkage")
    a = judge(linkage(dear), look_burnt="yes")
    assert a.cover is not None
    step, fork = a.cover
    assert fork.on == "fork"
    assert step.text == "Set the rod. Set the stop."
    assert step.minutes == 30.0
    assert step.corrects == ("rod", "stop")
    # Where one of them has a cheaper way, its dear one is not paid for along with the other.
    a = judge(linkage(dear, act(Verb.CLEAN, "Wash.", "rail", 5.0)), look_burnt="yes")
    assert a.cover is not None
    work = {(s.on, s.text) for s in a.cover[:2]}
    assert work == {("linkage", "Set the rod."), ("rail", "Wash.")}


def test_a_part_renewed_is_renewed_once_for_all_in_a_cover() -> None:
    renew = (act(Verb.REPLACE, "Fit a new rail.", "rail", minutes=40.0),)
    book = make_book(
        [
            condition("bent", origin=True, actions=renew),
            condition("rusted", origin=True, actions=renew),
            condition("burnt", part="fork"),
        ],
        {("bent", "burnt"): "usually", ("rusted", "burnt"): "usually"},
        [look("burnt")],
    )
    a = judge(book, look_burnt="yes")
    assert a.cover is not None
    step, _fork = a.cover
    assert step.corrects == ("bent", "rusted")
    assert step.minutes == 40.0


def test_no_cover_where_a_candidate_is_mended_on_the_held_part_itself() -> None:
    book = make_book(
        [
            condition("a", part="p", origin=True),
            condition("flaw", part="fork", origin=True),
            condition("burnt", part="fork"),
        ],
        {("a", "burnt"): "usually", ("flaw", "burnt"): "usually"},
        [look("burnt")],
    )
    a = judge(book, look_burnt="yes")
    assert a.ending is Ending.UNDETERMINED
    assert a.cover is None
    assert "No set of corrections covers every live candidate." in shown(a)


def test_cautions_of_a_cover_are_told() -> None:
    careful = replace(act(Verb.REPAIR, "Weld it.", "p"), cautions=(Ref("care"),))
    book = make_book(
        [
            condition("a", origin=True, actions=(careful,)),
            condition("b", origin=True, actions=(act(Verb.CLEAN, "Wash it.", "q"),)),
            condition("burnt", part="fork"),
        ],
        {("a", "burnt"): "usually", ("b", "burnt"): "usually"},
        [look("burnt")],
    )
    a = judge(book, look_burnt="yes")
    assert a.cover is not None
    assert "take care" in contract(as_session(a))["cautions"]
    assert "take care" in shown(a)


def test_damage_with_every_cause_ruled_out_is_not_in_the_book(row: Book) -> None:
    once = answered(row, look_worn="no", look_moved="no", look_burnt="yes")
    a = build_reasoner(row, {}).assess(once)
    assert a.held == [], "seen once it surprises: it is looked at again, and is no fact yet"
    assert a.ending is Ending.OPEN
    a = build_reasoner(row, {}).assess([*once, *answered(row, look_burnt="yes")])
    assert a.held == ["fork"]
    assert "not in the book" in a.decisions["fork"].because
    assert a.ending is Ending.UNDETERMINED
    assert a.cover is None
    assert "The cause is not in the book." in shown(a)


def test_a_part_waits_for_a_held_middle(row: Book) -> None:
    """The bearing has a second damage that nothing explains: bearing and fork both wait."""
    row.conditions["rusty"] = condition("rusty", part="bearing")
    row.conditions["wet"] = condition("wet", origin=True, actions=(act(Verb.CLEAN, "Dry.", "lid"),))
    row.conditions["damp"] = condition("damp", origin=True, actions=(act(Verb.CLEAN, "D.", "lid"),))
    book = make_book(
        list(row.conditions.values()),
        dict.fromkeys([*row.links, ("wet", "rusty"), ("damp", "rusty")], "usually"),
        [*row.checks.values(), look("rusty"), look("wet")],
    )
    a = judge(book, look_worn="yes", look_moved="yes", look_burnt="yes", look_rusty="yes")
    assert a.held == ["bearing", "fork"]
    assert "waits for the piece bearing" in a.decisions["fork"].because
    assert a.decisions["housing"].action is Verb.REPLACE
    assert steps(a) == [("housing", Verb.REPLACE), ("bearing", None), ("fork", None)]
    a = judge(
        book,
        look_worn="yes",
        look_moved="yes",
        look_burnt="yes",
        look_rusty="yes",
        look_wet="yes",
    )
    assert a.held == []


def test_a_part_waits_for_the_held_part_its_origin_is_mended_on(row: Book) -> None:
    row.conditions["worn"] = condition(
        "worn", origin=True, actions=(act(Verb.MACHINE, "Bore it.", "cover"),)
    )
    row.conditions["split"] = condition("split", part="cover")
    row.conditions["blow"] = condition("blow", part="p", origin=True)
    row.conditions["knock"] = condition("knock", part="q", origin=True)
    book = make_book(
        list(row.conditions.values()),
        dict.fromkeys([*row.links, ("blow", "split"), ("knock", "split")], "usually"),
        [*row.checks.values(), look("split")],
    )
    a = judge(book, look_worn="yes", look_moved="yes", look_burnt="yes", look_split="yes")
    assert set(a.held) == {"cover", "bearing", "fork"}
    assert "waits for the piece cover" in a.decisions["bearing"].because
    assert "Bore it." not in shown(a)


def test_a_look_is_no_action_on_a_held_part(row: Book) -> None:
    """An unseen middle on a part held for another damage: nothing is told to do there."""
    row.conditions["cracked"] = condition("cracked", part="bearing")
    row.conditions["fall"] = condition("fall", part="p", origin=True)
    row.conditions["blow"] = condition("blow", part="q", origin=True)
    book = make_book(
        list(row.conditions.values()),
        dict.fromkeys([*row.links, ("fall", "cracked"), ("blow", "cracked")], "usually"),
        [*row.checks.values(), look("cracked")],
    )
    a = judge(book, look_worn="yes", look_moved="gone", look_burnt="yes", look_cracked="yes")
    assert "bearing" in a.held
    assert all(action is None for part, action in steps(a) if part in a.held)
    assert "bearing: inspect" not in shown(a)


def test_what_belongs_to_held_damage_is_not_done_elsewhere_either(row: Book) -> None:
    """Burnt pads also foul the screen; while the fork is held, nobody is sent to wash it."""
    record = row.conditions["burnt"]
    flush = act(Verb.CLEAN, "Wash the screen.", "screen")
    row.conditions["burnt"] = replace(
        record, dispositions=Remedies((*unseal(record.dispositions), flush))
    )
    row.conditions["cracked"] = condition("cracked", part="fork")
    row.conditions["fall"] = condition("fall", part="p", origin=True)
    row.conditions["blow"] = condition("blow", part="q", origin=True)
    book = make_book(
        list(row.conditions.values()),
        dict.fromkeys([*row.links, ("fall", "cracked"), ("blow", "cracked")], "usually"),
        [*row.checks.values(), look("cracked")],
    )
    found = {"look_worn": "yes", "look_moved": "yes", "look_burnt": "yes"}
    a = judge(book, None, **found)
    assert ("screen", Verb.CLEAN) in steps(a)
    assert a.decisions["screen"].because == "origin named: state worn (proven)"
    a = judge(book, None, **found, look_cracked="yes")
    assert a.held == ["fork"]
    assert "screen" not in a.decisions
    assert "screen" not in {step.on for step in a.plan}
    # Only behind the corrections of both that may have cracked it, with the fork itself.
    assert a.cover is not None
    on = [step.on for step in a.cover]
    assert (set(on[:2]), on[2:]) == ({"p", "q"}, ["screen", "fork"])


def test_damage_mended_on_a_held_part_waits_for_it(row: Book) -> None:
    """The fork's damage is mended by work on the rail; the rail is held, so the fork waits too."""
    row.conditions["burnt"] = condition(
        "burnt", part="fork", actions=(act(Verb.ADJUST, "Set the rail.", "rail"),)
    )
    row.conditions["bent"] = condition("bent", part="rail")
    row.conditions["fall"] = condition("fall", part="p", origin=True)
    row.conditions["blow"] = condition("blow", part="q", origin=True)
    book = make_book(
        list(row.conditions.values()),
        dict.fromkeys([*row.links, ("fall", "bent"), ("blow", "bent")], "usually"),
        [*row.checks.values(), look("bent")],
    )
    a = judge(book, look_worn="yes", look_moved="yes", look_burnt="yes", look_bent="yes")
    assert set(a.held) == {"rail", "fork"}
    assert "Set the rail." not in shown(a)


def test_a_withdrawn_correction_is_taken_over_by_what_withdrew_it() -> None:
    """Loose float is shimmed unless the bore is worn; then the bore's own correction mends both."""
    shim = act(Verb.SHIM, "Shim it.", "bearing", unless="worn")
    book = make_book(
        [
            condition("float", origin=True, actions=(shim,)),
            condition("worn", part="housing", origin=True),
            condition("burnt", part="fork"),
        ],
        {("float", "burnt"): "usually"},
        [look("float"), look("worn"), look("burnt")],
    )
    a = judge(book, look_float="yes", look_burnt="yes")
    assert steps(a) == [("bearing", Verb.SHIM), ("fork", Verb.REPLACE)]
    a = judge(book, look_float="yes", look_worn="yes", look_burnt="yes")
    assert a.ending is Ending.SETTLED
    assert "Shim it." not in shown(a)
    assert steps(a)[0] == ("housing", Verb.REPLACE)
    (step, _) = a.plan
    assert step.corrects == ("float", "worn")


def test_nothing_is_released_where_nothing_corrects_the_origin() -> None:
    """What withdrew the only correction has no named origin yet: the end of the chain waits."""
    shim = act(Verb.SHIM, "Shim it.", "bearing", unless="cracked")
    book = make_book(
        [
            condition("float", origin=True, actions=(shim,)),
            condition("fall", part="p", origin=True),
            condition("blow", part="q", origin=True),
            condition("cracked", part="housing"),
            condition("burnt", part="fork"),
        ],
        {
            ("float", "burnt"): "usually",
            ("fall", "cracked"): "usually",
            ("blow", "cracked"): "usually",
        },
        [look("float"), look("cracked"), look("burnt"), look("fall")],
    )
    a = judge(book, look_float="yes", look_cracked="yes", look_burnt="yes")
    assert set(a.held) == {"housing", "fork"}
    assert "nothing in the book corrects" in a.decisions["fork"].because
    assert steps(a) == [("fork", None)]
    a = judge(book, look_float="yes", look_cracked="yes", look_burnt="yes", look_fall="yes")
    assert a.held == []
    assert a.decisions["fork"].action is Verb.REPLACE


def test_an_origin_the_book_knows_as_an_effect_needs_its_own_origins_settled() -> None:
    book = make_book(
        [
            condition("heat", part="cooler", origin=True),
            condition("dry", part="pump", origin=True),
            condition("burnt", part="fork"),
        ],
        {("heat", "dry"): "usually", ("dry", "burnt"): "usually"},
        [look("heat"), look("dry"), look("burnt"), replace(look("heat"), id="feel-heat")],
    )
    a = judge(book, look_dry="yes", look_burnt="yes")
    assert a.held == ["pump", "fork"]
    a = judge(book, look_heat="no", look_dry="yes", look_burnt="yes")
    assert a.origins == {"dry": Naming.PROVEN}
    a = judge(book, look_heat="yes", look_dry="yes", look_burnt="yes")
    assert a.held == ["cooler", "pump", "fork"], "that it was heat hangs on one look alone"
    assert a.accounts["burnt"].hangs_on == ("look-heat",)
    a = judge(book, look_heat="yes", feel_heat="yes", look_dry="yes", look_burnt="yes")
    assert a.origins == {"heat": Naming.PROVEN}
    assert steps(a)[0] == ("cooler", Verb.REPLACE)


def test_a_loop_is_entered_never_closed_in_itself() -> None:
    """Dry makes wear, wear makes dry: neither is an origin, so both wait for the way in."""
    book = make_book(
        [
            condition("hole", part="screen", origin=True),
            condition("dry", part="pump"),
            condition("wear", part="gear"),
        ],
        {("hole", "dry"): "usually", ("dry", "wear"): "usually", ("wear", "dry"): "usually"},
        [look("hole"), look("dry"), look("wear")],
    )
    a = judge(book, look_dry="yes", look_wear="yes", look_hole="no")
    assert set(a.held) == {"pump", "gear"}
    assert a.origins == {}
    (loop,) = contract(as_session(a))["loops"]
    assert loop["confirmed"] == ["dry", "wear"]
    assert loop["entered_by"] == []
    a = judge(book, look_dry="yes", look_wear="yes", look_hole="yes")
    assert a.held == []
    assert steps(a)[0] == ("screen", Verb.REPLACE)


def test_nothing_found_out_is_not_healthy(row: Book) -> None:
    assert judge(row).ending is Ending.OPEN
    assert judge(row, look_worn="dont-know", look_burnt="gone").ending is Ending.OPEN
    assert judge(row, look_worn="no", look_burnt="no").ending is Ending.SOUND
    close = Judged("look-burnt", "0.020 in", (("yes", 0.5), ("no", 0.5)))
    assert build_reasoner(row, {}).assess([close]).ending is Ending.OPEN
    row.checks["feel"] = check("feel", {"odd": ({"burnt": "weak"}, {})})
    assert judge(row, feel="odd").ending is Ending.OPEN
    assert judge(row, feel="odd", look_burnt="no").ending is Ending.SOUND
    assert build_reasoner(row, {}).assess([close, *answered(row, feel="odd")]).ending is Ending.OPEN


def test_a_renewed_part_of_disputed_damage_waits_for_nothing() -> None:
    """The oil is drained and its state disputed, while a fork is held: the oil is renewed."""
    drained = Removal(id="drained", title="oil drained", minutes=5.0, consumes=(Ref("oil"),))
    book = make_book(
        [condition("low", part="oil", origin=True), condition("burnt", part="fork")],
        {("low", "burnt"): "usually"},
        [look("low"), look("low", name="again"), look("burnt")],
        (drained,),
    )
    oil = replace(book.parts["oil"], renewed=Renewed.WHEN_REMOVED)
    book.parts["oil"] = oil
    there = Stand(Seat.BENCH, frozenset({"drained"}))
    found = judge(book, there, look_low="yes", again_low="no", look_burnt="yes")
    assert found.statuses["low"] is Status.DISPUTED
    assert found.decisions["oil"].renewed
    assert not found.decisions["fork"].released

"""The arithmetic of an exercise's score: 100 points, stated here and nowhere else.

Origin 40, for each true one alike: named 8; proven by the looks made and pointed to 24; the way
from it 8. Names that are not there share the points. Parts 30: each origin's correction counts
twice, every other part of the right plan once, and nothing while the origin behind it is left; less
6 for each part that the unit gives no reason to touch; half of them only as far as the origins are
proven. Minutes 20 and looks 10 count as far as the
origins are proven: a quick guess saves nothing. Minutes are whole at or below the planner's, above
it in proportion; a look that could have changed nothing costs 2.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from headwater.drill.exercise import Exercise
from headwater.drill.looks import Worth, worths
from headwater.drill.run import Run, justified_parts, needed_parts, right_parts
from headwater.graph.causal import causes_of
from headwater.rules.compile import Mark
from headwater.rules.status import Status
from headwater.simulate.units import reached

NAMED, PROVEN, WAY = 8, 24, 8
ORIGIN, PARTS, MINUTES, LOOKS = NAMED + PROVEN + WAY, 30, 20, 10
PASS = 60
HALF_SEEN = 0.5
"""Share of a proof, at most, for what was seen of a chain whose origin the looks do not name."""
NOT_POINTED_TO = 0.5
"""Share of a proof that is left where none of the looks that show it is pointed to."""
UNPROVEN_PLAN = 0.5
"""Share of the points for a plan that does not hang on proof."""
NEEDLESS_PART = 6
USELESS_LOOK = 2
HINT = 5
CORRECTION = 2
"""Weight of an origin's correction among the parts of a plan; every other part has 1."""

RULES = (
    f"Origin {ORIGIN}: {NAMED} for its name, {PROVEN} if your looks prove it and you say which, "
    f"{WAY} for the steps between. A wrong name takes its share.",
    f"Parts {PARTS}: all that the job needs. A part whose origin is left uncorrected counts "
    f"nothing, and each one that the unit gives no reason to touch takes {NEEDLESS_PART}. "
    "Half of them count only as far as you have proven the origin.",
    f"Minutes {MINUTES}: whole at or below the planner's, above it in proportion.",
    f"Looks {LOOKS}: each that could have changed nothing when you asked for it takes "
    f"{USELESS_LOOK}.",
    "Minutes and looks count as far as you have proven the origin: a quick guess saves nothing.",
    f"Each hint takes {HINT} from the whole. A look that is taken back does not count as useless, "
    "but its minutes are spent. Who gives up is told everything, and scores nothing.",
    f"{PASS} of 100 is a pass.",
)
"""What is told before an exercise begins."""


@dataclass(frozen=True, slots=True)
class Statement:
    """What somebody says at the end: origins, steps between, the looks that prove it, parts."""

    origins: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    proofs: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PartMark:
    """A part that is missing in a plan, or needless in it: what it cost, and its own minutes.

    `bare` where it is in the plan, and the origin behind its damage is not corrected.
    """

    part: str
    points: int
    bare: bool = False


@dataclass(frozen=True, slots=True)
class Score:
    """The points of each kind, and what they were taken for."""

    origin: int = 0
    parts: int = 0
    minutes: int = 0
    looks: int = 0
    right: tuple[str, ...] = ()
    guessed: tuple[str, ...] = ()
    wrong: tuple[str, ...] = ()
    left: tuple[str, ...] = ()
    steps_left: tuple[str, ...] = ()
    steps_wrong: tuple[str, ...] = ()
    pointed: bool = True
    missing_parts: tuple[PartMark, ...] = ()
    needless_parts: tuple[PartMark, ...] = ()
    worths: tuple[Worth, ...] = ()
    hints: int = 0

    @property
    def total(self) -> int:
        """The points out of 100."""
        earned = self.origin + self.parts + self.minutes + self.looks
        return max(0, earned - HINT * self.hints)

    @property
    def passed(self) -> bool:
        """True from the pass mark on."""
        return self.total >= PASS

    @property
    def missed(self) -> bool:
        """True when an origin was missed, guessed, or wrongly named."""
        return bool(self.left or self.guessed or self.wrong)

    @property
    def useless(self) -> tuple[Worth, ...]:
        """The looks that could have changed nothing."""
        return tuple(worth for worth in self.worths if worth.useless)


def score_run(exercise: Exercise, run: Run, said: Statement) -> Score:
    """Return the score of a run that ends in a statement."""
    true = exercise.unit.origins
    wrong = tuple(sorted(set(said.origins) - set(true)))
    right = tuple(origin for origin in true if origin in said.origins)
    names = len(true) + len(wrong)
    pointed = points_to_proof(run, said)
    proofs = {origin: proof(run, origin) for origin in right}
    share = sum(proofs.values()) * (1.0 if pointed else NOT_POINTED_TO) / names
    way = way_share(exercise, said) * len(right) / names
    looked = tuple(worths(run))
    useless = sum(worth.useless for worth in looked)
    between = tuple(c for c in steps_between(exercise) if c not in said.steps)
    missing, needless, parts = _parts(exercise, said)
    looked_for = UNPROVEN_PLAN + (1.0 - UNPROVEN_PLAN) * sum(proofs.values()) / len(true)
    pace = min(1.0, exercise.planner.minutes / run.minutes) if run.minutes else 1.0
    return Score(
        origin=round(NAMED * len(right) / names + PROVEN * share + WAY * way),
        parts=round(parts * looked_for),
        minutes=round(MINUTES * share * pace),
        looks=round(max(0, LOOKS - USELESS_LOOK * useless) * share),
        right=right,
        guessed=tuple(origin for origin in right if proofs[origin] < 1.0),
        wrong=wrong,
        left=tuple(origin for origin in true if origin not in right),
        steps_left=between if way_share(exercise, said) < 1.0 else (),
        steps_wrong=tuple(c for c in said.steps if c not in steps_allowed(exercise)),
        pointed=pointed,
        missing_parts=missing,
        needless_parts=needless,
        worths=looked,
        hints=run.hints,
    )


def proof(run: Run, origin: str) -> float:
    """Return how far the looks made prove an origin: 1.0 where they name it.

    Else a part of it, for the steps of its chain that were seen.
    """
    if origin in run.named():
        return 1.0
    verdict = run.verdict
    way = [origin, *sorted(run.unit.on_way(origin))]
    seeable = [c for c in way if verdict.reasoner.deciders.get(c)]
    seen = [c for c in seeable if verdict.statuses[c] is Status.CONFIRMED]
    return HALF_SEEN * len(seen) / len(seeable) if seeable else 0.0


def points_to_proof(run: Run, said: Statement) -> bool:
    """Say whether the looks that are said to prove it do: one at the origin, if any was made.

    All of them must speak of the matter: show a step of a true chain, or rule a rival out.
    """
    supporting = supports(run)
    shown = {look for look, conditions in supporting.items() if conditions & set(run.unit.origins)}
    cited = set(said.proofs)
    return bool(cited) and cited <= supporting.keys() and (not shown or bool(cited & shown))


def supports(run: Run) -> dict[str, frozenset[str]]:
    """Return the looks that speak for the true chains, with the conditions of these they show.

    A look that rules out a rival shows none.
    """
    unit, book, graph = run.unit, run.session.book, run.session.reasoner.graph
    behind = causes_of(graph, *unit.ends) | set(unit.ends)
    found: dict[str, frozenset[str]] = {}
    for order in run.orders:
        given = book.checks[order.check].answer(order.judged.settled or "")
        if given is None:
            continue
        shows = frozenset(map(str, given.shows)) & unit.present & behind
        denies = frozenset(map(str, given.rules_out)) & behind - unit.present
        if shows or denies:
            found[order.check] = found.get(order.check, frozenset()) | shows
    return found


def steps_between(exercise: Exercise) -> tuple[str, ...]:
    """Return the steps of the true chains between origin and what the unit came in with."""
    unit = exercise.unit
    steps = dict.fromkeys(cid for way in unit.ways for cid in way)
    return tuple(cid for cid in steps if cid not in (*unit.ends, *unit.origins))


def steps_allowed(exercise: Exercise) -> frozenset[str]:
    """Return every condition that is on a true way, ends included."""
    unit = exercise.unit
    ways = frozenset[str]().union(*(unit.on_way(origin) for origin in unit.origins))
    return ways | set(steps_between(exercise)) | set(unit.origins) | set(unit.ends)


def way_share(exercise: Exercise, said: Statement) -> float:
    """Return how much of the ways from the origins is given, less the share of wrong steps.

    Whole is each way along which the steps given lead to what was found, over links that fired.
    """
    unit, steps = exercise.unit, set(said.steps)
    wrong = steps - steps_allowed(exercise)
    shares = []
    for way in unit.ways:
        inside = {way[0], *steps, way[-1]}
        links = [(cause, effect) for cause, effect in unit.fired if {cause, effect} <= inside]
        between = set(way[1:-1])
        whole = way[-1] in reached([way[0]], links)
        shares.append(1.0 if whole else len(between & steps) / len(between))
    right = 1.0 - len(wrong) / len(steps) if steps else 1.0
    return right * sum(shares) / len(shares) if shares else 0.0


def uncorrected(exercise: Exercise, parts: Collection[str]) -> set[str]:
    """Return the true origins that work on some parts leaves as they are."""
    needs = {origin: needed_parts(exercise.book, origin) for origin in exercise.unit.origins}
    return {origin for origin, some in needs.items() if some and not some & set(parts)}


def _parts(
    exercise: Exercise, said: Statement
) -> tuple[tuple[PartMark, ...], tuple[PartMark, ...], int]:
    """Return the missing parts, the needless ones, and the points for the plan."""
    named = set(said.parts)
    wanted = _wanted(exercise, named)
    whole = sum(want.weight for want in wanted) or 1
    missing = tuple(
        PartMark(want.part, round(PARTS * want.weight / whole), bare=want.part in named)
        for want in wanted
        if not want.done
    )
    unfounded = sorted(named - justified_parts(exercise.book, exercise.unit))
    needless = tuple(PartMark(part, NEEDLESS_PART) for part in unfounded)
    done = sum(want.weight for want in wanted if want.done)
    # Where nothing can be done, doing nothing is right, but not without knowing why.
    earned = PARTS * done / whole if wanted else PARTS * bool(said.origins)
    return missing, needless, max(0, round(earned) - NEEDLESS_PART * len(needless))


@dataclass(frozen=True, slots=True)
class _Want:
    """A part that the right plan acts on."""

    part: str
    weight: int
    done: bool


def _wanted(exercise: Exercise, named: Collection[str]) -> list[_Want]:
    """Return what the right plan wants, and what of it a plan on the named parts does."""
    book, unit = exercise.book, exercise.unit
    usual = right_parts(exercise.planner)
    left = uncorrected(exercise, named)
    bare = {str(book.conditions[cid].part) for cid in reached(left, unit.fired)}
    needs = {origin: needed_parts(book, origin) for origin in unit.origins}
    found = []
    for origin, ways in needs.items():
        if ways:
            part = min(ways & set(named) or ways & usual or ways)
            found.append(_Want(part, CORRECTION, origin not in left))
    corrections = frozenset[str]().union(*needs.values())
    others = sorted(usual - corrections)
    return found + [_Want(part, 1, part in named and part not in bare) for part in others]


def statement_of(run: Run) -> Statement:
    """Return what the findings of a run come to, as whoever made it would say it."""
    ways = run.ways()
    origins = dict.fromkeys(way.origin for way in ways)
    ends = {*origins, *run.unit.ends}
    steps = dict.fromkeys(c for way in ways for c in way.path if c not in ends)
    return Statement(tuple(origins), tuple(steps), _cited(run, {*origins, *steps}), (*run.parts(),))


def _cited(run: Run, conditions: Collection[str]) -> tuple[str, ...]:
    """Return the orders that gave the facts of some conditions, and those that speak for them."""
    basis = run.verdict.evidence.basis
    made = {order.check for order in run.orders}
    facts = {f: checks for f, checks in basis.items() if f.mark is Mark.SHOWN}
    gave = [c for f, checks in facts.items() if f.condition in conditions for c in checks]
    spoke = [
        order.check
        for order in run.orders
        if (given := run.session.book.checks[order.check].answer(order.judged.settled or ""))
        and set(map(str, given.shows)) & set(conditions)
    ]
    return tuple(dict.fromkeys(check for check in (*gave, *spoke) if check in made))

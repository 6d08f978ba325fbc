"""Books with loops against exact inference over logic programs (ProbLog), by distribution
semantics: a condition in a loop needs support from outside the loop. Small loops are summed, so the
figures agree to rounding; an unlisted cause is counted in worlds."""

from __future__ import annotations

import warnings

import pytest
from belief.brute import errors

from headwater.belief import question
from headwater.belief.posterior import posterior
from headwater.belief.worlds import Factors, Network, Root, make_worlds

with warnings.catch_warnings():  # its bundled parser imports a module that Python has deprecated
    warnings.simplefilter("ignore", DeprecationWarning)
    from problog import get_evaluatable
    from problog.program import PrologString

CLOSE = 1e-7
FOUND = (0.998, 0.002)
NOT_FOUND = (0.002, 0.998)

CIRCLE = Network(
    ("worn", "slack", "slap", "wear"),
    {"worn": 0.06},
    (("worn", "slack", 0.8), ("slack", "slap", 0.8), ("slap", "wear", 0.4), ("wear", "slack", 0.4)),
)
TWO_WAYS_IN = Network(
    ("dirt", "dry", "heat", "thin", "scuff"),
    {"dirt": 0.06, "dry": 0.02},
    (
        ("dirt", "scuff", 0.4),
        ("dry", "heat", 0.8),
        ("heat", "thin", 0.8),
        ("thin", "scuff", 0.8),
        ("scuff", "heat", 0.4),
    ),
)
TWO_CIRCLES = Network(
    ("bent", "loose", "shake", "crack", "leak", "starve"),
    {"bent": 0.02, "loose": 0.06},
    (
        ("bent", "shake", 0.8),
        ("loose", "shake", 0.4),
        ("shake", "loose", 0.1),
        ("shake", "crack", 0.4),
        ("crack", "leak", 0.98),
        ("leak", "starve", 0.8),
        ("starve", "shake", 0.4),
    ),
)
# Two circles that share a condition, and an origin into each.
SHARED = Network(
    ("bore", "seal", "float", "heat", "gap", "foam"),
    {"bore": 0.02, "seal": 0.06},
    (
        ("bore", "float", 0.8),
        ("float", "heat", 0.8),
        ("heat", "gap", 0.4),
        ("gap", "float", 0.8),
        ("seal", "foam", 0.8),
        ("foam", "heat", 0.4),
        ("heat", "foam", 0.4),
    ),
)
# Every condition makes the next and the one before.
BOTH_WAYS = Network(
    ("first", "second", "third", "fourth", "fifth"),
    {"first": 0.02, "fifth": 0.06},
    (
        ("first", "second", 0.8),
        ("second", "third", 0.8),
        ("third", "fourth", 0.4),
        ("fourth", "fifth", 0.8),
        ("fifth", "fourth", 0.8),
        ("fourth", "third", 0.8),
        ("third", "second", 0.4),
        ("second", "first", 0.8),
    ),
)
CASES: list[tuple[Network, dict[str, tuple[float, float]]]] = [
    (CIRCLE, {"slap": FOUND}),
    (CIRCLE, {"wear": FOUND, "worn": NOT_FOUND}),
    (TWO_WAYS_IN, {"scuff": FOUND}),
    (TWO_WAYS_IN, {"scuff": FOUND, "thin": FOUND}),
    (TWO_WAYS_IN, {"heat": (0.9, 0.1), "dirt": (0.3, 0.7)}),
    (TWO_CIRCLES, {"starve": FOUND}),
    (TWO_CIRCLES, {"shake": FOUND, "crack": NOT_FOUND}),
    (TWO_CIRCLES, {"leak": FOUND, "loose": (0.7, 0.3)}),
    (SHARED, {"gap": FOUND}),
    (SHARED, {"gap": FOUND, "foam": FOUND, "seal": NOT_FOUND}),
    (SHARED, {"heat": (0.9, 0.1), "float": (0.3, 0.7)}),
    (BOTH_WAYS, {"first": FOUND}),
    (BOTH_WAYS, {"third": FOUND, "fifth": NOT_FOUND}),
    (BOTH_WAYS, {"second": (0.7, 0.3), "fourth": (0.9, 0.1)}),
]


def exact(network: Network, factors: Factors) -> dict[str, float]:
    """Return the exact posterior: `is_X` present, `by_X` the origin occurred, `unlisted`."""
    lines = []
    asked = [f"is_{c}" for c in network.conditions] + [f"by_{c}" for c in network.priors]
    for origin, prior in network.priors.items():
        lines += [f"{prior}::by_{origin}.", f"is_{origin} :- by_{origin}."]
    for cause, effect, p in network.links:
        lines.append(f"{p}::is_{effect} :- is_{cause}.")
    for condition, (present, absent) in factors.items():
        if present > absent and condition not in network.priors:
            lines += [
                f"{network.unlisted}::new_{condition}.",
                f"is_{condition} :- new_{condition}.",
            ]
            lines.append(f"unlisted :- new_{condition}.")
            asked += ["unlisted"] if "unlisted" not in asked else []
        lines.append(f"{present}::told_{condition} :- is_{condition}.")
        lines.append(f"{absent}::told_{condition} :- \\+ is_{condition}.")
        lines.append(f"evidence(told_{condition}).")
    lines += [f"query({name})." for name in asked]
    program = PrologString("\n".join(lines))
    return {str(k): float(v) for k, v in get_evaluatable().create_from(program).evaluate().items()}


@pytest.mark.parametrize(("network", "factors"), CASES)
def test_loops(network: Network, factors: Factors) -> None:
    truth = exact(network, factors)
    found = posterior(make_worlds(network), factors)
    assert found.exact
    for origin in network.priors:
        assert found.probability(origin) == pytest.approx(truth[f"by_{origin}"], abs=CLOSE)
    for condition in network.conditions:
        p = truth[f"is_{condition}"]
        within = CLOSE if condition in found.conditions else errors(p, found.count)
        assert found.reached(condition) == pytest.approx(p, abs=within), condition
    unlisted = truth.get("unlisted", 0.0)
    assert found.unlisted == pytest.approx(unlisted, abs=errors(unlisted, found.count))


@pytest.mark.parametrize(("network", "factors"), CASES)
def test_loops_without_turns(
    network: Network, factors: Factors, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(question, "SMALL_LOOP", 0)
    truth = exact(network, factors)
    found = posterior(make_worlds(network, 20_000), factors)
    told = {f"by_{c}": found.probability(c) for c in network.priors}
    told |= {f"is_{c}": found.reached(c) for c in network.conditions}
    told["unlisted"] = found.unlisted
    for name, p in truth.items():
        assert told[name] == pytest.approx(p, abs=errors(p, found.count)), name


def test_an_origin_that_enters_the_loop_explains_it() -> None:
    found = posterior(make_worlds(CIRCLE), {"slap": FOUND, "wear": FOUND})
    shares = found.explains("wear")
    assert max(shares, key=shares.__getitem__) == Root("worn")
    assert found.probability("worn") > 0.9

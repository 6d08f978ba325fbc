"""Books with loops against exact inference over logic programs (ProbLog), by distribution
semantics: a condition in a loop needs support from outside the loop."""

from __future__ import annotations

import warnings

import pytest

from headwater.belief.posterior import Factors, Source, posterior
from headwater.belief.worlds import Network, make_worlds

with warnings.catch_warnings():  # its bundled parser imports a module that Python has deprecated
    warnings.simplefilter("ignore", DeprecationWarning)
    from problog import get_evaluatable
    from problog.program import PrologString

CLOSE = 0.01
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
CASES: list[tuple[Network, dict[str, tuple[float, float]]]] = [
    (CIRCLE, {"slap": FOUND}),
    (CIRCLE, {"wear": FOUND, "worn": NOT_FOUND}),
    (TWO_WAYS_IN, {"scuff": FOUND}),
    (TWO_WAYS_IN, {"scuff": FOUND, "thin": FOUND}),
    (TWO_WAYS_IN, {"heat": (0.9, 0.1), "dirt": (0.3, 0.7)}),
    (TWO_CIRCLES, {"starve": FOUND}),
    (TWO_CIRCLES, {"shake": FOUND, "crack": NOT_FOUND}),
    (TWO_CIRCLES, {"leak": FOUND, "loose": (0.7, 0.3)}),
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
    for origin in network.priors:
        assert found.probability(origin) == pytest.approx(truth[f"by_{origin}"], abs=CLOSE)
    for condition in network.conditions:
        assert found.reached(condition) == pytest.approx(truth[f"is_{condition}"], abs=CLOSE)
    assert found.unlisted == pytest.approx(truth.get("unlisted", 0.0), abs=CLOSE)


def test_a_loop_does_not_hold_itself_up() -> None:
    # Nothing enters the loop, so what was found in it came from something the book does not know.
    links = (("slap", "wear", 0.98), ("wear", "slap", 0.98), ("worn", "noise", 0.98))
    network = Network(("worn", "slap", "wear", "noise"), {"worn": 0.06}, links)
    found = posterior(make_worlds(network), {"slap": FOUND, "wear": FOUND})
    assert found.probability("worn") == 0.06
    assert found.unlisted > 0.99
    shares = found.explains("slap")
    assert shares
    assert all(source.unlisted for source in shares)


def test_without_unlisted_causes_a_loop_is_an_error_of_the_finding() -> None:
    links = (("slap", "wear", 0.98), ("wear", "slap", 0.98))
    network = Network(("slap", "wear"), {}, links, unlisted=0.0)
    found = posterior(make_worlds(network), {"slap": FOUND, "wear": FOUND})
    assert found.reached("slap") == 0.0
    assert found.reached("wear") == 0.0


def test_an_origin_that_enters_the_loop_explains_it() -> None:
    found = posterior(make_worlds(CIRCLE), {"slap": FOUND, "wear": FOUND})
    shares = found.explains("wear")
    assert max(shares, key=shares.__getitem__) == Source("worn")
    assert found.probability("worn") > 0.9

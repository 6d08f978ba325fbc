"""The same network for exact inference with pyAgrum: every condition a noisy-OR of its causes.

Each origin has a root of its own that starts it for certain, and so has something unlisted behind
each finding. Networks with loops cannot be held. pyAgrum is imported when first needed, so that
this file can be read without it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from headwater.belief.worlds import Factors, Network


def spoken_for(network: Network, factors: Factors) -> list[str]:
    """Return the conditions that findings speak for, and that something unlisted may have made."""
    found = [c for c, (present, absent) in factors.items() if present > absent]
    return [c for c in found if c not in network.priors]


def noisy_or_net(network: Network, unlisted: Iterable[str]) -> Any:
    """Return the network; `+id` has an origin occurred, `?id` something unlisted made a condition.

    Nothing unlisted is there until `allow_unlisted` says what was found.
    """
    import pyagrum as gum

    net = gum.BayesNet()
    for condition in network.conditions:
        net.addNoisyORNet(gum.LabelizedVariable(condition, condition, 2), 0.0)
    for cause, effect, p in network.links:
        net.addWeightedArc(cause, effect, p)
    roots = {f"+{origin}": (origin, prior) for origin, prior in network.priors.items()}
    roots |= {f"?{c}": (c, 0.0) for c in unlisted}
    for name, (condition, p) in roots.items():
        net.add(gum.LabelizedVariable(name, condition, 2))
        net.cpt(name).fillWith([1.0 - p, p])
        net.addWeightedArc(name, condition, 1.0)
    return net


def allow_unlisted(net: Any, network: Network, factors: Factors, unlisted: Iterable[str]) -> None:
    """Give each condition that findings speak for something unlisted that may have made it."""
    found = spoken_for(network, factors)
    for condition in unlisted:
        p = network.unlisted if condition in found else 0.0
        net.cpt(f"?{condition}").fillWith([1.0 - p, p])


def infer(
    net: Any, factors: Factors, wanted: Iterable[str], how: str = "LazyPropagation"
) -> tuple[dict[str, float], Any]:
    """Return the exact probability of the wanted nodes, and the inference that gave them."""
    import pyagrum as gum

    inference = getattr(gum, how)(net)
    evidence = {c: [absent, present] for c, (present, absent) in factors.items()}
    inference.setEvidence(evidence)
    names = list(wanted)
    for name in names:
        inference.addTarget(name)
    inference.makeInference()
    return {name: float(inference.posterior(name)[1]) for name in names}, inference

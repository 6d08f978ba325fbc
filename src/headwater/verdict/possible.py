"""What is still possible while nothing is named: the live chains, and what they may come to cost.

A range is reckoned by supposing: one live origin after the other is taken to be where it began,
with its chain down to what was found, and the gate and the options judge that case as any other.
Only totals leave this module, so that no action on a held part is told; and totals that come to a
single sum are kept back, for that would be a price for what is still held.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from headwater.graph.causal import causes_of
from headwater.rules.status import Status
from headwater.verdict.assess import Assessment
from headwater.verdict.ending import Ending
from headwater.verdict.gate import cost_to_mend
from headwater.verdict.live import LiveChain
from headwater.verdict.options import Option, make_options, planned_option
from headwater.verdict.prices import Prices

ONE_SUM = 0.005
"""Sums nearer than this are printed as one."""


@dataclass(frozen=True, slots=True)
class PriceRange:
    """The smallest and the largest cost of putting it right, material and labour.

    `refused` says why no repair is priced as things stand; empty where one is, or where nothing is
    to be repaired (`ways` is 0 then). `ways` are priced: of `live` origins, one way for each, or
    where `live` is 0, ways that the options allow. `low` is None where none is, or where a single
    sum would price what is held. Of the `materials` in them `unpriced` have no price: each sum is
    at least so much then.
    """

    refused: str = ""
    low: float | None = None
    high: float | None = None
    ways: int = 0
    live: int = 0
    materials: int = 0
    unpriced: int = 0


def price_range(assessment: Assessment, prices: Prices) -> PriceRange:
    """Return what putting it right may cost, from what the options allow and from nothing else."""
    now = planned_option(assessment, prices)
    if now is None:
        return PriceRange()
    if not now.refused:
        return _range("", [now])
    if assessment.ending is Ending.UNDETERMINED:
        options = make_options(assessment, prices)
        return _range(now.refused, [o for o in options if not (o.refused or o.leaves)])
    found = _over_live(assessment, prices, now.refused)
    if found.low is None or found.high is None or found.high - found.low < ONE_SUM:
        return replace(found, low=None, high=None)
    return found


def _range(refused: str, allowed: Sequence[Option]) -> PriceRange:
    sums = [option.known for option in allowed if option.known is not None]
    # A line of labour alone has a price of nothing to pay, and is no line of material.
    lines = {
        (charge.on, charge.what): charge.material
        for option in allowed
        for charge in option.charges
        if charge.material is None or charge.material
    }
    return PriceRange(
        refused,
        min(sums, default=None),
        max(sums, default=None),
        len(allowed),
        materials=len(lines),
        unpriced=sum(material is None for material in lines.values()),
    )


Live = Mapping[str, Mapping[str, LiveChain]]
"""The live chains to each finding, by origin."""


def _over_live(assessment: Assessment, prices: Prices, refused: str) -> PriceRange:
    """Return the range over one way for each live origin, and over the cheapest and the dearest.

    What an origin does not explain is put down to its own likeliest one. Where several things were
    found, the slightest and the heaviest chain to each of them make two ways more.
    """
    live = {finding: chains for finding, chains in assessment.live_chains.items() if chains}
    origins = list(dict.fromkeys(origin for chains in live.values() for origin in chains))
    ways = [_allowed(assessment, _story(live, origin), prices) for origin in origins]
    ends: list[Option | None] = []
    if len(live) > 1:
        for pick in (min, max):
            story = [
                pick(
                    chains.values(),
                    key=lambda chain: (_weight(assessment, chain, prices), chain.path),
                )
                for chains in live.values()
            ]
            ends.append(_allowed(assessment, story, prices))
    found = _range(refused, [option for option in (*ways, *ends) if option])
    return replace(found, ways=sum(option is not None for option in ways), live=len(origins))


def _story(live: Live, origin: str) -> list[LiveChain]:
    """Return chains that explain everything found, as far as they go from one origin."""
    told: list[LiveChain] = []
    left = dict(live)
    while left:
        told += [chains[origin] for chains in left.values() if origin in chains]
        left = {finding: chains for finding, chains in left.items() if origin not in chains}
        for chains in list(left.values())[:1]:
            origin = max(chains, key=lambda o: (chains[o].share, o))
    return told


def _weight(assessment: Assessment, chain: LiveChain, prices: Prices) -> float:
    """Return about what a chain costs, opening left out: to pick by, not to tell."""
    book, statuses = assessment.book, assessment.statuses
    costs = (cost_to_mend(book, statuses, cid, prices) for cid in chain.path)
    usual = {cost.part: cost for cost in costs if cost}
    return sum(cost.money or prices.work(cost.minutes) for cost in usual.values())


def _allowed(assessment: Assessment, story: Iterable[LiveChain], prices: Prices) -> Option | None:
    """Return the repair that would be planned if chains were found true, link by link.

    None where the gate would hold some part even then.
    """
    chains = list(story)
    present = {cid for chain in chains for cid in chain.path}
    origins = [chain.path[0] for chain in chains]
    others = causes_of(assessment.reasoner.graph, *origins) & assessment.book.origins.keys()
    # A chain is found true where nothing else is behind its finding; what was seen stays seen.
    others |= {origin for chains in assessment.live_chains.values() for origin in chains}
    seen = {c for c in others if assessment.statuses[c] is Status.CONFIRMED}
    found = assessment.reasoner.suppose(assessment, present, others - present - seen)
    # Asked first: why a case is not settled takes a search through the looks that are left.
    return planned_option(found, prices) if found.settled else None

"""The live chains: ways that what was found may have come about while its origin is not named."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from headwater.graph.causal import Graph, likeliest_chains
from headwater.verdict.account import Account


@dataclass(frozen=True, slots=True)
class LiveChain:
    """A way that what was found may have come about: conditions from its origin down."""

    path: tuple[str, ...]
    share: float


def live_by_finding(live: Graph, accounts: Iterable[Account]) -> dict[str, dict[str, LiveChain]]:
    """Return the likeliest live chain to each finding without a named origin, by its origin."""
    found: dict[str, dict[str, LiveChain]] = {}
    for account in accounts:
        if account.named:
            continue
        paths = likeliest_chains(live, account.condition)
        found[account.condition] = {
            candidate.origin: LiveChain(paths[candidate.origin], candidate.share)
            for candidate in account.candidates
            if candidate.origin in paths
        }
    return found

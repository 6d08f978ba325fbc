"""What one origin brings about stays what a foreman would recognise in a unit that comes in.

A vehicle comes to the shop at its first complaint. `often` says how many of the units that come in
with a cause show the effect already, so no single origin may set off the whole book, whatever
loops it enters.
"""

from __future__ import annotations

import random
from pathlib import Path
from statistics import fmean, median

import pytest

from headwater.book.load import load_book
from headwater.book.records import Book, for_family

ROOT = Path(__file__).resolve().parents[2]
PACKS = sorted(head.parent for head in (ROOT / "knowledge").glob("*/pack.yaml"))
WORLDS = 400

MEAN = 13.5
MEDIAN = 13
NINETEEN_OF_TWENTY = 30
ALL_ORIGINS = 6.0
"""Bounds on the conditions that one origin brings about, itself among them: the mean, the median,
what nineteen units in twenty stay within, and the mean over all origins by how common they are."""

FAMILIES = {
    "chain, as the examples assume": {"unit": "transfer-case"},
    "gear and splash": {"unit": "transfer-case", "drive": "gear", "pump": "splash"},
    "clutch pack, fixed flange, lever": {
        "unit": "transfer-case",
        "engagement": "clutch-pack",
        "rear-output": "fixed-flange",
        "shift": "lever",
    },
    "hub on rollers, dog sleeve": {
        "unit": "transfer-case",
        "hub": "rollers",
        "engagement": "dog",
        "friction": "none",
    },
    "axle with friction plates": {"unit": "drive-axle"},
    "axle with a lock, full-floating": {
        "unit": "drive-axle",
        "wheel-ends": "full-floating",
        "slip-limiting": "lock",
    },
    "case and axle of one vehicle": {"unit": "both"},
}


def brought_about(book: Book) -> dict[str, list[int]]:
    """Return how many conditions each origin brings about in each world, smallest first.

    Each link draws from a stream of its own, so that a new link leaves the others as they were.
    """
    worlds: list[dict[str, list[str]]] = [{} for _ in range(WORLDS)]
    for (cause, effect), link in book.links.items():
        stream = random.Random(f"{cause} -> {effect}")
        for effects in worlds:
            if stream.random() < link.often.p:
                effects.setdefault(cause, []).append(effect)
    return {
        origin: sorted(reached(origin, effects) for effects in worlds) for origin in book.origins
    }


def reached(origin: str, effects: dict[str, list[str]]) -> int:
    present = {origin}
    frontier = [origin]
    while frontier:
        new = [effect for effect in effects.get(frontier.pop(), ()) if effect not in present]
        present.update(new)
        frontier.extend(new)
    return len(present)


@pytest.fixture(scope="module")
def whole() -> Book:
    return load_book(PACKS)


@pytest.mark.parametrize("family", FAMILIES.values(), ids=FAMILIES)
def test_no_origin_sets_off_an_avalanche(whole: Book, family: dict[str, str]) -> None:
    book = for_family(whole, whole.family | family)
    counts = brought_about(book)
    late = int(0.95 * WORLDS)
    too_far = {
        origin: (fmean(each), median(each), each[late])
        for origin, each in counts.items()
        if fmean(each) > MEAN or median(each) > MEDIAN or each[late] > NINETEEN_OF_TWENTY
    }
    assert too_far == {}
    common = {cid: c.origin.common.p for cid, c in book.conditions.items() if c.origin}
    weighed = sum(p * fmean(counts[cid]) for cid, p in common.items())
    assert weighed / sum(common.values()) <= ALL_ORIGINS

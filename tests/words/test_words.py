"""The word trial at its lowest bounds: what is understood of phrases does not get worse unnoticed.

The phrases of `own.yaml` were at hand while the listening was built; they guard against change.
What strangers said is judged by the trial itself (`trial.py`).
"""

from __future__ import annotations

import pytest
from once import ROOT, load_once

from words.phrases import Guess, Phrase, read_phrases
from words.recognisers import Ours
from words.score import Score, score

FLOOR = {"understood": 0.9, "none wrong": 0.9, "danger": 1.0, "elsewhere": 0.95, "denied": 1.0}


@pytest.fixture(scope="module")
def scores() -> dict[str, Score]:
    packs = [path.parent for path in sorted((ROOT / "knowledge").glob("*/pack.yaml"))]
    return score(list(read_phrases()), Ours(load_once(packs)).guess)


@pytest.mark.parametrize("measure", FLOOR)
def test_it_does_not_get_worse(scores: dict[str, Score], measure: str) -> None:
    share = scores["file own"].shares[measure]
    assert share.of > 4
    assert share.value >= FLOOR[measure], "\n".join(scores["file own"].missed)


def test_the_score_counts_what_it_says() -> None:
    phrase = Phrase("f", "it hops, no leak", "call", (("hop", "bind"), ("howl",)), ("leak",))
    found = Score()
    found.add(phrase, Guess((frozenset({"bind"}), frozenset({"leak"})), (frozenset({"howl"}),)))
    hits = {name: (share.hit, share.of) for name, share in found.shares.items() if share.of}
    assert hits == {
        "understood": (1, 1),
        "all ticked": (0, 1),
        "none wrong": (0, 1),
        "no alarm": (1, 1),
        "own": (1, 1),
        "denied": (0, 1),
    }

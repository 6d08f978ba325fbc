"""Works on chains and their sprockets."""

from __future__ import annotations

from typing import Final

from headwater.measure import chains
from headwater.measure.work import Given, Input, Work, Worked
from headwater.units import Quantity


def _elongation(given: Given) -> Worked:
    found = chains.elongation(given["measured"], given["pitch"], given["pitches"])
    notes = []
    if found < 0:
        notes.append("shorter than a new chain: count the pitches again and check the pitch")
    duty = chains.ChainDuty(given.words["duty"])
    if duty is chains.ChainDuty.INVERTED_TOOTH:
        notes.append(
            "no published limit for an inverted-tooth chain at fixed centres: the unit's own "
            "limit comes first, 1.5 % stands in for it"
        )
    limit = chains.replacement_limit(given.numbers.get("larger-teeth"), duty)
    return Worked(found, (("replace at", Quantity(limit, "percent")),), tuple(notes))


def _chain_length(given: Given) -> Worked:
    pitch = given["pitch"]
    teeth = given["smaller-teeth"], given["larger-teeth"]
    return Worked(chains.length_in_pitches(*teeth, given["centres"] / pitch))


def _centres(given: Given) -> Worked:
    teeth = given["smaller-teeth"], given["larger-teeth"]
    return Worked(chains.centre_distance(*teeth, given["pitches"]) * given["pitch"])


def _sprocket(given: Given) -> Worked:
    return Worked(chains.pitch_diameter(given["pitch"], given["teeth"]))


_PITCH: Final = Input("pitch", "length", "pitch of the chain")
_SMALLER: Final = Input("smaller-teeth", "count", "teeth of the smaller sprocket")
_LARGER: Final = Input("larger-teeth", "count", "teeth of the larger sprocket")

CHAIN_WORKS: Final = (
    Work(
        "chain-elongation",
        "Wear of a chain as elongation over a number of pitches",
        (
            Input("measured", "length", "pin centre to pin centre, chain under tension"),
            _PITCH,
            Input("pitches", "count", "number of pitches measured over"),
            Input("larger-teeth", "count", "teeth of the larger sprocket", optional=True),
            Input(
                "duty",
                "choice",
                "centres of the sprockets and kind of chain",
                chains.ChainDuty.INVERTED_TOOTH.value,
                tuple(duty.value for duty in chains.ChainDuty),
            ),
        ),
        "elongation = 100 (M / (n p) - 1)",
        "chain handbooks after ANSI B29.1: 3 % in general, 1.5 % at fixed centres, 200/N % above "
        "67 teeth",
        "percent",
        _elongation,
    ),
    Work(
        "chain-length",
        "Length of a chain in pitches",
        (_SMALLER, _LARGER, Input("centres", "length", "distance of the shafts"), _PITCH),
        "L = 2 C + (n + N) / 2 + (N - n)² / (4 π² C), C in pitches",
        "the usual approximation of chain handbooks",
        "count",
        _chain_length,
    ),
    Work(
        "chain-centres",
        "Distance of the shafts that a chain asks for",
        (_SMALLER, _LARGER, Input("pitches", "count", "pitches in the chain"), _PITCH),
        "C = (a + √(a² - 8 ((N - n) / 2π)²)) / 4, a = L - (n + N) / 2, in pitches",
        "the usual approximation of chain handbooks",
        "length",
        _centres,
    ),
    Work(
        "sprocket-diameter",
        "Pitch diameter of a sprocket",
        (_PITCH, Input("teeth", "count", "teeth of the sprocket")),
        "d = p / sin(180° / N)",
        "geometry of the regular polygon",
        "length",
        _sprocket,
    ),
)

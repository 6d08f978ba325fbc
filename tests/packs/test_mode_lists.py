"""The mode lists against the published ones.

ISO 15243:2017: clause numbers as published (read for the edition of 2004, unchanged in 2017);
titles marked `remembered` in the pack are from memory, and the test asks for that mark.
ISO 10825:1995: the full list, read. The list of ISO 10825-1:2022 was not seen and is not tested.
"""

from __future__ import annotations

import re

import pytest

from headwater.book.model import Mode
from headwater.book.records import Book

ISO_15243 = {
    "5.1.2": "subsurface initiated fatigue",
    "5.1.3": "surface initiated fatigue",
    "5.2.2": "abrasive wear",
    "5.2.3": "adhesive wear",
    "5.3.2": "moisture corrosion",
    "5.3.3.2": "fretting corrosion",
    "5.3.3.3": "false brinelling",
    "5.4.2": "excessive current erosion",
    "5.4.3": "current leakage erosion",
    "5.5.2": "overload deformation",
    "5.5.3": "indentations from particles",
    "5.6.2": "forced fracture",
    "5.6.3": "fatigue fracture",
    "5.6.4": "thermal cracking",
}
TITLE_FROM_MEMORY = {"5.4.2", "5.4.3", "5.5.2", "5.5.3"}
ONLY_IN_2004 = {"5.5.4": "indentation from handling"}

ISO_10825_1995 = {
    "1.1.1.1": "moderate",
    "1.1.1.2": "polishing",
    "1.1.2": "abrasive",
    "1.1.3": "excessive",
    "1.1.4": "moderate scratching",
    "1.1.5": "severe scratching",
    "1.1.6": "interference wear",
    "1.2.1": "chemical",
    "1.2.2": "fretting",
    "1.2.3": "scaling",
    "1.3": "overheating",
    "1.4.1": "cavitation",
    "1.4.2": "hydraulic",
    "1.5": "electric erosion",
    "2": "scuffing",
    "3.1": "indentation",
    "3.2.1": "rolling",
    "3.2.2": "tooth hammer",
    "3.3": "rippling",
    "3.4": "ridging",
    "3.5": "burrs",
    "4.1.1": "initial pitting",
    "4.1.2": "progressive pitting",
    "4.1.3": "micropitting",
    "4.2": "flake pitting",
    "4.3": "spalling",
    "4.4": "case crushing",
    "5.1": "hardening",
    "5.2": "grinding",
    "5.3": "fatigue",
    "6.1.1": "brittle",
    "6.1.2": "ductile",
    "6.1.3": "semi-brittle",
    "6.2": "shear",
    "6.3": "after plastic deformation",
    "6.4.1": "bending",
    "6.4.2": "tooth",
}

# Appearance -> clauses that may be named for it, from an appearance-to-clause matrix for the 2004
# edition of ISO 15243; the words are those that the look of at least one such mode must hold.
APPEARANCES = [
    ("rust spots", {"5.3.2"}, ("rust spots",)),
    ("ring broken, no other sign", {"5.6.2"}, ("break", "no other sign")),
    ("ring broken after a grinding burn", {"5.6.3"}, ("break", "burn")),
    ("reddish seat", {"5.3.3.2"}, ("red", "seat")),
    ("over-rolled dents of particles", {"5.5.3"}, ("rolled-over", "dents")),
    ("spalls", {"5.1.2", "5.1.3"}, ("spalls",)),
    ("dull worn track", {"5.2.2"}, ("dull", "worn")),
    ("flutes", {"5.4.3"}, ("flutes",)),
    ("marks at element pitch from standstill", {"5.3.3.3"}, ("as far apart", "standstill")),
    ("impact marks at element pitch", {"5.5.2"}, ("dents", "as far apart")),
    ("smearing", {"5.2.3"}, ("smeared",)),
    ("craters from current", {"5.4.2"}, ("craters",)),
    ("worn cage guide", {"5.2.2", "5.2.3"}, ("cage guide",)),
]


def of(book: Book, name: str) -> dict[str, Mode]:
    """Return the modes of one list by clause."""
    return {mode.clause: mode for mode in book.modes.values() if mode.of == name}


def test_rolling_bearing_clauses_and_titles(modes: Book) -> None:
    found = {clause: mode.title for clause, mode in of(modes, "rolling-bearing").items()}
    assert found == ISO_15243 | ONLY_IN_2004


def test_what_is_remembered_says_so(modes: Book) -> None:
    marked = {c for c, m in of(modes, "rolling-bearing").items() if "from memory" in m.remembered}
    assert marked == TITLE_FROM_MEMORY | set(ONLY_IN_2004)
    assert "2004" in of(modes, "rolling-bearing")["5.5.4"].remembered


def test_gear_clauses_and_titles(modes: Book) -> None:
    gears = of(modes, "gear")
    assert gears.keys() == ISO_10825_1995.keys()
    for clause, word in ISO_10825_1995.items():
        assert word in gears[clause].title, clause
    assert {mode.source for mode in gears.values()} == {"iso-10825-1995"}


@pytest.mark.parametrize(("sign", "clauses", "words"), APPEARANCES, ids=[a[0] for a in APPEARANCES])
def test_appearance_leads_to_its_clause(
    sign: str, clauses: set[str], words: tuple[str, ...], modes: Book
) -> None:
    bearings = of(modes, "rolling-bearing")
    fitting = {c for c, m in bearings.items() if all(w in m.looks.lower() for w in words)}
    assert fitting & clauses, sign
    assert fitting <= clauses, f"{sign} is also said of {fitting - clauses}"


NEIGHBOURS = [
    ("false-brinelling", "bearing-overload-dents", "grinding marks"),
    ("false-brinelling", "current-flutes", "pitch"),
    ("subsurface-fatigue", "surface-fatigue", "deep"),
    ("moisture-corrosion", "fretting-corrosion", "seats"),
    ("bearing-forced-fracture", "bearing-fatigue-fracture", "beach lines"),
    ("bearing-debris-dents", "current-craters", "melted"),
    ("gear-scuffing", "gear-scratching-severe", "welded"),
    ("gear-brittle-fracture", "gear-bending-fatigue", "beach lines"),
]


@pytest.mark.parametrize(("mode", "neighbour", "word"), NEIGHBOURS)
def test_neighbours_are_told_apart_by_their_feature(
    mode: str, neighbour: str, word: str, modes: Book
) -> None:
    told = {str(other): text for other, text in modes.modes[mode].neighbours.items()}
    assert word in told[neighbour].lower()


FAMILIES = [
    ("fretting-corrosion", {"loose-fit", "misaligned", "vibration-running"}),
    ("false-brinelling", {"vibration-at-rest"}),
    ("moisture-corrosion", {"water"}),
    ("bearing-debris-dents", {"metal-in-oil-stream", "dirt"}),
    ("current-flutes", {"current"}),
    ("bearing-overload-dents", {"shock", "fitting"}),
    ("subsurface-fatigue", {"life-ended", "overload", "preload-wrong", "misaligned"}),
    ("bearing-forced-fracture", {"tight-fit", "fitting", "shock"}),
    ("seal-no-wear-band", {"no-interference"}),
    ("seal-wide-band", {"pressure"}),
    ("seal-wide-on-one-side", {"misaligned"}),
    ("seal-hard-lip", {"heat", "no-oil"}),
    ("seal-scored-lip", {"dirt", "rough-shaft"}),
    ("seal-cut-lip", {"fitting"}),
    ("seal-one-way-leak", {"rough-shaft"}),
]


@pytest.mark.parametrize(("mode", "reasons"), FAMILIES, ids=[f[0] for f in FAMILIES])
def test_mode_points_to_the_families_of_causes_known_for_it(
    mode: str, reasons: set[str], modes: Book
) -> None:
    assert reasons <= {str(reason) for reason in modes.modes[mode].points_to}


@pytest.mark.parametrize(
    "name",
    [
        "rolling-bearing",
        "gear",
        "lip-seal",
        "chain-and-sprocket",
        "spline",
        "fork",
        "friction-ring",
    ],
)
def test_every_mode_has_a_look_of_one_sentence_and_a_neighbour(name: str, modes: Book) -> None:
    members = [mode for mode in modes.modes.values() if mode.of == name]
    assert len(members) >= 4
    for mode in members:
        assert len(re.findall(r"[.!?](?:\s|$)", mode.looks)) == 1, mode.id
        assert mode.neighbours, mode.id

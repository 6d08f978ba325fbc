"""What is not so, and what is missing: a 'no' that denies a trouble, and one that is the trouble.

The sentences were written with the words of the book at hand, so they guard against change.
"""

from __future__ import annotations

import pytest

from headwater.book.records import Book
from headwater.hearing.answers import hear
from headwater.hearing.index import Index
from headwater.hearing.understand import understand

NUT_MISSING = [
    "no nut on two studs",
    "two places have no nut",
    "one stud ends short and shiny",
    "three of the studs have no nuts on them",
    "there's a stud with nothing on it",
    "one nut is not there any more",
    "we are two nuts short on the back left",
    "one of the bolts of the wheel is not there",
    "one nut is missing, the rest are tight",
]
NUT_SOUND = [
    "no nut is loose, all tight",
    "no nuts missing and no play",
    "no loose wheel",
    "no wheel is loose",
]
DRY = [
    "no oil on the garage floor",
    "there is no oil on the garage floor",
    "no drips on the drive",
    "no oil under the truck in the morning",
    "without any oil under the middle",
    "no spots under it",
]


@pytest.mark.parametrize("said", NUT_MISSING)
def test_a_fastener_that_is_missing_is_the_danger(index: Index, said: str) -> None:
    found = understand(index, said)
    assert found.emergency in ("wheel-working-loose", "loose-wheel")
    assert not {"wheel-working-loose", "loose-wheel"} & set(found.denied)


@pytest.mark.parametrize("said", NUT_SOUND)
def test_fasteners_that_are_sound_are_none(index: Index, said: str) -> None:
    assert understand(index, said).emergency is None


@pytest.mark.parametrize("said", DRY)
def test_a_thing_that_is_not_there_is_no_trouble(index: Index, said: str) -> None:
    told = {one.id for one in understand(index, said).understood}
    assert not told & {"oil-spots-under-vehicle", "axle-drips"}


def test_what_is_missing_for_its_work_is_still_a_trouble(index: Index) -> None:
    assert {one.id for one in understand(index, "no oil in the case").ticked} == {"oil-low"}
    assert understand(index, "no brakes").emergency == "brakes-gone"


@pytest.mark.parametrize(
    "said",
    [
        "van does not roll off on a slope where it always did",
        "it does not roll down the hill by itself as it used to",
        "does not roll forward by itself as it always did on our drive",
    ],
)
def test_what_it_always_did_and_does_no_more_denies_nothing(index: Index, said: str) -> None:
    assert not understand(index, said).denied


def test_what_never_happened_is_denied(index: Index) -> None:
    assert "rolls-in-park" in understand(index, "it does not roll away in park").denied


@pytest.mark.parametrize(
    ("check", "said", "answer"),
    [
        ("oil-gets-less", "no leak, oil changed 4,000 miles ago", "holds"),
        ("oil-gets-less", "no, never, oil changed last spring", "holds"),
        ("oil-gets-less", "no", "holds"),
        ("oil-gets-less", "no puddle, oil was changed in May", None),
        ("oil-gets-less", "it gets less and nothing drips", "less"),
        ("oil-spots-under-vehicle", "no oil on the garage floor", "no"),
        ("oil-spots-under-vehicle", "white paper laid out overnight stayed blank", "no"),
        ("oil-spots-under-vehicle", "there are no spots on the ground", "no"),
        ("oil-spots-under-vehicle", "some oil on the ground", "yes"),
    ],
)
def test_a_no_is_not_turned_round(
    index: Index, book: Book, check: str, said: str, answer: str | None
) -> None:
    assert hear(index, book, book.checks[check], said).answer == answer


@pytest.mark.parametrize(
    ("said", "never"),
    [
        ("it whines in high range, gone in low range", "whine-in-low-only"),
        ("it hums in high, in low it is fine", "whine-in-low-only"),
        ("the noise is gone in low range", "whine-in-low-only"),
        ("there is a puddle of water under the firewall", "fire"),
    ],
)
def test_where_nothing_is_the_matter_nothing_is_ticked(index: Index, said: str, never: str) -> None:
    found = understand(index, said)
    assert never not in {*found.signs, *(one.id for one in found.ticked)}
    assert never not in {shown for one in found.ticked for shown in one.shows}


@pytest.mark.parametrize(
    "said", ["quiet in two wheel drive and noisy in four", "range linkage bushings gone"]
)
def test_what_is_missing_or_only_there_is_no_calm(index: Index, said: str) -> None:
    assert understand(index, said).ticked


@pytest.mark.parametrize(
    "words",
    [
        "it must have been the fellow at the oil change who never filled it right",
        "they did not fill it up properly at the oil change",
    ],
)
def test_what_was_not_done_well_is_not_denied(index: Index, words: str) -> None:
    assert "filled-short" not in understand(index, words).denied

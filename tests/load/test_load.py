"""Thirty people answer for a minute: nothing goes wrong. The figures are printed (`-s`).

How long an answer takes and what memory grows by is printed and not asserted: both hang on what
else the machine does, and on the library. The arithmetic of the figures is tested here.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from load.beside import in_library
from load.person import ANSWER, SEATS
from load.run import EVERY_SECONDS, MINUTES, PEOPLE, percentile, table, under_load

from headwater.session.openbook import OpenBook
from headwater.shipped import open_packs, packs_with

OWN_CPU = 0.25
"""What the people may take of a core: more, and they would measure themselves."""


@pytest.mark.trial
def test_thirty_people_answer_and_nothing_goes_wrong(tmp_path: Path) -> None:
    opened: OpenBook = open_packs(packs_with((), ()))
    for name in ("pages", "library"):
        (tmp_path / name).mkdir()
    found = under_load(tmp_path / "pages", opened)
    library = in_library(tmp_path / "library", opened, found.deeds)
    print(f"\n{table(found, library)}")
    assert found.wrong == ()
    assert len(found.times()) == PEOPLE * MINUTES * 60 / EVERY_SECONDS
    assert all(found.times(ANSWER, seat) for seat in SEATS)
    assert found.own_cpu < OWN_CPU
    assert len([one for one in library if one.counts]) == len(found.times())


@pytest.mark.parametrize(
    ("seconds", "share", "wanted"),
    [
        ([1.0], 0.95, 1.0),
        ([3.0, 1.0, 2.0], 0.5, 2.0),
        ([float(n) for n in range(1, 101)], 0.95, 95.0),
    ],
)
def test_a_percentile_is_the_nearest_rank(
    seconds: list[float], share: float, wanted: float
) -> None:
    assert percentile(seconds, share) == wanted

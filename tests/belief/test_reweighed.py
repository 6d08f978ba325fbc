"""Figures from worlds of the whole network: held against sums, used where these cannot be had."""

from __future__ import annotations

import pytest

from headwater.belief import sizing
from headwater.belief.figures import Figures
from headwater.belief.reweighed import Reweighed, figures_of
from headwater.book.tables import Drive, Seat
from headwater.measure.answer import understand
from headwater.shipped import open_packs, shipped_packs
from headwater.verdict.assess import Assessment
from headwater.verdict.reach import Stand


def judge(**given: str) -> Assessment:
    """Return what answers at the telephone come to, `_` standing for `-`."""
    opened = open_packs(shipped_packs())
    reasoner = opened.compiled(opened.book.assumed)
    pairs = [(name.replace("_", "-"), word) for name, word in given.items()]
    told = [understand(reasoner.book, reasoner.book.checks[name], word) for name, word in pairs]
    return reasoner.assess(told, Stand(Seat.CALL))


@pytest.mark.parametrize(
    "given",
    [
        {"hop_on_tight_turns": "yes"},
        {"front_wheels_do_not_pull": "no-pull", "work_before_trouble": "nothing"},
        {"oil_spots_under_vehicle": "yes", "work_before_trouble": "nothing"},
    ],
)
def test_they_agree_with_sums_where_there_are_some(given: dict[str, str]) -> None:
    found = judge(**given).posterior
    assert found.exact
    sums, drawn = Figures(found), Reweighed(found)
    dangers = [c for c, one in judge(**given).book.conditions.items() if one.danger]
    apart = [
        c
        for c in dangers
        if drawn.glance(c, ()).low > sums.glance(c, ()).high + 1e-9
        or drawn.glance(c, ()).high < sums.glance(c, ()).low - 1e-9
    ]
    assert not apart


@pytest.mark.parametrize(
    "given",
    [
        {"front_wheels_do_not_pull": "no-pull"},
        {
            "oil_spots_under_vehicle": "yes",
            "work_before_trouble": "nothing",
            "wheels_locked": "no",
        },
    ],
)
def test_links_left_out_make_no_rare_danger_likely(
    given: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A model too large for its sums once stopped the vehicle for the first danger by name."""
    monkeypatch.setattr(sizing, "CELLS", 2_000_000)
    found = judge(**given)
    assert found.posterior.model.left_out
    assert isinstance(figures_of(found.posterior), Reweighed)
    assert found.drive.advice is not Drive.STOP
    rare = figures_of(found.posterior).glance("case-holed-from-outside", ())
    assert rare.high < 0.05

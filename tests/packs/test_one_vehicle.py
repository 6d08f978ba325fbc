"""Both units in one vehicle: the origin may lie in the other unit, or between them."""

from __future__ import annotations

from pathlib import Path

import pytest
from sessions import at_hoist

from headwater.author.sample import SampleRunner
from headwater.book.records import Book
from headwater.session.openbook import OpenBook
from headwater.session.session import Session
from headwater.session.unit import attributes_that_matter
from headwater.verdict.account import Naming
from headwater.verdict.assess import Reasoner, build_reasoner
from headwater.verdict.ending import Ending

FAMILY = {"unit": "both", "rear-output": "fixed-flange", "slip-limiting": "open"}
CHAINS = sorted(
    path.name.removesuffix(".cases.yaml")
    for path in (Path(__file__).resolve().parents[2] / "knowledge" / "driveline").glob(
        "*.cases.yaml"
    )
)


@pytest.fixture(scope="module")
def both(vehicle: Book) -> Reasoner:
    return build_reasoner(vehicle, FAMILY)


@pytest.fixture(scope="module")
def runner(vehicle: Book) -> SampleRunner:
    return SampleRunner(OpenBook(vehicle))


def judge(vehicle: Book, both: Reasoner, **answers: str) -> Session:
    return at_hoist(vehicle, FAMILY, both, **answers)


@pytest.mark.parametrize("chain", CHAINS)
def test_cases_beside_the_chain(chain: str, runner: SampleRunner) -> None:
    samples = runner.book.samples[chain]
    assert len(samples) >= 2
    assert [str(p) for sample in samples for p in runner.problems_of(chain, sample)] == []


def test_which_axle_it_is_is_asked_before_front_hubs_are(vehicle: Book, both: Reasoner) -> None:
    """At a rear axle nothing of the pack of front wheel ends is left to be asked."""

    def of_front_ends(session: Session) -> list[str]:
        owner = session.book.owner
        asked = (item.check for item in session.next())
        return [check for check in asked if owner["checks", check] == "wheel-ends"]

    unknown = judge(vehicle, both, wheel_growl_told="changes")
    assert of_front_ends(unknown)
    assert "axle-place" in attributes_that_matter(unknown)
    rear = at_hoist(vehicle, FAMILY | {"axle-place": "rear"}, wheel_growl_told="changes")
    assert of_front_ends(rear) == []
    assert "axle-place" not in attributes_that_matter(rear)
    assert {"wheel-bearing-feel", "wheel-rock"} <= {item.check for item in rear.next()}


def test_one_shaft_explains_the_shake_of_both_units(vehicle: Book, both: Reasoner) -> None:
    found = judge(
        vehicle,
        both,
        vibration_by_road_speed="coasting-too",
        axle_shake_told="shakes",
        rear_shaft_tube="unbalanced",
        rear_shaft_clamp_try="nearly-gone",
        rear_joints="tight",
        pinion_flange_runout="0.02 mm",
        weight_spots_look="bare-spots",
        weight_count_record="fewer",
        heavy_side_place="bare-spots",
    ).verdict
    assert found.ending is Ending.SETTLED
    assert found.origins == {"balance-weight-lost": Naming.PROVEN}
    first = found.plan[0]
    assert (first.on, first.action) == ("shaft-tube", "adjust")


def test_wind_up_that_comes_from_the_axle_ratio(vehicle: Book, both: Reasoner) -> None:
    found = judge(
        vehicle,
        both,
        hop_on_tight_turns="yes",
        wind_up_release="springs",
        axle_ratios_counted="{front: 3.73, rear: 3.92}",
        axle_shaft_break="broken-coarse",
        axle_work_asked="changed",
        axle_tags="differ",
        shock_asked="no",
        tyre_rolling_radius="{front: 365 mm, rear: 365 mm}",
    ).verdict
    assert found.origins == {"axle-ratio-mismatch": Naming.PROVEN}
    assert found.held == ["axle-shafts"]  # wind-up leads, but other loads break a shaft as well
    assert not {"chain", "mode-sleeve", "mode-fork"} & set(found.decisions)


def test_the_same_vehicle_with_like_ratios_keeps_the_shaft_held(
    vehicle: Book, both: Reasoner
) -> None:
    found = judge(
        vehicle,
        both,
        wind_up_release="springs",
        axle_ratios_counted="{front: 3.73, rear: 3.73}",
        axle_shaft_break="broken-coarse",
    ).verdict
    assert "axle-ratio-mismatch" not in found.origins
    assert found.held == ["axle-shafts"]

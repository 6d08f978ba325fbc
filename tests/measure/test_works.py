"""Works as a check in the book and a person at the bench run them."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pytest

from headwater.errors import HeadwaterError
from headwater.measure.faults import MeasureError
from headwater.measure.registry import WORKS, Given, Input, Work, find_work, run_work
from headwater.measure.work import Worked, perform
from headwater.units import Quantity, UnitError, base_unit, dimensions, parse_quantity

# A run of every work: inputs as written at the bench, and the result in its base unit.
RUNS: Mapping[str, tuple[dict[str, str], float]] = {
    "axial-float": ({"pushed": "0.12 mm", "pulled": "1.26 mm"}, 1.14),
    "stack-float": ({"space": "20 mm", "parts": "17, 1.9 mm"}, 1.1),
    "shim-pack": (
        {"measured": "0.47 mm", "least": "0.06 mm", "most": "0.11 mm", "shims": "0.35, 0.40 mm"},
        0.385,
    ),
    "preload-shim": ({"clearance": "0.009 in", "preload": "0.004 in"}, 0.3302),
    "changed-shim": ({"fitted": "0.62 mm", "change": "-0.21 mm"}, 0.41),
    "bearing-fit": ({"bore": "80.02 mm", "ring": "79.994 mm"}, 0.026),
    "hot-fit": (
        {
            "bore": "79.95 mm",
            "ring": "80 mm",
            "housing": "magnesium-az91d",
            "working-temperature": "100 °C",
        },
        0.0364,
    ),
    "gauge-uncertainty": ({"readings": ".112, .115, .110, .114, .113 mm"}, 0.1128),
    "chain-elongation": ({"measured": "627.888 mm", "pitch": "1 in", "pitches": "24"}, 3.0),
    "chain-length": (
        {
            "smaller-teeth": "35",
            "larger-teeth": "35",
            "centres": "190.5 mm",
            "pitch": "9.525 mm",
        },
        75,
    ),
    "chain-centres": (
        {"smaller-teeth": "35", "larger-teeth": "35", "pitches": "75", "pitch": "9.525 mm"},
        190.5,
    ),
    "sprocket-diameter": ({"pitch": "9.525 mm", "teeth": "35"}, 106.259186),
    "planetary-ratio": ({"sun": "33", "ring": "75"}, 3.272727),
    "held-ring-speed": (
        {"sun-speed": "108 rpm", "carrier-speed": "33 rpm", "sun": "33", "ring": "75"},
        0,
    ),
    "overall-ratio": ({"stages": "2.72:1, 3.73:1"}, 10.1456),
    "range-ratio": ({"input-speed": "2720 rpm", "output-speed": "1000 rpm"}, 2.72),
    "slipping-ratio": ({"expected": "2.72", "slip": "15 %"}, 3.2),
    "misread-ratio": ({"expected": "2.6", "true-teeth": "40", "read-teeth": "39"}, 2.666667),
    "tone-ring-frequency": ({"teeth": "40", "speed": "1500 rpm"}, 1000),
    "tone-ring-speed": ({"teeth": "40", "frequency": "1 kHz"}, 1500),
    "shaft-speed": (
        {"road-speed": "100 km/h", "rolling-radius": "365 mm", "axle-ratio": "3.73"},
        2710.7212,
    ),
    "axle-mismatch": ({"front": "3.73", "rear": "3.70"}, 0.810811),
    "rolling-radius": ({"distance": "1 km", "turns": "436.040946"}, 365),
    "rolling-radius-mismatch": ({"front": "365 mm", "rear": "372 mm"}, -1.881720),
    "wind-up": (
        {
            "front-radius": "365 mm",
            "rear-radius": "365 mm",
            "front-axle": "3.73",
            "rear-axle": "3.70",
        },
        13.081228,
    ),
    "joint-unevenness": ({"angle": "8°"}, 1.95595),
    "residual-angle": ({"first": "5°", "second": "4°"}, 3.00244),
    "critical-speed": ({"outside": "76.2 mm", "bore": "72 mm", "length": "1500 mm"}, 5623.918),
    "residual-unbalance": (
        {"unbalance": "458.366 g·mm", "mass": "12 kg", "speed": "4000 rpm"},
        200,
    ),
    "girth-mismatch": ({"front": "2350 mm", "rear": "2400 mm"}, 2.127660),
    "fitted-clearance": ({"shaft": "45.025 mm", "ring-bore": "45 mm", "group": "CN"}, -0.014),
    "thread-engagement": (
        {
            "length": "30 mm",
            "clamped": "14 mm",
            "diameter": "8 mm",
            "pitch": "1.25 mm",
            "tapped": "magnesium",
        },
        2,
    ),
    # 3.3144 Ω / (1 + 0.00393 x 80) = 2.521607 Ω, of 2.8 Ω stated
    "coil-resistance": (
        {"resistance": "3.3144 Ω", "temperature": "100 °C", "stated": "2.8 Ω"},
        90.05739,
    ),
    "viscosity-at-temperature": (
        {"viscosity-40": "34 cSt", "viscosity-100": "7.2 cSt", "temperature": "80 °C"},
        10.8781,
    ),
    "viscosity-index": ({"viscosity-40": "73.30 cSt", "viscosity-100": "8.86 cSt"}, 92.426),
    "viscosity-ratio": (
        {
            "viscosity-40": "34 cSt",
            "viscosity-100": "7.2 cSt",
            "temperature": "100 °C",
            "speed": "1000 rpm",
            "bearing-bore": "45 mm",
            "bearing-outside": "80 mm",
        },
        0.4,
    ),
    "bearing-frequencies": (
        {
            "elements": "8",
            "element-diameter": "10 mm",
            "pitch-diameter": "50 mm",
            "speed": "1800 rpm",
        },
        96,
    ),
    "match-noise": ({"frequency": "875 Hz", "speed": "1500 rpm", "teeth": "35, 33"}, 35),
}


def test_every_work_has_a_run_here() -> None:
    assert set(RUNS) == set(WORKS)


@pytest.mark.parametrize("name", sorted(RUNS))
def test_a_work_gives_its_number_and_says_how(name: str) -> None:
    inputs, value = RUNS[name]
    work = WORKS[name]
    found = run_work(name, inputs)
    assert found.value.value == pytest.approx(value, rel=1e-5, abs=1e-9)
    assert found.value.dimension == work.dimension
    text = "\n".join(found.lines)
    assert work.formula in text
    assert work.source in text
    assert all(f"{item}: " in text for item in inputs)


@pytest.mark.parametrize("name", sorted(WORKS))
def test_a_work_is_fully_described(name: str) -> None:
    work = WORKS[name]
    assert work.name == name
    assert all((work.title, work.formula, work.source))
    base_unit(work.dimension)
    names = [item.name for item in work.inputs]
    assert len(names) == len(set(names))
    for item in work.inputs:
        assert item.ask
        assert (item.dimension == "choice") is (item.choices is not None)
        assert item.choices is not None or item.dimension in dimensions()


@pytest.mark.parametrize("name", sorted(WORKS))
def test_a_missing_input_is_named(name: str) -> None:
    inputs = dict(RUNS[name][0])
    needed = next(item for item in WORKS[name].inputs if not item.optional and not item.default)
    del inputs[needed.name]
    with pytest.raises(MeasureError, match=f"{name} needs '{needed.name}': "):
        run_work(name, inputs)


def test_uncertainties_add_as_squares() -> None:
    found = run_work("bearing-fit", {"bore": "80.02 ± 0.004 mm", "ring": "79.994 mm ± 0.003 mm"})
    assert found.uncertainty == pytest.approx(0.0025)
    assert "bearing-fit = 0.0260 mm (0.001 in) ± 0.0050 mm (U, k = 2)" in found.lines


def test_uncertainties_of_gauges_may_come_from_outside() -> None:
    inputs = {"bore": "80.02 ± 0.006 mm", "ring": "79.994 mm"}
    assert run_work("bearing-fit", inputs, {"bore": 0.004}).uncertainty == pytest.approx(0.005)


def test_uncertainty_follows_the_slope_of_the_formula() -> None:
    # d(n1 / n2) = dn1 / n2: 10 rpm of U on 2720 over 1000 rpm is 0.01 of U.
    inputs = {"input-speed": "2720 rpm ± 10 rpm", "output-speed": "1000 rpm"}
    found = run_work("range-ratio", inputs)
    assert found.uncertainty == pytest.approx(0.005)


def test_scatter_of_several_readings_counts() -> None:
    inputs = {"bore": "80.02 mm", "ring": "79.993, 79.994, 79.995 mm"}
    found = run_work("bearing-fit", inputs)
    assert found.value.value == pytest.approx(0.026)
    assert found.uncertainty == pytest.approx(0.001 / math.sqrt(3))


def test_a_gauge_budget_carries_its_own_uncertainty() -> None:
    inputs = {
        "readings": "0.112, 0.115, 0.110, 0.114, 0.113 mm",
        "resolution": "0.001 mm",
        "certificate": "0.004 mm",
    }
    assert run_work("gauge-uncertainty", inputs).uncertainty == pytest.approx(0.00219620885)


def test_one_side_of_an_uncertainty_may_leave_the_formula() -> None:
    # An output that slips by 99 % ± 4 %: the upper side would stand still.
    found = run_work("slipping-ratio", {"expected": "1", "slip": "99 % ± 4 %"})
    assert found.uncertainty == pytest.approx(100 - 1 / 0.03)


def test_a_count_carries_no_uncertainty() -> None:
    with pytest.raises(MeasureError, match="sun: ± leaves nothing"):
        run_work("planetary-ratio", {"sun": "33 ± 1", "ring": "75"})


def test_a_temperature_is_shown_with_a_difference_behind_it() -> None:
    found = run_work(
        "viscosity-at-temperature",
        {
            "viscosity-40": "34 cSt",
            "viscosity-100": "7.2 cSt",
            "temperature": "80 °C ± 2 K",
        },
    )
    assert "temperature: 80.0 °C ± 2.0 K (U, k = 2)" in found.lines
    assert found.uncertainty > 0


def test_parsed_quantities_and_lists_may_be_put_in() -> None:
    bore, ring = parse_quantity("80.02 mm"), parse_quantity("79.994 mm")
    assert run_work("bearing-fit", {"bore": bore, "ring": ring}).value.value == 0.026
    assert run_work("stack-float", {"space": "20 mm", "parts": ring.text}).notes
    one = run_work("stack-float", {"space": "20 mm", "parts": Quantity(17.0, "length")})
    assert one.value.value == pytest.approx(3)
    several = run_work("stack-float", {"space": "20 mm", "parts": [17, "1.9 mm"]})
    assert several.value.value == pytest.approx(1.1)


@pytest.mark.parametrize(
    ("name", "inputs", "says"),
    [
        ("axial-float", {"pushed": "0.1"}, "pushed: '0.1': the unit is missing"),
        ("axial-float", {"pushed": "1 Nm"}, "pushed: '1 Nm' is a torque, but a length"),
        ("axial-float", {"foo": "1 mm"}, "does not ask for 'foo'; it asks for pushed, pulled"),
        ("hot-fit", {"bore": "8 mm", "ring": "8 mm", "housing": "tin"}, "'tin' is not one of"),
        (
            "match-noise",
            {"frequency": "9 Hz", "speed": "9 rpm", "elements": "9"},
            "a bearing needs elements",
        ),
        ("chain-elongaton", {}, "there is chain-elongation"),
        ("qqqq", {}, "there is axial-float"),
        ("overall-ratio", {"stages": ", ".join(["1e12"] * 40)}, "no finite result"),
    ],
)
def test_what_cannot_be_used_is_said(name: str, inputs: dict[str, str], says: str) -> None:
    with pytest.raises(HeadwaterError) as caught:
        run_work(name, inputs)
    assert says in caught.value.message


def test_a_quantity_of_the_wrong_dimension_is_refused() -> None:
    torque = Quantity(1.0, "torque")
    with pytest.raises(MeasureError, match="pushed: is a torque, but a length is wanted"):
        run_work("axial-float", {"pushed": torque, "pulled": "1 mm"})


def test_a_bearing_swapped_end_for_end_is_refused() -> None:
    inputs = RUNS["viscosity-ratio"][0] | {"bearing-bore": "90 mm"}
    with pytest.raises(MeasureError, match="swap the two"):
        run_work("viscosity-ratio", inputs)


def test_the_fault_keeps_its_kind() -> None:
    with pytest.raises(UnitError):
        run_work("axial-float", {"pushed": "wide", "pulled": "1 mm"})


def test_defaults_are_shown_as_taken() -> None:
    lines = run_work("shim-pack", RUNS["shim-pack"][0]).lines
    assert "scrap-over: 0.508 mm (0.02 in) (taken, not given)" in lines
    assert "pack of 0.4 mm leaves a float of 0.07 mm" in lines


def test_a_float_past_the_scrap_limit_is_offered_no_pack() -> None:
    inputs = RUNS["shim-pack"][0] | {"measured": "0.045 in"}
    notes = run_work("shim-pack", inputs).notes
    assert notes == ("past the scrap limit: shims must not be used",)


def test_a_float_near_the_scrap_limit_is_not_decided() -> None:
    inputs = RUNS["shim-pack"][0] | {"measured": "0.50 mm ± 0.02 mm"}
    assert "too close to the scrap limit" in run_work("shim-pack", inputs).notes[0]


def test_without_shims_at_hand_the_pack_is_only_computed() -> None:
    inputs = {k: v for k, v in RUNS["shim-pack"][0].items() if k != "shims"}
    assert run_work("shim-pack", inputs).notes[0].startswith("fit a pack")


def test_a_fit_against_its_class() -> None:
    inputs = RUNS["bearing-fit"][0] | {"class": "K7", "nominal": "80 mm"}
    found = run_work("bearing-fit", inputs)
    further = {name: quantity.value for name, quantity in found.further}
    assert further["bore over the upper limit of K7 by"] == pytest.approx(0.011)
    assert "does not prove that the ring is held when hot" in found.notes[-1]


def test_tight_cold_and_loose_hot() -> None:
    found = run_work("hot-fit", RUNS["hot-fit"][0])
    further = dict(found.further)
    assert further["clearance as measured"].value == pytest.approx(-0.05)
    assert further["grip gone at"].value == pytest.approx(20 + 0.05 / (80 * 13.5e-6))
    assert any(note.startswith("loose when hot") for note in found.notes)


def test_loose_cold_has_no_grip_to_lose() -> None:
    found = run_work("hot-fit", RUNS["hot-fit"][0] | {"bore": "80.01 mm"})
    assert "grip gone at" not in dict(found.further)
    assert any("no grip to lose" in note for note in found.notes)


def test_an_iron_bore_holds() -> None:
    found = run_work("hot-fit", RUNS["hot-fit"][0] | {"housing": "grey-iron"})
    assert found.value.value < -0.05
    assert any("does not loosen" in note for note in found.notes)


def test_the_limit_of_an_inverted_tooth_chain_is_a_stand_in() -> None:
    found = run_work("chain-elongation", RUNS["chain-elongation"][0])
    assert dict(found.further)["replace at"].value == 1.5
    assert any("no published limit" in note for note in found.notes)
    general = RUNS["chain-elongation"][0] | {"duty": "adjustable", "larger-teeth": "100"}
    assert dict(run_work("chain-elongation", general).further)["replace at"].value == 2


def test_a_chain_shorter_than_new_is_a_miscount() -> None:
    found = run_work("chain-elongation", RUNS["chain-elongation"][0] | {"pitches": "25"})
    assert "count the pitches again" in found.notes[0]


@pytest.mark.parametrize(("planets", "word"), [("4", "can"), ("5", "cannot")])
def test_planets_that_can_be_assembled(planets: str, word: str) -> None:
    found = run_work("planetary-ratio", RUNS["planetary-ratio"][0] | {"planets": planets})
    assert found.notes == (f"{planets} equally spaced planets {word} be assembled",)


@pytest.mark.parametrize(("output", "notes"), [("900 rpm", 0), ("1100 rpm", 1)])
def test_a_ratio_against_what_the_unit_can_have(output: str, notes: int) -> None:
    inputs = {"input-speed": "2720 rpm", "output-speed": output, "expected": "1, 2.72"}
    found = run_work("range-ratio", inputs)
    assert dict(found.further)["nearest expected ratio"].value == 2.72
    assert len(found.notes) == notes


def test_a_road_speed_with_a_tone_ring() -> None:
    found = run_work("shaft-speed", RUNS["shaft-speed"][0] | {"teeth": "40"})
    assert dict(found.further)["tone ring"].value == pytest.approx(1807.1475, abs=5e-5)


@pytest.mark.parametrize(
    ("front", "rear", "note"),
    [
        ("365 mm", "372 mm", "the front shaft wants to run ahead"),
        ("372 mm", "365 mm", "the rear shaft wants to run ahead"),
        ("365 mm", "365 mm", "front and rear agree"),
    ],
)
def test_wind_up_says_which_shaft_runs_ahead(front: str, rear: str, note: str) -> None:
    axles = {"front-axle": "3.73", "rear-axle": "3.73"}
    found = run_work("wind-up", {"front-radius": front, "rear-radius": rear, **axles})
    assert found.notes == (note,)


@pytest.mark.parametrize(
    ("nu_100", "says"), [("7.0 cSt", "grade 12 or 16 or 20"), ("30 cSt", "no grade")]
)
def test_the_grade_beside_the_index(nu_100: str, says: str) -> None:
    found = run_work("viscosity-index", {"viscosity-40": "300 cSt", "viscosity-100": nu_100})
    assert found.notes[0].endswith(says)


def test_a_noise_with_bearing_and_teeth() -> None:
    bearing = {"elements": "9", "element-diameter": "7.94 mm", "pitch-diameter": "38.5 mm"}
    inputs = {"frequency": "89 Hz", "speed": "1500 rpm", "teeth": "35", **bearing}
    assert run_work("match-noise", inputs).notes == ("outer ring, 1 x: order 3.572, off -0.33 %",)
    far = run_work("match-noise", {"frequency": "500 Hz", "speed": "1500 rpm", "teeth": "35"})
    assert far.notes == ("no source within the tolerance",)


def test_a_work_of_a_shop_can_be_run_too() -> None:
    def twice(given: Given) -> Worked:
        return Worked(2 * given["length"])

    work = Work("twice", "Twice", (Input("length", "length", "x"),), "2 x", "none", "length", twice)
    found = perform(work, {"length": "1 mm ± 0.2 mm"})
    assert (found.value.value, found.uncertainty) == pytest.approx((2.0, 0.2))


def test_works_are_found_by_name() -> None:
    assert find_work("wind-up").dimension == "turns-per-distance"

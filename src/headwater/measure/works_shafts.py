"""Works on propeller shafts, tyres by their girth, threads, fitted bearings and coils."""

from __future__ import annotations

import math
from typing import Final

from headwater.measure import fastening, ratios, shafts
from headwater.measure.faults import MeasureError
from headwater.measure.work import Given, Input, Work, Worked
from headwater.units import Quantity

_TORSION: Final = 0.0027
_SPRING: Final = "SAE AE-7 gives what a second joint allows the first; the maker's figure wins"


def _unevenness(given: Given) -> Worked:
    bend = given["angle"]
    turned = math.cos(math.radians(bend))
    span = shafts.joint_span(bend)
    further = (
        ("slowest, as a share of the driving speed", Quantity(turned, "ratio")),
        ("fastest, as a share of the driving speed", Quantity(1 / turned, "ratio")),
        ("leads or lags at most", Quantity(shafts.joint_lead(bend), "angle")),
    )
    return Worked(100 * span, further, ("twice a turn: it shakes at two times shaft speed",))


def _residual(given: Given) -> Worked:
    bends = [given[name] for name in ("first", "second", "third") if name in given.numbers]
    span = shafts.shaft_span(bends, given["twist"])
    note = "more" if span > _TORSION else "no more"
    told = f"{note} than one joint at 3 degrees, the usual limit of a whole shaft"
    further = (("span of speed behind the shaft", Quantity(100 * span, "percent")),)
    return Worked(shafts.as_one_joint(span), further, (told,))


def _critical(given: Given) -> Worked:
    found = shafts.critical_speed(given["outside"], given["bore"], given["length"])
    most = found * shafts.WORKING_SHARE
    return Worked(found, (("most on the road, 0.7 of it", Quantity(most, "rotation")),))


def _unbalance(given: Given) -> Worked:
    mass, speed = given["mass"], given["speed"]
    allowed = shafts.permissible_unbalance(mass, speed, given.words["grade"])
    further = [("allowed in each of two planes", Quantity(allowed / 2, "unbalance"))]
    if "radius" in given.numbers:
        grams = given["unbalance"] / given["radius"]
        further.append(("weight that takes it away", Quantity(grams / 1000, "mass")))
    if "run-out" in given.numbers:
        own = shafts.unbalance_of_run_out(mass, given["run-out"])
        further.append(("what the run-out alone makes", Quantity(own, "unbalance")))
    return Worked(100 * given["unbalance"] / (allowed / 2), tuple(further))


def _girth(given: Given) -> Worked:
    front, rear = given["front"], given["rear"]
    axles = given["front-axle"], given["rear-axle"]
    radii = front / (2 * math.pi), rear / (2 * math.pi)
    shafts_apart = ratios.wind_up(*radii, *axles)
    further = (
        ("front shaft ahead of the rear one", Quantity(shafts_apart, "turns-per-distance")),
        ("tyres alone", Quantity(ratios.mismatch(front, rear), "percent")),
    )
    share = ratios.mismatch(axles[0] / front, axles[1] / rear)
    return Worked(share, further, ("girths of free tyres at one pressure: loaded they roll less",))


def _fitted(given: Given) -> Worked:
    grip = given["shaft"] - given["ring-bore"]
    kept = given["kept"] / 100
    notes = ("the outer ring's seat may take more away; the maker's figure wins",)
    if "group" in given.words:
        least, most = fastening.group_clearance(given.words["group"], given["ring-bore"])
        largest = fastening.fitted_clearance(most, grip, kept)
        further = (("from the most of the group", Quantity(largest, "length")),)
        return Worked(fastening.fitted_clearance(least, grip, kept), further, notes)
    if "clearance" not in given.numbers:
        raise MeasureError("fitted-clearance needs 'clearance' before fitting, or the 'group'")
    return Worked(fastening.fitted_clearance(given["clearance"], grip, kept), (), notes)


def _engagement(given: Given) -> Worked:
    depth = given["depth"] if "depth" in given.numbers else None
    found = fastening.engaged(given["length"], given["clamped"], given["diameter"], depth)
    least = fastening.LEAST_ENGAGED[given.words["tapped"]]
    note = "enough" if found >= least else "too short: it strips the hole before it holds"
    turns = found * given["diameter"] / given["pitch"]
    further = (
        ("turns of the thread", Quantity(turns, "count")),
        ("least in this metal", Quantity(least, "ratio")),
        ("as a share of the least", Quantity(100 * found / least, "percent")),
    )
    return Worked(found, further, (note,))


def _coil(given: Given) -> Worked:
    cold = fastening.resistance_at_20(given["resistance"], given["temperature"])
    further = (("resistance at 20 °C", Quantity(cold, "resistance")),)
    return Worked(100 * cold / given["stated"], further)


_BEND: Final = "angle of the joint, drive straight, vehicle laden as it runs"

SHAFT_WORKS: Final = (
    Work(
        "joint-unevenness",
        "How unevenly one universal joint turns",
        (Input("angle", "angle", _BEND),),
        "U = 100 (1 / cos a - cos a)",
        "kinematics of the cross joint",
        "percent",
        _unevenness,
    ),
    Work(
        "residual-angle",
        "What two or three joints of a shaft leave uneven, as the bend of one joint",
        (
            Input("first", "angle", "angle of the first joint"),
            Input("second", "angle", "angle of the second joint"),
            Input("third", "angle", "angle of a third joint", optional=True),
            Input("twist", "angle", "how far the yokes of a shaft stand out of line", "0°"),
        ),
        "U = | U1 - U2 e^2iδ + U3 e^4iδ |, U = tan a sin a, as the bend of one joint",
        f"kinematics of the cross joint; {_SPRING}",
        "angle",
        _residual,
    ),
    Work(
        "critical-speed",
        "Speed at which the tube of a propeller shaft whips",
        (
            Input("outside", "length", "outside diameter of the tube"),
            Input("bore", "length", "bore of the tube"),
            Input("length", "length", "length between the joints"),
        ),
        "n = 1.207e8 √(D² + d²) / L² (mm, r/min)",
        "beam on two supports, steel 206 GPa, 7850 kg/m³; share of 0.7: guides of shaft makers",
        "rotation",
        _critical,
    ),
    Work(
        "residual-unbalance",
        "Unbalance left at one end of a shaft, in percent of what it may keep there",
        (
            Input("unbalance", "unbalance", "unbalance at its worse end, as the machine gives it"),
            Input("mass", "mass", "mass of the shaft"),
            Input("speed", "rotation", "its highest speed"),
            Input("grade", "choice", "balance grade", "G16", tuple(shafts.GRADES)),
            Input("radius", "length", "radius on which weights are put", optional=True),
            Input("run-out", "length", "whole swing of a dial on its tube", optional=True),
        ),
        "share = 100 U / (1000 G m / ω / 2), half of the whole for each of two planes",
        "ISO 21940-11:2016",
        "percent",
        _unbalance,
    ),
    Work(
        "girth-mismatch",
        "Tyres by their girth: how far the front shaft must outrun the rear one",
        (
            Input("front", "length", "girth of a front tyre, by tape round the tread"),
            Input("rear", "length", "girth of a rear tyre"),
            Input("front-axle", "ratio", "ratio of the front axle", "1"),
            Input("rear-axle", "ratio", "ratio of the rear axle", "1"),
        ),
        "mismatch = 100 ((front axle / front girth) / (rear axle / rear girth) - 1)",
        "definition",
        "percent",
        _girth,
    ),
    Work(
        "fitted-clearance",
        "Radial clearance of a bearing once it sits on its shaft",
        (
            Input("shaft", "length", "diameter of the seat, as measured"),
            Input("ring-bore", "length", "bore of the inner ring, as measured"),
            Input("clearance", "length", "radial clearance before fitting", optional=True),
            Input("group", "choice", "or its group", None, tuple(fastening.CLEARANCE), True),
            Input("kept", "percent", "share of the grip that widens the ring", "80 %"),
        ),
        "left = clearance - 0.8 (shaft - bore of the ring)",
        "ISO 5753-1 (groups); share of 0.8: bearing guides, from memory",
        "length",
        _fitted,
    ),
    Work(
        "thread-engagement",
        "How far a bolt is screwed in, in diameters",
        (
            Input("length", "length", "length of the bolt under its head"),
            Input("clamped", "length", "thickness of what it clamps, washers too"),
            Input("diameter", "length", "diameter of its thread"),
            Input("pitch", "length", "pitch of its thread"),
            Input("depth", "length", "depth of the whole thread in the hole", optional=True),
            Input("tapped", "choice", "what is tapped", None, tuple(fastening.LEAST_ENGAGED)),
        ),
        "engaged = (length - clamped) / diameter",
        "definition; least figures: common practice, no source",
        "ratio",
        _engagement,
    ),
    Work(
        "coil-resistance",
        "Resistance of a copper coil at 20 °C, in percent of the stated one",
        (
            Input(
                "resistance", "resistance", "resistance at its plug, that of the leads taken off"
            ),
            Input(
                "temperature", "temperature", "temperature of the coil: left to stand, the room's"
            ),
            Input("stated", "resistance", "resistance stated for 20 °C"),
        ),
        "share = 100 R20 / stated, R20 = R / (1 + 0.00393 (T - 20))",
        "IEC 60028, annealed copper",
        "percent",
        _coil,
    ),
)

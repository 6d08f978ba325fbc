"""Works on ratios, sensors, tyres and axles."""

from __future__ import annotations

from typing import Final

from headwater.measure import ratios
from headwater.measure.work import Given, Input, Work, Worked
from headwater.units import Quantity

_COUNTING: Final = "definition, counted teeth"


def _planetary(given: Given) -> Worked:
    sun, ring = given["sun"], given["ring"]
    found = ratios.low_ratio(sun, ring)
    further = (("teeth of a planet", Quantity(ratios.planet_teeth(sun, ring), "count")),)
    notes = []
    if "planets" in given.numbers:
        fits = ratios.can_assemble(sun, ring, given["planets"])
        can = "can" if fits else "cannot"
        notes.append(f"{given['planets']:g} equally spaced planets {can} be assembled")
    return Worked(found, further, tuple(notes))


def _held_ring(given: Given) -> Worked:
    speeds = given["sun-speed"], given["carrier-speed"]
    found = ratios.ring_speed(*speeds, given["sun"], given["ring"])
    return Worked(found, notes=("a ring that is truly held stands at 0 rpm",))


def _overall(given: Given) -> Worked:
    return Worked(ratios.overall_ratio(*given.lists["stages"]))


def _range_ratio(given: Given) -> Worked:
    found = ratios.sensed_ratio(given["input-speed"], given["output-speed"])
    known = given.lists.get("expected", ())
    if not known:
        return Worked(found)
    index, error = ratios.nearest_ratio(found, known)
    further = (
        ("nearest expected ratio", Quantity(known[index], "ratio")),
        ("error", Quantity(error, "percent")),
    )
    sign = "below it: not slip, look to the sensors" if error < 0 else ""
    return Worked(found, further, (sign,) if sign else ())


def _slip(given: Given) -> Worked:
    found = ratios.slipping_ratio(given["expected"], given["slip"])
    error = ratios.ratio_error(found, given["expected"])
    return Worked(found, (("error", Quantity(error, "percent")),))


def _misread(given: Given) -> Worked:
    found = ratios.misread_ratio(given["expected"], given["true-teeth"], given["read-teeth"])
    error = ratios.ratio_error(found, given["expected"])
    return Worked(found, (("error", Quantity(error, "percent")),))


def _tone_frequency(given: Given) -> Worked:
    return Worked(ratios.tone_frequency(given["teeth"], given["speed"]))


def _tone_speed(given: Given) -> Worked:
    return Worked(ratios.tone_speed(given["teeth"], given["frequency"]))


def _shaft_speed(given: Given) -> Worked:
    radius, road = given["rolling-radius"], given["road-speed"]
    found = ratios.shaft_speed(road, radius, given["axle-ratio"])
    further = [("speed of the wheel", Quantity(ratios.shaft_speed(road, radius), "rotation"))]
    if "teeth" in given.numbers:
        hertz = ratios.tone_frequency(given["teeth"], found)
        further.append(("tone ring", Quantity(hertz, "frequency")))
    return Worked(found, tuple(further))


def _mismatch(given: Given) -> Worked:
    return Worked(ratios.mismatch(given["front"], given["rear"]))


def _rolling_radius(given: Given) -> Worked:
    return Worked(ratios.rolling_radius(given["distance"] * 1000, given["turns"]))


def _wind_up(given: Given) -> Worked:
    front, rear = given["front-radius"], given["rear-radius"]
    axles = given["front-axle"], given["rear-axle"]
    found = ratios.wind_up(front, rear, *axles)
    further = tuple(
        (f"{name} shaft", Quantity(ratios.turns_per_km(radius, axle), "turns-per-distance"))
        for name, radius, axle in (("front", front, axles[0]), ("rear", rear, axles[1]))
    )
    faster = "front" if found > 0 else "rear"
    note = "front and rear agree" if not found else f"the {faster} shaft wants to run ahead"
    return Worked(found, further, (note,))


_SUN: Final = Input("sun", "count", "teeth of the sun")
_RING: Final = Input("ring", "count", "teeth of the ring")
_EXPECTED: Final = Input("expected", "ratio", "ratio of the range engaged")
_AXLES: Final = "definition; axle ratios from tooth counts, radii measured with the tyre loaded"

DRIVE_WORKS: Final = (
    Work(
        "planetary-ratio",
        "Low range ratio: sun driven, ring held, carrier out",
        (_SUN, _RING, Input("planets", "count", "number of planets", optional=True)),
        "ratio = 1 + ring / sun",
        "Willis equation",
        "ratio",
        _planetary,
    ),
    Work(
        "held-ring-speed",
        "Speed of a ring that should be held",
        (
            Input("sun-speed", "rotation", "speed of the sun"),
            Input("carrier-speed", "rotation", "speed of the carrier"),
            _SUN,
            _RING,
        ),
        "n ring = (n carrier (sun + ring) - n sun sun) / ring",
        "Willis equation",
        "rotation",
        _held_ring,
    ),
    Work(
        "overall-ratio",
        "Ratio of several stages in a row",
        (Input("stages", "ratio", "ratio of each stage in the path of drive", many=True),),
        "product of the stages",
        _COUNTING,
        "ratio",
        _overall,
    ),
    Work(
        "range-ratio",
        "Ratio as the speed sensors see it",
        (
            Input("input-speed", "rotation", "speed at the input"),
            Input("output-speed", "rotation", "speed at the output"),
            Input("expected", "ratio", "ratios the unit can have", optional=True, many=True),
        ),
        "ratio = input / output; error = 100 (ratio / expected - 1)",
        "definition",
        "ratio",
        _range_ratio,
    ),
    Work(
        "slipping-ratio",
        "Ratio seen when an element slips",
        (_EXPECTED, Input("slip", "percent", "share of its speed the output falls behind")),
        "ratio = expected / (1 - slip / 100)",
        "definition",
        "ratio",
        _slip,
    ),
    Work(
        "misread-ratio",
        "Ratio computed from a misread output tone ring",
        (
            _EXPECTED,
            Input("true-teeth", "count", "teeth the controller counts with"),
            Input("read-teeth", "count", "teeth the sensor sees in one turn"),
        ),
        "ratio = expected x true teeth / read teeth",
        _COUNTING,
        "ratio",
        _misread,
    ),
    Work(
        "tone-ring-frequency",
        "Frequency of a tone ring at a speed",
        (
            Input("teeth", "count", "teeth of the tone ring"),
            Input("speed", "rotation", "speed of its shaft"),
        ),
        "f = teeth x rpm / 60",
        "definition",
        "frequency",
        _tone_frequency,
    ),
    Work(
        "tone-ring-speed",
        "Speed behind the frequency of a tone ring",
        (
            Input("teeth", "count", "teeth of the tone ring"),
            Input("frequency", "frequency", "frequency of the sensor"),
        ),
        "rpm = 60 f / teeth",
        "definition",
        "rotation",
        _tone_speed,
    ),
    Work(
        "shaft-speed",
        "Speed of a propeller shaft at a road speed",
        (
            Input("road-speed", "speed", "road speed"),
            Input("rolling-radius", "length", "rolling radius of the loaded tyre"),
            Input("axle-ratio", "ratio", "axle ratio"),
            Input("teeth", "count", "teeth of the tone ring on this shaft", optional=True),
        ),
        "n = v / (2 π r) x axle ratio",
        "definition",
        "rotation",
        _shaft_speed,
    ),
    Work(
        "axle-mismatch",
        "Difference of the axle ratios front and rear",
        (
            Input("front", "ratio", "ratio of the front axle"),
            Input("rear", "ratio", "ratio of the rear axle"),
        ),
        "mismatch = 100 (front - rear) / rear",
        _COUNTING,
        "percent",
        _mismatch,
    ),
    Work(
        "rolling-radius",
        "Rolling radius from a distance rolled",
        (
            Input("distance", "distance", "distance rolled, loaded, straight ahead"),
            Input("turns", "count", "turns of the wheel on the way"),
        ),
        "r = distance / (2 π turns)",
        "definition",
        "length",
        _rolling_radius,
    ),
    Work(
        "rolling-radius-mismatch",
        "Difference of the rolling radii front and rear",
        (
            Input("front", "length", "rolling radius at the front"),
            Input("rear", "length", "rolling radius at the rear"),
        ),
        "mismatch = 100 (front - rear) / rear",
        "definition",
        "percent",
        _mismatch,
    ),
    Work(
        "wind-up",
        "Turns per kilometre by which the front shaft must outrun the rear one",
        (
            Input("front-radius", "length", "rolling radius at the front"),
            Input("rear-radius", "length", "rolling radius at the rear"),
            Input("front-axle", "ratio", "ratio of the front axle"),
            Input("rear-axle", "ratio", "ratio of the rear axle"),
        ),
        "1 km / (2 π r front) x front axle - 1 km / (2 π r rear) x rear axle",
        _AXLES,
        "turns-per-distance",
        _wind_up,
    ),
)

"""Works on oil, and on noise by its order."""

from __future__ import annotations

from typing import Final

from headwater.measure import noise, oil
from headwater.measure.faults import MeasureError
from headwater.measure.work import Given, Input, Work, Worked
from headwater.units import Quantity


def _at_temperature(given: Given) -> float:
    line = oil.viscosity_line(given["viscosity-40"], 40, given["viscosity-100"], 100)
    return line.at(given["temperature"])


def _viscosity(given: Given) -> Worked:
    return Worked(_at_temperature(given))


def _index(given: Given) -> Worked:
    found = oil.viscosity_index(given["viscosity-40"], given["viscosity-100"])
    grades = oil.engine_oil_grades(given["viscosity-100"])
    named = f"grade {' or '.join(grades)}" if grades else "no grade"
    return Worked(found, notes=(f"SAE J300 at 100 °C: {named}",))


def _ratio(given: Given) -> Worked:
    mean = (given["bearing-bore"] + given["bearing-outside"]) / 2
    if given["bearing-bore"] >= given["bearing-outside"]:
        raise MeasureError("the bore of a bearing is smaller than its outside; swap the two")
    nu = _at_temperature(given)
    wanted = oil.reference_viscosity(given["speed"], mean)
    kappa = oil.viscosity_ratio(nu, given["speed"], mean)
    further = (
        ("viscosity at working temperature", Quantity(nu, "viscosity")),
        ("viscosity wanted", Quantity(wanted, "viscosity")),
    )
    return Worked(kappa, further, (oil.film(kappa).value,))


def _orders(given: Given) -> noise.BearingOrders:
    return noise.bearing_orders(
        given["elements"],
        given["element-diameter"],
        given["pitch-diameter"],
        given["contact-angle"],
    )


def _bearing(given: Given) -> Worked:
    hertz = {
        name: noise.frequency(order, given["speed"])
        for name, order in _orders(given).named().items()
    }
    further = tuple((name, Quantity(value, "frequency")) for name, value in hertz.items())
    return Worked(hertz["outer ring"], further)


def _match(given: Given) -> Worked:
    sources = {
        f"{teeth:g} teeth": noise.mesh_order(teeth) for teeth in given.lists.get("teeth", ())
    }
    bearing = [n for n in ("elements", "element-diameter", "pitch-diameter") if n in given.numbers]
    if len(bearing) == 3:
        sources |= _orders(given).named()
    elif bearing:
        raise MeasureError("a bearing needs elements, element-diameter and pitch-diameter")
    sources["shaft"] = 1.0
    heard = noise.heard_order(given["frequency"], given["speed"])
    found = noise.match_order(heard, sources, given["tolerance"])
    notes = tuple(
        f"{m.source}, {m.multiple} x: order {m.order:.3f}, off {m.off_percent:+.2f} %"
        for m in found
    )
    return Worked(heard, notes=notes or ("no source within the tolerance",))


_OIL: Final = (
    Input("viscosity-40", "viscosity", "viscosity of the oil at 40 °C, from its data sheet"),
    Input("viscosity-100", "viscosity", "viscosity of the oil at 100 °C, from its data sheet"),
)
_WORKING: Final = Input("temperature", "temperature", "working temperature of the oil")
_SPEED: Final = Input("speed", "rotation", "speed of the shaft")
_KINEMATICS: Final = "kinematics of rolling without slip, outer ring fixed"

OIL_WORKS: Final = (
    Work(
        "viscosity-at-temperature",
        "Viscosity of an oil at a temperature",
        (*_OIL, _WORKING),
        "log log (ν + 0.7 + ...) = A - B log T",
        "ASTM D341",
        "viscosity",
        _viscosity,
    ),
    Work(
        "viscosity-index",
        "Viscosity index of an oil",
        _OIL,
        "A: 100 (L - U) / (L - H); B: (antilog N - 1) / 0.00715 + 100",
        "ASTM D2270 (ISO 2909); grades: SAE J300, January 2015",
        "count",
        _index,
    ),
    Work(
        "viscosity-ratio",
        "Viscosity ratio κ at a bearing",
        (
            *_OIL,
            _WORKING,
            _SPEED,
            Input("bearing-bore", "length", "bore of the bearing"),
            Input("bearing-outside", "length", "outside diameter of the bearing"),
        ),
        "κ = ν / ν1; ν1 = 45000 n^-0.83 Dm^-0.5 below 1000 r/min, else 4500 n^-0.5 Dm^-0.5",
        "ISO 281:2007 (ν1, κ), ASTM D341 (ν)",
        "ratio",
        _ratio,
    ),
    Work(
        "bearing-frequencies",
        "Defect frequencies of a rolling bearing; the result is that of the outer ring",
        (
            Input("elements", "count", "number of rolling elements"),
            Input("element-diameter", "length", "diameter of a rolling element"),
            Input("pitch-diameter", "length", "pitch diameter of the elements"),
            Input("contact-angle", "angle", "contact angle", "0°"),
            _SPEED,
        ),
        "k = (d / D) cos α; outer Z n (1 - k) / 2; inner Z n (1 + k) / 2; cage n (1 - k) / 2; "
        "element D / d n (1 - k²)",
        _KINEMATICS,
        "frequency",
        _bearing,
    ),
    Work(
        "match-noise",
        "What a heard or recorded frequency can come from; the result is its order",
        (
            Input("frequency", "frequency", "frequency heard or recorded"),
            _SPEED,
            Input(
                "teeth",
                "count",
                "teeth of gears and sprockets on the shaft",
                None,
                None,
                True,
                True,
            ),
            Input("elements", "count", "number of rolling elements", optional=True),
            Input("element-diameter", "length", "diameter of a rolling element", optional=True),
            Input("pitch-diameter", "length", "pitch diameter of the elements", optional=True),
            Input("contact-angle", "angle", "contact angle", "0°"),
            Input("tolerance", "percent", "how near counts as a match", "2 %"),
        ),
        "order = 60 f / n, against teeth and bearing orders and their multiples 2 and 3",
        f"{_KINEMATICS}; tolerance of 2 %: common practice, no source",
        "ratio",
        _match,
    ),
)

"""Works on floats, shims, bearing seats and the gauge itself."""

from __future__ import annotations

from typing import Final

from headwater.measure import fits, floats
from headwater.measure.budget import budget
from headwater.measure.tolerances import HOLES
from headwater.measure.work import Given, Input, Work, Worked
from headwater.units import Quantity, show

_MATERIALS: Final = tuple(fits.MATERIALS)
_LIGHT: Final = "a bore in limits when cold does not prove that the ring is held when hot"


def _mm(value: float) -> Quantity:
    return Quantity(value, "length")


def _axial_float(given: Given) -> Worked:
    return Worked(floats.axial_float(given["pushed"], given["pulled"]))


def _stack_float(given: Given) -> Worked:
    left = floats.stack_float(given["space"], given.lists["parts"])
    return Worked(left, notes=("the stack is clamped: there is no float",) if left < 0 else ())


def _shim_pack(given: Given) -> Worked:
    choice = floats.shim_pack(
        given["measured"],
        given["least"],
        given["most"],
        given.lists.get("shims", ()),
        scrap_over_mm=given["scrap-over"],
        uncertainty_mm=given.uncertainty("measured"),
    )
    middle = (choice.least_mm + choice.most_mm) / 2
    window = (("thinnest pack", _mm(choice.least_mm)), ("thickest pack", _mm(choice.most_mm)))
    packs = tuple(
        f"pack of {' + '.join(show(_mm(shim)) for shim in pack.shims)}"
        f" leaves a float of {show(_mm(pack.float_left_mm))}"
        for pack in choice.packs[:5]
    )
    advice = choice.advice.value
    if choice.advice is floats.ShimAdvice.NOT_IN_STOCK and "shims" not in given.lists:
        advice = "fit a pack; name the shims at hand to have one chosen"
    return Worked(middle, window, (advice, *packs))


def _preload_shim(given: Given) -> Worked:
    return Worked(floats.preload_shim(given["clearance"], given["preload"]))


def _changed_shim(given: Given) -> Worked:
    return Worked(floats.changed_shim(given["fitted"], given["change"]))


def _bearing_fit(given: Given) -> Worked:
    gap = fits.clearance(given["bore"], given["ring"])
    if "class" not in given.words or "nominal" not in given.numbers:
        return Worked(gap, notes=(_LIGHT,))
    name, nominal = given.words["class"], given["nominal"]
    allowed = fits.housing_fit(name, nominal)
    worn = fits.worn_beyond(given["bore"], name, nominal)
    further = (
        (f"least clearance of {name}", _mm(allowed.least_mm)),
        (f"most clearance of {name}", _mm(allowed.most_mm)),
        (f"bore over the upper limit of {name} by", _mm(worn)),
    )
    return Worked(gap, further, (f"{name} is a {allowed.kind} for a new ring", _LIGHT))


def _hot_fit(given: Given) -> Worked:
    outer = fits.material(given.words["housing"])
    inner = fits.material(given.words["ring-material"])
    cold = fits.clearance(given["bore"], given["ring"])
    warming = given["working-temperature"] - given["measured-at"]
    grows = outer.expansion, inner.expansion
    hot = fits.hot_clearance(cold, given["ring"], *grows, warming)
    freed = fits.release_temperature(cold, given["ring"], *grows, given["measured-at"])
    notes = [f"{m.name}: {m.expansion:g}e-6/K ({m.source})" for m in (outer, inner)]
    further = [
        ("clearance as measured", _mm(cold)),
        ("grip lost on warming", _mm(fits.grip_lost(given["ring"], *grows, warming))),
    ]
    if cold >= 0:
        notes.append("loose as measured: there is no grip to lose")
    elif freed is None:
        notes.append("warming does not loosen this fit")
    else:
        further.append(("grip gone at", Quantity(freed, "temperature")))
    if hot > 0:
        notes.append("loose when hot: look for a polished seat and for what stops the ring turning")
    return Worked(hot, tuple(further), tuple(notes))


def _gauge(given: Given) -> Worked:
    found = budget(given.lists["readings"], given["resolution"], given["certificate"])
    further = (
        ("spread of the readings", _mm(found.spread)),
        ("u from the readings", _mm(found.from_readings)),
        ("u from the resolution", _mm(found.from_resolution)),
        ("u from the certificate", _mm(found.from_certificate)),
        ("combined u", _mm(found.combined)),
    )
    return Worked(found.mean, further, uncertainty=found.combined)


_RING: Final = Input("ring", "length", "outside diameter of the ring, as measured")
_BORE: Final = Input("bore", "length", "diameter of the housing bore, as measured")

SEAT_WORKS: Final = (
    Work(
        "axial-float",
        "Axial float from two dial readings",
        (
            Input("pushed", "length", "dial reading with the shaft pushed home"),
            Input("pulled", "length", "dial reading with the shaft pulled out"),
        ),
        "float = | pulled - pushed |",
        "definition",
        "length",
        _axial_float,
    ),
    Work(
        "stack-float",
        "Axial float from the parts between two stops",
        (
            Input("space", "length", "distance between the two stops"),
            Input("parts", "length", "thickness of each part between them", many=True),
        ),
        "float = space - sum of parts",
        "definition",
        "length",
        _stack_float,
    ),
    Work(
        "shim-pack",
        "Shim pack for an axial float, from the shims at hand",
        (
            Input("measured", "length", "float with no shim fitted"),
            Input("least", "length", "smallest float wanted"),
            Input("most", "length", "largest float wanted"),
            Input("shims", "length", "thicknesses of the shims at hand", optional=True, many=True),
            Input("scrap-over", "length", "float above which shims must not be used", "0.020 in"),
        ),
        "pack from (measured - most) to (measured - least); the result is the middle",
        "window: ordinary gearbox workshop practice; scrap limit of 0.020 in: common practice, "
        "no source",
        "length",
        _shim_pack,
    ),
    Work(
        "preload-shim",
        "Shim for a bearing set with preload",
        (
            Input("clearance", "length", "clearance found without the shim"),
            Input("preload", "length", "preload wanted"),
        ),
        "shim = clearance + preload",
        "ordinary gearbox workshop practice",
        "length",
        _preload_shim,
    ),
    Work(
        "changed-shim",
        "Shim that replaces a fitted one",
        (
            Input("fitted", "length", "shim fitted now"),
            Input("change", "length", "thicker (+) or thinner (-) by"),
        ),
        "shim = fitted + change",
        "ordinary gearbox workshop practice",
        "length",
        _changed_shim,
    ),
    Work(
        "bearing-fit",
        "Fit of a bearing ring in its bore, as measured",
        (
            _BORE,
            _RING,
            Input("class", "choice", "class of the bore", choices=tuple(HOLES), optional=True),
            Input("nominal", "length", "nominal diameter", optional=True),
        ),
        "clearance = bore - ring; below 0 it is a grip",
        "ISO 286-2 (bore), ISO 492 Normal class (ring)",
        "length",
        _bearing_fit,
    ),
    Work(
        "hot-fit",
        "Fit of a bearing ring in its bore at working temperature",
        (
            _BORE,
            _RING,
            Input("housing", "choice", "material of the housing", choices=_MATERIALS),
            Input("ring-material", "choice", "material of the ring", "bearing-steel", _MATERIALS),
            Input("working-temperature", "temperature", "temperature of both parts in service"),
            Input("measured-at", "temperature", "temperature of both when measured", "20 °C"),
        ),
        "hot = cold + D (α housing - α ring) (T working - T measured)",
        "linear thermal expansion; coefficients as named above",
        "length",
        _hot_fit,
    ),
    Work(
        "gauge-uncertainty",
        "Mean of readings with the uncertainty of the gauge",
        (
            Input("readings", "length", "the readings", many=True),
            Input("resolution", "length", "smallest step of the gauge", "0 mm"),
            Input("certificate", "length", "U of its certificate (k = 2)", "0 mm"),
        ),
        "u² = (s / √n)² + (resolution / √12)² + (U / 2)²",
        "GUM, JCGM 100:2008, 4.2.3, 4.3.3, 4.3.7 and 5.1.2",
        "length",
        _gauge,
    ),
)

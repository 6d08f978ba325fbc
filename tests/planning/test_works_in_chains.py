"""Every check of the pack that reckons with bench arithmetic, tested through a case."""

from __future__ import annotations

import json
from collections.abc import Mapping

import pytest
from planning.conftest import Play
from sessions import replay

from headwater.belief.posterior import posterior
from headwater.book.records import Book
from headwater.book.shape import Ref
from headwater.book.tables import Seat
from headwater.case.model import LogEntry
from headwater.case.read import parse_case
from headwater.case.store import entry_line, value_of
from headwater.measure.registry import WORKS
from headwater.verdict.assess import Reasoner, build_reasoner

SPEEDS = {"input-speed": "2000 rpm", "output-speed": "2000 rpm"}
HOT = {"housing": "magnesium-az91d", "working-temperature": "100 °C"}

# Check -> (inputs as written at the bench, band that they lie in). Each figure by hand.
READINGS: Mapping[str, tuple[dict[str, str], str]] = {
    # 25 pitches of 9.525 mm are 238.125 mm; 2 % more is 242.9 mm
    "chain-elongation": (
        {"measured": "242.9 mm", "pitch": "9.525 mm", "pitches": "25"},
        "past-limit",
    ),
    "countershaft-play": ({"pushed": "0.10 mm", "pulled": "0.60 mm"}, "too-loose"),
    "tyre-rolling-radius": ({"front": "350 mm", "rear": "365 mm"}, "front-smaller"),
    # 2350 mm in front turn 2390 / 2350 = 1.017 times as often as 2390 mm behind; 70 mm more: 1.030
    "tyre-girth-by-tape": ({"front": "2350 mm", "rear": "2420 mm"}, "front-smaller"),
    "axle-ratios-counted": ({"front": "4.10", "rear": "3.73"}, "front-higher-figure"),
    # 1 km / (2 pi 0.350 m) x 3.73 - 1 km / (2 pi 0.365 m) x 3.73 = 1696 - 1626 = 70 turns
    "wind-up-reckoned": (
        {
            "front-radius": "350 mm",
            "rear-radius": "365 mm",
            "front-axle": "3.73",
            "rear-axle": "3.73",
        },
        "front-ahead",
    ),
    "clutch-slip-live": ({"input-speed": "2000 rpm", "output-speed": "1500 rpm"}, "slips"),
    "front-output-bore": ({"bore": "72.10 mm", "ring": "71.99 mm"}, "loose"),
    # cold -0.005 mm; 72 mm x 14e-6 x 80 K = 0.081 mm of grip lost
    "front-output-hot-fit": ({"bore": "71.985 mm", "ring": "71.99 mm", **HOT}, "freed"),
    "front-output-float": ({"pushed": "0.00 mm", "pulled": "0.40 mm"}, "too-loose"),
    "idler-float": ({"pushed": "0.10 mm", "pulled": "0.70 mm"}, "too-loose"),
    # 4 mm2/s at 100 °C is under half of what a 45 x 80 mm bearing wants when hotter still
    "oil-film": (
        {"viscosity-40": "15 cSt", "viscosity-100": "3.5 cSt", "temperature": "140 °C"},
        "contact",
    ),
    "pump-end-gap": ({"space": "12.30 mm", "parts": "12.00 mm"}, "past-limit"),
    "bolt-reach": ({"space": "30 mm", "parts": "31 mm"}, "bottoms"),
    # (30 - 20) mm of an 8 mm bolt
    "bolt-thread-reckoned": (
        {
            "length": "30 mm",
            "clamped": "20 mm",
            "diameter": "8 mm",
            "pitch": "1.25 mm",
            "tapped": "magnesium",
        },
        "few",
    ),
    # group C2 begins at 1 µm; 0.8 x 35 µm are 28 µm
    "input-bearing-clearance-left": (
        {"shaft": "45.035 mm", "ring-bore": "45 mm", "group": "C2"},
        "none-left",
    ),
    # 3.31 / 1.3144 = 2.52 Ω of 5 Ω
    "clutch-coil-ohms": (
        {"resistance": "3.31 Ω", "temperature": "100 °C", "stated": "5 Ω"},
        "shorted",
    ),
    "front-bore-cold-fit": ({"bore": "80.10 mm", "ring": "79.99 mm"}, "past-limit"),
    "front-bore-hot-fit": ({"bore": "80.02 mm", "ring": "79.99 mm", **HOT}, "free"),
    "input-gear-end-play": ({"space": "21.5 mm", "parts": "18, 1.9 mm"}, "too-much"),
    "range-ratio-live": ({"input-speed": "2720 rpm", "output-speed": "1000 rpm"}, "reduced"),
    "output-bushing-clearance": ({"bore": "1.520 in", "ring": "1.500 in"}, "past-limit"),
    "vibration-order": ({"frequency": "50 Hz", "speed": "3000 rpm"}, "once"),
    "main-shaft-float": ({"pushed": "0.000 in", "pulled": "0.040 in"}, "walks"),
    "rear-ring-fit-cold": ({"bore": "72.10 mm", "ring": "71.99 mm"}, "past-limit"),
    "rear-ring-fit-hot": ({"bore": "71.985 mm", "ring": "71.99 mm", **HOT}, "lets-go"),
    "tone-ring-count": ({"true-teeth": "40", "read-teeth": "36"}, "too-few"),
    "sensor-gap": ({"space": "12 mm", "parts": "9 mm"}, "too-wide"),
    "live-ratio-direct": ({"input-speed": "2000 rpm", "output-speed": "1800 rpm"}, "high"),
}

KINDS = {
    "float": {"axial-float", "stack-float"},
    "fit": {"bearing-fit", "hot-fit"},
    "elongation": {"chain-elongation"},
    "ratio": {"range-ratio", "misread-ratio", "axle-mismatch"},
    "wind-up": {"wind-up", "rolling-radius-mismatch"},
    "oil": {"viscosity-ratio"},
    "thread": {"thread-engagement"},
    "girth": {"girth-mismatch"},
    "coil": {"coil-resistance"},
    "clearance": {"fitted-clearance"},
    "noise": {"match-noise"},
}


@pytest.fixture(scope="module")
def reasoners(book: Book, reasoner: Reasoner) -> dict[str, Reasoner]:
    """Reasoners of the families that the checks apply to."""
    return {
        "chain": reasoner,
        "gear": build_reasoner(book, book.family | {"drive": "gear"}),
        "clutch": build_reasoner(book, book.family | {"engagement": "clutch-pack"}),
        "coil": build_reasoner(
            book, book.family | {"engagement": "clutch-pack", "clutch-work": "ball-ramp"}
        ),
        "sliding": build_reasoner(book, book.family | {"low-range": "sliding"}),
    }


def test_the_checks_that_reckon_are_all_here_and_of_every_kind(book: Book) -> None:
    reckoned = {c.id: c.reading.work for c in book.checks.values() if c.reading and c.reading.work}
    assert reckoned.keys() == READINGS.keys()
    assert len(reckoned) >= 10
    for kind, works in KINDS.items():
        assert works & set(reckoned.values()), kind


def test_each_speaks_of_a_condition_on_a_chain(book: Book) -> None:
    on_chains = {str(cid) for chain in book.chains.values() for cid in chain.path()}
    for check in READINGS:
        answers = book.checks[check].answers.values()
        assert on_chains & {str(c) for a in answers for c in (*a.shows, *a.rules_out)}, check


@pytest.mark.parametrize("check", READINGS)
def test_a_reading_in_a_case_tells_what_the_book_says_of_it(
    check: str, book: Book, reasoners: dict[str, Reasoner]
) -> None:
    inputs, band = READINGS[check]
    kind = next(k for k, r in reasoners.items() if check in r.book.checks)
    reasoner = reasoners[kind]
    known = reasoner.book.checks[check]
    seat = Seat.BENCH if Seat.BENCH in known.seats else known.seats[0]
    entry = LogEntry(check=Ref(check), answer=value_of(inputs), seat=seat)
    text = f"case: x\nseat: {seat.value}\nfindings:\n" + entry_line(entry)
    found = replay(book, parse_case(text, "x.yaml"), reasoner)
    judged = found.answers[check]
    assert judged.settled == band
    assert judged.quantity is not None
    assert judged.working
    told = known.answers[band]  # type: ignore[index]
    prior = posterior(reasoner.worlds, {}).presence()
    now = found.verdict.present
    for cid, sure in told.shows.items():
        if sure.present > sure.absent:
            assert now[str(cid)] > prior[str(cid)]
        if sure.decisive:
            # What is so rare that one look leaves it under 0.90 is looked at again before it is so.
            confirmed = found.verdict.statuses[str(cid)].value == "confirmed"
            assert confirmed == (now[str(cid)] >= 0.90)


# One run of each work at the bench: its inputs, and the figure that must stand in the print.
BENCH: Mapping[str, tuple[tuple[str, ...], str]] = {
    "axial-float": (("pushed=0.12 mm", "pulled=1.26 mm"), "1.14"),
    "joint-unevenness": (("angle=8°",), "1.96"),
    "residual-angle": (("first=5°", "second=4°"), "3"),
    "critical-speed": (("outside=76.2 mm", "bore=72 mm", "length=1500 mm"), "5623.9"),
    "residual-unbalance": (
        ("unbalance=458.4 g·mm", "mass=12 kg", "speed=4000 rpm", "radius=38.1 mm"),
        "allowed in each of two planes = 229.2 g·mm",
    ),
    "girth-mismatch": (("front=2350 mm", "rear=2400 mm"), "2.13"),
    "fitted-clearance": (("shaft=45.025 mm", "ring-bore=45 mm", "group=CN"), "-0.014"),
    "thread-engagement": (
        (
            "length=30 mm",
            "clamped=14 mm",
            "diameter=8 mm",
            "pitch=1.25 mm",
            "tapped=magnesium",
        ),
        "2",
    ),
    "coil-resistance": (("resistance=3.31 Ω", "temperature=100 °C", "stated=2.8 Ω"), "2.52"),
    "stack-float": (("space=20 mm", "parts=17, 1.9 mm"), "1.1"),
    "shim-pack": (("measured=0.47 mm", "least=0.06 mm", "most=0.11 mm"), "0.385"),
    "preload-shim": (("clearance=0.009 in", "preload=0.004 in"), "0.33"),
    "changed-shim": (("fitted=0.62 mm", "change=-0.21 mm"), "0.41"),
    "bearing-fit": (("bore=80.02 mm", "ring=79.994 mm"), "0.026"),
    "hot-fit": (
        (
            "bore=79.95 mm",
            "ring=80 mm",
            "housing=magnesium-az91d",
            "working-temperature=100 °C",
        ),
        "0.03",
    ),
    "gauge-uncertainty": (("readings=.112, .115, .110, .114, .113 mm",), "0.112"),
    "chain-elongation": (("measured=627.888 mm", "pitch=1 in", "pitches=24"), "3"),
    "chain-length": (
        ("smaller-teeth=35", "larger-teeth=35", "centres=190.5 mm", "pitch=9.525 mm"),
        "75",
    ),
    "chain-centres": (
        ("smaller-teeth=35", "larger-teeth=35", "pitches=75", "pitch=9.525 mm"),
        "190.5",
    ),
    "sprocket-diameter": (("pitch=9.525 mm", "teeth=35"), "106.2"),
    "planetary-ratio": (("sun=33", "ring=75"), "3.27"),
    "held-ring-speed": (("sun-speed=108 rpm", "carrier-speed=33 rpm", "sun=33", "ring=75"), "0"),
    "overall-ratio": (("stages=2.72:1, 3.73:1",), "10.1"),
    "range-ratio": (("input-speed=2720 rpm", "output-speed=1000 rpm"), "2.72"),
    "slipping-ratio": (("expected=2.72", "slip=15 %"), "3.2"),
    "misread-ratio": (("expected=2.6", "true-teeth=40", "read-teeth=39"), "2.66"),
    "tone-ring-frequency": (("teeth=40", "speed=1500 rpm"), "1000"),
    "tone-ring-speed": (("teeth=40", "frequency=1 kHz"), "1500"),
    "shaft-speed": (("road-speed=100 km/h", "rolling-radius=365 mm", "axle-ratio=3.73"), "271"),
    "axle-mismatch": (("front=3.73", "rear=3.70"), "0.81"),
    "rolling-radius": (("distance=1 km", "turns=436.04"), "365"),
    "rolling-radius-mismatch": (("front=365 mm", "rear=372 mm"), "1.88"),
    "wind-up": (
        ("front-radius=365 mm", "rear-radius=365 mm", "front-axle=3.73", "rear-axle=3.70"),
        "13",
    ),
    "viscosity-at-temperature": (
        ("viscosity-40=34 cSt", "viscosity-100=7.2 cSt", "temperature=40 °C"),
        "34",
    ),
    "viscosity-index": (
        ("viscosity-40=34 cSt", "viscosity-100=7.2 cSt"),
        "viscosity-index = 182.97",
    ),
    "viscosity-ratio": (
        (
            "viscosity-40=34 cSt",
            "viscosity-100=7.2 cSt",
            "temperature=80 °C",
            "speed=2000 rpm",
            "bearing-bore=45 mm",
            "bearing-outside=80 mm",
        ),
        "viscosity wanted = 12.73",  # 4500 / sqrt(2000 x 62.5)
    ),
    "bearing-frequencies": (
        (
            "speed=1500 rpm",
            "elements=9",
            "element-diameter=8 mm",
            "pitch-diameter=40 mm",
        ),
        "outer ring = 90 Hz",  # 9 / 2 x 25 Hz x (1 - 8 / 40)
    ),
    "match-noise": (("frequency=50 Hz", "speed=3000 rpm"), "match-noise = 1"),
}


@pytest.mark.parametrize("name", sorted(WORKS))
def test_work_prints_formula_numbers_result_and_source(name: str, play: Play) -> None:
    inputs, figure = BENCH[name]
    status, screen, fault = play("work", name, *inputs)
    assert (status, fault) == (0, "")
    plain = " ".join(screen.split())
    work = WORKS[name]
    assert " ".join(work.formula.split()) in plain
    assert "".join(work.source.split()) in "".join(screen.split())
    for pair in inputs:
        number = pair.partition("=")[2].split(",")[0].split(" ")[0].split(":")[0].strip("0.-")
        assert number in plain, f"{pair} is not in what was printed"
    assert figure in plain
    status, text, _ = play("work", name, *inputs, "--json")
    data = json.loads(text)
    assert data["uncertainty"] >= 0
    assert data["formula"] == work.formula
    assert data["source"] == work.source
    assert "uncertainty: none given" in plain or " ± " in plain


@pytest.mark.parametrize(
    ("name", "inputs", "printed"),
    [
        # u of 0.01 mm on either reading, stated as U with k = 2: 2 x 0.01 x sqrt 2 = 0.0283 mm
        (
            "axial-float",
            ("pushed=0.12 ± 0.02 mm", "pulled=1.26 ± 0.02 mm"),
            "1.140 mm (0.0449 in) ± 0.028 mm",
        ),
        (
            "bearing-fit",
            ("bore=80.02 ± 0.01 mm", "ring=79.994 mm"),
            "0.026 mm (0.001 in) ± 0.010 mm",
        ),
    ],
)
def test_work_carries_the_uncertainty_of_its_readings(
    name: str, inputs: tuple[str, ...], printed: str, play: Play
) -> None:
    status, screen, _ = play("work", name, *inputs)
    assert status == 0
    assert printed in " ".join(screen.split())
    assert "none given" not in screen

"""The trade's facts over the transfer-case book, one test each: common practice, no source.

A fact holds when the book has its chain, link by link, and the chain is about as strong as the
trade knows it: `at_least` is the chance that the origin, once there, carries through to the end.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from headwater.book.records import Book
from headwater.book.seal import unseal
from headwater.book.tables import Drive
from headwater.graph.causal import causal_graph, loops
from headwater.units import parse_quantity

USUALLY, SOMETIMES, RARELY = 0.8, 0.4, 0.1


def strength(book: Book, *path: str) -> float:
    """Return the chance that the first condition of a path carries through to the last."""
    chance = 1.0
    for cause, effect in pairwise(path):
        assert (cause, effect) in book.links, f"{cause} -> {effect} is not in the book"
        chance *= book.links[cause, effect].often.p
    return chance


def starts(book: Book, *ids: str) -> None:
    for cid in ids:
        assert book.conditions[cid].origin, f"{cid} is no origin"


def causes(book: Book, effect: str) -> set[str]:
    return {cause for cause, end in book.links if end == effect}


def decisive_denials(book: Book, check: str) -> set[str]:
    answers = book.checks[check].answers.values()
    return {str(c) for a in answers for c, sure in a.rules_out.items() if sure.decisive}


def test_01_range_fork_burns_from_a_worn_front_bore_common_practice(book: Book) -> None:
    path = ("front-bore-worn", "input-bearing-displaced", "range-hub-rides-fork")
    assert strength(book, *path, "range-fork-pads-burnt") >= 0.5
    starts(book, "front-bore-worn", "input-snap-ring-unseated")
    assert strength(book, "input-snap-ring-unseated", "input-bearing-displaced") >= USUALLY
    edges = [b.upto for b in book.limits["input-bearing-float"].bands if b.upto]
    inches = [parse_quantity(edge, "length").value / 25.4 for edge in edges]
    assert pytest.approx(0.020) in inches
    scrapped = [a.action.value for a in unseal(book.conditions["front-bore-worn"].dispositions)]
    origin = book.conditions["front-bore-worn"].origin
    assert origin is not None
    assert "scrap" in scrapped + [c.action.value for c in unseal(origin.corrections)]


def test_02_crumbs_in_the_oil_are_pads_breaking_up_common_practice(book: Book) -> None:
    assert strength(book, "range-fork-pads-burnt", "plastic-crumbs-in-oil") >= USUALLY
    assert strength(book, "mode-fork-pads-burnt", "plastic-crumbs-in-oil") >= USUALLY
    assert "call" in book.checks["plastic-crumbs-in-oil"].seats


def test_03_mode_fork_burns_from_a_binding_slip_yoke_common_practice(book: Book) -> None:
    tail = ("slip-yoke-binds", "rear-groove-worn", "main-shaft-walks", "mode-sleeve-loaded")
    ends = ("mode-fork-pads-burnt", "mode-fork-centre-burnt")
    for origin in ("slip-splines-dry", "slip-splines-rusted", "slip-yoke-uncoated"):
        starts(book, origin)
        assert strength(book, origin, *tail, *ends) >= 0.05
    assert "iron" not in book.links["slip-yoke-binds", "rear-groove-worn"].when["housing"]
    assert "pump-pocket-worn" not in causes(book, "rear-groove-worn")


def test_04_pump_rubs_the_case_through_common_practice(book: Book) -> None:
    path = ("pump-pocket-worn", "pump-rocks", "case-rubbed-through")
    # Many units are built with a bare tab, and most of them never rub through; where the plate
    # belongs and was left out, half do.
    assert 0.2 <= strength(book, "pump-tab-bare", *path) <= 0.4
    assert strength(book, "pump-wear-plate-missing", *path) >= 0.5
    assert strength(book, "case-rubbed-through", "oil-mist-rear-half") >= USUALLY
    assert strength(book, "case-rubbed-through", "oil-low") >= USUALLY
    # 'Low' is anything from a pint short to empty; the hole loses oil unseen.
    dry = ("oil-low", "upper-bearings-starved", "parts-burnt-dry")
    assert strength(book, "case-rubbed-through", *dry) >= 0.25
    assert strength(book, "parts-burnt-dry", "case-burst") >= SOMETIMES


def test_05_starved_hub_lets_the_chain_cut_the_case_common_practice(book: Book) -> None:
    path = ("hub-running-surface-worn", "sprocket-hub-cocks", "chain-runs-skewed")
    assert strength(book, *path, "case-cut-beside-chain") >= 0.2
    assert strength(book, "upper-bearings-starved", "hub-running-surface-worn") >= SOMETIMES
    assert book.conditions["hub-running-surface-worn"].when["hub"] == ("plain",)


def test_06_worn_chain_jumps_under_load_common_practice(book: Book) -> None:
    path = ("chain-worn", "chain-slack", "chain-jumps", "bang-under-load-in-four-wheel-drive")
    assert strength(book, *path) >= 0.1
    for cause in ("chain-aged", "chain-rusted", "wind-up"):
        assert strength(book, cause, "chain-worn") >= RARELY
    assert strength(book, "driven-on-hard-surface", "wind-up") >= USUALLY


def test_07_wind_up_is_not_the_case_common_practice(book: Book) -> None:
    for origin in ("tyre-mismatch", "axle-ratio-mismatch", "driven-on-hard-surface"):
        starts(book, origin)
        assert strength(book, origin, "wind-up", "hop-on-tight-turns") >= 0.5
        part = book.conditions[origin].part
        assert part is not None
        assert book.parts[part].outside
    assert strength(book, "wind-up", "hard-to-leave-four-wheel-drive") >= USUALLY


def test_08_tone_ring_sets_a_ratio_code_common_practice(book: Book) -> None:
    code = ("speed-signal-erratic", "ratio-code-set")
    assert strength(book, "rear-bearing-failed", "tone-ring-nicked", *code) >= 0.2
    assert strength(book, "main-shaft-walks", "tone-ring-nicked", *code) >= 0.2
    for cause in ("speed-sensor-failed", "speed-sensor-gap-wrong", "speed-wiring-chafed"):
        assert strength(book, cause, *code) >= 0.3
    text = " ".join(
        f"{c.ask} {c.how} {c.means} {c.bad}" for c in book.checks.values() if c.id == "ratio-code"
    )
    assert "P0735" in text


def test_09_stuck_in_or_out_of_four_wheel_drive_common_practice(book: Book) -> None:
    stuck = causes(book, "stuck-in-four-wheel-drive")
    assert {"mode-fork-centre-burnt", "wind-up", "shift-motor-faulty"} <= stuck
    out = causes(book, "will-not-engage-four-wheel-drive")
    assert {"mode-fork-centre-burnt", "shift-motor-faulty", "mode-sleeve-teeth-rounded"} <= out
    path = ("mode-linkage-misadjusted", "partial-mode-engagement")
    assert strength(book, *path, "will-not-engage-four-wheel-drive") >= RARELY


def test_10_partial_engagement_rounds_teeth_and_jumps_out_common_practice(book: Book) -> None:
    path = ("partial-range-engagement", "range-hub-teeth-rounded", "jumps-out-of-low")
    for cause in ("range-linkage-misadjusted", "range-detent-weak", "range-fork-pads-burnt"):
        assert strength(book, cause, *path) >= 0.2


def test_11_pump_without_oil_starves_the_upper_bearings_common_practice(book: Book) -> None:
    for cause in ("pickup-cracked", "pickup-o-ring-missing", "screen-blocked", "pump-worn"):
        assert strength(book, cause, "pump-not-delivering", "upper-bearings-starved") >= 0.5
    assert strength(book, "oil-aerated", "upper-bearings-starved") >= SOMETIMES
    assert {"plastic-crumbs-in-oil", "too-much-sealant"} <= causes(book, "screen-blocked")
    assert "oil-low" not in causes(book, "pump-not-delivering")


def test_12_thin_oil_overfill_and_water_foam_common_practice(book: Book) -> None:
    assert {"wrong-fluid", "overfilled", "water-in-oil"} <= causes(book, "oil-aerated")
    assert strength(book, "wrong-fluid", "oil-aerated") >= SOMETIMES
    assert strength(book, "filled-above-plug", "overfilled", "oil-aerated") >= 0.5


def test_13_missing_friction_modifier_shudders_common_practice(book: Book) -> None:
    starts(book, "friction-modifier-missing")
    assert strength(book, "friction-modifier-missing", "shudder-on-engagement") >= USUALLY
    assert book.conditions["friction-modifier-missing"].when["friction"] == ("sintered",)
    assert strength(book, "friction-ring-worn", "shudder-on-engagement") >= USUALLY
    assert strength(book, "friction-ring-worn", "metal-in-oil") >= SOMETIMES


def test_14_every_leak_has_its_own_origin_common_practice(book: Book) -> None:
    leaks = {
        "input-seal-leaks",
        "front-output-seal-leaks",
        "rear-output-seal-leaks",
        "plug-leaks",
        "sensor-o-ring-leaks",
        "housing-joint-leaks",
        "case-rubbed-through",
        "case-cracked",
    }
    assert leaks <= causes(book, "oil-low")
    ways = (
        ("oil-hot", "seal-hardened", "rear-output-seal-leaks"),
        ("yoke-journal-grooved", "rear-output-seal-leaks"),
        ("output-bushing-worn", "rear-output-seal-leaks"),
        ("vent-blocked", "case-pressurised", "input-seal-leaks"),
        ("rear-seal-cut-at-fitting", "rear-seal-lip-damaged", "rear-output-seal-leaks"),
        ("dowels-left-out", "halves-offset", "housing-joint-leaks"),
        ("sealant-skipped", "housing-joint-leaks"),
        ("plug-over-tightened", "plug-leaks"),
    )
    for way in ways:
        assert strength(book, *way) >= 0.3


def test_15_overfull_case_and_low_transmission_are_one_seal_common_practice(book: Book) -> None:
    starts(book, "transmission-output-seal-leaks")
    assert strength(book, "transmission-output-seal-leaks", "overfilled") >= USUALLY
    assert strength(book, "transmission-output-seal-leaks", "transmission-fluid-falls") >= USUALLY


def test_16_propeller_shaft_shakes_and_wears_the_rear_common_practice(book: Book) -> None:
    for cause in ("propeller-shaft-out-of-balance", "working-angle-wrong"):
        assert strength(book, cause, "vibration-by-road-speed") >= USUALLY
        assert strength(book, cause, "output-bushing-worn", "rear-output-seal-leaks") >= 0.3
    assert strength(book, "propeller-shaft-out-of-phase", "vibration-by-road-speed") >= USUALLY
    assert strength(book, "universal-joint-worn", "vibration-by-road-speed") >= SOMETIMES


def test_17_water_pits_bearings_and_rusts_the_chain_common_practice(book: Book) -> None:
    for cause in ("waded-deep", "vent-hose-off", "vent-blocked"):
        assert strength(book, cause, "water-in-oil") >= SOMETIMES
    assert strength(book, "front-output-seal-leaks", "water-in-oil") >= RARELY
    assert strength(book, "water-in-oil", "bearings-pitted-by-water") >= USUALLY
    assert strength(book, "water-in-oil", "chain-rusted") >= USUALLY


def test_18_towing_in_gear_burns_the_top_dry_common_practice(book: Book) -> None:
    path = ("towed-in-gear", "upper-bearings-starved", "parts-burnt-dry")
    assert strength(book, *path) >= 0.5
    assert "oil-low" not in causes(book, "towed-in-gear")


def test_19_planetary_breaks_by_shift_shock_or_starvation_common_practice(book: Book) -> None:
    broken = causes(book, "planetary-teeth-broken")
    assert {"shock-loaded", "range-shifted-on-the-move"} <= broken
    assert strength(book, "upper-bearings-starved", "planetary-worn") >= SOMETIMES


def test_20_where_a_whine_comes_from_common_practice(book: Book) -> None:
    assert {"input-bearing-worn", "rear-bearing-failed"} <= causes(book, "whine-in-all-ranges")
    assert "planetary-worn" in causes(book, "whine-in-low-only")
    assert "planetary-worn" not in causes(book, "whine-in-all-ranges")
    front = {"front-output-bearing-failed", "chain-worn"}
    assert front <= causes(book, "noise-in-four-wheel-drive-only")
    assert not front & causes(book, "whine-in-all-ranges")


def test_21_cracked_and_burst_cases_common_practice(book: Book) -> None:
    cracked = causes(book, "case-cracked")
    assert {"brace-missing", "mount-bolt-over-tightened", "working-angle-wrong"} <= cracked
    assert {"chain-broken", "parts-burnt-dry"} <= causes(book, "case-burst")
    burst = book.conditions["case-burst"].danger
    assert burst is not None
    assert burst.advice is Drive.STOP


@pytest.mark.parametrize(
    "error",
    [
        "input-snap-ring-unseated",
        "rear-snap-ring-not-seated",
        "dowels-left-out",
        "wrong-bolts",
        "thrust-washer-missing",
        "too-much-sealant",
        "speed-sensor-gap-wrong",
        "chain-reused",
        "range-pads-left-out",
        "mode-fork-pads-missing",
        "front-yoke-nut-loose",
    ],
)
def test_22_fitting_errors_are_origins_of_comebacks_common_practice(error: str, book: Book) -> None:
    starts(book, error)
    assert any(
        cause == error and link.often.p >= SOMETIMES for (cause, _), link in book.links.items()
    )


def test_23_damage_loops_close_and_never_start_themselves_common_practice(book: Book) -> None:
    pads = (
        *("range-fork-pads-burnt", "plastic-crumbs-in-oil", "screen-blocked"),
        *("pump-not-delivering", "upper-bearings-starved", "input-bearing-worn"),
        *("range-hub-rides-fork", "range-fork-pads-burnt"),
    )
    heat = ("oil-hot", "seal-hardened", "rear-output-seal-leaks", "oil-low", "oil-hot")
    assert strength(book, *pads) > 0.0
    assert strength(book, *heat) > 0.0
    members = [set(loop) for loop in loops(causal_graph(book))]
    for ring in (pads, heat):
        assert any(set(ring) <= found for found in members)
        assert not any(book.conditions[cid].origin for cid in ring)


def test_24_a_cold_bore_never_proves_that_the_ring_was_held_common_practice(book: Book) -> None:
    starts(book, "front-bore-loose-hot", "rear-bore-loose-hot")
    assert strength(book, "front-bore-loose-hot", "outer-ring-creeps") >= USUALLY
    for cold, hot in (
        ("front-bore-cold-fit", "front-bore-loose-hot"),
        ("rear-ring-fit-cold", "rear-bore-loose-hot"),
    ):
        assert hot not in decisive_denials(book, cold)
    reading = book.checks["front-bore-hot-fit"].reading
    assert reading is not None
    assert reading.work == "hot-fit"

"""What the stored cases of `examples/` are there to show, read off the command line.

Only what must be so by the book's meaning is asserted: which origins are named and how surely, what
is held, and that a plan mends the origin as early as the disassembly lets it. A new chain may add
an open rival.
"""

from __future__ import annotations

import json
from typing import Any

import pytest
from planning.conftest import Play

from headwater.book.records import Book

PROVEN: dict[str, tuple[set[str], list[str]]] = {
    "plan-float-under": (set(), ["input-bearing"]),
    "plan-float-at": (set(), []),
    "plan-float-over": ({"front-bore-worn"}, ["front-housing", "input-bearing", "range-fork"]),
    "plan-fit-hot": ({"front-bore-loose-hot"}, ["front-housing", "input-bearing", "range-fork"]),
    "plan-shared-housing": (
        {"front-bore-worn", "front-output-bore-worn"},
        ["front-housing", "input-bearing", "drive-sprocket", "range-fork"],
    ),
    "plan-loop": ({"front-seal-crooked"}, ["oil", "front-output-seal", "seal-set", "oil"]),
    "plan-tyres": ({"tyre-mismatch"}, ["chain", "tyres"]),
    "plan-undetermined": (set(), []),
    "plan-dowels-before": ({"front-bore-worn"}, ["front-housing", "input-bearing", "range-fork"]),
    "plan-dowels-back": ({"dowels-left-out"}, ["dowels", "housing-joint"]),
    "ridge-07": ({"front-bore-worn"}, ["front-housing", "input-bearing", "range-fork"]),
}
"""Case -> the origins that its findings prove, and the parts acted on, in the order of the plan."""

PROBABLE = {"plan-float-under": {"input-bearing-float-shimmable"}}
"""Case -> the origins that one act alone shows: a reading cannot prove by itself."""

HELD = {
    "plan-float-under": ("open", {"range-fork"}),
    "plan-float-at": ("open", {"range-fork"}),
    "plan-undetermined": ("undetermined", {"input-bearing"}),
}
"""Case -> verdict and the parts that are held; every other case is settled and holds nothing."""


def diagnosed(play: Play, name: str) -> dict[str, Any]:
    status, text, fault = play("diagnose", f"examples/{name}.yaml", "--json")
    assert fault == ""
    data: dict[str, Any] = json.loads(text)
    assert status == (0 if data["verdict"] == "settled" else 1)
    return data


@pytest.mark.parametrize("name", PROVEN)
def test_origins_and_held_parts(name: str, play: Play) -> None:
    data = diagnosed(play, name)
    verdict, held = HELD.get(name, ("settled", set()))
    assert data["verdict"] == verdict
    assert {o["id"] for o in data["origins"] if o["status"] == "proven"} == PROVEN[name][0]
    probable = {o["id"] for o in data["origins"] if o["status"] == "probable"}
    assert probable == PROBABLE.get(name, set())
    assert {p["part"] for p in data["parts"] if p["disposition"] == "held"} == held


@pytest.mark.parametrize("name", PROVEN)
def test_the_plan_corrects_every_origin_in_the_order_of_the_bench(name: str, play: Play) -> None:
    data = diagnosed(play, name)
    origins, parts = PROVEN[name]
    acted = [step["on"] for step in data["plan"] if step["action"] not in (None, "inspect")]
    assert [part for part in acted if part in parts] == parts
    held = HELD.get(name, ("", set()))[1]
    assert all(step["action"] is None for step in data["plan"] if step["on"] in held)
    assert {c for step in data["plan"] for c in step["corrects"]} >= origins


@pytest.mark.parametrize("name", [name for name, (origins, _) in PROVEN.items() if origins])
def test_the_sheet_says_the_origin_first(name: str, play: Play, book: Book) -> None:
    _, sheet, _ = play("plan", f"examples/{name}.yaml")
    told = " ".join(sheet.split())
    first = told.index("Where it began")
    for origin in PROVEN[name][0]:
        assert told.index(book.conditions[origin].title, first) < told.index(" 1. ")


def test_the_cover_corrects_every_live_candidate_and_then_the_damaged_part(play: Play) -> None:
    data = diagnosed(play, "plan-undetermined")
    live = {"front-bore-worn", "front-bore-loose-hot", "input-snap-ring-unseated"}
    *corrections, bearing = data["cover"]
    assert {o for step in corrections for o in step["corrects"]} >= live
    assert (bearing["on"], bearing["corrects"]) == ("input-bearing", ["input-bearing-displaced"])
    (held,) = data["parts"]
    assert (held["part"], held["disposition"], held["action"]) == ("input-bearing", "held", None)


def test_one_housing_half_for_two_bores(play: Play) -> None:
    plan = diagnosed(play, "plan-shared-housing")["plan"]
    first, *others = [step for step in plan if step["action"] != "inspect"]
    assert (first["on"], first["action"]) == ("front-housing", "scrap")
    assert set(first["corrects"]) == {"front-bore-worn", "front-output-bore-worn"}
    assert "front-housing" not in {step["on"] for step in others}


@pytest.mark.parametrize("name", [name for name in HELD if HELD[name][0] == "open"])
def test_a_held_part_is_named_without_a_remedy(name: str, play: Play) -> None:
    status, sheet, _ = play("plan", f"examples/{name}.yaml")
    assert status == 1
    assert "HELD " in sheet
    assert "Fit a range fork" not in sheet
    assert "Fit a new input bearing" not in sheet


@pytest.mark.parametrize(
    ("case", "plan", "status", "says"),
    [
        ("ridge-07", "bare-fork", 1, "it leaves the origin 'front bearing bore"),
        ("ridge-07", "whole-repair", 0, "Passed"),
        ("plan-shared-housing", "two-bores", 1, "it corrects every origin, but leaves"),
        ("plan-float-at", "bare-fork", 1, "is held, no origin of"),
    ],
)
def test_stored_proposals(case: str, plan: str, status: int, says: str, play: Play) -> None:
    words = ("audit", f"examples/{case}.yaml", "--plan", f"examples/plans/{plan}.yaml")
    found, screen, fault = play(*words)
    assert (found, fault) == (status, "")
    assert says in " ".join(screen.split())


@pytest.mark.parametrize(
    ("case", "says"),
    [
        ("plan-undetermined", "an origin outside the unit would stay in place"),
        ("plan-tyres", "leaves the origin 'tyres of unlike size front and rear' in place"),
    ],
)
def test_an_exchange_unit_is_no_cure_for_what_lies_outside(
    case: str, says: str, play: Play
) -> None:
    status, screen, _ = play("audit", f"examples/{case}.yaml", "--parts", "exchange unit")
    assert status == 1
    assert says in " ".join(screen.split())

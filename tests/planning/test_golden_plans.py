"""Golden screens: job sheets, options, audits. Refresh them with HEADWATER_REFRESH=1, then read them."""

from __future__ import annotations

import pytest

from planning.conftest import Compare, Play

SHEETS = {
    "plan-float-under": 1,
    "plan-float-at": 1,
    "plan-float-over": 0,
    "plan-fit-hot": 0,
    "plan-shared-housing": 0,
    "plan-loop": 0,
    "plan-undetermined": 1,
    "plan-tyres": 0,
    "plan-dowels-before": 0,
    "plan-dowels-back": 0,
    "ridge-07": 0,
}
LIST = "examples/prices/winter-list.yaml"
OPTIONS = {
    "bare-fork": (0, "ridge-07", "--prices", LIST, "--parts", "range fork"),
    "undetermined": (1, "plan-undetermined", "--prices", LIST, "--parts", "input bearing"),
    "tyres-outside-the-unit": (0, "plan-tyres", "--prices", LIST, "--parts", "chain"),
    "open": (1, "plan-float-at", "--prices", LIST, "--parts", "range fork"),
    "no-prices": (0, "ridge-07"),
    "short-list": (0, "ridge-07", "--prices", "examples/prices/short-list.yaml"),
}
AUDITS = {
    "bare-fork": (1, "ridge-07", "--plan", "examples/plans/bare-fork.yaml"),
    "phone-list": (1, "ridge-07", "--parts", "range fork, chain and flux gate"),
    "whole-repair": (0, "ridge-07", "--plan", "examples/plans/whole-repair.yaml"),
    "two-bores": (1, "plan-shared-housing", "--plan", "examples/plans/two-bores.yaml"),
    "held": (1, "plan-float-at", "--plan", "examples/plans/bare-fork.yaml"),
    "undetermined-exchange": (1, "plan-undetermined", "--parts", "exchange unit"),
    "exchange-on-unlike-tyres": (1, "plan-tyres", "--parts", "exchange unit"),
    "dowels-left-out": (0, "plan-dowels-back"),
}


@pytest.mark.parametrize("name", SHEETS)
def test_job_sheet(name: str, play: Play, golden: Compare) -> None:
    status, screen, fault = play("plan", f"examples/{name}.yaml")
    assert (status, fault) == (SHEETS[name], "")
    golden(f"sheet-{name}", screen)


@pytest.mark.parametrize("name", OPTIONS)
def test_options(name: str, play: Play, golden: Compare) -> None:
    wanted, case, *more = OPTIONS[name]
    status, screen, fault = play("options", f"examples/{case}.yaml", *(str(m) for m in more))
    assert (status, fault) == (wanted, "")
    golden(f"options-{name}", screen)


@pytest.mark.parametrize("name", AUDITS)
def test_audit(name: str, play: Play, golden: Compare) -> None:
    wanted, case, *more = AUDITS[name]
    status, screen, fault = play("audit", f"examples/{case}.yaml", *(str(m) for m in more))
    assert (status, fault) == (wanted, "")
    golden(f"audit-{name}", screen)

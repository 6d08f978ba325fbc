"""Every piece of bench arithmetic by name: what it asks, how it computes, where that comes from."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from headwater.measure.faults import MeasureError
from headwater.measure.work import Given, Input, Reading, Work, Worked, WorkResult, perform
from headwater.measure.works_chains import CHAIN_WORKS
from headwater.measure.works_drive import DRIVE_WORKS
from headwater.measure.works_oil import OIL_WORKS
from headwater.measure.works_seats import SEAT_WORKS
from headwater.measure.works_shafts import SHAFT_WORKS

__all__ = [
    "WORKS",
    "Given",
    "Input",
    "Reading",
    "Work",
    "WorkResult",
    "Worked",
    "find_work",
    "run_work",
]

WORKS: Final[Mapping[str, Work]] = MappingProxyType(
    {
        work.name: work
        for work in (*SEAT_WORKS, *CHAIN_WORKS, *DRIVE_WORKS, *SHAFT_WORKS, *OIL_WORKS)
    }
)


def find_work(name: str) -> Work:
    """Return a work by name; raises `MeasureError` that names the nearest ones."""
    try:
        return WORKS[name]
    except KeyError:
        import difflib  # only when a name is misspelt

        near = difflib.get_close_matches(name, WORKS, n=3) or WORKS
        raise MeasureError(f"there is no work '{name}'; there is {', '.join(near)}") from None


def run_work(
    name: str,
    inputs: Mapping[str, Reading],
    uncertainties: Mapping[str, float] | None = None,
) -> WorkResult:
    """Run a work by name on readings as a person writes them; see `work.perform`.

    >>> result = run_work("axial-float", {"pushed": "0.12 mm", "pulled": "1.26 mm"})
    >>> result.value.value
    1.14
    """
    return perform(find_work(name), inputs, uncertainties)


def input_names() -> dict[str, list[str]]:
    """Return the bench arithmetic that checks may use, with the inputs of each."""
    return {name: [item.name for item in work.inputs] for name, work in WORKS.items()}

"""What bench arithmetic shows."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.measure.work import WorkResult
from headwater.view.paper import Paper, say


@dataclass(frozen=True, slots=True)
class WorkView:
    """What bench arithmetic came to; value and uncertainty in the base unit of the dimension."""

    work: str
    value: float
    dimension: str
    uncertainty: float
    further: dict[str, float]
    notes: tuple[str, ...]
    formula: str
    source: str


def work_view(result: WorkResult) -> WorkView:
    """Return a result as a record."""
    return WorkView(
        result.name,
        result.value.value,
        result.value.dimension,
        result.uncertainty,
        {name: quantity.value for name, quantity in result.further},
        result.notes,
        result.formula,
        result.source,
    )


def work_paper(result: WorkResult) -> Paper:
    """Return a result with its formula, numbers and source."""
    lines = list(result.lines)
    if not result.uncertainty:
        lines.append("uncertainty: none given; write it as in '1.26 ± 0.02 mm'")
    return Paper("", tuple(say(text) for text in lines), ())

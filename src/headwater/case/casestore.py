"""Where an open case is kept: one place at a time, a file or a row of the ledger.

Whoever works on a case knows only this. The file's maker is `CaseWriter`; the ledger has its own.
"""

from __future__ import annotations

from types import TracebackType
from typing import Any, Protocol, Self

from headwater.case.model import Case
from headwater.case.store import case_data, entry_line
from headwater.yamltext import quote


class CaseStore(Protocol):
    """An open case: what is taken down is safe before the call returns, all of it or nothing.

    Finding N is taken only where N-1 is the last one; else CaseError says what became of it.
    """

    def case(self) -> Case:
        """Return the case as it stands."""

    def append(self, line: str) -> None:
        """Take down findings, each as a line of a case file. Raises CaseError."""

    def tell(self, lines: str) -> None:
        """Take down more of the case than findings, as lines of a case file. Raises CaseError."""

    def forget_complaint(self) -> None:
        """Take the customer's first words out again. Raises CaseError."""

    def __enter__(self) -> Self:
        """Return the store."""

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close it; raises CaseError where something that was taken down is not there."""


def case_text(case: Case) -> str:
    """Return a case as the text of a case file, written anew."""
    data = case_data(case)
    data.pop("findings", None)
    head = "".join(f"{key}: {flow(value)}\n" for key, value in data.items())
    return f"{head}findings:\n{''.join(map(entry_line, case.findings))}"


def flow(value: Any) -> str:
    """Return plain data as YAML on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return f"[{', '.join(map(flow, value))}]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{quote(k)}: {flow(v)}" for k, v in value.items()) + "}"
    return quote(str(value))

"""The journey of one reading through the code: from the typed line to the released part and a page.

    python tests/benchmark/journey.py

A bench session knows what the bore looks like and stands at its next question.
`input-bearing-float: 0.045 in` is typed, the seat answers, and the page for the shop is written
from the same session. Printed are the distinct functions of Headwater that were called on the way
(methods too; comprehensions, lambdas and what dataclasses make are part of their functions), by
room, how many of them were handed the reading in any shape, and how often its text was parsed. What
does not pass the value, such as drawing worlds, is counted with it: a reader meets it all the
same.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Callable
from datetime import date
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory
from types import CodeType, FrameType
from typing import Any
from unittest.mock import patch

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from headwater import outputs, units  # noqa: E402 - the path is set above
from headwater.cli.main import Terminal, run  # noqa: E402
from headwater.session.session import Session  # noqa: E402
from headwater.view.shop import Reporting  # noqa: E402

PACKAGE = str(ROOT / "src" / "headwater")
BEFORE = "front-bore-polish: polished-and-stepped"
LINE = "input-bearing-float: 0.045 in"


class Watched(StringIO):
    """Lines to be typed; what is called is written down from the reading of `LINE` on."""

    def __init__(self, lines: list[str], started: Callable[[], None]) -> None:
        """Take the lines, and what to do when the watched one is read."""
        super().__init__("".join(f"{line}\n" for line in lines))
        self.started = started

    def readline(self, size: int | None = -1, /) -> str:  # type: ignore[override]
        """Return the next line."""
        line = super().readline(size if size is not None else -1)
        if line.strip() == LINE:
            self.started()
        return line


def holds_it(value: Any) -> bool:
    """Return whether an argument is the reading: as typed, as a quantity, judged, or a finding."""
    judged = getattr(value, "judged", value)
    return "0.045" in str(
        value
        if isinstance(value, str)
        else getattr(getattr(judged, "quantity", judged), "text", "")
    )


def walked() -> tuple[Counter[str], int, int]:
    """Return the functions called, by room, and how often the reading was parsed."""
    called: set[CodeType] = set()
    held: set[CodeType] = set()
    parsed = 0

    def note(frame: FrameType, event: str, _: Any) -> None:
        nonlocal parsed
        code = frame.f_code
        if event != "call" or not code.co_filename.startswith(PACKAGE) or "<" in code.co_name:
            return
        called.add(code)
        if any(holds_it(value) for value in frame.f_locals.values()):
            held.add(code)
        if code is units.parse_quantity.__code__:
            parsed += "0.045" in str(frame.f_locals["text"])

    sessions: list[Session] = []
    answer = Session.answer

    def kept(session: Session, *given: Any, **more: Any) -> Any:
        sessions.append(session)
        return answer(session, *given, **more)

    kept.__code__ = kept.__code__.replace(co_filename="journey")
    family = "drive=chain,housing=magnesium,rear-output=slip-yoke"
    with TemporaryDirectory() as folder, patch.object(Session, "answer", kept):
        keyboard = Watched(
            ["range fork pads burnt", "", "", "skip", BEFORE, LINE, "done"],
            lambda: sys.setprofile(note),
        )
        out = StringIO()
        case = str(Path(folder) / "unit.yaml")
        run(["bench", case, "--family", family], Terminal(out, out, keyboard, width=80))
        page = outputs.html_text("shop-report", Reporting(sessions[-1], date(2026, 1, 1)))
        sys.setprofile(None)
    assert "RELEASED: range fork with its pads" in out.getvalue()
    assert "0.045 in" in page
    rooms = Counter(Path(code.co_filename).relative_to(PACKAGE).parts[0] for code in called)
    return rooms, len(held), parsed


def main() -> None:
    """Print the journey."""
    argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "").parse_args()
    rooms, held, parsed = walked()
    for room, count in sorted(rooms.items(), key=lambda item: -item[1]):
        print(f"{count:5}  {room.removesuffix('.py')}")
    print(f"{rooms.total():5}  distinct functions in all")
    print(f"{held:5}  of them were handed the reading; its text was parsed {parsed} time(s)")


if __name__ == "__main__":
    main()

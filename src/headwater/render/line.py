"""A paragraph for the terminal, and how it wraps."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from headwater.render.clean import fit


@dataclass(frozen=True, slots=True)
class Line:
    """One paragraph: `style` is plain, head, good, bad or quiet; `hang` indents what wraps.

    A drawing sets `lead`, what stands before its first row, and `rest`, before the others.
    """

    text: str = ""
    style: str = "plain"
    indent: int = 0
    hang: int = 2
    lead: str = ""
    rest: str = ""


def wrapped(line: Line, width: int) -> list[str]:
    """Return the rows of a paragraph; a word longer than a row is left whole.

    What a terminal would obey, such as an escape, is shown as U+FFFD.

    >>> wrapped(Line("one two three", lead="> ", rest="| "), 9)
    ['> one two', '| three']
    """
    rows = textwrap.wrap(
        line.text,
        width,
        initial_indent=line.lead or " " * line.indent,
        subsequent_indent=line.rest or " " * (line.indent + line.hang),
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [fit(row) for row in rows]

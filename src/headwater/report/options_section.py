"""The priced options as a section of a report: the table, and for the shop the arithmetic."""

from __future__ import annotations

from headwater.report.job_text import (
    HOW_RECKONED,
    OPTION_HEADS,
    list_words,
    option_cells,
    working_lines,
)
from headwater.verdict.assess import Assessment
from headwater.verdict.options import Option
from headwater.verdict.prices import Prices
from headwater.view.paper import Block, Entries, Entry, Grid, Paragraph, Section, Tone, Words


def options_section(
    assessment: Assessment, options: list[Option], prices: Prices, in_full: bool
) -> Section:
    """Return the section; `in_full` opens the arithmetic to view."""
    blocks: list[Block] = [_said(f"{list_words(prices)}."), _table(options), _said(HOW_RECKONED)]
    for number, option in enumerate(options, 1) if in_full else ():
        head, *working = (line.text for line in working_lines(assessment, number, option, prices))
        entry = Entry((Words(head, Tone.STRONG),), tuple(text.strip() for text in working))
        blocks.append(Entries((entry,)))
    return Section("Ways to put it right", tuple(blocks))


def _said(text: str) -> Paragraph:
    return Paragraph((Words(text, Tone.QUIET),))


def _table(options: list[Option]) -> Grid:
    rows = []
    for option in options:
        cells = option_cells(option) or (f"refused: {option.refused}",)
        filled = (option.way.value, *cells, *[""] * (len(OPTION_HEADS) - len(cells)))
        rows.append(tuple((Words(text),) for text in filled))
    return Grid(("way", *OPTION_HEADS), tuple(rows))

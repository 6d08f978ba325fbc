"""What the cases make of the book's figures, in words: what is proposed, and what they bear out."""

from __future__ import annotations

from collections.abc import Iterator

from headwater.ledger.learned import FEWEST_TOLD, LEVEL, PROPOSED, FigureRow, Learning
from headwater.view.paper import Block, Paper, Section, Tone, Words, say
from headwater.view.words import counted

MOST_BORNE_OUT = 10
NOTHING_CHANGES = "Nothing is changed by this: the figures stand in the book as they did."


def learning_view(told: Learning) -> Learning:
    """Return what was learnt as a record."""
    return told


def learning_paper(told: Learning) -> Paper:
    """Return what was learnt: figures proposed anew, and those borne out."""
    head = f"{counted(told.cases, 'case')} held against the book's figures"
    blocks: list[Block] = [
        say(
            f"The book's word counts as {told.link_worth:g} cases of a link, and as "
            f"{told.origin_worth:g} of an origin. Counts are expected ones over all answers of "
            "all cases, proven or not."
        )
    ]
    blocks += [say(Words(line, Tone.QUIET)) for line in _passed(told)]
    blocks.append(say(NOTHING_CHANGES))
    sections = [
        *_section(
            f"Proposed: the book's figure is outside an interval of {100 * PROPOSED:.0f} %",
            told.moved,
        ),
        *_borne_out(told),
        *_next(told),
    ]
    return Paper(head, tuple(blocks), tuple(sections))


def _passed(told: Learning) -> Iterator[str]:
    for number, why in (
        (told.passed.imported, "from a sheet of the past: nothing is learnt from those"),
        (told.passed.came_back, "of units worked on before: other origins are likelier in those"),
        (told.passed.unreadable, "that this book cannot read"),
        (told.passed.silent, "without an answer that a figure hangs on"),
    ):
        if number:
            yield f"Left out: {counted(number, 'case')} {why}."


def _section(heading: str, rows: tuple[FigureRow, ...]) -> Iterator[Section]:
    blocks: list[Block] = []
    for row in rows:
        blocks.append(say(row.title))
        blocks.append(say(figure_words(row), depth=1))
    if blocks:
        yield Section(heading, tuple(blocks))


def figure_words(row: FigureRow) -> str:
    """Return what a figure was, what it comes to, and what that rests on."""
    within = f"{100 * LEVEL:.0f} %: {row.low:.3g} to {row.high:.3g}"
    counts = f"{row.held:.1f} of {row.tried:.1f}, worth {row.told:.0f} plain cases"
    return f"book {row.book:.3g}, with the cases {row.shop:.3g} ({within}); {counts}"


def _borne_out(told: Learning) -> Iterator[Section]:
    known = [row for row in told.rows if row.told >= FEWEST_TOLD and not row.moved]
    shown, rest = known[:MOST_BORNE_OUT], len(told.rows) - len(told.moved) - len(known)
    heading = "Borne out: the book's figure stays"
    if len(known) > len(shown):
        heading += f" ({len(shown)} of {len(known)})"
    yield from _section(heading, tuple(shown))
    if rest:
        text = f"Of {counted(rest, 'figure')} the cases tell less than {FEWEST_TOLD:g} plain ones"
        yield Section("Too little said", (say(f"{text} would: they stay near the book's."),))


def _next(told: Learning) -> Iterator[Section]:
    if told.written:
        yield Section(
            "Written",
            (
                *(say(path) for path in told.written),
                say("Which cases come out otherwise with it, before it is used:"),
                say("headwater ledger export --to CASES", depth=1),
                say("headwater book diff --shop FOLDER --cases CASES", depth=1),
            ),
        )
    elif told.moved:
        text = "The pack with these figures, to be looked at and laid over with --shop: -o FOLDER"
        yield Section("As a pack", (say(text),))

"""What was understood of the words at a prompt, as a list to be ticked off."""

from __future__ import annotations

from collections.abc import Iterator

from headwater.book.records import Book
from headwater.session.intake import Intake
from headwater.session.listed import Denial, Item, Row
from headwater.view.heard import saying, title_of
from headwater.view.paper import Block, Entries, Entry, Paper, Tone, Words, listed, say

ASK_FIRST = "Whoever is driving pulls in where it is safe. Ask first, is any of this so:"
ANY_DANGER = "If there is danger, type 'danger' and what it is; 'danger' alone lists the signs."
TOLD_BEFORE = "Danger was told before: {}."
NO_SIGN = "'{}' is none of these signs: type 'danger' and a number from the list."
IF_SO = "If it is, type 'danger' and the number, or several."
DENIED = "said not to be so: "
ASIDE = "no trouble of the driveline: "
WISHED = "Asked for, too: "
NOT_SO = "If that is not so, 0 takes it back."
NOT_ALL_SO = "If one is not so, 0 and its number take it back, '0 2'; 0 alone takes all back."
TICKED, OFFERED = "[x]", "[ ]"


def intake_paper(intake: Intake) -> Paper:
    """Return what was understood, ticked things first, with what to do now before all else."""
    book = intake.session.open_book.book
    blocks: list[Block] = []
    titles = _alarm_titles(intake)
    back = NOT_ALL_SO if len(titles) > 1 else NOT_SO
    for one, title in zip(intake.signs, titles, strict=False):
        blocks.append(say(Words(title, Tone.STRONG), boxed=True))
        blocks.append(listed(book.emergencies[one].now))
    if intake.signs:
        blocks.append(say(Words(back, Tone.QUIET)))
    elif titles:
        blocks.append(say(Words(f"{TOLD_BEFORE.format('; '.join(titles))} {back}", Tone.HELD)))
    elif intake.asks_for_danger and intake.session.signs_listed:
        blocks.append(say(Words(ANY_DANGER, Tone.HELD)))
        if intake.no_sign:
            blocks.append(say(Words(NO_SIGN.format(intake.no_sign), Tone.HELD)))
    elif intake.asks_for_danger:
        signs = "; ".join(f"{n} {s.title}" for n, s in enumerate(book.emergencies.values(), 1))
        blocks.append(say(Words(f"{ASK_FIRST} {signs}. {IF_SO}", Tone.HELD)))
        if intake.no_sign:
            blocks.append(say(Words(NO_SIGN.format(intake.no_sign), Tone.HELD)))
    blocks += trouble_blocks(intake)
    if intake.rows:
        blocks.append(say(Words("Understood:", Tone.STRONG)))
        blocks.append(Entries(tuple(_entry(book, row) for row in intake.rows), numbered=True))
    blocks += rest_blocks(intake)
    return Paper("", tuple(blocks), ())


def _alarm_titles(intake: Intake) -> list[str]:
    """Return the signs of danger that are shown, by number where there are several."""
    book = intake.session.open_book.book
    titles = [book.emergencies[one].title for one in intake.alarms]
    return [f"{n}. {title}" for n, title in enumerate(titles, 1)] if len(titles) > 1 else titles


def trouble_blocks(intake: Intake) -> Iterator[Block]:
    """Yield what is told somebody about trouble that is not the driveline's."""
    book = intake.session.open_book.book
    for trouble in (book.elsewhere[one] for one in intake.outside if one in book.elsewhere):
        # Beside words that say something else it is a guess, and nobody is sent away on one.
        other = any(item.ticked for item in intake.items) or bool(intake.not_placed)
        if told := " ".join(filter(None, ("" if other else trouble.tell, trouble.caution))):
            yield say(told)


def rest_blocks(intake: Intake) -> Iterator[Block]:
    """Yield what is nothing to be ticked: wishes, what is not so, what was not placed."""
    book = intake.session.open_book.book
    if intake.wishes and intake.rows:
        titles = "; ".join(book.elsewhere[one].title for one in intake.wishes)
        yield say(Words(f"{WISHED}{titles}", Tone.QUIET))
    if intake.not_placed:
        left = "; ".join(intake.not_placed)
        yield say(f"Not placed, kept as told: {left}")


def row_words(book: Book, row: Row) -> str:
    """Return a row to be ticked, in the book's words."""
    if isinstance(row, Denial):
        return f"{DENIED}{title_of(book, row.one.id)}"
    return saying(book, row.one) if isinstance(row, Item) else ASIDE + book.elsewhere[row.id].title


def _entry(book: Book, row: Row) -> Entry:
    mark = TICKED if row.ticked else OFFERED
    return Entry((Words(f"{mark} {row_words(book, row)}"),), quiet=not row.ticked)

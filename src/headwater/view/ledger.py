"""What the ledger's commands show: lists of cases, one case in full, what was done to it."""

from __future__ import annotations

from collections.abc import Iterator

from headwater.ledger.records import (
    CaseCard,
    CaseList,
    CaseRow,
    Finished,
    HappenedRow,
    Noted,
    PictureRow,
    Returning,
)
from headwater.view.audit import WARRANTY
from headwater.view.paper import Entries, Entry, Facts, Paper, Section, Tone, Words, listed, say
from headwater.view.tables import Rows
from headwater.view.words import counted

LONGEST_COMPLAINT = 100
DIGEST_SHOWN = 12


def cases_view(told: CaseList) -> CaseList:
    """Return a list of cases as a record."""
    return told


def cases_paper(told: CaseList) -> Paper:
    """Return a list of cases: name and state, whose it is, and what was complained of."""
    head = f"{counted(told.of, 'case')}{' or more' if told.more else ''}"
    if told.asked:
        head += f" with '{told.asked}'"
    if len(told.rows) < told.of:
        head += f", the last {len(told.rows)} of them"
    rows = tuple(Entry((Words(_named(row), Tone.STRONG),), _points(row)) for row in told.rows)
    return Paper(head, (Entries(rows),) if rows else (), ())


def _named(row: CaseRow) -> str:
    return f"{row.case}: {state_words(row)}, changed {row.changed}"


def state_words(row: CaseRow) -> str:
    """Return how far a case is, with whom or what it waits for."""
    plain = row.state.value.replace("-", " ")
    return f"{plain} for {row.waits_for}" if row.waits_for else plain


def _points(row: CaseRow) -> tuple[str, ...]:
    whose = ", ".join(filter(None, (row.customer, row.vehicle, row.unit and f"unit {row.unit}")))
    complaint = row.complaint
    if len(complaint) > LONGEST_COMPLAINT:
        complaint = f"{complaint[: LONGEST_COMPLAINT - 3]}..."
    return tuple(filter(None, (whose, complaint and f'"{complaint}"')))


def cases_table(told: CaseList) -> Rows:
    """Return one row for each case."""
    head = (
        *("case", "state", "waits for", "customer", "vehicle", "unit", "complaint"),
        *("findings", "opened", "changed"),
    )
    rows = [
        (
            *(r.case, r.state.value, r.waits_for, r.customer, r.vehicle, r.unit, r.complaint),
            *(r.findings, r.opened, r.changed),
        )
        for r in told.rows
    ]
    return Rows(head, tuple(rows))


def card_view(card: CaseCard) -> CaseCard:
    """Return a case in full as a record."""
    return card


def card_paper(card: CaseCard) -> Paper:
    """Return all that the ledger knows of a case, and what happened to it."""
    sections = []
    if card.told:
        sections.append(Section("Told", (listed(f'"{words}"' for words in card.told),)))
    if card.done:
        sections.append(Section("Done", (listed(card.done),)))
    if card.pictures:
        sections.append(Section("Photographs", (listed(map(_picture, card.pictures)),)))
    sections.append(Section("What happened", (listed(map(_happened, card.log)),)))
    return Paper(f"Case {card.row.case}", (Facts(tuple(_facts(card))),), tuple(sections))


def _facts(card: CaseCard) -> Iterator[tuple[str, str]]:
    row = card.row
    facts = {
        "state": state_words(row),
        "customer": ", ".join(filter(None, (row.customer, card.phone))),
        "vehicle": row.vehicle,
        "unit": row.unit,
        "distance": card.distance,
        "opened": f"{row.opened}, changed {row.changed}",
        "findings": str(row.findings),
        "earlier": card.earlier,
        "returned": ", ".join(card.returns),
        "same unit": ", ".join(card.others),
    }
    yield from ((name, text) for name, text in facts.items() if text)


def _picture(picture: PictureRow) -> str:
    if not picture.digest:
        return f"{picture.name}: its name alone is kept"
    return f"{picture.name}: {picture.size} bytes, {picture.digest[:DIGEST_SHOWN]}"


def _happened(row: HappenedRow) -> str:
    by = f" ({', '.join(filter(None, (row.who, row.device)))})" if row.who or row.device else ""
    return f"{row.at} {row.what}{by}"


def noted_view(noted: Noted) -> Noted:
    """Return what was done to the ledger as a record."""
    return noted


def noted_paper(noted: Noted) -> Paper:
    """Return what was done to the ledger, a line for each."""
    return Paper("", tuple(say(line) for line in noted.lines), ())


def finished_view(told: Finished) -> Finished:
    """Return a case that is done as a record."""
    return told


def finished_paper(told: Finished) -> Paper:
    """Return what a case came to when it was done: what was behind it, and what was left."""
    blocks = [say(f"It left on {told.out_on}.")]
    if told.sentence:
        blocks.append(say(told.sentence))
    else:
        blocks.append(say(Words("Nothing is written down as done.", Tone.HELD)))
    named = [one for one in told.origins if one.naming != "open"]
    for one in named:
        tone = Tone.RELEASED if one.corrected else Tone.HELD
        word = "corrected" if one.corrected else "left in place"
        blocks.append(say(Words(f"{one.title} ({one.naming}): {word}", tone)))
    if not named:
        blocks.append(say(Words("No origin was named.", Tone.HELD)))
    blocks.append(say(f"Warranty until {told.until}." if told.until else "No term of a warranty."))
    return Paper(f"Done: case {told.case}", tuple(blocks), ())


def returning_view(told: Returning) -> Returning:
    """Return how a unit came back as a record."""
    return told


def returning_paper(told: Returning) -> Paper:
    """Return how a unit came back: after how long and how far, and how that stands to warranty."""
    after = f"{told.days} days" + ("" if told.km is None else f" and {told.km:.0f} km")
    kinds = {True: "the same complaint", False: "another complaint", None: "not said which"}
    blocks = [
        say(f"After {after}; {kinds[told.same]}."),
        say(f"Warranty: {told.warranty}. {WARRANTY}"),
    ]
    if not told.work_known:
        blocks.append(say(Words(f"Nothing is written down as done in {told.earlier}.", Tone.HELD)))
    blocks.append(say(f"Go on with: headwater hoist {told.case}"))
    return Paper(f"Case {told.case}: {told.earlier} came back", tuple(blocks), ())

"""How a question, its reason and the state after an answer look on the screen."""

from __future__ import annotations

from headwater.belief.gain import outlooks
from headwater.book.model import Check
from headwater.cli.console import Screen
from headwater.measure.answer import asked_inputs
from headwater.report.text import Line
from headwater.report.words import minutes_words, part_title, percent, title
from headwater.session.inquiry import Inquiry
from headwater.verdict.reach import minutes_to_open, still_to_open


def show_question(screen: Screen, inquiry: Inquiry, check: Check) -> None:
    """Print one question with how to look, the tool, the cautions and the answers."""
    book = inquiry.reasoner.book
    opens = still_to_open(book, check, inquiry.stand.removed)
    minutes = check.minutes + minutes_to_open(book, opens)
    screen.say()
    screen.say(check.ask, "head")
    for removal in opens:
        screen.say(f"first: {book.removals[removal].title}", indent=2)
    tool = f", with {check.tool}" if check.tool else ""
    screen.say(f"{minutes_words(minutes)}{tool}", "quiet", indent=2)
    for label, text in (("How", check.how), ("Good", check.good), ("Bad", check.bad)):
        if text:
            screen.say(f"{label}: {text}", indent=2)
    cautions = [*check.cautions, *(c for rid in opens for c in book.removals[rid].cautions)]
    for caution in dict.fromkeys(cautions):
        screen.say(f"! {book.cautions[caution].text}", "bad", indent=2)
    if check.reading:
        limit = book.limits[check.reading.limit]
        bands = ", ".join(
            f"{b.name} up to {b.upto}" if b.upto else str(b.name) for b in limit.bands
        )
        screen.say(f"Limit: {bands} ({book.sources[limit.source].title})", indent=2)
        inputs = asked_inputs(check)
        if len(inputs) > 1:
            screen.say(
                f"Type 'measure' to give {', '.join(inputs)}; or the result, or a word.", indent=2
            )
        else:
            screen.say(f"A reading with its unit ({limit.unit}), or one of the words.", indent=2)
        return
    for number, (word, answer) in enumerate(check.answers.items(), 1):
        text = f"{word}: {answer.says}" if answer.says else str(word)
        screen.line(Line(f"{number}  {text}", indent=2, hang=3))


def show_why(screen: Screen, inquiry: Inquiry, check: Check) -> None:
    """Print why a check is asked: what it separates, and what each answer would leave."""
    assessment = inquiry.assessment
    book = inquiry.reasoner.book
    if check.means:
        screen.say(check.means, indent=2)
    screen.say("What each answer would leave of the origins now in question:", indent=2)
    for outlook in outlooks(assessment.particles, check):
        likely = sorted(outlook.origins.items(), key=lambda item: (-item[1], item[0]))[:3]
        left = ", ".join(f"{title(book, cid)} {percent(p)}" for cid, p in likely if p >= 0.05)
        tail = left or "none of them likely"
        screen.line(Line(f"- {outlook.answer} ({percent(outlook.probability)}): {tail}", indent=4))


def show_live(screen: Screen, inquiry: Inquiry, check: Check, held_before: set[str]) -> None:
    """Print what an answer did: readings too close, chains still live, parts held and released."""
    assessment = inquiry.assessment
    book = assessment.book
    judged = assessment.stand.answered[check.id]
    for text in judged.working:
        screen.say(text, "quiet", indent=2)
    if judged.quantity and judged.settled:
        screen.say(f"That is {judged.settled}.", indent=2)
    if judged.too_close:
        shares = ", ".join(f"{word} {percent(share)}" for word, share in judged.shares)
        screen.say(
            f"Too close to call with this gauge: {shares}. It decides nothing.", "bad", indent=2
        )
    for condition in assessment.disputed:
        screen.say(f"Findings disagree on: {title(book, condition)}. Look again.", "bad", indent=2)
    for origin, naming in assessment.origins.items():
        screen.say(f"Origin named, {naming.value}: {title(book, origin)}", "good", indent=2)
    for cid in assessment.unexplained[:3]:
        live = [c for c in assessment.accounts[cid].candidates if c.origin]
        names = "; ".join(f"{title(book, c.origin or '')} {percent(c.share)}" for c in live[:4])
        more = f"; and {len(live) - 4} more" if len(live) > 4 else ""
        text = (
            f"{title(book, cid)} may come from: {names}{more}"
            if live
            else (f"{title(book, cid)}: its cause is not in the book")
        )
        screen.say(text, indent=2)
    for part in assessment.held:
        if part not in held_before:
            decision = assessment.decisions[part]
            screen.say(f"HELD: {part_title(book, part)}, {decision.because}.", "bad", indent=2)
    for part in sorted(held_before - set(assessment.held)):
        if part in assessment.decisions:
            screen.say(f"RELEASED: {part_title(book, part)}", "good", indent=2)

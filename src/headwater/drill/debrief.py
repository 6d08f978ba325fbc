"""The debrief of an exercise: what was true and what was seen of it, both orders, the score."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from headwater.drill.desk import judgement_words
from headwater.drill.looks import MOVES_FROM, Worth, turns
from headwater.drill.mistakes import PRACTISE
from headwater.drill.result import Debriefing
from headwater.drill.run import Order, Run
from headwater.drill.score import HINT, LOOKS, MINUTES, ORIGIN, PARTS, PASS, Score
from headwater.drill.truth import shown_by
from headwater.session.ask import Purpose
from headwater.simulate.units import reached
from headwater.view.answers import answer_words, word_words
from headwater.view.case import step_view
from headwater.view.paper import Block, Entries, Entry, Facts, Paper, Section, Tone, Words, say
from headwater.view.verdict import step_entries
from headwater.view.words import counted, minutes_words, part_title, percent, title

WOULD_SHOW = 2
"""Looks that are named for a step which nobody saw."""
WHY = {
    Purpose.SEPARATE: "it parts the likely origins best for its minutes",
    Purpose.PROVE: "it shows a step of the likely chain, and so helps to prove it",
    Purpose.SETTLE: "it settles what was still open",
    Purpose.AGAIN: "what was found surprised, or disagreed: look once more",
    Purpose.SWEEP: "a quick look for something else",
}


def debrief_paper(told: Debriefing) -> Paper:
    """Return the debrief, a page a section: truth, named, orders, turns, repair, score."""
    exercise, run = told.exercise, told.run
    solved = exercise.planner.verdict
    steps = [step_view(solved, step) for step in solved.plan]
    yours = f"Your order: {len(run.orders)}, {minutes_words(run.minutes)}"
    planner = exercise.planner
    good = f"A good order: {len(planner.orders)}, {minutes_words(planner.minutes)}"
    return Paper(
        "",
        (),
        (
            Section("What was true, and what you saw of it", tuple(_truth(told))),
            Section("Named, beside what is true", tuple(_named(told))),
            Section(yours, (_orders(told, run, told.score.worths),)),
            Section(good, (_orders(told, planner, told.planner_worths), *_hindsight(told))),
            Section("Where belief turned", tuple(_turning(told))),
            Section("The repair that tempts", tuple(_tempting(told))),
            Section("The plan, once the origin is named", (step_entries(steps),)),
            Section(_result(told.score), (*_score(told), *_practise(told))),
        ),
    )


def _truth(told: Debriefing) -> Iterator[Block]:
    unit, book = told.exercise.unit, told.exercise.book
    for path in unit.ways:
        yield say(Words(f"Origin: {title(book, path[0])}", Tone.STRONG))
        yield from _seen(told, path[0])
        for cause, effect in pairwise(path):
            yield say(Words(f"so {book.links[cause, effect].how}", Tone.QUIET))
            yield say(f"→ {title(book, effect)}")
            yield from _seen(told, effect)
    if unit.loop:
        names = "; ".join(title(book, cid) for cid in (*unit.loop, unit.loop[0]))
        yield say(f"A circle that cannot start itself; the origin entered it: {names}")
    for check_id, words in ((unit.herring, "pointed elsewhere"), (unit.mistaken, "was mistaken")):
        if check_id:
            given = _opening_words(told, check_id)
            yield say(f"This {words}: {book.checks[check_id].ask} {given}")


def _opening_words(told: Debriefing, check: str) -> str:
    first = next(judged for judged in told.run.known if judged.check == check)
    return answer_words(told.exercise.book, first)


def _seen(told: Debriefing, condition: str) -> Iterator[Block]:
    """Yield what was seen of a condition, or what would have shown it."""
    book, run = told.exercise.book, told.run
    seen = [
        judged
        for judged in run.known
        if judged.settled and book.checks[judged.check].shows(judged.settled, condition)
    ]
    for judged in seen:
        text = f"seen: {book.checks[judged.check].ask} {answer_words(book, judged)}"
        yield say(Words(text, Tone.RELEASED), depth=1)
    if seen:
        return
    deciding = told.exercise.reasoner.deciders[condition]
    ways = ((check, shown_by(check, condition)) for check in deciding)
    shown = sorted((one for one in ways if one[1]), key=lambda one: (one[0].minutes, one[0].id))
    for check, word in shown[:WOULD_SHOW]:
        looked = any(order.check == check.id for order in run.orders)
        did = "this did not show it" if looked else "not seen; this would have shown it"
        cost = minutes_words(check.minutes)
        text = f"{did}: {check.ask} {word_words(book, check.id, word)} ({cost})"
        yield say(Words(text, Tone.HELD), depth=1)
    if not shown:
        why = book.conditions[condition].unobservable or "no look settles it"
        yield say(Words(f"it cannot be seen: {why}", Tone.QUIET), depth=1)


def _named(told: Debriefing) -> Iterator[Block]:
    """Yield for each origin, true or named, what was said of it and what the looks say."""
    score, book = told.score, told.exercise.book
    rows = [(origin, "true", "not named") for origin in score.left]
    rows += [
        (origin, "true", "named, a guess" if origin in score.guessed else "named and proven")
        for origin in score.right
    ]
    rows += [(origin, "not there", "named") for origin in score.wrong]
    for origin, true, said in rows:
        tone = Tone.RELEASED if true == "true" and said[:5] == "named" else Tone.HELD
        believed = percent(told.run.verdict.posterior.probability(origin))
        text = f"{title(book, origin)}: {true}; {said}; by your looks {believed}"
        yield say(Words(text, tone))
    for steps, words in ((score.steps_left, "left out"), (score.steps_wrong, "not on the way")):
        for cid in steps:
            yield say(Words(f"Step {words}: {title(book, cid)}", Tone.HELD))


def _orders(told: Debriefing, run: Run, looked: Iterable[Worth]) -> Entries:
    """Return the looks of a run with what each was for, and what it was worth."""
    book, own = told.exercise.book, run is told.run
    entries = []
    for number, (order, worth) in enumerate(zip(run.orders, looked, strict=False)):
        given = answer_words(book, order.judged)
        text = f"{book.checks[order.check].ask} {given} ({minutes_words(order.minutes)})"
        points = [worth_words(told, worth)]
        if order.purpose:
            points = [WHY[order.purpose], *points]
        if own and (wrong := _misjudged(run, number, order)):
            points.append(wrong)
        entries.append(Entry((Words(text),), tuple(points)))
    return Entries(tuple(entries), numbered=True)


def worth_words(told: Debriefing, worth: Worth) -> str:
    """Return why a look was worth asking for, or why it was not."""
    book, most = told.exercise.book, worth.most
    if most is None:
        return "no origin was in question any more"
    word = word_words(book, worth.order.check, most.answer)
    if worth.moves:
        moved = f"{title(book, most.origin)} from {percent(most.before)} to {percent(most.after)}"
        return f"it could have moved {moved} (had it been: {word})"
    if worth.proves:
        return "it moved no origin by much, but could have helped to prove it"
    line = f"{MOVES_FROM * 100:.0f} %"
    moved = f"{title(book, most.origin)}, by {percent(most.size)}"
    return f"useless: no answer could have moved any origin by more than {line}; most: {moved}"


def _misjudged(run: Run, number: int, order: Order) -> str:
    if not order.reading:
        return ""
    own = run.judgements.get(number)
    if own is None:
        return "you did not say what the figure is"
    if own == order.answer:
        return ""
    right = judgement_words(order.answer)
    return f"you took it for {judgement_words(own)}; with this gauge it is {right}"


def _hindsight(told: Debriefing) -> Iterator[Block]:
    found, book = told.hindsight, told.exercise.book
    if found:
        names = "; ".join(book.checks[check].ask for check in found.checks)
        cost = minutes_words(found.minutes)
        text = f"With hindsight, the cheapest looks found that prove it, {cost}: {names}"
        yield say(Words(text, Tone.QUIET))


def _turning(told: Debriefing) -> Iterator[Block]:
    """Yield for each origin which look raised it most, in both orders."""
    book = told.exercise.book
    for run, whose in ((told.run, "yours"), (told.exercise.planner, "in the good order")):
        for origin, turn in turns(run).items():
            if turn is None:
                text = f"{title(book, origin)}, {whose}: nothing brought it nearer"
                yield say(Words(text, Tone.HELD))
                continue
            number, move = turn
            ask = book.checks[run.orders[number].check].ask
            change = f"from {percent(move.before)} to {percent(move.after)}"
            yield say(f"{title(book, origin)}, {whose}: at look {number + 1}, {change}: {ask}")


def _tempting(told: Debriefing) -> Iterator[Block]:
    """Yield the repair that tempts, and what would have come back."""
    unit, book = told.exercise.unit, told.exercise.book
    for chain in unit.chains:
        if chain.tempting and chain.found in unit.present:
            yield say(f"Tempting, and wrong: {chain.tempting.repair}.")
            yield say(f"It leads to: {chain.tempting.leads_to}.")
        after = reached([str(chain.verdict)], unit.fired) - {str(chain.verdict)}
        back = [title(book, cid) for cid in chain.path() if cid in after]
        back += [title(book, cid) for cid in unit.ends if cid in after]
        names = "; ".join(dict.fromkeys(back))
        if names:
            yield say(f"While it is left, {title(book, chain.verdict)} brings back: {names}")


def _result(score: Score) -> str:
    passed = "passed" if score.passed else f"not passed, {PASS} is a pass"
    return f"Score: {score.total} of 100, {passed}"


def _score(told: Debriefing) -> Iterator[Block]:
    """Yield the score with what was taken off, and for what."""
    book, score, run = told.exercise.book, told.score, told.run

    def bad(text: str) -> Block:
        return say(Words(text, Tone.HELD))

    def points(name: str, text: str) -> Block:
        return Facts(((name, text),))

    yield points("origin", f"{score.origin} of {ORIGIN}")
    yield from (bad(f"right, but a guess: {title(book, c)}") for c in score.guessed)
    yield from (bad(f"missed: {title(book, c)}") for c in score.left)
    yield from (bad(f"named, and not there: {title(book, c)}") for c in score.wrong)
    if score.right and not score.pointed:
        yield bad("you did not point to the looks that show it, or pointed to others")
    yield points("parts", f"{score.parts} of {PARTS}")
    for part in score.missing_parts:
        why = "done without its origin, it comes back" if part.bare else "missing in your plan"
        yield bad(f"{part_title(book, part.part)}: {why} ({part.points} points)")
    for part in score.needless_parts:
        text = f"{part_title(book, part.part)}: nothing on this unit is mended by it"
        yield bad(f"{text} ({part.points} points)")
    planner = minutes_words(told.exercise.planner.minutes)
    pace = f"yours {minutes_words(run.minutes)}, planner {planner}"
    yield points("minutes", f"{score.minutes} of {MINUTES} ({pace})")
    useless = f"{len(score.useless)} that could have changed nothing"
    yield points("looks", f"{score.looks} of {LOOKS} ({useless})")
    if score.hints:
        yield bad(f"{counted(score.hints, 'hint')} ({HINT * score.hints} points)")


def _practise(told: Debriefing) -> Iterator[Block]:
    kinds = told.mistakes
    text = "What to practise next" if kinds else "Nothing to mend: go a level up."
    yield say(Words(text, Tone.STRONG))
    if kinds:
        yield Entries(tuple(Entry((Words(f"{PRACTISE[kind]}."),)) for kind in kinds))

"""An exercise at a terminal: a hidden unit is solved."""

from __future__ import annotations

import argparse
import os
import random
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime

from headwater import outputs
from headwater.book.cache import cache_folder
from headwater.book.model import Condition
from headwater.book.records import Book
from headwater.cli.ahead import draw_ahead
from headwater.cli.chosen import book_of
from headwater.cli.lessons import (
    ask_line,
    lesson_prompt,
    picked_of,
    progress_of,
    wait_for_enter,
)
from headwater.cli.main import DONE, Terminal
from headwater.cli.prompt import EndOfInput, Prompt
from headwater.cli.show import say, show
from headwater.drill.desk import Sitting, judgement_words, judgements_of
from headwater.drill.entered import entered, had_before
from headwater.drill.exercise import Exercise, Wish
from headwater.drill.progress import Apprentice, OpenExercise, Progress, Task
from headwater.drill.result import Debriefing
from headwater.drill.run import BACK, DrillError, Order, Run
from headwater.drill.score import Statement, score_run
from headwater.drill.shelf import Shelf, shelf_for
from headwater.errors import HeadwaterError
from headwater.hearing.search import search_conditions
from headwater.render.line import Line
from headwater.session.openbook import OpenBook
from headwater.session.parts import parts_fitting

HELP = """\
Some words   the checks that fit them; then the number of one orders it
an id        orders that check
list         what is known, and the minutes spent
hint         a look worth making now; it costs points
back         take the last look back; its minutes are spent
give up      be told everything, without points
done         stop here; name the origin and the parts
quit         leave it open; nothing is lost where a progress file is kept"""
SEEDS = 1_000_000
MOST_SHOWN = 9


def run_solve(args: argparse.Namespace, terminal: Terminal) -> int:
    """Hold an exercise."""
    open_book = book_of(args)
    progress = progress_of(args)
    prompt = lesson_prompt(args, terminal)
    shelf = shelf_for(cache_folder(os.environ), open_book.book)
    kept = _kept(args, progress, open_book.book, shelf, prompt)
    prompt.screen.say("Preparing a unit ...", "quiet")
    exercise = shelf.exercise(open_book, kept.wish)
    draw_ahead(args, shelf, kept.level)
    run = exercise.begin()
    record = progress.record if progress.record.open else _begun(args, progress.record)
    progress = progress.keep(replace(record, open=kept))
    say(prompt.screen, "exercise", Sitting(exercise, run))
    try:
        _made_before(exercise, run, kept, prompt)
        given_up, progress = _orders(exercise, run, prompt, progress)
        said = Statement() if given_up else _statement(open_book, exercise, run, prompt)
    except (EndOfInput, KeyboardInterrupt) as stop:
        why = stop.message if isinstance(stop, EndOfInput) else "stopped"
        kept_words = "the exercise stays open" if progress.path else "nothing was kept"
        raise EndOfInput(f"{why}; {kept_words}") from None
    score = score_run(exercise, run, said)
    told = Debriefing(exercise, run, said, score)
    if had_before(progress.record, told):
        prompt.screen.say("You had this unit before; it is not counted again.", "quiet")
    progress.keep(entered(progress.record, told, datetime.now(UTC)))
    draw_ahead(args, shelf, kept.level)
    if args.json:
        show(terminal, args, "debrief", told)
    else:
        _turn_pages(list(outputs.pages("debrief", told)), prompt)
    return DONE


def _turn_pages(pages: Sequence[Iterable[Line]], prompt: Prompt) -> None:
    """Show pages one by one; when the input ends, the rest is shown without waiting."""
    waiting: bool | None = True
    for number, page in enumerate(pages, 1):
        prompt.screen.show(page)
        waiting = waiting and number < len(pages) and wait_for_enter(prompt)
        if waiting is None:
            return


def _kept(
    args: argparse.Namespace, progress: Progress, book: Book, shelf: Shelf, prompt: Prompt
) -> OpenExercise:
    """Return the exercise left open, or that of a seed, or the next of the shelf."""
    left = progress.record.open
    if left and left.book != book.digest:
        prompt.screen.say("The book has changed; the exercise left open is dropped.", "bad")
        left = None
    if left:
        other = args.level not in (None, left.level) or args.seed not in (None, left.seed)
        if other:
            told = f"level {left.level}, seed {left.seed}"
            raise DrillError(f"an exercise is open ({told}); finish it first, without --level")
        prompt.screen.say("Going on with the exercise left open.", "quiet")
        return left
    if (task := _task(args, progress.record)) is not None:
        seed = random.SystemRandom().randrange(SEEDS)
        return OpenExercise(
            level=task.level,
            seed=seed,
            book=book.digest,
            near=(task.chain,) if task.chain else (),
            chosen=bool(task.chain),
        )
    level, last = args.level or 1, progress.record.last
    near = progress.record.next_from(book, datetime.now(UTC))
    waiting = shelf.next(level, near, last) if args.seed is None else None
    seed = random.SystemRandom().randrange(SEEDS) if args.seed is None else args.seed
    wish = waiting or Wish(level, seed, near, last)
    return OpenExercise(
        level=level, seed=wish.seed, book=book.digest, near=wish.near, not_again=wish.not_again
    )


def _task(args: argparse.Namespace, record: Apprentice) -> Task | None:
    """Return what was assigned, unless the apprentice asks for something else."""
    own = args.level is not None or args.seed is not None
    return None if own or not record.assigned else record.assigned[0]


def _begun(args: argparse.Namespace, record: Apprentice) -> Apprentice:
    """Return the record without the task that is begun now."""
    return replace(record, assigned=record.assigned[1:]) if _task(args, record) else record


def _made_before(exercise: Exercise, run: Run, kept: OpenExercise, prompt: Prompt) -> None:
    """Make again what was ordered, judged and taken back before the exercise was left."""
    for cid in kept.orders:
        if cid == BACK:
            _take_back(run, prompt)
        elif order := _order(exercise, run, cid, prompt):
            _take_judgement(exercise, run, order, prompt, kept.judged.get(str(len(run.orders))))
    run.hints = kept.hints


def _take_back(run: Run, prompt: Prompt) -> None:
    last = run.take_back()
    told = f"taken back: {last.check}" if last else "There is nothing to take back."
    prompt.screen.say(told, "quiet")


def _orders(
    exercise: Exercise, run: Run, prompt: Prompt, progress: Progress
) -> tuple[bool, Progress]:
    """Take orders until the apprentice stops; each is kept before the next. Say who gives up."""
    hits: list[str] = []
    checks = exercise.book.checks
    while True:
        typed = ask_line(prompt, f"{run.minutes:.0f} min> ")
        word = typed.lower()
        if word in ("done", "give up"):
            return word == "give up", progress
        chosen = picked_of(typed, hits) or (word if word in checks else None)
        if word in ("help", "?"):
            prompt.screen.raw(HELP)
        elif word == "list":
            say(prompt.screen, "known", Sitting(exercise, run))
        elif word == "hint":
            told = run.hint()
            progress = _kept_order(run, progress)
            say(prompt.screen, "hint", Sitting(exercise, run, (told,) if told else ()))
        elif word == "back":
            _take_back(run, prompt)
            progress = _kept_order(run, progress)
        elif chosen:
            if order := _order(exercise, run, chosen, prompt):
                progress = _kept_order(run, progress)
                if _judge(exercise, run, order, prompt):
                    progress = _kept_order(run, progress)
        elif typed:
            hits = run.session.find(typed)
            say(prompt.screen, "offer", Sitting(exercise, run, tuple(hits)))


def _kept_order(run: Run, progress: Progress) -> Progress:
    """Keep what was ordered and judged so far, where there is a file."""
    left = progress.record.open
    if not progress.path or left is None:
        return progress
    judged = {str(number + 1): word for number, word in run.judgements.items()}
    kept = replace(left, orders=tuple(run.log), judged=judged, hints=run.hints)
    return progress.keep(replace(progress.record, open=kept))


def _order(exercise: Exercise, run: Run, cid: str, prompt: Prompt) -> Order | None:
    """Make one check and show its answer; say so when it cannot be made here."""
    try:
        order = run.order(run.session.check(cid))
    except HeadwaterError as error:
        prompt.screen.say(error.message, "bad")
        return None
    say(prompt.screen, "made", Sitting(exercise, run, made=order))
    return order


def _take_judgement(
    exercise: Exercise, run: Run, order: Order, prompt: Prompt, kept: str | None
) -> None:
    """Take a judgement again as it was kept."""
    if kept in judgements_of(exercise.book, order):
        run.judge(str(kept))
        prompt.screen.say(f"judged: {judgement_words(str(kept))}", "quiet")


def _judge(exercise: Exercise, run: Run, order: Order, prompt: Prompt) -> bool:
    """Have a reading judged against its limit; Enter leaves it. Say whether it was."""
    options = judgements_of(exercise.book, order)
    words = {judgement_words(option): option for option in options}
    while options:
        named = ", ".join(f"{number} {word}" for number, word in enumerate(words, 1))
        typed = ask_line(prompt, f"What is it: {named}? ").lower()
        if not typed:
            return False
        if judged := picked_of(typed, options) or words.get(typed) or (typed in options and typed):
            run.judge(judged)
            return True
        prompt.screen.say("One of these, or Enter.")
    return False


def _statement(open_book: OpenBook, exercise: Exercise, run: Run, prompt: Prompt) -> Statement:
    """Ask for origins, the steps between, the looks that prove it, and the parts."""
    book = exercise.book
    ask = "Where did it begin? Words for an origin; Enter when done."
    origins = _name_conditions(open_book, book.origins, ask, prompt)
    steps: list[str] = []
    if origins:
        ask = "What lies between that and what was found? Words for a step; Enter when done."
        steps = _name_conditions(open_book, book.conditions, ask, prompt)
    proofs = _name_proofs(exercise, run, prompt) if origins and run.orders else []
    parts = _name_parts(exercise, prompt)
    return Statement(tuple(origins), tuple(steps), tuple(proofs), tuple(parts))


def _name_conditions(
    open_book: OpenBook, conditions: Mapping[str, Condition], ask: str, prompt: Prompt
) -> list[str]:
    names = {cid: record.title for cid, record in conditions.items()}

    def find(words: str) -> list[str]:
        return search_conditions(open_book.index, words, conditions)

    return _choose(ask, names, find, prompt)


def _name_proofs(exercise: Exercise, run: Run, prompt: Prompt) -> list[str]:
    """Ask which of the looks made prove it, by their numbers."""
    looks = list(dict.fromkeys(order.check for order in run.orders))
    prompt.screen.say()
    prompt.screen.say("Which of your looks prove it? Their numbers; Enter for none.", "head")
    for number, cid in enumerate(looks, 1):
        prompt.screen.say(f"{number}  {exercise.book.checks[cid].ask}", indent=2, hang=3)
    while typed := ask_line(prompt).replace(",", " ").split():
        picked = [picked_of(one, looks) for one in typed]
        if all(picked):
            return [str(one) for one in picked]
        prompt.screen.say(f"Numbers from 1 to {len(looks)}, such as: 1 {len(looks)}")
    return []


def _name_parts(exercise: Exercise, prompt: Prompt) -> list[str]:
    book = exercise.book
    names = {pid: part.title for pid, part in book.parts.items()}

    def find(words: str) -> list[str]:
        return list(parts_fitting(book, words))[:MOST_SHOWN]

    ask = "Which parts does the plan act on? Words for a part; Enter when done."
    return _choose(ask, names, find, prompt)


def _choose(
    ask: str, names: Mapping[str, str], find: Callable[[str], list[str]], prompt: Prompt
) -> list[str]:
    """Let the apprentice name any number of things by words, number or id."""
    prompt.screen.say()
    prompt.screen.say(ask, "head")
    chosen: list[str] = []
    hits: list[str] = []
    while typed := ask_line(prompt):
        picked = picked_of(typed, hits) or (typed if typed in names else None)
        if picked:
            chosen.append(picked)
            prompt.screen.say(f"named: {names[picked]}", indent=2)
            hits = []
            continue
        hits = find(typed)
        for number, cid in enumerate(hits, 1):
            prompt.screen.say(f"{number}  {names[cid]}", indent=2, hang=3)
        if not hits:
            prompt.screen.say("Nothing fits these words; try others, or Enter when done.")
    return list(dict.fromkeys(chosen))

"""What pages show of a lesson with a class: of the unit no more than was paid for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headwater.book.records import Book
from headwater.drill.classhour import ClassHour, ClassRoom, Phase
from headwater.drill.classlist import mistake_words
from headwater.drill.desk import (
    Sitting,
    hint_paper,
    judgement_words,
    made_paper,
    served_paper,
)
from headwater.drill.pupil import NAMING, Doing, Pupil
from headwater.drill.score import PASS
from headwater.drill.truth import LEVEL_WORDS
from headwater.view.choice import Choice
from headwater.view.classhour import HourPage, HourRow, PupilPage, RoomPage
from headwater.view.paper import Paper
from headwater.view.words import counted, minutes_words

ASKS = {
    Doing.LOOKS: "What do you look at next?",
    Doing.READING: "What is this reading, beside its limit?",
    Doing.ORIGINS: "Where did it begin?",
    Doing.STEPS: "What lies between that and what was found?",
    Doing.PROOFS: "Which of your looks prove it?",
    Doing.PARTS: "Which parts does the plan act on?",
    Doing.DONE: "You are done. Everybody is told when your trainer closes the lesson.",
}
WHERE = {
    Doing.LOOKS: "looks",
    Doing.READING: "judges a reading",
    Doing.ORIGINS: "names where it began",
    Doing.STEPS: "names the steps between",
    Doing.PROOFS: "names the looks that prove it",
    Doing.PARTS: "names the parts",
    Doing.DONE: "done",
}
PHASES = {
    Phase.DRAWING: "A unit is being prepared.",
    Phase.READY: "The unit is ready. Begin when everybody is here.",
    Phase.RUNNING: "The class is at it.",
    Phase.CLOSING: "Everybody is being scored.",
    Phase.CLOSED: "Everybody has been told.",
    Phase.FAILED: "This lesson could not go on.",
}
NONE_FITS = "Nothing fits these words; try others."
NOT_KEPT = (
    "Points are kept nowhere: start the pages with --progress FILE, the class list of "
    "'headwater class'."
)


@dataclass(frozen=True, slots=True)
class Playing:
    """An apprentice's page: the words they look for something by, or `every` look there is."""

    hour: ClassHour
    pupil: Pupil
    words: str = ""
    every: bool = False


def pupil_page(told: Playing) -> PupilPage:
    """Return what an apprentice is asked now."""
    pupil, book = told.pupil, told.pupil.run.session.book
    doing, run = pupil.doing, pupil.run
    assert told.hour.exercise is not None
    sitting = Sitting(told.hour.exercise, run, (pupil.hinted,) if pupil.hinted else ())
    choices = tuple(_choice(told, one) for one in _offered(told))
    picked = tuple(_choice(told, one) for one in pupil.named.get(doing, ()))
    looks = f"{counted(len(run.orders), 'look')}, {minutes_words(run.minutes)}"
    return PupilPage(
        doing.value,
        pupil.turn,
        ASKS[doing],
        looks + (f", {counted(run.hints, 'hint')}" if run.hints else ""),
        served_paper(sitting),
        _told(sitting, pupil),
        {Doing.LOOKS: "look", Doing.READING: "judge"}.get(doing, "pick"),
        doing in (Doing.LOOKS, Doing.ORIGINS, Doing.STEPS, Doing.PARTS),
        NONE_FITS if told.words and not choices else "",
        choices,
        picked,
        tuple(_onward(book, pupil)),
    )


def _told(sitting: Sitting, pupil: Pupil) -> Paper | None:
    if pupil.hinted and pupil.doing is Doing.LOOKS:
        return hint_paper(sitting)
    made = pupil.doing in (Doing.LOOKS, Doing.READING) and pupil.made
    return made_paper(Sitting(sitting.exercise, sitting.run, made=made)) if made else None


def _offered(told: Playing) -> list[str]:
    pupil = told.pupil
    if pupil.doing is Doing.DONE:
        return []
    if pupil.doing is Doing.READING:
        return [*pupil.options()]
    if pupil.doing is Doing.LOOKS and told.every:
        checks, cost = pupil.run.session.book.checks, pupil.run.cost
        return sorted(pupil.options(), key=lambda one: (cost(checks[one]), one))
    if pupil.doing is Doing.PROOFS:
        found = [*pupil.options()]
    else:
        found = pupil.fitting(told.words) if told.words else []
    return [one for one in found if one not in pupil.named.get(pupil.doing, ())]


def _choice(told: Playing, one: str) -> Choice:
    """Return something to be chosen, in words."""
    run, doing = told.pupil.run, told.pupil.doing
    book = run.session.book
    if doing is Doing.READING:
        return Choice(one, judgement_words(one))
    if doing is Doing.LOOKS:
        return Choice(one, book.checks[one].ask, minutes_words(run.cost(book.checks[one])))
    if doing is Doing.PROOFS:
        return Choice(one, book.checks[one].ask)
    return Choice(one, book.parts[one].title if doing is Doing.PARTS else _title(book, one))


def _title(book: Book, condition: str) -> str:
    return book.conditions[condition].title


def _onward(book: Book, pupil: Pupil) -> Iterator[tuple[str, Choice]]:
    """Yield what else can be done now."""
    doing = pupil.doing
    if doing is Doing.READING:
        yield "judge", Choice("", "Leave it unjudged")
    if doing is Doing.LOOKS:
        yield "go", Choice("next", "I know where it began", "on to the naming")
        yield "hint", Choice("hint", "A hint", "it costs points")
        if pupil.run.orders:
            last = book.checks[pupil.run.orders[-1].check].ask
            yield "back", Choice("back", "Take the last look back", last)
        yield "go", Choice("give-up", "Give up", "without points")
    if doing in NAMING:
        yield "go", Choice("next", "Hand it in" if doing is Doing.PARTS else "That is all")
        yield "go", Choice("looks", "Back to the looks")


def hour_page(told: ClassHour) -> HourPage:
    """Return a lesson in the trainer's eyes; nothing of the unit before it is closed."""
    with told.lock:
        seats = list(told.joined)
    rows = tuple(_row(told, number, seat) for number, seat in enumerate(seats))
    what = f"Level {told.task.level}: {LEVEL_WORDS[told.task.level]}"
    what += ". A chosen chain." if told.task.chain else "."
    lines = [PHASES[told.phase], told.fault]
    if told.phase is Phase.CLOSED and not told.kept and not told.fault:
        lines.append(NOT_KEPT)
    return HourPage(told.code, what, told.phase.value, tuple(filter(None, lines)), rows)


def _row(hour: ClassHour, number: int, seat: str) -> HourRow:
    pupil = hour.pupils.get(seat)
    if pupil is None:
        return HourRow(number, hour.joined[seat], "here", "", "", "")
    run = pupil.run
    spent = f"{counted(len(run.orders), 'look')}, {minutes_words(run.minutes)}"
    points = mistakes = ""
    if pupil.told and hour.phase is Phase.CLOSED:
        score = pupil.told.score
        points = f"{score.total}, {'passed' if score.passed else f'{PASS} is a pass'}"
        if not pupil.took_part:
            points = "took no part"
        elif hour.kept and not pupil.counted:
            points += "; had this unit before, not counted"
        mistakes = ", ".join(mistake_words(str(kind)) for kind in pupil.told.mistakes)
    where = "gave up" if pupil.gave_up else WHERE[pupil.doing]
    return HourRow(number, pupil.name, where, spent, points, mistakes)


@dataclass(frozen=True, slots=True)
class Opening:
    """What a trainer may open."""

    room: ClassRoom


def room_page(told: Opening) -> RoomPage:
    """Return all lessons, the latest first, and what a new one may be."""
    tasks = tuple(
        Choice(
            str(place),
            f"Level {task.level}, {'a chosen chain' if task.chain else 'any chain'}",
            ", ".join(names),
        )
        for place, (task, names) in enumerate(told.room.tasks())
    )
    levels = tuple(Choice(str(n), f"Level {n}", words) for n, words in LEVEL_WORDS.items())
    hours = tuple(hour_page(hour) for hour in reversed([*told.room.hours.values()]))
    return RoomPage(hours, levels, tasks, () if told.room.progress else (NOT_KEPT,))

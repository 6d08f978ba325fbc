"""The class room: the trainer opens a lesson, apprentices join by its code and play on phones."""

from __future__ import annotations

from headwater import outputs
from headwater.drill.classhour import SEEDS, ClassHour, Phase
from headwater.drill.hourpages import Opening, Playing
from headwater.drill.progress import Task
from headwater.drill.pupil import Pupil
from headwater.drill.truth import LEVELS
from headwater.drill.walk import find_chain
from headwater.web.asked import PageAsked, RefusedError, Reply
from headwater.web.visits import Role

TEACH = frozenset({Role.TRAINER, Role.FOREMAN, Role.HERE})
LEARN = frozenset({Role.APPRENTICE, Role.HERE})
LONGEST_WORDS = 200


def show_room(asked: PageAsked) -> Reply:
    """Show all lessons, and what a new one may be."""
    return asked.show("class.html", room=outputs.page_of("class-room", Opening(asked.house.room)))


def open_lesson(asked: PageAsked) -> Reply:
    """Open a lesson: what is assigned, or a level, with a chosen chain or the number of a sheet."""
    place, room = asked.word("task", 4), asked.house.room
    tasks = room.tasks() if place else []
    if place:
        if not place.isdecimal() or int(place) >= len(tasks):
            raise RefusedError(404)
        return asked.go(f"/class/{room.open(asked.house.book, tasks[int(place)][0]).code}")
    level, number = asked.word("level", 2), asked.word("number", 6)
    if level not in map(str, LEVELS) or (number and not number.isdecimal()):
        raise RefusedError(400)
    words = asked.word("chain", LONGEST_WORDS)
    chain = str(find_chain(asked.house.book.book, words).chain) if words else ""
    seed = int(number) % SEEDS if number else None
    hour = room.open(asked.house.book, Task(level=int(level), chain=chain), seed)
    return asked.go(f"/class/{hour.code}")


def show_lesson(asked: PageAsked) -> Reply:
    """Show the trainer who is where."""
    return asked.show("class.html", room=None, hour=outputs.page_of("class-hour", _hour(asked)))


def run_lesson(asked: PageAsked) -> Reply:
    """Begin a lesson, or close it and tell everybody."""
    hour, what = _hour(asked), asked.word("do", 10)
    if what == "begin":
        hour.start()
    elif what == "close":
        asked.house.room.close(hour)
    return asked.go(f"/class/{hour.code}")


def show_pupil(asked: PageAsked) -> Reply:
    """Show the trainer the debrief of one apprentice."""
    hour, number = _hour(asked), asked.path["number"]
    seats = [*hour.joined]
    if not number.isdecimal() or len(number) > 3 or int(number) >= len(seats):
        raise RefusedError(404)
    return _debrief(asked, hour, hour.pupils.get(seats[int(number)]))


def show_join(asked: PageAsked) -> Reply:
    """Ask for the code of a lesson."""
    return _join(asked, asked.query.get("code", ""))


def join(asked: PageAsked) -> Reply:
    """Take somebody into a lesson; over the network by the name that they came in by."""
    house = asked.house
    hour = house.room.hours.get(asked.word("code", 10).upper())
    if hour is None:
        return _join(asked, asked.word("code", 10), 404)
    assert asked.visit is not None
    name = asked.visit.who if house.people else asked.word("who", LONGEST_WORDS)
    hour.join(_seat(asked), name)
    return asked.go(f"/lesson/{hour.code}")


def show_play(asked: PageAsked) -> Reply:
    """Show an apprentice what is asked now: to wait, one question, or the debrief."""
    hour = _hour(asked)
    seat = _seat(asked)
    if seat not in hour.joined:
        return asked.go(f"/lesson?code={hour.code}")
    pupil = hour.pupils.get(seat)
    if hour.phase is Phase.CLOSED:
        return _debrief(asked, hour, pupil)
    if hour.phase is not Phase.RUNNING or pupil is None:
        return asked.show("lesson.html", code=hour.code, phase=hour.phase.value)
    words = asked.query.get("words", "")[:LONGEST_WORDS].strip()
    with pupil.lock:
        page = outputs.page_of("class-play", Playing(hour, pupil, words, "all" in asked.query))
    return asked.show("play.html", code=hour.code, page=page, words=words)


def play(asked: PageAsked) -> Reply:
    """Do what an apprentice chose; what was sent twice is done once."""
    hour, turn = _hour(asked), asked.word("turn", 6)
    pupil = hour.pupils.get(_seat(asked))
    if pupil is None or not turn.isdecimal():
        raise RefusedError(400)
    deed, _, what = asked.word("deed", LONGEST_WORDS).partition(" ")
    hour.do(pupil, deed, what, int(turn))
    return asked.go(f"/lesson/{hour.code}")


def _join(asked: PageAsked, code: str, status: int = 200) -> Reply:
    told = {"by_name": asked.house.people is None, "unknown": status != 200}
    return asked.show("lesson.html", status, code=code, phase="", **told)


def _hour(asked: PageAsked) -> ClassHour:
    hour = asked.house.room.hours.get(asked.path["code"].upper())
    if hour is None:
        raise RefusedError(404)
    return hour


def _seat(asked: PageAsked) -> str:
    """Return what tells one apprentice from another: a person of the house, or a browser."""
    assert asked.visit is not None
    return f"who {asked.visit.who}" if asked.house.people else asked.visit.csrf


def _debrief(asked: PageAsked, hour: ClassHour, pupil: Pupil | None) -> Reply:
    if hour.phase is not Phase.CLOSED or pupil is None or pupil.told is None:
        raise RefusedError(404)
    with hour.lock:
        paper = outputs.paper("debrief", pupil.told)
    return asked.show("debrief.html", paper=paper, name=pupil.name, code=hour.code)

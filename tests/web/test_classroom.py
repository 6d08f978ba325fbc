"""A lesson with a class on the pages: joined by a code, played on phones, told to all at once."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest
from drill.drill_book import practice_book
from drill.test_cli import answer_words
from starlette.testclient import TestClient

from headwater.drill.classhour import ClassHour, ClassRoom, Phase
from headwater.drill.exercise import Exercise
from headwater.drill.progress import Apprentice, Task, open_progress, read_progress
from headwater.drill.pupil import Doing
from headwater.drill.score import statement_of
from headwater.session.openbook import OpenBook
from headwater.view.labels import LABELS
from headwater.web.people import People, Tries
from headwater.web.visits import Role
from web.conftest import Standing, token

GOOD = "nine wet fords"


@pytest.fixture(scope="module")
def practised(tmp_path_factory: pytest.TempPathFactory) -> OpenBook:
    return OpenBook(practice_book(tmp_path_factory.mktemp("practice") / "book"))


@pytest.fixture
def teaching(standing: Standing, practised: OpenBook, tmp_path: Path) -> Standing:
    """A house that teaches by the book to practise on; what takes long is done at once."""
    standing.house.book = practised
    standing.house.room = ClassRoom(
        tmp_path / "p.yaml", spawn=lambda work: work(), fault=standing.faults.append
    )
    return standing


@dataclass
class Phone:
    """An apprentice's browser. `shown` is every page it ever got, as it was sent."""

    client: TestClient
    code: str
    shown: list[str]

    def page(self, path: str = "") -> str:
        reply = self.client.get(f"/lesson/{self.code}{path}")
        assert reply.status_code == 200, reply.text
        self.shown.append(f"{dict(reply.headers)} {reply.text}")
        return reply.text

    def do(self, deed: str, turn: str = "") -> int:
        page = self.page()
        now = re.search(r'name="turn" value="(\d+)"', page)
        sent = {"csrf": token(page), "deed": deed, "turn": turn or (now[1] if now else "0")}
        reply = self.client.post(f"/lesson/{self.code}", data=sent)
        self.shown.append(f"{dict(reply.headers)} {reply.text}")
        return reply.status_code

    def solve(self, exercise: Exercise) -> None:
        """Do as the planner does."""
        said = statement_of(exercise.planner)
        for order in exercise.planner.orders:
            assert self.do(f"look {order.check}") == 303
            if "beside its limit" in self.page():
                self.do(f"judge {order.answer}")
        self.do("go next")
        for named in (said.origins, said.steps, said.proofs, said.parts):
            for one in named:
                assert self.do(f"pick {one}") == 303
            self.do("go next")


def opened(standing: Standing, **wish: str) -> tuple[TestClient, ClassHour]:
    """Open a lesson as a trainer; return the trainer's browser and the lesson."""
    trainer = standing.inside()
    sent = {"csrf": token(trainer.get("/class").text), "level": "2"} | wish
    reply = trainer.post("/class", data=sent)
    assert reply.status_code == 303, reply.text
    return trainer, standing.house.room.hours[reply.headers["location"].rpartition("/")[2]]


def press(trainer: TestClient, hour: ClassHour, what: str) -> None:
    csrf = token(trainer.get(f"/class/{hour.code}").text)
    assert trainer.post(f"/class/{hour.code}", data={"csrf": csrf, "do": what}).status_code == 303


def joined(standing: Standing, hour: ClassHour, name: str) -> Phone:
    client = standing.inside()
    page = client.get("/lesson").text
    sent = {"csrf": token(page), "code": hour.code.lower(), "who": name}
    reply = client.post("/lesson", data=sent)
    assert reply.headers.get("location") == f"/lesson/{hour.code}", reply.text
    return Phone(client, hour.code, [page])


def exercise_of(hour: ClassHour) -> Exercise:
    assert hour.exercise is not None
    return hour.exercise


def test_a_lesson_from_the_code_to_the_debrief(teaching: Standing) -> None:
    path = teaching.house.room.progress
    assert path is not None
    trainer, hour = opened(teaching)
    ana, ben = joined(teaching, hour, "Ana"), joined(teaching, hour, "Ben")
    assert LABELS.lesson_ready in ana.page()
    press(trainer, hour, "begin")
    exercise = exercise_of(hour)
    first = ana.page()
    assert "What do you look at next?" in first
    for check in exercise.unit.opening:
        assert teaching.house.book.book.checks[check].ask in first
    ana.solve(exercise)
    assert "You are done." in ana.page()
    ben.do("go give-up")
    where = trainer.get(f"/class/{hour.code}").text
    assert "gave up" in where
    assert trainer.get(f"/class/{hour.code}/0").status_code == 404, "nobody is told before"
    told = list(answer_words(exercise))
    named = {title for origin in exercise.unit.origins for title in _words(exercise, origin)}
    for text in (*ben.shown, where):
        assert not [words for words in told if words in text and words not in named]
        assert not re.search(rf"\b{exercise.seed}\b", text)
    press(trainer, hour, "close")
    assert "Score: 100 of 100, passed" in ana.page()
    assert "Score: 0 of 100" in ben.page()
    assert "100, passed" in trainer.get(f"/class/{hour.code}").text
    assert "Debrief: Ana" in trainer.get(f"/class/{hour.code}/0").text
    record = read_progress(path)["Ana"]
    assert [(one.points, one.served) for one in record.history] == [(100, True)]
    assert read_progress(path)["Ben"].points == 0


def _words(exercise: Exercise, condition: str) -> tuple[str, str]:
    return condition, exercise.book.conditions[condition].title


def test_a_unit_that_was_had_before_is_not_counted_again(teaching: Standing) -> None:
    path = teaching.house.room.progress
    assert path is not None
    for _ in range(2):
        trainer, hour = opened(teaching, number="4")
        ana = joined(teaching, hour, "Ana")
        press(trainer, hour, "begin")
        ana.solve(exercise_of(hour))
        press(trainer, hour, "close")
        assert "Score: 100 of 100" in ana.page()
    assert "not counted" in trainer.get(f"/class/{hour.code}").text
    assert (read_progress(path)["Ana"].done, read_progress(path)["Ana"].points) == (1, 100)


def test_what_was_sent_twice_is_done_once_and_nothing_after_the_end(teaching: Standing) -> None:
    trainer, hour = opened(teaching)
    ana, _ = joined(teaching, hour, "Ana"), joined(teaching, hour, "Idle")
    assert ana.do("look vent-look") == 400, "before the lesson begins"
    press(trainer, hour, "begin")
    pupil = next(iter(hour.pupils.values()))
    for _ in range(2):
        ana.do("look vent-look", turn="0")
    assert len(pupil.run.orders) == 1
    assert ana.do("look nothing-such") == 409
    assert ana.do("dance x") == 409
    press(trainer, hour, "close")
    ana.do("look vent-look", turn="1")
    assert len(pupil.run.orders) == 1
    path = teaching.house.room.progress
    assert path is not None
    assert set(read_progress(path)) == {"Ana"}, "who does nothing is not counted"


def test_a_hint_a_look_taken_back_and_a_way_back_to_the_looks(teaching: Standing) -> None:
    trainer, hour = opened(teaching)
    ana = joined(teaching, hour, "Ana")
    press(trainer, hour, "begin")
    (pupil,) = hour.pupils.values()
    ana.do("hint hint")
    assert "Hint: " in ana.page()
    ana.do("look vent-look")
    assert "Can you blow through the vent?" in ana.page()
    ana.do("back back")
    assert (pupil.run.orders, pupil.run.hints) == ([], 1)
    ana.do("go next")
    assert pupil.doing is Doing.ORIGINS
    assert "vent hose blocked" in ana.page("?words=vent")
    assert "try others" in ana.page("?words=zebra")
    ana.do("pick vent-blocked")
    assert LABELS.lesson_named in ana.page()
    ana.do("drop vent-blocked")
    ana.do("go looks")
    assert (pupil.doing, pupil.said.origins) == (Doing.LOOKS, ())
    every = ana.page("?all")
    assert every.count("value=&#34;look") + every.count('value="look') == 15


def test_what_is_assigned_is_opened_and_struck_off(teaching: Standing) -> None:
    path = teaching.house.room.progress
    assert path is not None
    task, other = Task(level=2, chain="bore-burns-pads"), Task(level=1)
    open_progress(path, "Ana").keep(Apprentice(assigned=(task, other)))
    trainer, hour = opened(teaching, task="0")
    assert trainer.get("/class").text.count("assigned to") == 2
    ana = joined(teaching, hour, "Ana")
    press(trainer, hour, "begin")
    assert exercise_of(hour).unit.origins == ("bore-worn",)
    ana.solve(exercise_of(hour))
    press(trainer, hour, "close")
    assert read_progress(path)["Ana"].assigned == (other,)
    assert "bore-burns-pads" not in "".join(ana.shown)


def test_what_cannot_be_opened_or_joined_is_said(teaching: Standing) -> None:
    trainer, hour = opened(teaching)
    csrf = token(trainer.get("/class").text)
    for wish, status in (
        ({"level": "9"}, 400),
        ({"level": "1", "number": "x"}, 400),
        ({"task": "7"}, 404),
        ({"level": "1", "chain": "zebra"}, 409),
    ):
        assert trainer.post("/class", data={"csrf": csrf} | wish).status_code == status
    joined(teaching, hour, "Ana")
    other = teaching.inside()
    sent = {"csrf": token(other.get("/lesson").text), "code": "XXXXX", "who": "Ben"}
    assert LABELS.lesson_none in other.post("/lesson", data=sent).text
    assert other.get(f"/lesson/{hour.code}").headers["location"] == f"/lesson?code={hour.code}"
    for name in ("Ana", "", "a\nb", "x" * 99):
        reply = other.post("/lesson", data=sent | {"code": hour.code, "who": name})
        assert reply.status_code == 409, name


def test_a_unit_that_cannot_be_drawn_and_a_list_that_cannot_be_kept_are_said(
    teaching: Standing,
) -> None:
    trainer, hour = opened(teaching, level="5", chain="cut-seal-leaks")
    assert hour.phase is Phase.FAILED
    assert "no unit of level 5" in trainer.get(f"/class/{hour.code}").text
    trainer, hour = opened(teaching)
    ana = joined(teaching, hour, "Ana")
    press(trainer, hour, "begin")
    ana.do("go give-up")
    path = teaching.house.room.progress
    assert path is not None
    path.write_text("people: []\n")
    press(trainer, hour, "close")
    assert "Score: 0 of 100" in ana.page()
    assert "p.yaml" in trainer.get(f"/class/{hour.code}").text


def test_over_the_network_apprentices_play_and_nothing_else(
    teaching: Standing, tmp_path: Path
) -> None:
    house = teaching.house
    house.people, house.tries = People(tmp_path / "people.json"), Tries(lambda: 0.0)
    for name, role in (("Ada", Role.TRAINER), ("Ben", Role.APPRENTICE), ("Cleo", Role.BENCH)):
        house.people.add(name, role, GOOD)

    def entered(name: str) -> TestClient:
        client = teaching.client()
        sent = {"csrf": token(client.get("/enter").text), "who": name, "password": GOOD}
        assert client.post("/sign-in", data=sent).status_code == 303
        return client

    trainer, ben, cleo = map(entered, ("Ada", "Ben", "Cleo"))
    csrf = token(trainer.get("/class").text)
    code = trainer.post("/class", data={"csrf": csrf, "level": "1"}).headers["location"][7:]
    hour = house.room.hours[code]
    for path in ("/class", f"/class/{code}", f"/class/{code}/0"):
        assert ben.get(path).status_code == 403
        assert cleo.get(path).status_code == 403
    sent = {"csrf": token(ben.get("/lesson").text), "code": code, "who": "Ada"}
    assert ben.post("/lesson", data=sent).status_code == 303
    assert [*hour.joined.values()] == ["Ben"], "the name is that of the password"
    assert ben.post(f"/class/{code}", data=sent | {"do": "begin"}).status_code == 403
    press(trainer, hour, "begin")
    assert "What do you look at next?" in ben.get(f"/lesson/{code}").text
    assert ben.get("/").text.count("/lesson") >= 1

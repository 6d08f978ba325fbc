"""A class of twelve through one lesson: two real browsers, one without script, and ten driven ones.

All over one real server, on the book to practise on; what the lesson does is tested beside it.
"""

from __future__ import annotations

import re
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from drill.drill_book import practice_book
from httpx2 import Client

from headwater.drill.classhour import ClassHour, ClassRoom
from headwater.drill.exercise import Exercise
from headwater.drill.progress import read_progress
from headwater.drill.score import Statement, statement_of
from headwater.session.openbook import OpenBook
from web.browsing import CHROMIUM, chromium, come_in, faults_of, keep, served
from web.conftest import Standing, token

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium here")

DRIVEN = 10
PATIENCE_MS = 20_000


class Driven:
    """An apprentice whose browser is driven without one; every third guesses, the others solve."""

    def __init__(self, standing: Standing, address: str, number: int) -> None:
        self.name, self.guesses = f"pupil {number}", number % 3 == 0
        self.client = Client(base_url=address, follow_redirects=True, timeout=60)
        self.client.get(f"/enter/{standing.house.visits.new_link()}")

    def join(self, code: str) -> None:
        sent = {"csrf": token(self.client.get("/lesson").text), "code": code, "who": self.name}
        assert self.client.post("/lesson", data=sent).status_code == 200

    def do(self, code: str, deed: str) -> str:
        page = self.client.get(f"/lesson/{code}").text
        (turn,) = set(re.findall(r'name="turn" value="(\d+)"', page))
        sent = {"csrf": token(page), "turn": turn, "deed": deed}
        reply = self.client.post(f"/lesson/{code}", data=sent)
        assert reply.status_code == 200, reply.text
        return reply.text

    def play(self, code: str, exercise: Exercise) -> None:
        said = statement_of(exercise.planner)
        if self.guesses:
            said = Statement(said.origins, parts=said.parts)
        for order in () if self.guesses else exercise.planner.orders:
            if "beside its limit" in self.do(code, f"look {order.check}"):
                self.do(code, f"judge {order.answer}")
        self.do(code, "go next")
        asked = (said.origins, said.steps, said.proofs, said.parts)
        for named in asked if not self.guesses else (said.origins, (), said.parts):
            for one in named:
                self.do(code, f"pick {one}")
            page = self.do(code, "go next")
        assert "You are done." in page

    def result(self, code: str) -> str:
        page = self.client.get(f"/lesson/{code}").text
        return found[1] if (found := re.search(r"Score: (\d+) of 100", page)) else ""


def _play(page: Any, exercise: Exercise) -> None:
    """Play in a browser, as the planner does, by what stands on the page."""

    def press(deed: str) -> None:
        turn = page.input_value('input[name="turn"] >> nth=0')
        page.click(f'button[value="{deed}"]')
        page.wait_for_selector(f'input[name="turn"]:not([value="{turn}"])', state="attached")

    book, said = exercise.book, statement_of(exercise.planner)
    for order in exercise.planner.orders:
        page.click("text=Every look there is")
        press(f"look {order.check}")
    press("go next")
    titles = {cid: record.title for cid, record in book.conditions.items()}
    titles |= {pid: record.title for pid, record in book.parts.items()}
    for named in (said.origins, said.steps, said.proofs, said.parts):
        for one in named:
            if one in titles:
                page.fill("#words", titles[one])
                page.keyboard.press("Enter")
                page.wait_for_url("**/lesson/*?words=*")
            press(f"pick {one}")
        if named is not said.parts:
            press("go next")
    page.click('button[value="go next"]')
    page.wait_for_selector("text=You are done.")


def test_a_class_of_twelve_through_one_lesson(standing: Standing, tmp_path: Path) -> None:
    house = standing.house
    house.book = OpenBook(practice_book(tmp_path / "book"))
    house.room = ClassRoom(tmp_path / "p.yaml", fault=standing.faults.append)
    wrong: list[str] = []
    with served(house) as address, chromium() as browser:
        trainer = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
        phone = {"width": 320, "height": 640}
        plain = browser.new_context(viewport=phone, java_script_enabled=False).new_page()
        for page in (trainer, plain):
            page.set_default_timeout(PATIENCE_MS)
            come_in(page, house, address)
        scripted = browser.new_context(viewport=phone).new_page()
        scripted.set_default_timeout(PATIENCE_MS)
        come_in(scripted, house, address)

        trainer.goto(f"{address}/class")
        trainer.select_option("#level", "2")
        trainer.click("main button.first")
        code = trainer.inner_text("h1 .code")
        for page, name in ((scripted, "Ana"), (plain, "Ben")):
            page.goto(f"{address}/lesson?code={code}")
            page.fill("#who", name)
            page.click("main button.first")
            page.wait_for_selector("text=Your trainer begins")
        driven = [Driven(standing, address, number) for number in range(DRIVEN)]
        for one in driven:
            one.join(code)
        trainer.wait_for_selector("text=pupil 9")  # the page asks by itself
        wrong += faults_of(Axe(), trainer, "trainer")
        trainer.click("button[value=begin]")
        scripted.wait_for_selector("text=What do you look at next?")  # so does the phone's
        hour = house.room.hours[code]
        exercise = _exercise(hour)
        wrong += faults_of(Axe(), scripted, "play")
        plain.wait_for_selector("text=What do you look at next?")  # without script it is refreshed
        with ThreadPoolExecutor(DRIVEN) as pool:
            playing = [pool.submit(one.play, code, exercise) for one in driven]
            _play(scripted, exercise)
            _play(plain, exercise)
            for future in playing:
                future.result()
        for page, name in ((scripted, "phone"), (trainer, "trainer")):
            over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            wrong += [f"{name} is {over} too wide"] if over > 0 else []
            keep(page, f"class-{name}")
        assert [one.result(code) for one in driven] == [""] * DRIVEN, "nobody is told before"
        trainer.wait_for_selector("button[value=close]")
        trainer.click("button[value=close]")
        for page in (scripted, plain):
            page.wait_for_selector("text=Score: 100 of 100")
        wrong += faults_of(Axe(), scripted, "debrief")
        keep(scripted, "class-debrief")
        until = time.monotonic() + PATIENCE_MS / 1000
        while not all(one.result(code) for one in driven) and time.monotonic() < until:
            time.sleep(0.1)
        results = {one.name: one.result(code) for one in driven}
        trainer.wait_for_selector("main table a >> text=pupil 9")
        wrong += faults_of(Axe(), trainer, "trainer at the end")
        for one in driven:
            one.client.close()
    solved = {one.name for one in driven if not one.guesses}
    assert {name for name, points in results.items() if points == "100"} == solved
    people = read_progress(tmp_path / "p.yaml")
    assert {name: str(one.points) for name, one in people.items()} == results | {
        "Ana": "100",
        "Ben": "100",
    }
    assert all(one.history[0].served for one in people.values())
    assert wrong == []


def _exercise(hour: ClassHour) -> Exercise:
    assert hour.exercise is not None
    return hour.exercise

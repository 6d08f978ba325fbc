"""People with passwords: what is kept of them, who comes in, and what a thousand guesses get."""

from __future__ import annotations

import json
import stat
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from argon2.exceptions import VerifyMismatchError
from starlette.testclient import TestClient

from headwater.errors import HeadwaterError
from headwater.web import people as module
from headwater.web.people import FREE, ROLES, SHORTEST, People, Tries
from headwater.web.visits import COOKIE, Role
from web.conftest import Standing, token

GOOD = "nine wet fords"


@pytest.fixture
def people(standing: Standing, tmp_path: Path) -> People:
    people = People(tmp_path / "people.json")
    people.add("Ada", Role.FOREMAN, GOOD)
    people.add("Ben", Role.APPRENTICE, GOOD)
    standing.house.people = people
    standing.house.tries = Tries(lambda: standing.seconds[0])
    return people


def _try(client: TestClient, name: str, password: str) -> int:
    csrf = token(client.get("/enter").text)
    sent = {"csrf": csrf, "who": name, "password": password}
    return client.post("/sign-in", data=sent).status_code


def test_a_password_is_kept_as_argon2id_of_19_mib_and_two_passes(people: People) -> None:
    kept = json.loads(people.path.read_text())["people"]["Ada"]["password"]
    assert kept.startswith("$argon2id$v=19$m=19456,t=2,p=1$")
    assert GOOD not in people.path.read_text()
    assert stat.S_IMODE(people.path.stat().st_mode) == 0o600


def test_nobody_costs_as_much_as_somebody(people: People) -> None:
    with pytest.raises(VerifyMismatchError):
        PasswordHasher().verify(module._NOBODY, GOOD)
    assert people.admit("Cleo", GOOD) is None


def test_two_with_one_password_are_kept_differently(people: People) -> None:
    rows = json.loads(people.path.read_text())["people"].values()
    assert len({row["password"] for row in rows}) == 2


@pytest.mark.parametrize(
    ("name", "password", "told"),
    [
        ("Ada", GOOD, "already"),
        ("", GOOD, "letters"),
        ("x\ny", GOOD, "letters"),
        ("Cleo", "x" * (SHORTEST - 1), "signs"),
        ("Cleo", "x" * 500, "signs"),
        ("Cleo", "xxxxcleoxxxx", "name"),
    ],
)
def test_what_will_not_do_is_said(people: People, name: str, password: str, told: str) -> None:
    with pytest.raises(HeadwaterError, match=told):
        people.add(name, Role.BENCH, password)


@pytest.mark.parametrize("text", ["", "{", "[]", '{"people": {"A": {"role": "king"}}}'])
def test_a_file_that_is_none_is_said(tmp_path: Path, text: str) -> None:
    path = tmp_path / "people.json"
    path.write_text(text)
    with pytest.raises(HeadwaterError, match="no file of people"):
        People(path).every()


def test_a_password_lets_in_and_a_wrong_one_does_not(standing: Standing, people: People) -> None:
    client = standing.client()
    assert _try(client, "Ada", "wrong wrong") == 403
    assert COOKIE not in client.cookies
    assert _try(client, "Ada", GOOD) == 303
    assert "Ada" in client.get("/cases").text
    assert people.every()["Ada"].role is Role.FOREMAN


def test_a_link_lets_nobody_in_from_the_network(standing: Standing, people: People) -> None:
    client = standing.client()
    assert people.every()
    assert client.get(f"/enter/{standing.house.visits.new_link()}").status_code == 403
    client.cookies.set(COOKIE, standing.house.visits.begin(Role.HERE))
    assert client.get("/cases").headers["location"] == "/enter"


def test_an_apprentice_sees_no_case(standing: Standing, people: People) -> None:
    client = standing.client()
    assert _try(client, "Ben", GOOD) == 303
    assert people.every()["Ben"].role is Role.APPRENTICE
    for path in ("/cases", "/case/ridge-07", "/case/ridge-07/sheet"):
        reply = client.get(path)
        assert reply.status_code == 403
        assert "bearing" not in reply.text
    assert "/cases" not in client.get("/").text


@pytest.mark.parametrize("change", ["password", "remove", "role"])
def test_a_visit_ends_with_its_password_its_role_and_its_person(
    standing: Standing, people: People, change: str
) -> None:
    client = standing.client()
    assert _try(client, "Ada", GOOD) == 303
    other = People(people.path)  # as the command writes it
    if change == "password":
        other.change("Ada", "another ford")
    else:
        other.remove("Ada")
    if change == "role":
        other.add("Ada", Role.APPRENTICE, GOOD)
    assert client.get("/cases").headers["location"] == "/enter"


def test_a_new_visit_has_a_new_cookie(standing: Standing, people: People) -> None:
    assert people.every()
    client = standing.client()
    planted = "planted"
    client.cookies.set(COOKIE, planted)
    assert _try(client, "Ada", GOOD) == 303
    assert standing.house.visits.of(planted) is None


def test_the_door_takes_no_form_without_its_nonce(standing: Standing, people: People) -> None:
    assert people.every()
    sent = {"who": "Ada", "password": GOOD, "csrf": "x"}
    assert standing.client().post("/sign-in", data=sent).status_code == 403
    client = standing.client()
    client.get("/enter")
    assert client.post("/sign-in", data=sent).status_code == 403


def test_without_people_there_is_no_sign_in(standing: Standing) -> None:
    client = standing.client()
    assert "sign-in" not in client.get("/enter").text
    sent = {"who": "Ada", "password": GOOD, "csrf": "x"}
    client.cookies.set("headwater-door", "x")
    assert client.post("/sign-in", data=sent).status_code == 404


def test_a_thousand_wrong_passwords_are_not_tried(
    standing: Standing, people: People, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried: list[str] = []
    monkeypatch.setattr(People, "admit", lambda _self, name, _password: tried.append(name))
    client = standing.client()
    csrf = token(client.get("/enter").text)
    statuses = []
    for number in range(1000):
        sent = {"csrf": csrf, "who": "Ada", "password": f"guess {number}"}
        statuses.append(client.post("/sign-in", data=sent).status_code)
        standing.seconds[0] += 1.0  # a guess a second: a quarter of an hour
    assert people.every()
    assert set(statuses) == {403, 429}
    assert len(tried) <= 16, "5 free, then each wait is twice the last, to a quarter of an hour"


def test_who_waits_long_enough_may_try_again(standing: Standing, people: People) -> None:
    client = standing.client()
    for _ in range(FREE["pair"]):
        assert _try(client, "Ada", "wrong wrong") == 403
    assert _try(client, "Ada", GOOD) == 429
    standing.seconds[0] += 2
    assert _try(client, "Ada", GOOD) == 303
    assert people.every()


def test_many_names_from_one_address_wait_as_well() -> None:
    tries = Tries(lambda: 0.0)
    begun = [tries.begin(f"name {number}", "10.0.0.9") for number in range(1000)]
    assert sum(begun) == FREE["address"]


def test_nobody_is_kept_out_for_long_by_guesses_from_elsewhere() -> None:
    seconds = [0.0]
    tries = Tries(lambda: seconds[0])
    for number in range(5000):
        tries.begin("Ada", f"10.0.{number // 250}.{number % 250}")
        seconds[0] += 0.01
    seconds[0] += 31
    assert tries.begin("Ada", "10.9.9.9")


def test_what_is_counted_does_not_pile_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_COUNTED", 30)
    tries = Tries(lambda: 0.0)
    for number in range(500):
        tries.begin(f"name {number}", f"address {number}")
    assert len(tries._wrong) <= 30


def test_the_roles_of_the_command_are_those_of_the_house() -> None:
    from headwater.cli import servecommands

    assert tuple(ROLES) == servecommands.ROLES

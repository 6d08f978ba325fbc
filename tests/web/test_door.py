"""Who comes in, with what, and for how long."""

from __future__ import annotations

import re

import pytest

from headwater.web.visits import COOKIE, LASTS_SECONDS, MOST_VISITS, Role, Visits
from web.conftest import HOST, Standing, token


def test_the_link_works_once(standing: Standing) -> None:
    link = f"/enter/{standing.house.visits.new_link()}"
    first, second = standing.client(), standing.client()
    assert first.get(link).headers["location"] == "/"
    assert first.get("/").status_code == 200
    again = second.get(link)
    assert again.status_code == 403
    assert "It works once." in again.text
    assert COOKIE not in again.headers.get("set-cookie", "")


def test_a_new_link_voids_the_one_before(standing: Standing) -> None:
    old, new = standing.house.visits.new_link(), standing.house.visits.new_link()
    assert standing.client().get(f"/enter/{old}").status_code == 403
    assert standing.client().get(f"/enter/{new}").status_code == 303


@pytest.mark.parametrize("guess", ["x", "%00", "é", "a" * 5000])
def test_no_guess_comes_in(standing: Standing, guess: str) -> None:
    assert standing.client().get(f"/enter/{guess}").status_code == 403
    standing.house.visits.new_link()
    assert standing.client().get(f"/enter/{guess}").status_code == 403


@pytest.mark.parametrize("path", ["/", "/cases", "/case/ridge-07"])
def test_without_a_visit_every_page_leads_to_the_door(standing: Standing, path: str) -> None:
    reply = standing.client().get(path)
    assert (reply.status_code, reply.headers["location"]) == (303, "/enter")
    assert "ridge" not in reply.text


@pytest.mark.parametrize("cookie", ["x", "0" * 43, "../../etc/passwd", '"; Path=/'])
def test_a_forged_cookie_is_nobody(standing: Standing, cookie: str) -> None:
    reply = standing.client().get("/cases", headers={"cookie": f"{COOKIE}={cookie}"})
    assert reply.status_code == 303


def test_a_cookie_is_for_no_script_and_no_other_site(standing: Standing) -> None:
    reply = standing.client().get(f"/enter/{standing.house.visits.new_link()}")
    told = reply.headers["set-cookie"].lower()
    assert "httponly" in told
    assert "samesite=lax" in told
    assert "secure" not in told
    standing.house.secure = True
    reply = standing.client().get(f"/enter/{standing.house.visits.new_link()}")
    assert "secure" in reply.headers["set-cookie"].lower()


def test_a_cookie_that_was_left_behind_is_worth_nothing(standing: Standing) -> None:
    client = standing.inside()
    cookie = client.cookies[COOKIE]
    csrf = token(client.get("/").text)
    assert client.post("/leave", data={"csrf": csrf}).headers["location"] == "/enter"
    replayed = standing.client().get("/cases", headers={"cookie": f"{COOKIE}={cookie}"})
    assert replayed.status_code == 303


def test_a_visit_ends_by_itself_after_a_quiet_night(standing: Standing) -> None:
    client = standing.inside()
    standing.seconds[0] += LASTS_SECONDS - 1
    assert client.get("/cases").status_code == 200
    standing.seconds[0] += LASTS_SECONDS - 1
    assert client.get("/cases").status_code == 200
    standing.seconds[0] += LASTS_SECONDS + 1
    assert client.get("/cases").status_code == 303


def test_visits_do_not_pile_up() -> None:
    visits = Visits(iter(range(10 * MOST_VISITS)).__next__)
    cookies = [visits.begin(Role.HERE) for _ in range(MOST_VISITS + 5)]
    assert [visits.of(cookie) for cookie in cookies[:5]] == [None] * 5
    assert visits.of(cookies[-1]) is not None


def test_a_person_says_where_they_work(standing: Standing) -> None:
    client = standing.inside()
    sent = {"csrf": token(client.get("/").text), "desk": "office", "who": "  Ada <b> "}
    assert client.post("/desk", data=sent).status_code == 303
    shown = client.get("/").text
    assert "Ada &lt;b&gt;" in shown
    assert 'value="office" aria-current="true"' in shown


@pytest.mark.parametrize("csrf", ["", "x", "é", None])
def test_a_form_without_its_token_does_nothing(standing: Standing, csrf: str | None) -> None:
    client = standing.inside()
    sent = {"desk": "office"} | ({} if csrf is None else {"csrf": csrf})
    assert client.post("/desk", data=sent).status_code == 403
    assert "aria-current" not in client.get("/").text.split("<main")[1]


def test_the_token_of_another_visit_does_nothing(standing: Standing) -> None:
    mine, theirs = standing.inside(), standing.inside()
    sent = {"csrf": token(theirs.get("/").text), "desk": "office"}
    assert mine.post("/desk", data=sent).status_code == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": f"https://{HOST}"},
        {"origin": f"http://{HOST}.evil.example"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_a_form_from_another_site_does_nothing(standing: Standing, headers: dict[str, str]) -> None:
    client = standing.inside()
    sent = {"csrf": token(client.get("/").text), "desk": "office"}
    assert client.post("/desk", data=sent, headers=headers).status_code == 403


def test_a_desk_that_is_none_is_refused(standing: Standing) -> None:
    client = standing.inside()
    sent = {"csrf": token(client.get("/").text), "desk": "attic"}
    assert client.post("/desk", data=sent).status_code == 400


def test_a_form_is_never_taken_by_a_link(standing: Standing) -> None:
    client = standing.inside()
    csrf = token(client.get("/").text)
    assert client.get(f"/leave?csrf={csrf}").status_code == 405
    assert client.get("/cases").status_code == 200


@pytest.mark.parametrize(
    ("desk", "seats"), [("counter", ["call"]), ("bench", ["hoist", "bench"]), ("office", [])]
)
def test_a_desk_begins_and_goes_on_with_cases_at_its_own_seats(
    standing: Standing, desk: str, seats: list[str]
) -> None:
    client = standing.inside()
    assert "/begin/" not in client.get("/cases").text
    client.post("/desk", data={"csrf": token(client.get("/").text), "desk": desk})
    shown = client.get("/cases").text
    assert re.findall(r'href="/begin/(\w+)"', shown) == seats
    assert re.findall(r'href="/case/ridge-07/at/(\w+)"', shown) == seats

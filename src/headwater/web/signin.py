"""Coming in: the one-time link or a password, where a person works, and leaving."""

from __future__ import annotations

import secrets

from headwater.web.asked import STAFF, PageAsked, RefusedError, Reply
from headwater.web.visits import COOKIE, DOOR, LASTS_SECONDS, Role, WorkPlace

BEGINS = {WorkPlace.COUNTER: "/cases", WorkPlace.BENCH: "/cases", WorkPlace.OFFICE: "/cases"}
"""Where the pages begin for each desk."""
DESKS = {
    Role.COUNTER: WorkPlace.COUNTER,
    Role.BENCH: WorkPlace.BENCH,
    Role.FOREMAN: WorkPlace.OFFICE,
    Role.TRAINER: WorkPlace.OFFICE,
}
"""Where a role works until the person says another place."""
LONGEST_NAME = 80
DOOR_SECONDS = 3600


def show_door(asked: PageAsked) -> Reply:
    """Say how one comes in, or ask for name and password."""
    return asked.go("/") if asked.visit else _door(asked)


def _door(asked: PageAsked, status: int = 200, told: str = "") -> Reply:
    nonce = asked.nonce or secrets.token_urlsafe(32)
    by_name = asked.house.people is not None
    reply = asked.show("door.html", status, by_name=by_name, nonce=nonce, told=told)
    return _with_cookie(asked, reply, DOOR, nonce, DOOR_SECONDS) if by_name else reply


def spend_link(asked: PageAsked) -> Reply:
    """Let in whoever has the one-time link; it is void from then on."""
    if asked.house.people or not asked.house.visits.spend(asked.path["token"]):
        return _door(asked, 403, "door_spent")
    asked.house.entered()
    return _let_in(asked, asked.house.visits.begin(Role.HERE), "/")


def sign_in(asked: PageAsked) -> Reply:
    """Let in whoever has a name and its password; wrong ones cost ever more time."""
    house, name = asked.house, asked.word("who", LONGEST_NAME)
    if house.people is None or house.tries is None:
        raise RefusedError(404)
    if not house.tries.begin(name, asked.address):
        raise RefusedError(429)
    person = house.people.admit(name, asked.secret("password"))
    if person is None:
        return _door(asked, 403, "door_wrong")
    house.tries.was_right(name, asked.address)
    desk, seal = DESKS.get(person.role), house.people.seal_of(name)
    cookie = house.visits.begin(person.role, name, desk, seal)
    return _let_in(asked, cookie, BEGINS[desk] if desk else "/lesson")


def show_start(asked: PageAsked) -> Reply:
    """Ask where the person works; apprentices have no desk."""
    here = asked.visit is not None and asked.visit.role is Role.HERE
    staff = asked.visit is not None and asked.visit.role in STAFF
    desks = tuple(desk.value for desk in WorkPlace) if staff else ()
    return asked.show("start.html", desks=desks, asks_name=here)


def sit_down(asked: PageAsked) -> Reply:
    """Take down where they work, and their name where the house does not know it."""
    desk = asked.word("desk")
    if desk not in {one.value for one in WorkPlace}:
        raise RefusedError(400)
    here = asked.visit is not None and asked.visit.role is Role.HERE
    who = asked.word("who", LONGEST_NAME) if here else None
    asked.house.visits.sit_down(asked.cookie, WorkPlace(desk), who)
    return asked.go(BEGINS[WorkPlace(desk)])


def leave(asked: PageAsked) -> Reply:
    """End the visit."""
    asked.house.visits.end(asked.cookie)
    reply = asked.go("/enter")
    reply.delete_cookie(COOKIE)
    return reply


def _let_in(asked: PageAsked, cookie: str, path: str) -> Reply:
    asked.house.visits.end(asked.cookie)
    return _with_cookie(asked, asked.go(path), COOKIE, cookie, LASTS_SECONDS)


def _with_cookie(
    asked: PageAsked, reply: Reply, name: str, cookie: str, seconds: int = LASTS_SECONDS
) -> Reply:
    """Return a reply that gives a browser a cookie: no script and no other site may use it."""
    reply.set_cookie(
        name,
        cookie,
        max_age=seconds,
        httponly=True,
        samesite="lax",
        secure=asked.house.secure,
    )
    return reply

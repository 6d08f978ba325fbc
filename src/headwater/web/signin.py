"""Coming in: the one-time link, where a person works, and leaving."""

from __future__ import annotations

from headwater.web.asked import PageAsked, RefusedError, Reply
from headwater.web.visits import COOKIE, LASTS_SECONDS, Role, WorkPlace

BEGINS = {WorkPlace.COUNTER: "/cases", WorkPlace.BENCH: "/cases", WorkPlace.OFFICE: "/cases"}
"""Where the pages begin for each desk."""
LONGEST_NAME = 80


def show_door(asked: PageAsked) -> Reply:
    """Say how one comes in."""
    return asked.go("/") if asked.visit else asked.show("door.html")


def spend_link(asked: PageAsked) -> Reply:
    """Let in whoever has the one-time link; it is void from then on."""
    if not asked.house.visits.spend(asked.path["token"]):
        return asked.show("door.html", 403, spent=True)
    asked.house.entered()
    return _with_cookie(asked, asked.go("/"), asked.house.visits.begin(Role.HERE))


def show_start(asked: PageAsked) -> Reply:
    """Ask where the person works."""
    return asked.show("start.html", desks=tuple(desk.value for desk in WorkPlace))


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


def _with_cookie(asked: PageAsked, reply: Reply, cookie: str) -> Reply:
    """Return a reply that gives a browser its cookie: no script and no other site may use it."""
    reply.set_cookie(
        COOKIE,
        cookie,
        max_age=LASTS_SECONDS,
        httponly=True,
        samesite="lax",
        secure=asked.house.secure,
    )
    return reply

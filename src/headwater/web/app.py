"""The application: the pages of the route table behind their guard."""

from __future__ import annotations

from collections.abc import Iterable

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request, cookie_parser
from starlette.responses import HTMLResponse, Response
from starlette.routing import Match, Route
from starlette.types import ASGIApp, Receive, Scope, Send

from headwater.render.site import site_mark, site_page, site_script, site_style
from headwater.web.asked import Page, endpoint
from headwater.web.guard import Guard
from headwater.web.house import House
from headwater.web.routes import PAGES
from headwater.web.visits import COOKIE

STRANGER_BYTES = 4_000
"""The largest form of somebody who is not signed in."""
KEPT = {"cache-control": "private, max-age=31536000, immutable"}
"""For style sheet and script: their address changes with what they say."""


def make_app(house: House, hosts: Iterable[str], pages: tuple[Page, ...] = PAGES) -> ASGIApp:
    """Return the pages over a house, which goes by some hosts ('127.0.0.1:8620')."""
    menu = tuple(page for page in pages if page.nav)
    routes = [
        Route(page.path, endpoint(house, page, menu), methods=["POST" if page.post else "GET"])
        for page in pages
    ]
    limits = [(route, page.most_bytes) for route, page in zip(routes, pages, strict=True)]
    routes += [Route("/look.css", _style), Route("/small.js", _script), Route("/mark.svg", _mark)]

    def most_bytes(path: str, cookies: str) -> int:
        cookie = cookie_parser(cookies).get(COOKIE, "")
        if house.visit_of(cookie) is None:
            return STRANGER_BYTES
        scope = {"type": "http", "path": path, "method": "POST", "root_path": ""}
        return max((m for r, m in limits if r.matches(scope)[0] is Match.FULL), default=0)

    app = Starlette(routes=routes, exception_handlers={HTTPException: _astray})
    app.router.redirect_slashes = False
    return Guard(app, frozenset(hosts), most_bytes, _refusal)


async def _astray(_: Request, fault: Exception) -> Response:
    """Return the page for an address that leads nowhere."""
    return _problem(fault.status_code if isinstance(fault, HTTPException) else 400)


def _problem(status: int) -> Response:
    frame = {"csrf": "", "who": "", "desk": "", "menu": ()}
    return HTMLResponse(site_page("problem.html", frame | {"lines": (), "code": status}), status)


def _refusal(status: int) -> ASGIApp:
    async def refuse(scope: Scope, receive: Receive, send: Send) -> None:
        await _problem(status)(scope, receive, send)

    return refuse


async def _style(_: Request) -> Response:
    return Response(site_style(), media_type="text/css", headers=KEPT)


async def _script(_: Request) -> Response:
    return Response(site_script(), media_type="text/javascript", headers=KEPT)


async def _mark(_: Request) -> Response:
    return Response(site_mark(), media_type="image/svg+xml", headers=KEPT)

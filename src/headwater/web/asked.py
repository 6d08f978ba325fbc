"""What a handler is given and gives back, and round it all that no handler may forget."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any
from urllib.parse import urlsplit

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response

from headwater.errors import HeadwaterError
from headwater.render.site import link_of, name_in, site_page
from headwater.web.house import House
from headwater.web.visits import COOKIE, DOOR, Role, Visit, same

Reply = Response
Handler = Callable[["PageAsked"], Reply]
FORM_BYTES = 64_000
"""The largest form without pictures; a long story of a customer has a few thousand signs."""
STAFF = frozenset({Role.COUNTER, Role.BENCH, Role.FOREMAN, Role.TRAINER, Role.HERE})
"""Who works on cases: everybody but apprentices."""
ALL = frozenset(Role)
MOST_FIELDS = 200


@dataclass(frozen=True, slots=True)
class Page:
    """A line of the route table.

    `path` may hold names in braces, `{case}` among them. `post` says that it takes a form (and
    nothing else). `open` is for those who are not signed in yet. `nav` names the label under which
    it stands in the menu of those who may see it.
    """

    path: str
    handler: Handler
    roles: frozenset[Role] = STAFF
    post: bool = False
    open: bool = False
    nav: str = ""
    most_bytes: int = FORM_BYTES


class RefusedError(HeadwaterError):
    """A request that is turned away with a status; its words are labels of the view."""

    def __init__(self, status: int) -> None:
        """Keep the status."""
        super().__init__(str(status))
        self.status = status


@dataclass(frozen=True, slots=True)
class PageAsked:
    """A request as a handler sees it.

    `address` is where it comes from, `nonce` what the door gave a browser before it came in.
    `path` are the names in its path, `query` what stands behind `?`, `form` what was sent: its
    token was checked. `visit` is None only on a page that is open to everybody.
    """

    house: House
    page: Page
    menu: tuple[Page, ...]
    visit: Visit | None
    cookie: str
    address: str
    nonce: str
    path: Mapping[str, str]
    query: Mapping[str, str]
    form: FormData = field(default_factory=FormData)

    @property
    def case(self) -> str:
        """The name of the case in the path."""
        return name_in(self.path["case"])

    def word(self, name: str, most: int = 4_000) -> str:
        """Return one field of the form as words, cut to so many signs; '' where it was not sent."""
        given = self.form.get(name, "")
        return given[:most].strip() if isinstance(given, str) else ""

    def secret(self, name: str) -> str:
        """Return one field of the form sign by sign, as a password is."""
        given = self.form.get(name, "")
        return given if isinstance(given, str) else ""

    def words(self, name: str) -> tuple[str, ...]:
        """Return every value that was sent under a name, as of ticks."""
        return tuple(v for v in self.form.getlist(name) if isinstance(v, str))

    def file(self, name: str) -> UploadFile | None:
        """Return a file that was sent."""
        given = self.form.get(name)
        return given if isinstance(given, UploadFile) and given.filename else None

    def show(self, template: str, status: int = 200, **values: Any) -> Reply:
        """Return a page: a template of `render/templates/site` with papers, records and words.

        What is given must come from the table of outputs or be plain: a session is refused.
        """
        return HTMLResponse(site_page(template, values | self._frame()), status)

    def go(self, path: str, *names: str) -> Reply:
        """Return the way to another page, after a form; `{}` in it stands for a case's name."""
        return RedirectResponse(path.format(*map(link_of, names)), 303)

    def tell(self, fault: str) -> Reply:
        """Return whether what a script sent was taken: nothing, or in words why it was not."""
        return PlainTextResponse(fault) if fault else Response(status_code=204)

    def _frame(self) -> dict[str, Any]:
        """Return what the frame of every page shows."""
        visit = self.visit
        return {
            "csrf": visit.csrf if visit else "",
            "who": visit.who if visit else "",
            "desk": visit.desk.value if visit and visit.desk else "",
            "menu": tuple(
                {"path": page.path, "label": page.nav, "here": page is self.page}
                for page in self.menu
                if visit and visit.role in page.roles
            ),
        }


def endpoint(house: House, page: Page, menu: tuple[Page, ...]) -> Callable[..., Any]:
    """Return a page as the framework wants it: who may, what was sent, the handler, its faults."""

    async def answer(request: Request) -> Response:
        cookie = request.cookies.get(COOKIE, "")
        visit = house.visit_of(cookie)
        asked = PageAsked(
            house,
            page,
            menu,
            visit,
            cookie,
            request.client.host if request.client else "",
            request.cookies.get(DOOR, ""),
            request.path_params,
            request.query_params,
        )
        try:
            _admit(asked, request)
            if page.post:
                asked = _with_form(asked, await _form(request))
            return await run_in_threadpool(page.handler, asked)
        except RefusedError as fault:
            return refused(asked, fault.status)
        except HeadwaterError as fault:
            return asked.show("problem.html", 409, lines=fault.lines, code=409)
        except Exception as fault:
            house.fault(fault)
            return refused(asked, 500)
        finally:
            await request.close()  # a picture that was sent lies in a file of its own until then

    return answer


def refused(asked: PageAsked, status: int) -> Response:
    """Return the page of a status; whoever is not signed in is led to where one does that."""
    if status == 401 and not asked.page.post:
        return RedirectResponse("/enter", 303)
    return asked.show("problem.html", status, lines=(), code=status)


def _admit(asked: PageAsked, request: Request) -> None:
    """Raise RefusedError where this browser may not ask this."""
    if asked.page.post and not _from_here(request, asked.house.secure):
        raise RefusedError(403)
    if asked.page.open:
        return
    if asked.visit is None:
        raise RefusedError(401)
    if asked.visit.role not in asked.page.roles:
        raise RefusedError(403)


def _from_here(request: Request, secure: bool) -> bool:
    """Say whether a form was sent from one of our pages, as far as the browser tells."""
    origin = request.headers.get("origin")
    if origin is None:
        return request.headers.get("sec-fetch-site", "same-origin") in ("same-origin", "none")
    parts = urlsplit(origin)
    scheme = "https" if secure else "http"
    return parts.scheme == scheme and parts.netloc == request.headers["host"]


async def _form(request: Request) -> FormData:
    try:
        return await request.form(max_files=8, max_fields=MOST_FIELDS, max_part_size=FORM_BYTES)
    except (HTTPException, ValueError, LookupError):
        raise RefusedError(400) from None


def _with_form(asked: PageAsked, form: FormData) -> PageAsked:
    """Return the request with its form. Raises RefusedError where its token is not this visit's."""
    given = form.get("csrf", "")
    wanted = asked.nonce if asked.page.open else asked.visit.csrf if asked.visit else ""
    if not (isinstance(given, str) and wanted and same(given, wanted)):
        raise RefusedError(403)
    return replace(asked, form=form)

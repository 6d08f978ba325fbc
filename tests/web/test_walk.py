"""Anything sent to any page: no fault of the program, no trace, nothing open to strangers."""

from __future__ import annotations

import re
from typing import Any

import pytest
from draws import draws
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from headwater.book.tables import Seat
from headwater.render.site import link_of
from headwater.web.asked import Page
from headwater.web.routes import PAGES
from headwater.web.seats import DEEDS
from headwater.web.visits import Role
from web.conftest import Standing, token

WORDS = st.one_of(
    st.text(max_size=30),
    st.sampled_from(
        [
            "ridge-07",
            "new",
            "shop",
            "customer",
            "conditions",
            "checks",
            "chains",
            "areas",
            "front-bore-worn",
            "input-bearing-float",
            "returns",
            "trends",
            "../secret",
            "<script>alert(1)</script>",
            "\x00",
            "office",
            "bench",
            "hoist",
            "call",
            "input-bearing-float",
            "it whines and there is smoke",
            "dont-know",
            "drive",
            "chain",
            "0.045 in",
            "burnt",
            "?",
            "-1",
            "1e400",
        ]
    ),
)
NAMES = (
    *("words", "parts", "state", "by", "desk", "who", "password", "check", "answer", "reading"),
    *("number", "seen", "row", "sign", "attribute", "value", "how", "waits", "name", "in-front"),
    *("id", "caption", "amount", "by", "how", "on", "quote", "reason"),
)
FIELDS = st.dictionaries(
    st.sampled_from(NAMES) | st.text(min_size=1, max_size=6),
    WORDS,
    max_size=5,
)
LEAVES = {"/leave"}
KNOWN = {"case": ["ridge-07"], "seat": [*map(str, Seat)], "deed": [*DEEDS]}
"""Names that lead somewhere, or hardly any address that is drawn would."""


@st.composite
def requests(draw: st.DrawFn) -> tuple[Page, str, dict[str, str], bool]:
    """Draw a page, an address for it, what is sent, and whether its token is right."""
    page = draw(st.sampled_from([page for page in PAGES if page.path not in LEAVES]))
    path = page.path
    for name in re.findall(r"\{(\w+)\}", path):
        told = draw(st.sampled_from(KNOWN[name]) | WORDS if name in KNOWN else WORDS)
        path = path.replace(f"{{{name}}}", link_of(told) or "x", 1)
    return page, path, draw(FIELDS), draw(st.booleans())


@pytest.mark.parametrize("inside", [True, False])
@settings(
    max_examples=draws(150),
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(asked=requests())
def test_no_request_meets_a_fault_of_the_program(
    standing: Standing, inside: bool, asked: tuple[Page, str, dict[str, str], bool]
) -> None:
    page, path, sent, right = asked
    client = standing.inside() if inside else standing.client()
    if page.post:
        if right and inside:
            sent = {**sent, "csrf": token(client.get("/").text)}
        reply = client.post(path, data=sent)
    else:
        reply = client.get(path, params=sent)
    assert reply.status_code < 500, (path, sent)
    assert "Traceback" not in reply.text
    assert "<script>alert" not in reply.text
    if not inside and not page.open:
        assert reply.status_code in (303, 401, 403), (path, sent)


GUARDED = [page for page in PAGES if not page.open]


@pytest.mark.parametrize("page", GUARDED, ids=lambda page: page.path)
def test_no_page_is_open_to_strangers_by_oversight(standing: Standing, page: Page) -> None:
    client = standing.client()
    path = page.path.replace("{", "").replace("}", "")
    reply: Any = client.post(path, data={"csrf": "x"}) if page.post else client.get(path)
    assert reply.status_code in (303, 401, 403)
    if not page.post:
        assert reply.headers["location"] == "/enter"


@pytest.mark.parametrize("page", GUARDED, ids=lambda page: page.path)
def test_a_role_sees_its_own_pages_alone(standing: Standing, page: Page) -> None:
    for role in set(Role) - page.roles:
        client: TestClient = standing.client()
        client.cookies.set("headwater", standing.house.visits.begin(role))
        path = page.path.replace("{", "").replace("}", "")
        sent = {"csrf": token(client.get("/").text)}
        reply: Any = client.post(path, data=sent) if page.post else client.get(path)
        assert reply.status_code == 403


def test_a_form_in_pieces_that_is_none_is_refused(standing: Standing) -> None:
    client = standing.inside()
    csrf = token(client.get("/").text)
    broken = [
        (b"--x\r\nnonsense", "multipart/form-data; boundary=x"),
        (b"csrf=" + csrf.encode(), "multipart/form-data"),
        (b"%ff%fe=%00", "application/x-www-form-urlencoded; charset=nonsense"),
        (b"&".join(b"a=1" for _ in range(500)), "application/x-www-form-urlencoded"),
        (b"{}", "application/json"),
    ]
    for body, kind in broken:
        reply = client.post("/desk", content=body, headers={"content-type": kind})
        assert reply.status_code in (400, 403), kind

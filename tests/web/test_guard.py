"""What stands before every page: names of the house, the size and the time of a request."""

from __future__ import annotations

import asyncio
import socket
from contextlib import suppress
from typing import Any

import pytest
from starlette.types import Message, Receive, Scope, Send

from headwater.web.app import STRANGER_BYTES
from headwater.web.asked import FORM_BYTES
from headwater.web.guard import HEADERS, Guard
from web.browsing import served
from web.conftest import HOST, Standing, token


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:8620", "127.0.0.1", "127.0.0.1:80", "", f"{HOST}."]
)
def test_a_strange_host_sees_nothing(standing: Standing, host: str) -> None:
    client = standing.inside()
    reply = client.get("/cases", headers={"host": host})
    assert reply.status_code == 421
    assert "ridge-07" not in reply.text


def test_two_hosts_are_none(standing: Standing) -> None:
    sent = [("host", HOST), ("host", HOST)]
    assert standing.inside().get("/cases", headers=sent).status_code == 421


@pytest.mark.parametrize(
    "path", ["/", "/cases", "/case/ridge-07", "/nowhere", "/look.css", "/enter"]
)
def test_every_answer_is_shut_in(standing: Standing, path: str) -> None:
    reply = standing.inside().get(path)
    for name, value in HEADERS.items():
        kept = name == "cache-control" and path.endswith(".css")
        assert reply.headers[name] == value or kept, name
    assert "'unsafe" not in reply.headers["content-security-policy"]
    assert "server" not in reply.headers


def test_a_page_has_no_script_and_no_style_of_its_own(standing: Standing) -> None:
    text = standing.inside().get("/case/ridge-07").text
    assert " style=" not in text
    assert "<style" not in text
    assert "<script>" not in text
    assert " onclick" not in text
    assert "http://" not in text.replace("http://www.w3.org/2000/svg", "")


def test_a_form_that_is_too_large_is_refused(standing: Standing) -> None:
    client = standing.inside()
    sent = {"csrf": token(client.get("/").text), "desk": "office", "who": "x" * FORM_BYTES}
    assert client.post("/desk", data=sent).status_code == 413


def test_a_stranger_may_send_less(standing: Standing) -> None:
    reply = standing.client().post("/desk", content=b"x" * (STRANGER_BYTES + 1))
    assert reply.status_code == 413
    assert reply.headers["connection"] == "close"


def test_what_is_said_to_be_large_is_not_read() -> None:
    async def never() -> Message:
        raise AssertionError("it was read")

    assert asyncio.run(_status(_guard(), never, {"content-length": "100000000"})) == 413
    assert asyncio.run(_status(_guard(), never, {"content-length": "9" * 400})) == 413
    assert asyncio.run(_status(_guard(), never, {"content-length": "-1"})) == 413


def test_a_body_without_a_length_is_read_no_further_than_it_may_be() -> None:
    read: list[int] = []

    async def endless() -> Message:
        read.append(1)
        return {"type": "http.request", "body": b"x" * 100, "more_body": True}

    assert asyncio.run(_status(_guard(), endless, {})) == 413
    assert len(read) == 11


def test_a_slow_body_is_given_up() -> None:
    async def slow() -> Message:
        await asyncio.sleep(0.01)
        return {"type": "http.request", "body": b"x", "more_body": True}

    assert asyncio.run(_status(_guard(seconds=0.05), slow, {})) == 408


def test_whoever_goes_away_is_let_go() -> None:
    async def gone() -> Message:
        return {"type": "http.disconnect"}

    assert asyncio.run(_status(_guard(), gone, {})) == 400


def test_a_body_comes_whole_to_the_page() -> None:
    parts = iter([b"ab", b"", b"cd"])

    async def some() -> Message:
        part = next(parts)
        return {"type": "http.request", "body": part, "more_body": part != b"cd"}

    assert asyncio.run(_status(_guard(), some, {})) == 200
    assert _Page.seen == b"abcd"


@pytest.mark.parametrize("length", ["content-length: 100000000", "transfer-encoding: chunked"])
def test_a_hundred_megabytes_are_cut_off_at_the_door(standing: Standing, length: str) -> None:
    """Over a real server: whoever sends on is not listened to."""
    with served(standing.house) as address:
        host = address.removeprefix("http://")
        with socket.create_connection((host.split(":")[0], int(host.split(":")[1]))) as line:
            line.settimeout(20)
            line.sendall(f"POST /desk HTTP/1.1\r\nhost: {host}\r\n{length}\r\n\r\n".encode())
            sent = 0
            with suppress(OSError):
                while sent < 100_000_000:
                    line.sendall(b"10000\r\n" + b"x" * 65536 + b"\r\n")
                    sent += 65536
            told = b""
            with suppress(OSError):
                told = line.recv(200)
    assert sent < 20_000_000, "the buffers of the system hold some"
    assert told == b"" or b" 413 " in told


class _Page:
    """A page that remembers what came to it."""

    seen = b""

    async def __call__(self, _: Scope, receive: Receive, send: Send) -> None:
        _Page.seen = (await receive())["body"]
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})


def _guard(seconds: float = 5.0) -> Guard:
    def refusal(status: int) -> Any:
        async def refuse(_scope: Scope, _receive: Receive, send: Send) -> None:
            await send({"type": "http.response.start", "status": status, "headers": []})
            await send({"type": "http.response.body", "body": b""})

        return refuse

    return Guard(_Page(), frozenset({HOST}), lambda _path, _cookie: 1000, refusal, seconds)


async def _status(guard: Guard, receive: Receive, headers: dict[str, str]) -> int:
    told = {"host": HOST, **headers}
    scope = {
        "type": "http",
        "method": "POST",
        "path": "/desk",
        "headers": [(name.encode(), value.encode()) for name, value in told.items()],
    }
    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    await guard(scope, receive, send)
    return int(sent[0]["status"])

"""What stands before every page: the Host is ours, a body small and quick, an answer shut in.

A request is looked at before any of it is parsed. Its Host must be one that the house goes by, or a
strange site whose name leads to this machine could speak to it (rebinding). Its body is read whole,
up to so many bytes and within so many seconds, and only then handed on.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

READ_SECONDS = 20.0
"""The whole body of a request must have come by then."""
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(self), geolocation=(), microphone=()",
    "cache-control": "no-store",
}
"""Stand on every answer; a handler may say another `cache-control`."""


@dataclass(frozen=True, slots=True)
class TooMuchError(Exception):
    """A request that is not read on, with the status that says why."""

    status: int


@dataclass(frozen=True, slots=True)
class Guard:
    """The application behind its guard.

    `hosts` are the values of Host that are answered. `most_bytes` tells of a path and a cookie how
    large a body may be; `refusal` makes the page of a status.
    """

    app: ASGIApp
    hosts: frozenset[str]
    most_bytes: Callable[[str, str], int]
    refusal: Callable[[int], ASGIApp]
    seconds: float = READ_SECONDS

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Look at a request, then hand it on."""
        if scope["type"] != "http":
            return
        shut = _shut_in(send)
        headers = Headers(scope=scope)
        named = headers.getlist("host")
        if len(named) != 1 or named[0].lower() not in self.hosts:
            await self.refusal(421)(scope, receive, shut)
            return
        try:
            body = await self._body(scope, headers, receive)
        except TooMuchError as fault:
            await self.refusal(fault.status)(scope, receive, _closing(shut))
            return
        await self.app(scope, _again(body, receive), shut)

    async def _body(self, scope: Scope, headers: Headers, receive: Receive) -> bytes:
        """Return the body. Raises TooMuchError where it is too large or too slow."""
        if scope["method"] in ("GET", "HEAD"):
            return b""
        most = self.most_bytes(scope["path"], headers.get("cookie", ""))
        told = headers.get("content-length", "0")
        if not told.isdecimal() or int(told[:12]) > most:
            raise TooMuchError(413)
        try:
            return await asyncio.wait_for(_read(receive, most), self.seconds)
        except TimeoutError:
            raise TooMuchError(408) from None


async def _read(receive: Receive, most: int) -> bytes:
    parts, size, more = [], 0, True
    while more:
        message = await receive()
        if message["type"] == "http.disconnect":
            raise TooMuchError(400)
        part = message.get("body", b"")
        size, more = size + len(part), message.get("more_body", False)
        if size > most:
            raise TooMuchError(413)
        parts.append(part)
    return b"".join(parts)


def _again(body: bytes, receive: Receive) -> Receive:
    """Return what hands a body out once more, and then what comes after it."""
    left = [body]

    async def once() -> Message:
        if left:
            return {"type": "http.request", "body": left.pop(), "more_body": False}
        return await receive()

    return once


def _shut_in(send: Send) -> Send:
    """Return what puts our headers on every answer."""

    async def put(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return put


def _closing(send: Send) -> Send:
    """Return what ends the connection after the answer: the rest of its body is not wanted."""

    async def put(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message)["connection"] = "close"
        await send(message)

    return put

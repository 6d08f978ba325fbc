"""Serves the application: the only user of uvicorn."""

from __future__ import annotations

import socket
import ssl
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from headwater.errors import HeadwaterError, Place
from headwater.files import reason_of
from headwater.web.app import make_app
from headwater.web.house import House

MOST_AT_ONCE = 200
"""Requests that are worked on or wait; whoever comes then is told to come again."""


@dataclass(frozen=True, slots=True)
class Address:
    """Where the house is reached: the interface, the port (0: any free one), names of its own."""

    interface: str = "127.0.0.1"
    port: int = 0
    names: tuple[str, ...] = ()


def bind(address: Address) -> socket.socket:
    """Return a socket on an address. Raises HeadwaterError where it cannot be had."""
    kind = socket.AF_INET6 if ":" in address.interface else socket.AF_INET
    listener = socket.socket(kind, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((address.interface, address.port))
    except (OSError, OverflowError) as error:
        listener.close()
        where = Place(f"{address.interface}:{address.port}")
        text = f"cannot be served at ({reason_of(error)}); choose another: --port N"
        raise HeadwaterError(text, where) from None
    return listener


def hosts_of(address: Address, port: int) -> tuple[str, ...]:
    """Return the values of Host that the house goes by."""
    names = address.names or ("127.0.0.1", "localhost", "[::1]")
    named = tuple(f"{name}:{port}".lower() for name in names)
    return named + tuple(map(str.lower, names)) if port in (80, 443) else named


def own_names() -> tuple[str, ...]:
    """Return the name of this machine and its address in the network; nothing is sent for it."""
    names = [socket.gethostname()]
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asker, suppress(OSError):
        asker.connect(("192.0.2.1", 9))  # an address for examples (RFC 5737): only the way is asked
        names.append(asker.getsockname()[0])
    return tuple(dict.fromkeys([*names, "localhost", "127.0.0.1"]))


def check_keys(certificate: Path, key: Path) -> tuple[str, str]:
    """Return certificate and key as files that fit. Raises HeadwaterError where they do not."""
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key)
    except (OSError, ValueError) as error:
        text = f"is no certificate with its key ({reason_of(error)}); name two files that fit"
        raise HeadwaterError(text, Place(f"{certificate}, {key}")) from None
    return str(certificate), str(key)


def serve(
    house: House,
    address: Address,
    listener: socket.socket,
    ready: Callable[[], None],
    keys: tuple[str, str] | None = None,
) -> None:
    """Serve the pages until somebody stops it; `keys` are the files of certificate and key."""
    app = make_app(house, hosts_of(address, listener.getsockname()[1]))
    certificate, key = keys or (None, None)
    server = _Server(
        uvicorn.Config(
            app,
            lifespan="off",
            ws="none",
            http="h11",
            loop="asyncio",
            log_config=None,
            access_log=False,
            server_header=False,
            proxy_headers=False,
            limit_concurrency=MOST_AT_ONCE,
            timeout_graceful_shutdown=5,
            ssl_certfile=certificate,
            ssl_keyfile=key,
        ),
        ready,
    )
    try:
        server.run(sockets=[listener])
    except KeyboardInterrupt:  # the server has stopped in order, and raises it once more
        return
    finally:
        listener.close()


class _Server(uvicorn.Server):
    """A server that says when it listens."""

    def __init__(self, config: uvicorn.Config, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._ready = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self._ready()

"""A real browser over a real server: Debian's Chromium, driven by Playwright's client."""

from __future__ import annotations

import shutil
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import uvicorn

from headwater.web.app import make_app
from headwater.web.house import House

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-sync"]


@contextmanager
def served(house: House) -> Iterator[str]:
    """Serve a house on a free port of this machine; hand out its address."""
    listener = socket.create_server(("127.0.0.1", 0))
    host = f"127.0.0.1:{listener.getsockname()[1]}"
    config = uvicorn.Config(
        make_app(house, [host]), lifespan="off", ws="none", log_config=None, access_log=False
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
    thread.start()
    try:
        yield f"http://{host}"
    finally:
        server.should_exit = True
        thread.join(10)
        listener.close()


@contextmanager
def chromium() -> Iterator[Any]:
    """Start the browser, without any look outside this machine."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        try:
            yield browser
        finally:
            browser.close()


def come_in(page: Any, house: House, address: str) -> None:
    """Come in by the one-time link."""
    page.goto(f"{address}/enter/{house.visits.new_link()}")

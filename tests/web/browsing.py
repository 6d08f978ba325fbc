"""A real browser over a real server: Debian's Chromium, driven by Playwright's client."""

from __future__ import annotations

import os
import shutil
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
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


TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa")


def keep(page: Any, name: str) -> None:
    """Keep a picture, where somebody wants to look at it."""
    if folder := os.environ.get("HEADWATER_PICTURES"):
        page.screenshot(path=Path(folder) / f"{name}.png", full_page=True)


def watch(page: Any, address: str, wrong: list[str]) -> None:
    """Note what a page fetches from elsewhere, and what the browser complains of."""

    def fetched(request: Any) -> None:
        if not request.url.startswith(address):
            wrong.append(request.url)

    def said(message: Any) -> None:
        if message.type == "error":
            wrong.append(message.text)

    page.on("request", fetched)
    page.on("console", said)


def faults_of(axe: Any, page: Any, path: str) -> list[str]:
    """Return what axe finds against the rules of WCAG 2.0 to 2.2, A and AA."""
    found = axe.run(page, options={"runOnly": {"type": "tag", "values": list(TAGS)}})
    return [
        f"{path}: {rule['id']}: {node['html'][:120]}"
        for rule in found.response["violations"]
        for node in rule["nodes"]
    ]

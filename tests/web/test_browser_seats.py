"""The seats as a browser draws them: a call by keyboard alone, the bench on a tablet and a phone.

No script runs in either story. With HEADWATER_PICTURES=folder pictures are kept to be looked at.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from headwater.case.read import read_case
from web.browsing import CHROMIUM, chromium, come_in, faults_of, keep, served, watch
from web.conftest import NOW, Standing

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="there is no Chromium here")

NARROW, TABLET, WIDE = (320, 640), (768, 1024), (1280, 800)
SMALL = """() => [...document.querySelectorAll('.now button, .now summary, .now .tick')]
    .filter(one => one.offsetParent && one.getBoundingClientRect().height < 48)
    .map(one => one.innerText)"""
"""Returns what is to be pressed and is lower than 48 pixels."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as started:
        yield started


def _looked_at(page: Any, name: str, wrong: list[str]) -> None:
    """Look at a page at three widths: nothing sticks out, and what is pressed is large enough."""
    for width, height in (NARROW, TABLET, WIDE):
        page.set_viewport_size({"width": width, "height": height})
        over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        wrong += [f"{name} is {over} too wide at {width}"] if over > 0 else []
        wrong += [f"{name}, {width}: '{text}' is too small" for text in page.evaluate(SMALL)]
        keep(page, f"{name}-{width}")


def _audited(page: Any, name: str, wrong: list[str]) -> None:
    """Have a page audited in both themes."""
    from axe_playwright_python.sync_playwright import Axe

    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)
        wrong += faults_of(Axe(), page, f"{name}, {theme}")
    page.emulate_media(color_scheme="light")


def _press(page: Any, *keys: str) -> None:
    """Press keys, the last of which leads to another page."""
    for key in keys[:-1]:
        page.keyboard.press(key)
    with page.expect_navigation():
        page.keyboard.press(keys[-1])


@pytest.mark.parametrize("size", [NARROW, WIDE], ids=["phone", "desk"])
def test_a_call_by_keyboard_alone_without_script(
    yard: Standing, browser: Any, size: tuple[int, int]
) -> None:
    with served(yard.house) as address:
        context = browser.new_context(java_script_enabled=False)
        page = context.new_page()
        page.set_viewport_size({"width": size[0], "height": size[1]})
        come_in(page, yard.house, address)
        page.goto(f"{address}/begin/call")
        assert page.evaluate("document.activeElement.name") == "words"
        page.keyboard.type("it howls when it pulls")
        _press(page, "Tab", "Enter")
        assert page.is_checked("text=howls under load")
        page.focus("text=Take what is ticked")
        _press(page, "Enter")
        page.focus("text=No, or nobody knows")
        _press(page, "Enter")
        asked = page.inner_text(".asked")
        assert page.evaluate("document.activeElement.name") == "words"
        question = page.locator(".asked").bounding_box()
        assert 0 <= question["y"] < size[1], "the question stands on the screen"
        advice = page.locator(".advice").bounding_box()
        assert 0 <= advice["y"] < size[1] / 2, "and so does the advice"
        page.keyboard.type("2")
        _press(page, "Enter")
        assert page.inner_text(".asked") != asked
        page.evaluate("scrollTo(0, document.body.scrollHeight)")
        assert page.locator(".advice").bounding_box()["y"] == 0, "it never scrolls away"
        page.focus("text=End the call")
        _press(page, "Enter")
        assert f"Call sheet: {NOW[:10]}-1" in page.inner_text("main")
        # Its access key is 'n', which the driver cannot press: it sends no text with Alt.
        page.focus("a[accesskey=n]")
        _press(page, "Enter")
        assert page.url == f"{address}/begin/call"
        context.close()
    assert read_case(yard.folder / f"{NOW[:10]}-1.yaml").complaint == "it howls when it pulls"


@pytest.mark.parametrize("size", [NARROW, TABLET], ids=["phone", "tablet"])
def test_a_case_at_the_bench_by_touch_without_script(
    yard: Standing, browser: Any, size: tuple[int, int]
) -> None:
    width, height = size
    with served(yard.house) as address:
        context = browser.new_context(
            java_script_enabled=False,
            has_touch=True,
            viewport={"width": width, "height": height},
        )
        page = context.new_page()
        come_in(page, yard.house, address)
        page.goto(f"{address}/case/pads/at/bench")
        assert "HELD shift fork" in page.inner_text(".beside")
        for _ in range(12):
            if page.query_selector(".reading input") or not page.query_selector(".asked"):
                break
            with page.expect_navigation():
                page.tap("button[value=dont-know]")
        assert page.get_attribute(".reading input[type=text]", "inputmode") == "decimal"
        page.fill(".reading input[type=text]", "0,9")
        with page.expect_navigation():
            page.tap("text=Take the reading")
        assert "That is past-limit." in page.inner_text(".effect")
        assert page.locator(".effect svg").is_visible()
        page.fill("#more", "the front bore is bright on one side")
        with page.expect_navigation():
            page.tap(".beside >> text=Tell")
        with page.expect_navigation():
            page.tap("text=Take what is ticked")
        assert "RELEASED shift fork" in page.inner_text(".beside")
        context.close()


def test_the_pages_of_the_seats_fit_and_are_sound(yard: Standing, browser: Any) -> None:
    """One story for all that a seat shows: each start of a browser costs seconds."""
    wrong: list[str] = []
    with served(yard.house) as address:
        context = browser.new_context()
        page = context.new_page()
        watch(page, address, wrong)
        come_in(page, yard.house, address)

        def shown(name: str) -> None:
            _looked_at(page, name, wrong)
            _audited(page, name, wrong)

        def sent(form: str) -> None:
            with page.expect_navigation():
                page.click(form)

        page.goto(f"{address}/begin/call")
        shown("begin-call")
        page.fill("#words", "it howls when it pulls, and qqq zzz")
        sent("button.first")
        shown("call-ticks")
        sent("text=Take what is ticked")
        shown("call-earlier")
        sent("text=No, or nobody knows")
        shown("call-unclear")
        sent("text=Nothing of what is wrong")
        page.fill("#words", "hmm hmm")
        sent("text=Answer >> nth=-1" if page.locator("text=Answer").count() > 1 else "text=Answer")
        shown("call-question")
        page.fill("#want", "the bearing")
        sent("text=Take down")
        sent("text=End the call")
        shown("call-end")
        page.goto(f"{address}/begin/bench")
        shown("begin-bench")
        page.goto(f"{address}/case/bore/at/bench")
        shown("bench-found")
        sent(".found-rows button >> nth=1")
        shown("bench-again")
        page.fill(".reading input[type=text]", "much")
        sent("text=Take the reading")
        shown("bench-refused")
        page.fill(".reading input[type=text]", "0.3")
        sent("text=Take the reading")
        shown("bench-effect")
        sent("text=Stop here")
        shown("bench-end")
        page.goto(f"{address}/case/magnesium/at/hoist")
        shown("hoist")
        context.close()
    assert wrong == []
